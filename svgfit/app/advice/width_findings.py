"""The findings of widths round the body: across the back, round the bust. All of it is work by hand. Lengths in mm.

Both are looked at only where the measure is on the sheet; girths and widths are those of the whole body, so that half
of what lacks goes to each half of the pattern.
"""

from __future__ import annotations

from svgfit.app.advice.context import AdviceContext, State, away
from svgfit.app.advice.ways import LEFT
from svgfit.fitting.body_figures import BACK_WIDTH, BUST
from svgfit.model.advice import OPEN, PASS, UNKNOWN, Finding, Way
from svgfit.model.body import Range
from svgfit.model.operation import replace
from svgfit.model.vocabulary import Figure
from svgfit.rules.armholes import BACK_WIDTH_CLOSE_ENOUGH, BUST_AT_MOST, BUST_CLOSE_ENOUGH, FULL_BUST, WIDE_LEFT
from svgfit.rules.body_measures import BACK, CHEST, HIGH_BUST

WIDENED, NARROWED = "widened by hand", "narrowed by hand"
FULL, LET_OUT, TAKEN_IN = "full bust", "side seams let out", "side seams taken in"
_LARGER = "That is much: begin with a larger size, and make shoulder and neck smaller in that."


def back_width(context: AdviceContext, state: State) -> Finding | None:
    """Judge the back's width half way down the armhole; None where the body's was not taken."""
    measured = _measured(context, state, BACK_WIDTH, BACK, context.person.back_ease or context.style.back)
    if measured is None or isinstance(measured, Finding):
        return measured
    pattern, body, wanted = measured
    off = away(context, pattern - body, wanted)
    says = _says(context, "The back", measured)
    if abs(off) <= BACK_WIDTH_CLOSE_ENOUGH:
        return Finding(BACK_WIDTH, PASS, says, pattern, body, wanted, 0.0)
    other = Way(LEFT, "Leave it, and see on the test garment whether the back pulls or folds.")
    if off < 0:
        ways = (
            replace(_across(context, off), because="a narrow back pulls at the sleeve whenever the arms move"),
            other,
        )
    elif off <= WIDE_LEFT:
        ways = (replace(other, because="so little only gives room to reach forward"), _across(context, off))
    else:
        ways = (replace(_across(context, off), because="so much falls into folds beside the armhole"), other)
    return Finding(BACK_WIDTH, OPEN, says, pattern, body, wanted, off, ways)


def bust(context: AdviceContext, state: State) -> Finding | None:
    """Judge the girth at the underarm against chest or bust; None where the body's was not taken."""
    measured = _measured(context, state, BUST, CHEST, context.person.bust_ease or context.style.bust)
    if measured is None or isinstance(measured, Finding):
        return measured
    pattern, body, wanted = measured
    off = away(context, pattern - body, wanted)
    says = _says(context, "The garment, at the underarm,", measured)
    if abs(off) <= BUST_CLOSE_ENOUGH:
        return Finding(BUST, PASS, says, pattern, body, wanted, 0.0)
    seams = _side_seams(context, off)
    if off > 0:
        left = Way(
            LEFT, "Width to spare may be meant.", because="width to spare spoils nothing; take in after the test"
        )
        return Finding(BUST, OPEN, says, pattern, body, wanted, off, (left, seams))
    full, because = _is_full(context, state)
    bust_way = _full_bust(context, -off)
    ways = (replace(bust_way, because=because), seams) if full else (replace(seams, because=because), bust_way)
    minds = (_LARGER,) if -off > BUST_AT_MOST else ()
    return Finding(BUST, OPEN, (*says, *minds), pattern, body, wanted, off, ways, minds=minds)


def _measured(
    context: AdviceContext, state: State, figure: str, measure: str, wanted: Range | None
) -> tuple[float, float, Range] | Finding | None:
    """Return pattern, body and ease wanted; a finding that says what is not known; None where nothing was taken."""
    body, pattern = context.person.measures.get(measure), state.figures.get(figure)
    if body is None or (wanted is None and context.missing):
        return None
    if pattern is None:
        return Finding(figure, UNKNOWN, (f"The pattern's is not known: {context.unknown(figure)}.",), None, body)
    if wanted is None:
        says = (
            f"For {context.style.name} no practice is known here: the pattern has {context.spell(pattern - body)} more "
            f'than the body. Write for example "{measure} ease" = "1 in" in the body sheet.'
        )
        return Finding(figure, UNKNOWN, (says,), pattern, body)
    return pattern, body, wanted


def _says(context: AdviceContext, subject: str, measured: tuple[float, float, Range]) -> tuple[str, ...]:
    pattern, body, wanted = measured
    more = pattern - body
    return (
        f"{subject} is {context.spell(abs(more))} {'wider' if more >= 0 else 'narrower'} than the body; "
        f"{context.style.name} wants {context.spell_range(wanted)} more.",
    )


def _across(context: AdviceContext, off: float) -> Way:
    """Describe another width of the back as work by hand (from memory)."""
    each, whole, wider = context.spell(abs(off) / 2), context.spell(abs(off)), off < 0
    verb = "Widen" if wider else "Narrow"
    does = f"{verb} the back by {whole}, {each} on each half, by hand. The armhole stays as long."
    hand = (
        "On the back draw an upright line from the middle of the shoulder (of the yoke's seam) to the level of the "
        "notches, and from there across to the armhole. Cut it, but leave a thread of paper at the armhole's stitch "
        "line.",
        f"{'Swing the side part out' if wider else 'Lap the side part in'} by {each} at the level of the notches.",
        "What the shoulder is longer goes into its dart or is eased in."
        if wider
        else "Draw the shoulder straight; what it lacks comes out of its dart or ease.",
    )
    return Way(WIDENED if wider else NARROWED, does, by_hand=hand, adds=((BACK_WIDTH, -off),))


def _is_full(context: AdviceContext, state: State) -> tuple[bool, str]:
    """Tell whether a girth that lacks is the bust's alone, and by what."""
    back = _measured(context, state, BACK_WIDTH, BACK, context.person.back_ease or context.style.back)
    if isinstance(back, tuple):
        pattern, body, wanted = back
        if away(context, pattern + state.by_hand.get(BACK_WIDTH, 0.0) - body, wanted) >= -BACK_WIDTH_CLOSE_ENOUGH:
            return True, "the back is wide enough: it is the bust that lacks"
        return False, "the back is narrow as well"
    high, full = context.person.measures.get(HIGH_BUST), context.person.measures[CHEST]
    if high is not None and full - high >= FULL_BUST:
        return True, f"the bust is {context.spell(full - high)} more than the high bust"
    if high is not None:
        return False, f"the bust is only {context.spell(full - high)} more than the high bust"
    return False, "no measure here says that it is the bust alone; across back or high bust would"


def _full_bust(context: AdviceContext, lacks: float) -> Way:
    """Describe more room for the bust alone as work by hand (from memory)."""
    each = context.spell(lacks / 2)
    does = (
        f"Give the front {context.spell(lacks)} more at the bust, {each} on each half, by hand. Back, shoulder, "
        "armhole and sleeve stay."
    )
    hand = (
        "On the front draw an upright line from the waist to the bust point, on to the armhole's lower third, and one "
        "from the side dart (or side seam) to the bust point.",
        "Cut from the waist to the armhole, but leave a thread of paper at its stitch line; cut the side line to a "
        f"thread at the bust point. Swing the side part out until the cut is {each} open at the bust point, its lower "
        "edges upright.",
        "Cut the centre part level below the bust and lower it to meet the side. Draw the side dart, which is wider "
        "now, to 1/2 to 1 in short of the bust point; take the waist in again where it was right.",
    )
    return Way(FULL, does, by_hand=hand, adds=((BUST, lacks),))


def _side_seams(context: AdviceContext, off: float) -> Way:
    """Describe another girth at the side seams as work by hand (from memory)."""
    each, whole, out = context.spell(abs(off) / 4), context.spell(abs(off)), off < 0
    way = "out" if out else "in"
    does = (
        f"{'Let out' if out else 'Take in'} each of the four side seams by {each}, by hand, {whole} in all. The "
        f"sleeve gets {context.spell(abs(off) / 2)} {'wider' if out else 'narrower'} with it."
    )
    hand = (
        f"Move the side seam of front and back {each} {way} at the underarm, running into the old seam at the waist, "
        "and draw the armhole to the new point.",
        f"Move both underarm points of the sleeve {each} {way} as well, so that cap and armhole change alike; walk "
        "them.",
    )
    adds = ((BUST, -off), (Figure.BICEP_WIDTH, -off / 2))
    return Way(LET_OUT if out else TAKEN_IN, does, by_hand=hand, adds=adds)
