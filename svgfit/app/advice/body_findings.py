"""The findings of a body's shoulder and arm: where the armhole seam sits, arm girth against bicep width. In mm."""

from __future__ import annotations

from svgfit.app.advice.context import AdviceContext, State, away, target
from svgfit.app.advice.ways import BY_HAND, LEFT, NO_WORDS, make_way
from svgfit.model.advice import OPEN, PASS, UNKNOWN, Finding, Goal, Way
from svgfit.model.body import AS_DRAWN, Range
from svgfit.model.operation import replace
from svgfit.model.vocabulary import Figure
from svgfit.plugin.abilities import ways_to
from svgfit.rules.armholes import FAR_INSIDE, SHOULDER_CLOSE_ENOUGH
from svgfit.rules.body_measures import ARM, SHOULDER
from svgfit.rules.caps import BICEP_LEFT_WIDE, BICEP_PLAUSIBLE
from svgfit.rules.matching import LEAST_COST

BICEP_WAYS = ("height kept", "cap length kept", "at the underarm", "slash to the hem")
"""The ways to another bicep width that a person can pick, as operations call them."""


# -- shoulder --------------------------------------------------------------------------------------------------------


def shoulder(context: AdviceContext, state: State) -> Finding:
    """Judge where the armhole seam sits; everything below is measured from there."""
    topic, body, pattern = Figure.SHOULDER, context.person.measures.get(SHOULDER), state.figures.get(Figure.SHOULDER)
    asked = context.person.sits
    sits, guess = state.sits, context.guesses.get(topic, "")
    if body is None or pattern is None or guess:
        pattern = None if guess else pattern
        missing = "Shoulder length is not on the sheet" if body is None else _no_shoulder(context)
        drawn = ", though it is to sit as drawn" if asked == AS_DRAWN else ""
        says = f"{missing}{drawn}: the armhole seam is taken to sit {_place(context, sits)}."
        return Finding(topic, UNKNOWN, (says,), pattern, body)
    actual = pattern - body
    if asked == AS_DRAWN:
        says = f"The seam stays where it is drawn, {_place(context, (actual, actual))}; the cap begins there."
        look = (
            f"That is far inside: where the shoulder is not meant to be cut so narrow, lengthen it by "
            f"{context.spell(-actual)}, or the sleeve's top lies on the shoulder and binds.",
        )
        as_drawn = Way("as drawn", says, sits=actual)
        look = look if -actual > FAR_INSIDE else ()
        return Finding(topic, PASS, (says, *look), pattern, body, difference=0.0, taken=as_drawn, minds=look)
    nearest = min(max(actual, sits[0]), sits[1])
    off = actual - nearest
    if abs(off) <= SHOULDER_CLOSE_ENOUGH:
        says = f"The armhole seam sits {_place(context, (nearest, nearest))}, {_how_near(context, sits)}."
        found = Way("as drawn", says, sits=nearest)
        taken = found if sits[1] > sits[0] else None
        return Finding(topic, PASS, (says,), pattern, body, sits, 0.0, taken=taken)
    says = (
        f"The pattern's shoulder is {context.spell(abs(off))} {'longer' if off > 0 else 'shorter'} than it should be "
        f"for a seam {_place(context, sits)}. All that follows hangs on where the seam sits, so settle this first.",
        f'To keep it as drawn for good, write "seam sits" = "{AS_DRAWN}" in the body sheet.',
    )
    moved = replace(_moved(context, off, nearest), because="a seam off its place can't be made good at the cap")
    left = Way(
        LEFT,
        f"The seam then sits {_place(context, (actual, actual))}, and the cap has to be {context.spell(abs(off))} "
        f"{'lower' if off > 0 else 'higher'} for it.",
        sits=actual,
    )
    return Finding(topic, OPEN, says, pattern, body, sits, off, (moved, left))


def likely_sits(context: AdviceContext, state: State) -> Range:
    """Return where the seam will sit, least and most, before the shoulder is settled: if its style allows."""
    body, pattern = context.person.measures.get(SHOULDER), state.figures.get(Figure.SHOULDER)
    if body is None or pattern is None or Figure.SHOULDER in context.guesses:
        return state.sits
    actual, (low, high) = pattern - body, state.sits
    if context.person.sits != AS_DRAWN:
        actual = min(max(actual, low), high)
    return actual, actual


def _moved(context: AdviceContext, off: float, sits: float) -> Way:
    """Describe another shoulder width as work by hand (from memory)."""
    by, way = context.spell(abs(off)), "in" if off > 0 else "out"
    does = f"Bring the shoulder tip {by} further {way} on front and back, by hand; the armhole keeps its length."
    hand = (
        "On front and back draw a line from the middle of the shoulder down to the level of the notch, and from there "
        "across to the armhole. Cut it from the shoulder, but leave a thread of paper at the armhole's stitch line.",
        f"Swing the part with the tip {way} by {by}, tape it down, and draw the shoulder straight from neck to tip.",
    )
    if context.others:
        does = f"Bring the yoke's shoulder {by} further {way}, by hand; the armhole's length changes a little."
        hand = (
            f"Move the yoke's armhole {way} by {by}, with the upper ends of front and back that meet it, and draw "
            "the armholes from there into the old ones at the notches.",
            "The armhole's length changes a little: walk the cap along it.",
        )
    return Way(BY_HAND, does, sits=sits, by_hand=hand, adds=((Figure.SHOULDER, -off),))


def _how_near(context: AdviceContext, sits: Range) -> str:
    if sits[1] - sits[0] < LEAST_COST:
        return f"to within {context.spell(SHOULDER_CLOSE_ENOUGH)}: close enough"
    return f"and that is as {context.style.name} has it ({_place(context, sits)})"


def _no_shoulder(context: AdviceContext) -> str:
    why = context.guesses.get(Figure.SHOULDER) or context.unknown(Figure.SHOULDER)
    return f"The pattern's shoulder is not known ({why})"


def _place(context: AdviceContext, sits: Range) -> str:
    low, high = sits
    if high - low >= LEAST_COST:
        if abs(low) < LEAST_COST:
            return f"at the shoulder tip or up to {context.spell(high)} beyond it"
        return f"{context.spell_range(sits)} beyond the shoulder tip"
    if abs(low) < LEAST_COST:
        return "at the shoulder tip"
    return f"{context.spell(abs(low))} {'beyond the shoulder tip' if low > 0 else 'inside the shoulder tip'}"


# -- bicep -----------------------------------------------------------------------------------------------------------


def bicep(context: AdviceContext, state: State) -> Finding:
    """Judge the bicep width against the arm girth with its wearing ease."""
    topic, body, pattern = "bicep", context.person.measures.get(ARM), state.with_hand(Figure.BICEP_WIDTH)
    wanted = context.person.bicep_ease or context.style.bicep
    if body is None:
        says = "Upper arm girth is not on the sheet: the bicep width is left as it is. Take it and write it in."
        return Finding(topic, UNKNOWN, (says,), pattern, None, wanted)
    if wanted is None:
        says = (
            f"Practice names no wearing ease at the bicep for {context.style.name}: the pattern has "
            f'{context.spell(pattern - body)}. Write for example "bicep ease" = "2 in" in the body sheet.'
        )
        return Finding(topic, UNKNOWN, (says,), pattern, body)
    by_hand = state.by_hand.get(Figure.BICEP_WIDTH, 0.0)
    off = away(context, pattern - body, wanted)
    says = (
        f"The sleeve is {_more(context, pattern - body)} than the arm at the bicep; {context.style.name} "
        f"wants {context.spell_range(wanted)} of wearing ease.",
    )
    minds: tuple[str, ...] = ()
    if not BICEP_PLAUSIBLE[0] * body <= pattern <= BICEP_PLAUSIBLE[1] * body:
        minds = ("That is far off: is it this person's garment, and the drawing in full size?",)
    says = (*says, *minds)
    if off == 0.0:
        return Finding(topic, PASS, says, pattern, body, wanted, 0.0, minds=minds)
    end, text = target(context, pattern - by_hand, (body + wanted[0] - by_hand, body + wanted[1] - by_hand))
    ways = () if context.brief else bicep_ways(context, state, end, text)
    if off > 0:
        spare = "Width to spare does no harm; below the bicep the underarm seam can be taken in."
        ways = (*ways, Way(LEFT, spare, because="so little is no fault" if off <= BICEP_LEFT_WIDE else ""))
    change = "narrower" if off > 0 else "wider"
    says = (
        *says,
        f"It should be {context.spell(abs(end + by_hand - pattern))} {change}: {text}. There are several ways.",
    )
    return Finding(topic, OPEN, says, pattern, body, wanted, off, ways, minds=minds)


def bicep_ways(context: AdviceContext, state: State, width: float, text: str) -> tuple[Way, ...]:
    """Try every way to that width which operations call by a name, and say of the usual ones that are not loaded so."""
    goal = Goal("bicep width", width)
    every = [way for way in ways_to(context.registry, goal.name) if way.reach.parameter]
    loaded = {way.reach.manner: way for way in reversed(every)}  # of two called alike the one that changes less
    loaded = {way.reach.manner: loaded[way.reach.manner] for way in every}
    found: list[Way] = []
    for name in dict.fromkeys((*BICEP_WAYS, *filter(None, loaded))):
        way = loaded.get(name)
        steps = (None if way is None else way.step(context.sleeve, text),)
        does = NO_WORDS if way is None else way.does(less=width < state.figures[Figure.BICEP_WIDTH])
        found.append(make_way(context, state, name, does, steps, (goal,), aims=(goal.name,)))
    return tuple(found)


def _more(context: AdviceContext, ease: float) -> str:
    return f"{context.spell(abs(ease))} {'wider' if ease >= 0 else 'narrower'}"
