"""Body against pattern: what to change, in a fitter's order, and never ease before height.

Each finding is looked at on the pieces as the steps before it would leave them; those steps are really run, in memory.
Where one end can be reached in several ways, none is taken unless the person picked it: each is followed on its own to
its end, so that its whole cost can be seen; the one that a fitter would try first stands first, and is followed wholly.
What svgfit has no step for is advised as work by hand.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from svgfit.app.advice.body_findings import BICEP_WAYS, bicep, shoulder
from svgfit.app.advice.cap_findings import cap_ease, cap_height, ease_limits
from svgfit.app.advice.commitments import give_up, hold, judged, unmet
from svgfit.app.advice.context import SLEEVE_LENGTH, AdviceContext, State, Tries, after, figures, try_steps
from svgfit.app.advice.length_findings import IN_BACK, IN_FRONT, LOWERED, RAISED, THROUGH, armhole_depth
from svgfit.app.advice.sleeve_findings import LENGTHENED, SHORTENED, notches, pitch, sleeve_length
from svgfit.app.advice.styles import style_in, styles_of
from svgfit.app.advice.ways import BY_HAND, FURTHEST, LEFT, RECOMMENDED, recommend
from svgfit.app.advice.width_findings import FULL, LARGER, LET_OUT, NARROWED, TAKEN_IN, WIDENED, back_width, bust
from svgfit.app.nest import sizes
from svgfit.app.own_rules import tell_matching
from svgfit.app.targets import holds_as_written
from svgfit.fitting.armhole import armhole_edges, armhole_row
from svgfit.fitting.body_figures import BACK_WIDTH, BUST, body_figures
from svgfit.fitting.sewn import shoulder_at
from svgfit.model.advice import CANT, CHOSEN, DO, OPEN, UNKNOWN, Advice, Finding, Goal, Way, title_of
from svgfit.model.body import AS_DRAWN, Person
from svgfit.model.operation import replace
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, Step, spell_edges
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import Figure, FindingStatus, LandmarkName, PieceKind
from svgfit.model.wording import closest
from svgfit.pattern.convention import Convention
from svgfit.pattern.languages import in_english
from svgfit.pattern.layer_patterns import name_key
from svgfit.plugin.abilities import first_that
from svgfit.plugin.registry import Registry
from svgfit.rules.piece_names import SEWN_TO_HEM

Stage = Callable[[AdviceContext, State], Finding | None]
STAGES: tuple[Stage, ...] = (
    armhole_depth,
    shoulder,
    back_width,
    bust,
    bicep,
    cap_height,
    cap_ease,
    pitch,
    notches,
    sleeve_length,
)
"""In this order: length, shoulder, back and bust, widths, sleeve; ease never before height. Some only if measured."""
WAYS: dict[str, tuple[str, ...]] = {
    "armhole depth": (THROUGH, IN_BACK, IN_FRONT, LOWERED, RAISED, LEFT),
    Figure.SHOULDER: (BY_HAND, LEFT),
    BACK_WIDTH: (WIDENED, NARROWED, LEFT),
    BUST: (FULL, LARGER, LET_OUT, TAKEN_IN, LEFT),
    "bicep": (*BICEP_WAYS, LEFT),
    Figure.CAP_HEIGHT: ("raised", "lowered", FURTHEST, LEFT),
    Figure.CAP_EASE: (
        "redrawn",
        "redrawn further",
        "slash to the hem",
        "whole cap redrawn",
        "armhole lowered",
        "armhole raised",
        "armhole scooped",
        "cap higher",
        "cap lower",
        "bicep narrower",
        "corners turned",
        LEFT,
    ),
    "pitch": ("notch moved", LEFT),
    "notches": ("matched", LEFT),
    SLEEVE_LENGTH: (LENGTHENED, SHORTENED),
}
"""What a person can pick, by topic; which of them there are depends on what is to be changed."""


def check_choices(choices: Sequence[str], where: str) -> tuple[str, ...]:
    """Write choices as "topic: way", the topic put in where it is plain; refuse what no topic knows.

    "recommended" alone stands for the recommended way wherever there is a choice and no other was picked.
    """
    found: list[str] = []
    for choice in choices:
        if name_key(choice) == RECOMMENDED:
            found.append(RECOMMENDED)
            continue
        topic, colon, way = (part.strip() for part in choice.rpartition(":"))
        topics = [name for name, ways in WAYS.items() if name_key(way) in map(name_key, ways)]
        topics = [name for name in topics if _is_topic(name, topic)] if colon else topics
        if not topics:
            raise Refusal(where, f"there is no choice {choice!r}", _choices_there_are(topic, way))
        if len(topics) > 1:
            todo = f"say which: {', '.join(f'{title_of(name)}: {way}' for name in topics)}"
            raise Refusal(where, f"{choice!r} could mean several", todo)
        named = f"{topics[0]}: {next(name for name in WAYS[topics[0]] if name_key(name) == name_key(way))}"
        other = next((one for one in found if one.split(": ")[0] == topics[0] and one != named), None)
        if other:
            raise Refusal(where, f"{_said(other)!r} and {_said(named)!r} are two ways for one thing", "leave one out")
        found.append(named)
    return tuple(found)


def _is_topic(name: str, said: str) -> bool:
    return name_key(said) in (name_key(name), name_key(title_of(name)))


def _said(choice: str) -> str:
    topic, colon, way = choice.partition(": ")
    return f"{title_of(topic)}{colon}{way}"


def _choices_there_are(topic: str, way: str) -> str:
    known = next((name for name in WAYS if _is_topic(name, topic)), None)
    if known:
        return f"for the {title_of(known)} there are: {', '.join(WAYS[known])}"
    every = {name: f"{title_of(topic)}: {name}" for topic, names in WAYS.items() for name in names if name != LEFT}
    near = closest(name_key(way), every)
    return f"did you mean {every[near]!r}?" if near else f"the topics are: {', '.join(map(title_of, WAYS))}"


def set_up(
    person: Person,
    pieces: Sequence[Piece],
    seams: Sequence[Seam],
    registry: Registry,
    convention: Convention,
    *,
    style: str | None = None,
    unit: str | None = None,
    sleeve: str | None = None,
    choices: Sequence[str] = (),
) -> tuple[AdviceContext, tuple[Piece, ...]]:
    """Return what advice for one person works with, and the pieces, of one size.

    ``style``, ``unit``, ``sleeve`` and ``choices`` of the command line come before the sheet's. Raises Refusal where
    the style, the size or the sleeve is not plain.
    """
    named = style or person.style
    if named is None:
        names = ", ".join(known.name for known in styles_of(convention, registry))
        todo = f'give --style NAME, or write style = "NAME" in the body sheet; there are: {names}'
        raise Refusal(person.name, "which kind of garment it is is not said", todo)
    try:
        found = style_in(convention, named, registry)
    except Refusal as refusal:
        raise refusal.within(person.name) from None
    chosen = _of_size(pieces, person)
    one = _sleeve(chosen, seams, sleeve, person)
    tell_matching(convention, registry)
    where = f"{person.name}: choose"
    armhole = armhole_edges(one.name, seams)
    kinds = {piece.name: piece.kind for piece in chosen}
    missing = _missing(armhole, chosen)
    parts = armhole if not missing else ()
    given = (*check_choices(choices, "--choose"), *check_choices(person.choices, where))
    unknown, guesses = _not_plain(one, chosen, seams)
    context = AdviceContext(
        person=person,
        style=found,
        unit=unit or person.unit or convention.unit,
        sleeve=one.name,
        armhole=parts,
        fronts=tuple(name for name, _ in parts if kinds[name] == PieceKind.FRONT),
        backs=tuple(name for name, _ in parts if kinds[name] == PieceKind.BACK),
        others=tuple(name for name, _ in parts if kinds[name] not in (PieceKind.FRONT, PieceKind.BACK)),
        missing=missing,
        seams=tuple(seams),
        registry=registry,
        measurers=tuple(registry.measurers()),
        choices=given,
        tries=Tries(),
        cuff=_cuff(chosen),
        careful=convention.walk.careful,
        unknown_figures=unknown,
        guesses=guesses,
    )
    return context, chosen


def _cuff(pieces: Sequence[Piece]) -> str:
    """Find the piece that by its name is sewn to the sleeve's hem; "" where there is none."""
    found = (piece.name for piece in pieces if set(in_english(piece.name).split()).intersection(SEWN_TO_HEM))
    return next(found, "")


def _not_plain(sleeve: Piece, pieces: Sequence[Piece], seams: Sequence[Seam]) -> tuple[dict[str, str], dict[str, str]]:
    """Say which of the body's figures are not known, and which rest on a guess, each with why, by name."""
    row = armhole_row(sleeve, pieces, seams)
    if row is None:
        return {}, {}
    every = body_figures(row).values()
    guesses = {one.name: one.guessed for one in every if one.guessed}
    if shoulder_at(row)[1]:
        guesses["share back"] = (
            "where the shoulder meets the armhole is guessed; a shoulder notch there (on the yoke's) says it"
        )
    elif sleeve.find_landmark(LandmarkName.SHOULDER_NOTCH) is None:
        guesses["share back"] = "the cap has no shoulder notch, and how the ease is divided depends on it"
    return {one.name: one.why for one in every if one.why}, guesses


def _of_size(pieces: Sequence[Piece], person: Person) -> tuple[Piece, ...]:
    groups = sizes(pieces)
    if len(groups) == 1 and person.size is None:
        return groups[0]
    names = [next(piece.size for piece in group if piece.size is not None) for group in groups if _sized(group)]
    if not names:
        return groups[0]
    if person.size is None:
        todo = f"give --size, or write size in the body sheet; there are: {', '.join(map(str, names))}"
        raise Refusal(person.name, "the drawing is a nest, and which size is to be fitted is not said", todo)
    for group, name in zip(groups, names, strict=True):
        if name_key(str(name)) == name_key(person.size):
            return group
    raise Refusal(person.name, f"there is no size {person.size!r}", f"there are: {', '.join(map(str, names))}")


def _sized(group: Sequence[Piece]) -> bool:
    return any(piece.size is not None for piece in group)


def _sleeve(pieces: Sequence[Piece], seams: Sequence[Seam], name: str | None, person: Person) -> Piece:
    """Find the sleeve of that name, or the only one; of several the only one that is sewn into an armhole."""
    sleeves = [piece for piece in pieces if piece.kind == PieceKind.SLEEVE]
    names = ", ".join(piece.name for piece in sleeves)
    if name is not None:
        found = [piece for piece in sleeves if name_key(piece.name) == name_key(name)]
        if not found:
            raise Refusal("--sleeve", f"there is no sleeve {name!r}", f"the sleeves are: {names or 'none'}")
        return found[0]
    if not sleeves:
        doubt = next((piece.doubt for piece in pieces if piece.doubt and PieceKind.SLEEVE in piece.doubt.kinds), None)
        if doubt:
            raise Refusal("", f"there is no sleeve among the pieces: {doubt.what}", doubt.todo)
        there = ", ".join(piece.name for piece in pieces) or "none"
        raise Refusal("", "there is no sleeve among the pieces", f"the pieces are: {there}; svgfit inspect says why")
    sewn = [piece for piece in sleeves if armhole_edges(piece.name, seams)]
    if len(sleeves) > 1 and len(sewn) == 1:
        return sewn[0]
    if len(sleeves) > 1:
        raise Refusal(person.name, f"there are several sleeves: {names}", "say which with --sleeve NAME")
    return sleeves[0]


def _missing(armhole: Sequence[tuple[str, str]], pieces: Sequence[Piece]) -> str:
    """Say why the armhole is not known; "" where it is."""
    kinds = [piece.kind for piece in pieces]
    lacking = [kind for kind in ("front", "back") if kind not in kinds]
    if armhole:
        names = {piece.name for piece in pieces}
        away = next((name for name, _ in armhole if name not in names), None)
        return f"{away} is not among the drawings" if away else ""
    if lacking:
        what = " and ".join(lacking)
        return f"there is no {what} among the drawings; give {'its drawing' if len(lacking) == 1 else 'theirs'} too"
    return "which armhole the sleeve is sewn into is not plain; say it with [[seams]] in svgfit.toml"


# -- the findings in order -------------------------------------------------------------------------------------------


def advise(context: AdviceContext, pieces: tuple[Piece, ...]) -> Advice:
    """Return all findings for one person, the steps decided on, and what they give when run as one plan."""
    asked = context.person.sits
    sits = context.style.sits if asked is None or asked == AS_DRAWN else (float(asked), float(asked))
    drawn = figures(context, pieces)
    start = State(pieces, drawn, sits=sits, drawn=drawn)
    findings, end = _go_on(context, start, STAGES, branch=True)
    done = try_steps(context, pieces, end.steps)
    if done.reason:  # each step was run before, so this would be a fault of an operation
        raise Refusal(context.person.name, f"the steps can't be done one after another ({done.reason})", "report it")
    lacking = unmet(context, findings, end, done)
    names = {goal.name for goal in lacking}
    goals = tuple(
        _checked_goal(goal, done.figures.get(goal.name), context.unit) for goal in end.goals if goal.name not in names
    )
    return Advice(
        context.person.name,
        context.style.name,
        context.sleeve,
        context.piece(pieces, context.sleeve).size,
        context.unit,
        tuple(findings),
        end.steps,
        goals,
        done.warnings,
        _last_check(context, findings, done.figures.get(Figure.CAP_EASE), end.by_hand.get(Figure.CAP_EASE, 0.0)),
        lacking,
    )


def _go_on(
    context: AdviceContext, state: State, stages: Sequence[Stage], *, branch: bool
) -> tuple[list[Finding], State]:
    """List the findings from here on, up to the first open choice, whose ways are followed where ``branch`` says so."""
    findings: list[Finding] = []
    for number, stage in enumerate(stages):
        found = stage(context, state)
        if found is None:
            continue
        finding, state = _decide(context, found, state)
        if finding.status == OPEN and branch:
            rest = stages[number + 1 :]
            finding = recommend(
                replace(finding, ways=tuple(_followed(context, finding, state, way, rest) for way in finding.ways))
            )
            if RECOMMENDED in context.choices and finding.recommended is not None:
                finding, state = _take(context, finding, finding.recommended, state, CHOSEN)
            elif finding.recommended is not None:
                first = _followed(context, finding, state, finding.recommended, rest, wholly=True)
                finding = replace(finding, ways=(first, *finding.ways[1:]))
        findings.append(finding)
        if finding.status == OPEN:
            return findings, state
        if finding.topic == Figure.CAP_HEIGHT and finding.status == CANT:
            says = "Not looked at: the height comes first, and it can't be had."
            return [*findings, *(Finding(name, UNKNOWN, (says,)) for name in ("cap ease", "pitch"))], state
    return findings, state


def _decide(context: AdviceContext, finding: Finding, state: State) -> tuple[Finding, State]:
    """Take a finding's way, where one is plain or was picked; return the finding and the state after it."""
    finding = replace(finding, ways=tuple(judged(context, state, way) for way in finding.ways))
    picked = [choice.split(": ")[1] for choice in context.choices if choice.split(": ")[0] == finding.topic]
    if finding.status not in (DO, OPEN):
        taken = finding.taken
        new = replace(state, sits=(taken.sits, taken.sits)) if taken and taken.sits is not None else state
        return finding, hold(finding, new)
    way = next((way for name in picked for way in finding.ways if way.name == name), None)
    says = finding.says
    if way is not None and way.reason:
        look = f'"{way.name}" was picked, but can\'t be done here: {way.reason}'
        finding, way = replace(finding, says=(*says, look), minds=(*finding.minds, look), status=OPEN), None
    elif way is None and picked:
        look = f'"{picked[0]}" was picked, but is no way to do it here.'
        finding = replace(finding, says=(*says, look), minds=(*finding.minds, look))
    possible = [one for one in finding.ways if not one.reason]
    if context.brief and way is None and (finding.status == OPEN or not possible):
        return replace(finding, status=OPEN), state
    if not possible or (finding.status == OPEN and way is None and all(one.name == LEFT for one in possible)):
        return replace(finding, status=CANT), state
    if way is None and finding.status == OPEN:
        return finding, state
    return _take(context, finding, way or possible[0], state, DO if way is None else CHOSEN)


def _take(
    context: AdviceContext, finding: Finding, way: Way, state: State, status: FindingStatus
) -> tuple[Finding, State]:
    """Take one way of a finding; return the finding and the state after it."""
    tried = try_steps(context, state.pieces, way.steps)
    new = give_up(context, state, after(state, tried, way), way, tried)
    finding = replace(finding, status=status, taken=replace(way, then=()))
    return finding, hold(finding, new)


def _followed(
    context: AdviceContext, finding: Finding, state: State, way: Way, stages: Sequence[Stage], *, wholly: bool = False
) -> Way:
    """Return a finding's way with all that follows it; ``wholly``: with further choices' ways as well."""
    if way.reason:
        return way
    here = context if wholly else replace(context, brief=True)
    findings, _ = _go_on(here, _take(context, finding, way, state, CHOSEN)[1], stages, branch=wholly)
    return replace(way, then=tuple(findings))


def _checked_goal(goal: Goal, got: float | None, unit: str) -> Goal:
    return replace(goal, got=got, met=got is not None and holds_as_written(got - goal.target, goal.unit, unit))


def _last_check(
    context: AdviceContext, findings: Sequence[Finding], ease: float | None, by_hand: float
) -> tuple[Step, ...]:
    """Return the last step: check that the ease lies within what the style takes. None where no ease is known.

    An ease that a person has picked to leave as it is holds within what it is.
    """
    comparing = first_that(context.registry, lambda one: one.compares)
    if not context.armhole or ease is None or comparing is None or comparing.compares is None:
        return ()
    found = next((finding for finding in findings if finding.topic == Figure.CAP_EASE), None)
    low, high = ease_limits(context, by_hand)
    if found is not None and found.taken is not None and found.taken.name == LEFT:
        low, high = ease_limits(context, wanted=(ease, ease))
    a, b = spell_edges(((context.sleeve, "cap"),)), spell_edges(context.armhole)
    names = comparing.compares
    asked = ((names.first, a), (names.second, b), (names.least, low), (names.most, high))
    return (Step(comparing.name, None, asked),)
