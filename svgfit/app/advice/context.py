"""The context of advice: one person, the sleeve, its armhole; steps are tried out in it. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import partial

from msgspec import Struct

from svgfit.app.run_plan import run_plan
from svgfit.fitting.armhole import armhole_row
from svgfit.fitting.body_figures import body_figures, whole_sleeve
from svgfit.fitting.measure import measure_all
from svgfit.fitting.sewn import sewn_length
from svgfit.model.advice import Cost, Goal, Way
from svgfit.model.body import Person, Range
from svgfit.model.length import MM_PER_INCH, Units, format_length, sixteenths
from svgfit.model.operation import replace
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan, Seam, Step
from svgfit.model.raw_piece import Measurer
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, Figure, Unit
from svgfit.plugin.abilities import Ability, way_in_manner, ways_to
from svgfit.plugin.registry import Registry
from svgfit.rules.ease import Style
from svgfit.rules.matching import CAREFUL, LEAST_COST, PLAN_STEP_INCHES, PLAN_STEP_METRIC

ARMHOLE, HEM, SLEEVE_LENGTH = "armhole", "hem", "sleeve length"
"""Figures of the advice that are no measurements: the armhole's length as sewn, the hem's, the sleeve's whole one."""
SMALL = 0.01
"""Figures nearer than this are the same, mm."""
COSTS = (
    "cap height",
    "cap length",
    "cap ease",
    "bicep width",
    "underarm seam front",
    "hem",
    "armhole",
    "armhole depth",
)
"""The figures whose changes are a way's cost."""
REDRAWN = "redrawn"
"""What the ordinary way to a cap's ease is called."""
_GRID: Mapping[str, float] = {Unit.IN: PLAN_STEP_INCHES, Unit.MM: PLAN_STEP_METRIC, Unit.CM: PLAN_STEP_METRIC}
"""What a plan's figures are rounded to."""


class Tries:
    """The steps that were run for one advice: what many ways have in common is run once."""

    __slots__ = ("_found",)

    def __init__(self) -> None:
        """Begin with nothing run."""
        self._found: dict[tuple[int, tuple[Step, ...]], tuple[tuple[Piece, ...], Tried]] = {}

    def once(self, pieces: tuple[Piece, ...], steps: tuple[Step, ...], run: Callable[[], Tried]) -> Tried:
        """Return what these steps gave on these very pieces, running them the first time."""
        key = (id(pieces), steps)
        if key not in self._found:
            self._found[key] = pieces, run()  # the pieces are kept, so that their id stays theirs
        return self._found[key][1]


class AdviceContext(Struct, frozen=True):
    """What every finding looks at: the person, the sleeve, what it is sewn into, and the plug-ins."""

    person: Person
    style: Style
    unit: str
    sleeve: str
    armhole: tuple[tuple[str, str], ...]
    """The edges that the cap is sewn into, in sewing order; () where they are not known."""
    fronts: tuple[str, ...]
    backs: tuple[str, ...]
    others: tuple[str, ...]
    """Names of the pieces of the armhole: fronts, backs, and what lies between."""
    missing: str
    """Why the armhole is not known; "" where it is."""
    seams: tuple[Seam, ...]
    registry: Registry
    measurers: tuple[Measurer, ...]
    choices: tuple[str, ...]
    tries: Tries
    cuff: str = ""
    """The piece that is sewn to the sleeve's hem, where there is one."""
    careful: float = CAREFUL
    """How far apart the notches of cap and armhole may lie, mm."""
    unknown_figures: Mapping[str, str] = {}
    """Why a figure of the body's pieces is not known, by name."""
    guesses: Mapping[str, str] = {}
    """What a figure of the body's pieces rests on, where that was guessed, by name."""
    brief: bool = False
    """Whether only what follows one way of several is looked at: a further choice is then named, its ways not tried."""

    def spell(self, mm: float) -> str:
        """Write a length for a sentence, in the person's unit."""
        return format_length(mm, self.unit)

    def spell_range(self, wanted: Range) -> str:
        """Write least and most for a sentence: "1 to 2 in", "2 in"."""
        if wanted[1] - wanted[0] < SMALL:
            return self.spell(wanted[0])
        if self.unit == Unit.IN:
            return f"{sixteenths(wanted[0])} to {sixteenths(wanted[1])} in"
        return f"{self.spell(wanted[0]).rsplit(' ', 1)[0]} to {self.spell(wanted[1])}"

    def way(self, figure: str, manner: str = "") -> Ability | None:
        """Find the way to a figure that is called ``manner``, else the most ordinary one; None where none is loaded."""
        if manner:
            return way_in_manner(self.registry, figure, manner)
        ways = ways_to(self.registry, figure)
        return next((way for way in ways if way.reach.parameter), next(iter(ways), None))

    def step(self, figure: str, value: str, manner: str = "") -> Step | None:
        """Ask for the sleeve's figure (or its armhole's) to be ``value``; None where no operation can do that."""
        way = self.way(figure, manner)
        return None if way is None or not way.reach.parameter else way.step(self.sleeve, value)

    @property
    def own_ease(self) -> Range | None:
        """The cap ease that the sheet, or else the seam map, states; None where the style's counts."""
        stated = next((seam.ease for seam in self.seams if seam.ease and seam.ease.eased == self._cap), None)
        return self.person.cap_ease or (stated.amounts if stated else None)

    @property
    def _cap(self) -> tuple[tuple[str, str], ...]:
        return ((self.sleeve, EdgeName.CAP),)

    def unknown(self, figure: str) -> str:
        """Say why a figure of front and back is not known."""
        return self.missing or self.unknown_figures.get(figure, "front and back don't show it")

    def piece(self, pieces: Sequence[Piece], name: str) -> Piece:
        """Return the piece of that name."""
        return next(piece for piece in pieces if piece.name == name)


class Commitment(Struct, frozen=True):
    """A figure that a finding has decided, and the range in which it has to stay."""

    topic: str
    figure: str
    low: float
    high: float
    body: float = 0.0
    """The body's own measure, less what work by hand adds to the drawing."""


class State(Struct, frozen=True):
    """The state of the advice after some findings: pieces as they would be, the steps to there, the ends to be held."""

    pieces: tuple[Piece, ...]
    figures: Mapping[str, float]
    steps: tuple[Step, ...] = ()
    goals: tuple[Goal, ...] = ()
    sits: Range = (0.0, 0.0)
    """Where the armhole seam sits beyond the shoulder tip, least and most; both the same once it is known."""
    drawn: Mapping[str, float] = {}
    """The figures as drawn, before any step."""
    by_hand: Mapping[str, float] = {}
    """What work by hand, decided on, adds to figures as drawn, by name: mm."""
    commitments: tuple[Commitment, ...] = ()
    """What findings have decided."""
    given_up: tuple[Goal, ...] = ()
    """What was decided, and then given up by a way that a person picked."""

    def with_hand(self, figure: str) -> float:
        """Return a figure as it is once the work by hand is done as well."""
        return self.figures[figure] + self.by_hand.get(figure, 0.0)


class Tried(Struct, frozen=True):
    """The result of trying steps: the pieces and figures after them, or the reason why they can't be done."""

    pieces: tuple[Piece, ...]
    figures: Mapping[str, float]
    warnings: tuple[str, ...] = ()
    reason: str = ""
    outwards: float | None = None
    """How far a redrawn cap moves outwards at most; None where none was redrawn."""


def try_steps(context: AdviceContext, pieces: tuple[Piece, ...], steps: Sequence[Step]) -> Tried:
    """Run the steps on the pieces, in memory."""
    return context.tries.once(pieces, tuple(steps), partial(_try_steps, context, pieces, tuple(steps)))


def _try_steps(context: AdviceContext, pieces: tuple[Piece, ...], steps: tuple[Step, ...]) -> Tried:
    if not steps:
        return Tried(pieces, figures(context, pieces))
    plan, units = Plan(steps, "--do"), Units(Unit(context.unit))
    try:
        run = run_plan(pieces, context.seams, plan, context.registry, context.measurers, units=units)
    except Refusal as refusal:
        return Tried(pieces, {}, reason=" ".join(units.speak(refusal.reason).split()))
    outwards = [row.got["furthest outwards"] for row in run.steps if "furthest outwards" in row.got]
    warnings = tuple(dict.fromkeys(run.warnings))
    return Tried(run.after, figures(context, run.after), warnings, outwards=max(outwards, default=None))


def figures(context: AdviceContext, pieces: tuple[Piece, ...]) -> dict[str, float]:
    """Measure the sleeve and its armhole, by name: mm, and "share back" as a part of the ease."""
    every = measure_all(pieces, context.seams, context.measurers)
    sleeve = context.piece(pieces, context.sleeve)
    found = {item.name: item.value for item in every[sleeve.title]}
    if sleeve.has_edge(EdgeName.HEM):
        found[HEM] = sewn_length(sleeve, EdgeName.HEM)
        found[SLEEVE_LENGTH] = whole_sleeve(sleeve)
    if Figure.CAP_EASE in found:
        found[ARMHOLE] = found[Figure.CAP_LENGTH] - found[Figure.CAP_EASE]
        if Figure.CAP_EASE_BACK in found and abs(found[Figure.CAP_EASE]) > MM_PER_INCH / 16:
            found["share back"] = found[Figure.CAP_EASE_BACK] / found[Figure.CAP_EASE]
    row = armhole_row(sleeve, pieces, context.seams)
    if row is not None:
        found |= {name: one.value for name, one in body_figures(row).items() if one.value is not None}
    return found


def costs(before: Mapping[str, float], after: Mapping[str, float], aims: Sequence[str] = ()) -> tuple[Cost, ...]:
    """List what changed of ``COSTS``, leaving out the figures that are the aim itself."""
    return tuple(
        Cost(name, before[name], after[name])
        for name in COSTS
        if name not in aims and name in before and name in after and abs(after[name] - before[name]) >= LEAST_COST
    )


def away(context: AdviceContext, value: float, wanted: Range) -> float:
    """Return how far a value lies above the nearer end of a range (below it: less than 0); 0 within.

    To a tenth of what the plan's figures are rounded to; where one figure is wanted, to half of it.
    """
    near = grid(context) / (2 if wanted[1] - wanted[0] < grid(context) / 2 else 10)
    if value < wanted[0] - near:
        return value - wanted[0]
    return value - wanted[1] if value > wanted[1] + near else 0.0


def grid(context: AdviceContext) -> float:
    """Return what a plan's figures are rounded to, mm: 1/16 in, or 1 mm."""
    return _GRID[context.unit]


def target(context: AdviceContext, value: float, wanted: Range) -> tuple[float, str]:
    """Return the nearer end of ``wanted``, rounded inwards to 1/16 in (or 1 mm), in mm and as a plan writes it.

    Not where the end is off a sixteenth by less than a tenth of it: nobody would go to the next one for that.
    """
    one = grid(context)
    low, high = math.ceil(wanted[0] / one - 0.099), math.floor(wanted[1] / one + 0.099)
    if low > high:
        low = high = round((wanted[0] + wanted[1]) / 2 / one)
    count = low if value < wanted[0] else high
    return count * one, written(context, count * one)


def written(context: AdviceContext, mm: float) -> str:
    """Write a length that is whole in the unit's steps, as a plan has it."""
    if context.unit == Unit.IN:
        return f"{sixteenths(mm)} in"
    return f"{mm / 10:.1f} cm" if context.unit == Unit.CM else f"{mm:.0f} mm"


def redraw(context: AdviceContext, ease: str, manner: str = REDRAWN, *, outwards: str = "") -> Step | None:
    """Ask for the cap to be redrawn to that ease, the back's part of it as the person wishes, where they say.

    ``outwards``: how far its edge may move. None where no operation can do that.
    """
    way = context.way("cap ease", manner)
    if way is None or (outwards and not way.reach.limit):
        return None
    more = [(way.reach.limit, outwards)] if outwards else []
    if context.person.share_back is not None and way.reach.share:
        more.append((way.reach.share, f"{context.person.share_back:g}"))
    return way.step(context.sleeve, ease, more, brief=True)


def after(state: State, tried: Tried, way: Way) -> State:
    """Return the state once a way is done; a goal takes the place of an earlier one of the same name."""
    names = {goal.name for goal in way.goals}
    kept = tuple(goal for goal in state.goals if goal.name not in names)
    added = {name: state.by_hand.get(name, 0.0) + mm for name, mm in way.adds}
    return replace(
        state,
        pieces=tried.pieces,
        figures=tried.figures,
        steps=(*state.steps, *way.steps),
        goals=(*kept, *way.goals),
        sits=state.sits if way.sits is None else (way.sits, way.sits),
        by_hand={**state.by_hand, **added},
    )
