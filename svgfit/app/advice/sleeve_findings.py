"""The last findings, of a sleeve that is wide and high enough: its pitch, its notches, its whole length. In mm."""

from __future__ import annotations

from svgfit.app.advice.context import SLEEVE_LENGTH, AdviceContext, State, away
from svgfit.app.advice.ways import LEFT, make_way
from svgfit.app.targets import SHARE
from svgfit.fitting.armhole import armhole_row
from svgfit.fitting.notch_moves import notch_mismatch
from svgfit.model.advice import DO, OPEN, PASS, UNKNOWN, Finding, Goal, Way
from svgfit.model.cap_turn import CapTurn
from svgfit.model.length import format_length
from svgfit.model.plan import Step
from svgfit.model.vocabulary import Figure
from svgfit.plugin.abilities import notch_matcher
from svgfit.rules.body_measures import LENGTH
from svgfit.rules.ease import (
    LEAST_SHARED_OUT,
    SHARE_AS_DRAWN,
    SHARE_BACK,
    SHARE_CLOSE_ENOUGH,
    SLEEVE_CLOSE_ENOUGH,
    SLEEVE_FULL,
    SLEEVE_OVER_ARM,
)
from svgfit.rules.matching import LEAST_COST

LENGTHENED, SHORTENED = "lengthened", "shortened"
LOOK = (
    "How the sleeve hangs can't be measured with a tape. Look at the test garment from the side, the arm hanging: "
    "where the arm presses against the front of the sleeve and folds gather behind it, the arm hangs further forward "
    "than the sleeve; then move the shoulder notch to the front on the cap, a little at a time. Where the arm presses "
    "against the back, the other way."
)


# -- pitch -----------------------------------------------------------------------------------------------------------


def pitch(context: AdviceContext, state: State) -> Finding:
    """Judge how the ease is shared between front and back, which is where on the cap the shoulder notch stands."""
    topic, share, ease = "pitch", state.figures.get("share back"), state.figures.get(Figure.CAP_EASE)
    asked = context.person.share_back
    wanted = _wanted_share(state) if asked is None else (asked, asked)
    guessed = context.guesses.get("share back", "")
    if ease is None or Figure.CAP_EASE_BACK not in state.figures or guessed:
        why = context.missing or guessed or "front and back of the armhole can't be told apart"
        says = f"The back's share of the ease is not known: {why}."
        return Finding(topic, UNKNOWN, (says, LOOK), None, None, wanted)
    if abs(ease) < LEAST_SHARED_OUT - 0.01 or share is None:
        says = f"With {context.spell(ease)} of ease there is nothing to share between front and back."
        return Finding(topic, PASS, (says, LOOK), None, None, wanted, 0.0)
    says = f"{_parted(context, state, share, ease)}; {_practice(asked)}."
    if turn := CapTurn.of(context.piece(state.pieces, context.sleeve)):
        says += f" The sleeve: {turn.words(context.spell)}."
    minds = () if 0.0 <= share <= 1.0 else (says,)
    if asked is not None and not SHARE_BACK[0] - 0.005 <= asked <= SHARE_BACK[1] + 0.005:
        usual = f"{100 * SHARE_BACK[0]:.0f} to {100 * SHARE_BACK[1]:.0f} %"
        odd = f"Look out: practice gives the back {usual}; check the sheet's share back."
        says, minds = f"{says} {odd}", (odd,)
    off = share - min(max(share, wanted[0]), wanted[1])
    if abs(off) * abs(ease) <= SHARE_CLOSE_ENOUGH:
        if asked is None and not SHARE_BACK[0] <= share <= SHARE_BACK[1]:
            says += " So the maker drew it: left, until the sleeve is seen on the test garment."
        elif abs(off) >= 0.005:
            near = context.spell(SHARE_CLOSE_ENOUGH)
            says += f" What it is off by is less than {near} of ease: close enough."
        return Finding(topic, PASS, (says, LOOK), share, None, wanted, 0.0, minds=minds)
    end = round(min(max(share, wanted[0]), wanted[1]), 4)
    steps = (context.step(SHARE, f"{end:g}"),)
    does = f"Move the shoulder notch on the cap so that the back takes {100 * end:.0f} %; nothing else changes."
    way = make_way(context, state, "notch moved", does, steps, (Goal("share back", end, "share"),))
    left = Way(LEFT, "Leave the shoulder notch, if the sleeve hangs well on the test garment.")
    return Finding(topic, OPEN if way.reason else DO, (says, LOOK), share, None, wanted, off, (way, left), minds=minds)


def _wanted_share(state: State) -> tuple[float, float]:
    """Return the back's part of the ease as practice has it, or as the maker drew it where that is not far from it."""
    drawn, ease = state.drawn.get("share back"), state.drawn.get(Figure.CAP_EASE, 0.0)
    low, high = SHARE_BACK
    if drawn is None or abs(drawn - min(max(drawn, low), high)) * abs(ease) > SHARE_AS_DRAWN:
        return SHARE_BACK
    return min(low, drawn), max(high, drawn)


def _parted(context: AdviceContext, state: State, share: float, ease: float) -> str:
    """Say what of the ease front and back have: a part of it, or lengths where one of them has less than none."""
    back = state.figures[Figure.CAP_EASE_BACK]
    front = ease - back
    if 0.0 <= share <= 1.0:
        return (
            f"The back takes {100 * share:.0f} % of the ease ({context.spell(back)}, the front {context.spell(front)})"
        )
    words = [
        f"the {side} of the cap is {context.spell(abs(mm))} {'longer' if mm >= 0 else 'shorter'} than its armhole"
        for side, mm in (("back", back), ("front", front))
    ]
    return f"{words[0][0].upper()}{words[0][1:]}, {words[1]}"


def _practice(asked: float | None) -> str:
    if asked is not None:
        return f"the sheet wants {100 * asked:.0f} %"
    return f"practice wants {100 * SHARE_BACK[0]:.0f} to {100 * SHARE_BACK[1]:.0f} % in the back"


# -- notches ---------------------------------------------------------------------------------------------------------


def notches(context: AdviceContext, state: State) -> Finding | None:
    """Check that cap and armhole match below the notches, after all else; None where they do, or are not known."""
    row = armhole_row(context.piece(state.pieces, context.sleeve), state.pieces, context.seams)
    matcher = notch_matcher(context.registry)
    if row is None or context.brief or matcher is None:
        return None
    apart = notch_mismatch(context.piece(state.pieces, context.sleeve), row)
    if apart <= context.careful + 1e-6:
        return None
    says = (
        f"From underarm to notch cap and armhole are now up to {format_length(apart, context.unit)} apart; careful "
        f"work keeps to {context.spell(context.careful)}.",
    )
    does = "Move the cap's notches to where the armhole's meet them; no edge changes."
    way = make_way(context, state, "matched", does, (Step(matcher, context.sleeve),), ())
    left = Way(LEFT, "Leave the notches, and mark where they meet when the seam is pinned.")
    return Finding("notches", OPEN if way.reason else DO, says, ways=(way, left))


# -- length ----------------------------------------------------------------------------------------------------------


def sleeve_length(context: AdviceContext, state: State) -> Finding | None:
    """Judge the whole sleeve, cap top to hem, against the arm; None where nothing was taken and no cap changed.

    A higher cap makes the whole sleeve longer by as much: so it is looked at when the cap is settled.
    """
    topic, body, drawn = SLEEVE_LENGTH, context.person.measures.get(LENGTH), state.drawn.get(SLEEVE_LENGTH)
    if drawn is None or topic not in state.figures:
        return None
    length = state.figures[topic] + state.by_hand.get(Figure.CAP_HEIGHT, 0.0)
    changed = length - drawn
    if body is None and abs(changed) < LEAST_COST:
        return None
    says = (_length_says(context, length, changed),)
    minds = says if abs(changed) >= LEAST_COST else ()
    if body is None:
        by = "take it out" if changed > 0 else "put it in"
        more = f"Arm length is not on the sheet: where the sleeve was right before, {by} again below the bicep line."
        return Finding(topic, UNKNOWN, (*says, more), length, minds=(*says, more))
    over = context.person.length_ease or SLEEVE_OVER_ARM
    wanted = (over[0] - state.sits[1], over[1] - state.sits[0])
    if length < SLEEVE_FULL * body:
        says = (*says, f"The arm measures {context.spell(body)}: it is no full-length sleeve, and is left so.")
        return Finding(topic, PASS, says, length, body, minds=says)
    if context.cuff:
        low, high = (max(body + end - length, 0.0) for end in wanted)
        says = (*says, f"With {context.cuff} finished {context.spell_range((low, high))} deep it fits the arm.")
        return Finding(topic, UNKNOWN, says, length, body, minds=says)
    off = away(context, length - body, wanted)
    if abs(off) <= SLEEVE_CLOSE_ENOUGH:
        return Finding(topic, PASS, says, length, body, wanted, 0.0, minds=minds)
    return Finding(topic, DO, says, length, body, wanted, off, (_below(context, off),), minds=minds)


def _length_says(context: AdviceContext, length: float, changed: float) -> str:
    found = f"From cap top to hem the sleeve is {context.spell(length)} long"
    if abs(changed) < LEAST_COST:
        return f"{found}."
    return f"{found}: {context.spell(abs(changed))} {'more' if changed > 0 else 'less'} than drawn, from the cap."


def _below(context: AdviceContext, off: float) -> Way:
    """Describe lengthening or shortening below the bicep line as work by hand (from memory)."""
    by, longer = context.spell(abs(off)), off < 0
    does = f"{'Lengthen' if longer else 'Shorten'} the sleeve by {by} below the bicep line, by hand."
    move = f"lay the parts {by} apart" if longer else f"lap the parts by {by}"
    hand = (
        "Cut the sleeve square to the grain, half-way between bicep line and elbow; where the elbow already sits "
        "right, half-way between elbow and hem.",
        f"Along the grain {move}, tape them down on paper, and redraw both underarm seams, front and back alike.",
    )
    return Way(LENGTHENED if longer else SHORTENED, does, by_hand=hand, adds=((SLEEVE_LENGTH, -off),))
