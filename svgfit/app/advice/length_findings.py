"""The first finding of a fitter: whether the armhole is deep enough, and which part of the body asks for more. mm.

Where length is lacking between shoulder and underarm, lowering the armhole gives room and no length: it costs reach,
cap ease and a good hang. So length through the armhole, or in the back alone, comes first, as work by hand.
"""

from __future__ import annotations

import math

from svgfit.app.advice.body_findings import likely_sits
from svgfit.app.advice.context import ARMHOLE, AdviceContext, State, away, grid, written
from svgfit.app.advice.ways import LEFT, make_way
from svgfit.fitting.armhole import armhole_row
from svgfit.fitting.body_figures import BACK_DEPTH, FRONT_DEPTH, level_cut_gains
from svgfit.model.advice import OPEN, PASS, UNKNOWN, Finding, Goal, Way
from svgfit.model.operation import replace
from svgfit.model.vocabulary import Figure
from svgfit.rules.armholes import DEPTH_CLOSE_ENOUGH, DEPTHS_ALIKE, LEFT_DEEP, LOWERED_SIMPLY, MOVED_BY_MUCH
from svgfit.rules.body_measures import ARMSCYE, DEPTH, TIP
from svgfit.rules.body_measures import FRONT_DEPTH as FRONT_MEASURE

THROUGH, IN_BACK, IN_FRONT = "through the armhole", "in the back", "in the front"
LOWERED, RAISED = "lowered", "raised"
_OTHER_SIZE = "That is far off: another size, or another pattern, is likely nearer. Is the drawing in full size?"
_LOOK_OUT = "Look out:"
_TIED = "a deep armhole ties the arm down: lifting it lifts the whole garment"


def armhole_depth(context: AdviceContext, state: State) -> Finding:
    """Judge the armhole's depth below the neck, in the back and, where it was taken, in front."""
    topic, body, pattern = BACK_DEPTH, context.person.measures.get(DEPTH), state.figures.get(BACK_DEPTH)
    wanted = context.person.depth_ease or context.style.depth
    girth = _girth(context, state)
    if body is None or pattern is None or wanted is None:
        why = _unknown(context, body, pattern)
        return Finding(topic, UNKNOWN, (f"{why}: the armhole is left as deep as it is.", *girth), pattern, body, wanted)
    off = _close_enough(away(context, pattern - body, wanted))
    front = _front_off(context, state)
    clears = pattern - body
    says = (
        f"The armhole is {context.spell(abs(clears))} {'deeper' if clears >= 0 else 'less deep'} than the "
        f"body's; {context.style.name} wants {context.spell_range(wanted)} more.",
        *girth,
    )
    tight = tuple(text for text in girth if text.startswith(_LOOK_OUT))
    if off == 0.0 and (front is None or front >= 0.0):
        return Finding(topic, PASS, says, pattern, body, wanted, 0.0, minds=tight)
    if off == 0.0 and front is not None:
        lacks = f"The front lacks {context.spell(-front)} from neck point to underarm, the back does not."
        way = replace(_in_front(context, _whole(context, -front)), because="only the front lacks length")
        ways, minds = (way, _left_short(context)), (*tight, lacks)
    elif off < 0:
        minds = (*tight, _how_close(context, clears), *((_OTHER_SIZE,) if -off > MOVED_BY_MUCH else ()))
        ways = _longer(context, state, off, front)
    else:
        ways, minds = _shorter(context, state, off), tight
    says = (*says, *(text for text in minds if text not in says))
    return Finding(topic, OPEN, says, pattern, body, wanted, off, ways, minds=minds)


def _how_close(context: AdviceContext, clears: float) -> str:
    if clears < 0:
        return "It would cut into the arm."
    return f"It does not cut into the arm, but clears it by {context.spell(clears)} only."


def _close_enough(off: float) -> float:
    return 0.0 if abs(off) <= DEPTH_CLOSE_ENOUGH + 1e-6 else off


def _front_off(context: AdviceContext, state: State) -> float | None:
    """Return how much too deep (less than 0: too shallow) the front's armhole is; None where it can't be told."""
    body, pattern = context.person.measures.get(FRONT_MEASURE), state.figures.get(FRONT_DEPTH)
    wanted = context.person.depth_ease or context.style.depth
    if body is None or pattern is None or wanted is None:
        return None
    return _close_enough(away(context, pattern - body, wanted))


def _cap_lacks(context: AdviceContext, state: State) -> float | None:
    """Return how much the cap, as drawn, is lower than the arm asks for; None where its style does not tell."""
    tip, over = context.person.measures.get(TIP), context.person.height_ease or context.style.height
    if tip is None or over[0] < 0:
        return None
    return tip + over[0] - likely_sits(context, state)[1] - state.figures[Figure.CAP_HEIGHT]


# -- too shallow -----------------------------------------------------------------------------------------------------


def _longer(context: AdviceContext, state: State, off: float, front: float | None) -> tuple[Way, ...]:
    """List the ways to more depth, the one that the figures speak for recommended."""
    amount = _whole(context, -off)
    name, because = _speaks_for(context, state, off, front)
    if front is not None and off < front < 0:
        through = _through_and_back(context, state, _whole(context, -front), amount)
    else:
        through = _through_and_lower(context, state, amount)
    ways = [through, _in_back(context, amount), _lowered(context, state, amount)]
    if state.figures[BACK_DEPTH] >= context.person.measures[DEPTH]:
        ways.append(_left_short(context))
    if through.reason and name == THROUGH:
        name, because = LOWERED, "the cap takes no more length"
    chosen = next((way for way in ways if way.name == name and not way.reason), None)
    if chosen is None:
        chosen, because = next(way for way in ways if not way.reason), "no other way is possible here"
    return tuple(replace(way, because=because) if way is chosen else way for way in ways)


def _through_and_lower(context: AdviceContext, state: State, amount: float) -> Way:
    """Describe length through the armhole as far as the cap may get higher, and lowering for the rest."""
    room = _cap_room(context, state)
    length = amount if room is None else min(amount, math.floor(room / grid(context) + 1e-6) * grid(context))
    if length < amount and length <= DEPTH_CLOSE_ENOUGH:
        why = "the cap is high enough for the arm, and one higher would break into a fold at its top"
        return replace(_through(context, state, amount), reason=why)
    way, rest = _through(context, state, length), amount - length
    if rest <= DEPTH_CLOSE_ENOUGH + 1e-6:
        return way
    lower = _lowered(context, state, rest)
    more = f"It lacks {context.spell(rest)} more"
    if lower.reason:
        return replace(way, does=f"{way.does} {more}, which can't be had by lowering here: see on the test garment.")
    does = f"{way.does} {more}: lower the armhole by that."
    return replace(way, does=does, steps=lower.steps, costs=lower.costs, warnings=lower.warnings)


def _through_and_back(context: AdviceContext, state: State, both: float, amount: float) -> Way:
    """Describe length through front and back as much as the front lacks, and in the back alone for the rest."""
    way, rest = _through(context, state, both), amount - both
    if rest <= DEPTH_CLOSE_ENOUGH + 1e-6:
        return way
    back = _in_back(context, rest)
    adds = dict(way.adds) | {BACK_DEPTH: amount}
    does = f"{way.does} The back lacks {context.spell(rest)} more: lengthen the centre back alone by that."
    return replace(way, does=does, by_hand=(*way.by_hand, *back.by_hand), adds=tuple(adds.items()))


def _cap_room(context: AdviceContext, state: State) -> float | None:
    """Return how much higher the cap, as drawn, may get before it is too high; None where the arm is not measured."""
    tip, over = context.person.measures.get(TIP), context.person.height_ease or context.style.height
    return None if tip is None else tip + over[1] - likely_sits(context, state)[0] - state.figures[Figure.CAP_HEIGHT]


def _speaks_for(context: AdviceContext, state: State, off: float, front: float | None) -> tuple[str, str]:
    """Find the way that the figures speak for, and why: is the body long, its back round, or too little lacking?"""
    cap, lacks = _cap_lacks(context, state), -off
    if front is not None:
        if front < 0 and abs(front - off) <= DEPTHS_ALIKE:
            return THROUGH, "front and back lack length alike"
        if front >= 0:
            return IN_BACK, "the front is long enough, so it is the back that is round"
        return THROUGH, f"front and back both lack length, the {'front' if front < off else 'back'} more"
    if cap is not None and cap >= lacks / 2:
        return THROUGH, "the cap lacks height as well: the body is long from shoulder to underarm"
    clears = state.figures[BACK_DEPTH] - context.person.measures[DEPTH]
    if cap is not None and cap <= 0 <= clears:
        return LOWERED, "the cap is high enough for the arm and the back as long as the body: room lacks, not length"
    if cap is not None and lacks > DEPTHS_ALIKE and cap <= 0:
        return IN_BACK, "the cap is high enough for the arm, so it is the back that is long: a round back"
    girth, armhole = context.person.measures.get(ARMSCYE), state.figures.get(ARMHOLE)
    if girth is not None and armhole is not None and armhole < girth:
        return THROUGH, "the armhole is shorter than the arm is round where it joins the body"
    if lacks <= LOWERED_SIMPLY:
        return LOWERED, "so little is simply taken at the underarm"
    return THROUGH, "it adds the length where it is lacking"


def _through(context: AdviceContext, state: State, amount: float) -> Way:
    """Describe length through the armhole, in front, back and cap (from memory)."""
    longer, by = amount > 0, context.spell(abs(amount))
    sleeve = context.piece(state.pieces, context.sleeve)
    row = armhole_row(sleeve, state.pieces, context.seams)
    gains = (2.0, 2.0) if row is None else level_cut_gains(row, sleeve)
    armhole, cap = (round(gain * amount / grid(context)) * grid(context) for gain in gains)
    does = (
        f"{'Lengthen' if longer else 'Shorten'} front, back and cap through the armhole by {by}, by hand. The cap gets "
        f"{by} {'higher' if longer else 'lower'} and about {context.spell(abs(cap))} "
        f"{'longer' if longer else 'shorter'}, the armhole {context.spell(abs(armhole))}: the ease gets about "
        f"{context.spell(abs(cap - armhole))} {'less' if cap < armhole else 'more'}."
    )
    move = f"lay the parts {by} apart along the grain" if longer else f"lap the parts by {by} along the grain"
    waist = f"fold {by} out" if longer else f"open {by}"
    hand = (
        "On front and back draw a line square to the grain, half-way down the armhole; on the cap one where it meets "
        "those when the sleeve is pinned in.",
        f"Cut along them, {move}, tape it down on paper, and draw armhole and cap smooth again; notches go with their "
        "part.",
        f"The waist now sits {by} {'lower' if longer else 'higher'}: where it was right, {waist} between underarm and "
        "waist. Walk the cap along the armhole before cutting.",
    )
    adds = (
        (Figure.CAP_HEIGHT, amount),
        (BACK_DEPTH, amount),
        (FRONT_DEPTH, amount),
        (ARMHOLE, armhole),
        (Figure.CAP_EASE, cap - armhole),
    )
    return Way(THROUGH, does, by_hand=hand, adds=adds)


def _in_back(context: AdviceContext, amount: float) -> Way:
    """Describe length in the back alone, for a round back (from memory)."""
    by = context.spell(amount)
    does = f"Lengthen the centre back by {by}, by hand, to nothing at the armhole. Armhole, front and sleeve stay."
    if context.others:
        hand = (
            f"At the seam of back and yoke add {by} at the centre back, running out to nothing at the armhole; draw "
            "the seam in one soft curve. The shoulder blades take it up.",
        )
    else:
        hand = (
            "On the back draw a line square to the centre back, over the roundest part, to the armhole. Cut from the "
            "centre, but leave a thread of paper at the armhole's stitch line.",
            f"Swing the upper part up until the cut is {by} open at the centre back, and redraw the centre back.",
            "The neckline is longer by what that gives: put it into a dart at the neck, or into the shoulder as a "
            "dart or ease.",
        )
    return Way(IN_BACK, does, by_hand=hand, adds=((BACK_DEPTH, amount),))


def _in_front(context: AdviceContext, amount: float) -> Way:
    """Describe length in the front alone, for a full bust or a high chest (from memory)."""
    by = context.spell(amount)
    does = f"Lengthen the centre front by {by}, by hand, to nothing at the armhole. Armhole, back and sleeve stay."
    hand = (
        "On the front draw a line square to the centre front, half-way down the armhole, to the armhole. Cut from the "
        "centre, but leave a thread of paper at the armhole's stitch line.",
        f"Swing the upper part up until the cut is {by} open at the centre front, and draw the centre front straight.",
        "Fold what the neckline is longer out towards the bust point, so that it goes into the bust dart.",
    )
    return Way(IN_FRONT, does, by_hand=hand, adds=((FRONT_DEPTH, amount),))


def _lowered(context: AdviceContext, state: State, amount: float) -> Way:
    does = (
        f"Lower the armhole of front and back by {context.spell(amount)}; the shoulder tips stay."
        f"{_what_it_costs(context, state) if amount > LOWERED_SIMPLY else ''}"
    )
    return _moved(context, state, LOWERED, does, amount)


def _what_it_costs(context: AdviceContext, state: State) -> str:
    """Say what a lower armhole does to the wearer; of a back that is too short also that it stays so."""
    if state.figures[BACK_DEPTH] < context.person.measures[DEPTH]:
        return f" It gives room and no length: the neckline rides back as before, and {_TIED}."
    return f" But {_TIED}."


def _left_short(context: AdviceContext) -> Way:
    return Way(LEFT, "Leave it, and see on the test garment whether it binds under the arm.")


# -- too deep --------------------------------------------------------------------------------------------------------


def _shorter(context: AdviceContext, state: State, off: float) -> tuple[Way, ...]:
    """List the ways to less depth; a deep armhole may be the design, and little of it is best left."""
    amount = _whole(context, -off)
    does = f"Raise the armhole of front and back by {context.spell(-amount)}; the shoulder tips stay."
    raised = _moved(context, state, RAISED, does, amount)
    left = Way(LEFT, f"A deep armhole may be meant; but {_TIED}.")
    through = _through(context, state, amount)
    cap = _cap_lacks(context, state)
    over = context.person.height_ease or context.style.height
    if off <= LEFT_DEEP:
        chosen, because = left, "so little does no harm, and the sleeve fits it"
    elif cap is not None and -cap - (over[1] - over[0]) >= off / 2:
        chosen, because = through, "the cap is too high as well: it is short from shoulder to underarm"
    else:
        chosen, because = (left, "it can't be raised here") if raised.reason else (raised, "the arm then lifts freely")
    return tuple(replace(way, because=because) if way is chosen else way for way in (raised, through, left))


def _moved(context: AdviceContext, state: State, name: str, does: str, amount: float) -> Way:
    goal = Goal(BACK_DEPTH, state.figures[BACK_DEPTH] + amount)
    deeper = context.way(goal.name)
    steps = (None if deeper is None else deeper.change_step(None, written(context, amount)),)
    return make_way(context, state, name, does, steps, (goal,), aims=(BACK_DEPTH,))


# -- what is said beside ---------------------------------------------------------------------------------------------


def _whole(context: AdviceContext, amount: float) -> float:
    """Round an amount away from nothing to the unit's steps, so that the end is not just missed."""
    return math.copysign(math.ceil(abs(amount) / grid(context) - 1e-6) * grid(context), amount)


def _girth(context: AdviceContext, state: State) -> tuple[str, ...]:
    girth, armhole = context.person.measures.get(ARMSCYE), state.figures.get(ARMHOLE)
    if girth is None or armhole is None:
        return ()
    differs, found = context.spell(abs(armhole - girth)), f"the armhole measures {context.spell(armhole)} round"
    if armhole >= girth:
        return (f"{found[0].upper()}{found[1:]}, {differs} more than the arm where it joins the body.",)
    return (f"{_LOOK_OUT} {found}, {differs} less than the arm where it joins the body.",)


def _unknown(context: AdviceContext, body: float | None, pattern: float | None) -> str:
    if body is None:
        return "Armhole depth is not on the sheet"
    if pattern is None:
        return f"The armhole's depth is not known ({context.missing or context.unknown(BACK_DEPTH)})"
    return (
        f"For {context.style.name} no practice is known here; write for example "
        '"armhole depth ease" = "1 in" in the body sheet'
    )
