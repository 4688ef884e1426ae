"""cap-raise: the cap cut level and its top moved along the grain, up or down."""

from __future__ import annotations

import itertools
from collections.abc import Iterable

from svgfit.plugin import (
    REDRAW,
    Affine,
    Annotation,
    Curve,
    Instructions,
    Job,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Reach,
    Slash,
    StepFacts,
    Words,
    at_most,
    both_ways,
    hookimpl,
    rules,
    sewing,
    slash_words,
    sleeves,
    spread,
    swap,
    true,
    unkept_promises,
)


def run(job: Job) -> Outcome:
    """Slash, shift, true; then measure."""
    piece = job.piece
    assert piece is not None
    height = sleeves.cap_height(piece)
    amount = job.values["amount"] if "amount" in job.values else job.values["height"] - height
    if abs(amount) < 1e-9:
        return Outcome(job.pieces, _got(piece), warnings=(f"{piece.title}: the cap is already that high",))
    at = _slash_height(job, piece, height, amount)
    level = sleeves.bicep_level(piece)
    left, _, right, _ = piece.outline().bounds()
    slash = Slash((complex(right + 10, level - at), complex(left - 10, level - at)), moves=piece.landmark("cap top"))
    parted = spread(piece, slash, Affine.shift(complex(0, -amount)))
    new, openings = true(parted, job.values.get("redraw"))
    front, back = parted.cut.line[0], parted.cut.line[-1]
    notes = [
        Annotation(
            "slash",
            piece.title,
            Curve.polyline([front, back]),
            label="slash to raise the cap" if amount > 0 else "slash to lower the cap",
        )
    ]
    for point in (front, back):
        notes.append(Annotation("arrow", piece.title, Curve.polyline([point, point - 1j * amount]), length=amount))
    return Outcome(
        swap(job.pieces, new),
        _got(new),
        openings,
        tuple(notes),
        warnings=(*_high(new), *unkept_promises(openings)),
        moved=parted.moved,
    )


def _high(piece: Piece) -> tuple[str, ...]:
    """Warn of a cap that few arms take."""
    height = sleeves.cap_height(piece)
    if height <= rules.caps.HIGHEST_USUAL + 0.01:
        return ()
    return (f"{piece.title}: the cap is now {both_ways(height)} high, higher than most arms take; check the number",)


def _slash_height(job: Job, piece: Piece, height: float, amount: float) -> float:
    """Return how high over the bicep line the slash runs, in mm; refuse what can't be."""
    if height + amount > rules.body_measures.most_of("shoulder tip to bicep line"):
        raise job.refuse(
            f"the cap would be {both_ways(height + amount)} high, more than any arm from shoulder tip to bicep line",
            "check the number and its unit",
        )
    level = sleeves.bicep_level(piece)
    notches = [level - mark.at.imag for mark in piece.notches("cap") if mark.at is not None]
    highest, upper = _stretch(notches, height)
    if amount < 0 and notches and height + amount <= highest:
        raise job.refuse(
            f"the cap would end {both_ways(highest - height - amount)} below its higher notch",
            "lower it by less, or move the notches first",
        )
    # Truing stays above the notch and needs room there; at most half way to what stands above it. A lowering is cut
    # half its amount higher: what it takes out is then what the same raise had put in.
    half = (upper + min(amount, 0.0) - highest) / 2
    usual = min(max(rules.caps.SLASH_OVER_NOTCH, 3 * abs(amount)), half) if notches else half
    at = job.values.get("at", highest + usual - min(amount, 0.0) / 2)
    if not 0 < at < height:
        raise job.refuse(
            f"a slash at {both_ways(at)} over the bicep line runs outside the cap, which is {at_most(height)} high",
            "choose at between 0 and the cap height",
        )
    if -amount >= height - at:
        raise job.refuse(
            f"an overlap of {both_ways(-amount)} is larger than the part above the slash, {at_most(height - at)}",
            "lower it by less, or slash lower",
        )
    trapped = [one for one in notches if at + min(amount, 0.0) / 2 <= one < at]
    if trapped:
        raise job.refuse(
            f"the overlap would reach over a notch {both_ways(max(trapped))} over the bicep line",
            "slash higher, or lower the cap by less",
        )
    return at


def _stretch(notches: list[float], height: float) -> tuple[float, float]:
    """Choose between which two heights the cap is slashed: the highest with room between notches, the cap top above.

    Notches right under the cap top, as where a nest was drawn on one layer, leave none there.
    """
    stops = sorted({0.0, height, *(one for one in notches if 0 < one < height)})
    between = list(itertools.pairwise(stops))
    room = [pair for pair in between if pair[1] - pair[0] >= rules.caps.SLASH_BETWEEN]
    return room[-1] if room else max(between, key=lambda pair: pair[1] - pair[0])


def _got(piece: Piece) -> tuple[tuple[str, float], ...]:
    return (("cap height", sleeves.cap_height(piece)), ("cap length", sewing.sewn_length(piece, "cap")))


# -- teaching words -------------------------------------------------------------------------------------------------


def _words(facts: StepFacts) -> Words:
    """Say how a cap is cut and its top slid along the grain."""
    down = facts.closes
    way = "down, over the other part," if down else "up, away from the other part,"
    return slash_words(
        facts,
        "Lower the cap" if down else "Raise the cap",
        f"Slide the shaded part {way} by {facts.amounts}, along the grain: the centre line stays one straight line.",
        "The bicep keeps its width. A "
        + (
            "lower cap is shorter along its edge, and the sleeve lifts"
            if down
            else "higher cap is longer along its edge"
        )
        + (
            " too: look at the cap ease below."
            if "cap ease" in facts.figures
            else " too: measure it against its armhole before you sew."
        )
        + f" The whole sleeve gets {facts.amounts} {'shorter' if down else 'longer'}: where it was right, "
        f"{'put that in' if down else 'take that out'} again below the bicep line.",
    )


INSTRUCTIONS = Instructions(
    asked={
        "amount": ("raise the cap by {}", "lower the cap by {}"),
        "height": "make the cap {} high",
        "at": "cutting {} above the bicep line",
        "redraw": "redrawing at most {} on each side of a cut",
    },
    words=_words,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "cap-raise",
            "Raises (or lowers) a sleeve's cap: a level slash, the top moved along the grain, the edge trued.",
            (
                Parameter("amount", "length", "how far the top moves; negative lowers by overlapping"),
                Parameter("height", "length", "the cap height to end with", minimum=1.0, end="cap height"),
                Parameter(
                    "at",
                    "length",
                    "height of the slash over the bicep line",
                    default_text="over the higher of the notches by three times the amount "
                    f"({both_ways(rules.caps.SLASH_OVER_NOTCH)} at least), at most "
                    "half way to the top; half a lowering higher",
                ),
                REDRAW,
            ),
            run,
            instructions=INSTRUCTIONS,
            kinds=("sleeve",),
            one_of=(("amount", "height"),),
            answers=("drags from the underarm to the cap top", "the cap is too low"),
            reaches=(
                Reach(
                    "cap height",
                    "height",
                    "amount",
                    keeps=("bicep width",),
                    does="a level slash, the top moved up, the edge trued.",
                    does_less="a level slash, the top lapped down over it, the edge trued.",
                    rank=0,
                ),
            ),
        )
    ]
