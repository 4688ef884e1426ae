"""seam-check: two seams compared on the stitch line."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from svgfit.plugin import (
    Check,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    both_ways,
    format_length,
    hookimpl,
    rules,
    sewing,
)


def run(job: Job) -> Outcome:
    """Compare both lengths: pass, warn or fail; the pieces stay as they are."""
    spoken = partial(both_ways, unit=job.unit)
    a, b = job.values["a"], job.values["b"]
    first, second = sewing.seam_length(job.pieces, a), sewing.seam_length(job.pieces, b)
    difference = first - second
    tolerance = job.values["tolerance"]
    low, high = job.values.get("min"), job.values.get("max")
    match = job.values.get("match", "yes" if low is None and high is None else "no")
    if (match == "yes") == (low is not None or high is not None):
        raise job.refuse("match goes without min and max, and is yes", "give match=yes, or min and max")
    if low is not None and high is not None and low > high:
        raise job.refuse("min is larger than max", "exchange them")
    eased = None if "match" in job.values else sewing.expected_ease(a, b, job.pieces, job.seams)
    limits = {name: value for name, value in (("least", low), ("most", high)) if value is not None}
    if low is None and high is None:
        off = abs(difference) if eased is None or not eased.stated else eased.off(difference)
        status = "pass" if off <= tolerance else "warn" if off <= 2 * tolerance else "fail"
        asked = f"should match within {spoken(tolerance)}"
        if eased is not None and eased.stated:
            limits = {"least": eased.least, "most": eased.most}
            least, most = eased.amounts
            asked = f"{sewing.spell_edges(a if eased.first_is_eased else b)} is to be eased in by {spoken(least)}"
            asked += f" to {spoken(most)}" if most > least else ""
            asked += f", as {eased.by} says" if eased.by else ""
        elif eased is not None and status != "pass" and not eased.off(difference):
            status = "warn"
            asked += (
                f", but up to {spoken(eased.amounts[1])} is usual there and eased in; if it is meant, state it as ease"
            )
    else:
        inside = (low is None or difference >= low) and (high is None or difference <= high)
        status = "pass" if inside else "fail"
        bounds = [
            f"at least {spoken(low)}" if low is not None else "",
            f"at most {spoken(high)}" if high is not None else "",
        ]
        asked = "should be longer by " + " and ".join(bound for bound in bounds if bound)
    words = "longer" if difference >= 0 else "shorter"
    check = Check(
        f"{sewing.spell_edges(a)} against {sewing.spell_edges(b)}",
        status,
        f"{spoken(first)} against {spoken(second)}: {spoken(abs(difference))} {words}; {asked}",
        {"a": first, "b": second, "difference": difference, **limits},
    )
    return Outcome(job.pieces, (Measurement("difference", difference),), checks=(check,))


# -- teaching words -------------------------------------------------------------------------------------------------


INSTRUCTIONS = Instructions(
    asked={
        "a": "compare {}",
        "b": "with {}",
        "match": "the two are to be equally long",
        "tolerance": "within {}",
        "min": "the first is to be longer by at least {}",
        "max": "but by at most {}",
    },
    title="Compare two seams",
    together=2,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "seam-check",
            "Compares two seams on the stitch line: do they match, or is the one longer by as much as it should be?",
            (
                Parameter("a", "edges", "the one seam: Piece/edge, several joined with +"),
                Parameter("b", "edges", "the other seam"),
                Parameter(
                    "match",
                    "text",
                    "yes: the two should be equally long, whatever ease is stated for the seam or usual there",
                    default_text="as long as the seam's ease says, unless min or max is given",
                    choices=("yes", "no"),
                ),
                Parameter(
                    "tolerance",
                    "length",
                    "how far apart matching seams may be (twice that is a warning)",
                    default=format_length(rules.matching.CAREFUL, "in"),
                    minimum=0.0,
                ),
                Parameter("min", "length", "a should be longer than b by at least this"),
                Parameter("max", "length", "a should be longer than b by at most this"),
            ),
            run,
            instructions=INSTRUCTIONS,
            one_of=(("a",), ("b",)),
            compares=sewing.Comparison(first="a", second="b", least="min", most="max"),
        )
    ]
