"""What the teaching sheet says: how a person does a step with paper and scissors. Plain words, figures put in.

Known operations have words of their own; any other (a plug-in's) gets general ones that hold for every slash.
"""

from __future__ import annotations

from msgspec.structs import replace

from svgfit.render.pdf.facts import Facts, Words, length
from svgfit.render.pdf.redrawing import (
    armhole_adjust,
    cap_redraw,
    edge_blend,
    notch_match,
    seam_allowance,
    widened,
)

_THROUGH = "Cut along the line from edge to edge. Shaded: the part that moves."
_HINGED = "Cut from the edge to the hinge, but not through it: leave a thread of paper. Shaded: what moves."
_TAPE_OPEN = "Tape it down on paper laid beneath."
_TAPE_OVER = "Tape it down where it lies."
_TRUE = (
    "Draw the edge anew, smoothly across the step and through its middle: a little is added on one side, a little "
    "comes off on the other (dotted: as the paper lies)."
)


def amounts(facts: Facts) -> str:
    """How far it opened or overlapped: "3/8 in", or front and back where they differ."""
    found = [opening.width for opening in facts.openings] or list(facts.moved)
    texts = list(dict.fromkeys(length(width, facts.unit) for width in found))
    return " and ".join(texts) if texts else ""


def closes(facts: Facts) -> bool:
    """Whether the parts overlap."""
    found = [opening.width for opening in facts.openings] or list(facts.moved)
    return sum(found) < 0


def words_of(facts: Facts) -> Words:
    """The words of a step that cut the paper, or redrew its edge."""
    made = _SPECIAL.get(facts.row.do)
    return made(facts) if made else _general(facts)


def _line(facts: Facts, start: str) -> str:
    return f"{start}: {facts.where}." if facts.where else f"{start}."


def _slashed(facts: Facts, title: str, move: str, note: str = "") -> Words:
    return Words(
        title,
        _line(facts, "Draw the line"),
        _HINGED if facts.hinged else _THROUGH,
        f"{move} {_TAPE_OVER if closes(facts) else _TAPE_OPEN}",
        _TRUE,
        note,
    )


def _cap_raise(facts: Facts) -> Words:
    down = closes(facts)
    way = "down, over the other part," if down else "up, away from the other part,"
    return _slashed(
        facts,
        "Lower the cap" if down else "Raise the cap",
        f"Slide the shaded part {way} by {amounts(facts)}, along the grain: the centre line stays one straight line.",
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
        ),
    )


def _ease_spread(facts: Facts) -> Words:
    way = (
        "inwards, over the rest, until its cut edge overlaps by" if closes(facts) else "outwards until the cut opens by"
    )
    return _slashed(
        facts,
        "Take ease out of the cap" if closes(facts) else "Add ease to the cap",
        f"Turn each shaded corner about its hinge {way} {amounts(facts)}, straight across between the cut ends.",
        "What the paper moves is not what the edge gains: the corner moves mostly across the seam. So the edge is "
        "measured after it is trued, and that figure counts.",
    )


def _bicep_widen(facts: Facts) -> Words:
    if facts.openings:
        way = "together until they overlap by" if closes(facts) else "apart until the cut opens at the top by"
        words = _slashed(
            facts,
            "Narrow the bicep" if closes(facts) else "Widen the bicep",
            f"Turn both halves about the hinge at the hem, {way} {amounts(facts)}.",
            "The underarm seams keep their length. The cap's edge is another, so its notches no longer meet the "
            "armhole's: walk the cap along the armhole and mark them anew.",
        )
        return replace(words, true=f"{words.true} Draw the hem anew as well, in one smooth line across its hinge.")
    return widened(facts)


def _general(facts: Facts) -> Words:
    title = facts.row.do.replace("-", " ").capitalize()
    if facts.openings and facts.where:
        way = "until it overlaps" if closes(facts) else "until the cut opens"
        return _slashed(facts, title, f"Move the shaded part {way} by {amounts(facts)}.", facts.summary)
    return Words(title, "As it was.", "", "", "As it is now (dotted: as it was).", facts.summary)


_TITLES = {"seam-check": "Compare two seams"}
_SPECIAL = {
    "cap-raise": _cap_raise,
    "ease-spread": _ease_spread,
    "bicep-widen": _bicep_widen,
    "edge-blend": edge_blend,
    "notch-match": notch_match,
    "armhole-adjust": armhole_adjust,
    "seam-allowance": seam_allowance,
    "cap-redraw": cap_redraw,
}


def title_of(do: str) -> str:
    """What a step without pictures is called."""
    return _TITLES.get(do, do.replace("-", " ").capitalize())
