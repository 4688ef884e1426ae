"""Records of advice: findings in a fitter's order, ways to change the pattern, and what each costs. Lengths in mm."""

from __future__ import annotations

from msgspec import Struct

from svgfit.model.body import Range
from svgfit.model.plan import Step
from svgfit.model.vocabulary import FindingStatus, MeasureUnit

PASS, DO, CHOSEN, OPEN, UNKNOWN, CANT = FindingStatus


class Cost(Struct, frozen=True):
    """The change of another figure that one way brings."""

    name: str
    before: float
    after: float


class Goal(Struct, frozen=True):
    """An end that a plan is to reach: the measurement, its target, and what was measured after the whole plan."""

    name: str
    target: float
    unit: str = MeasureUnit.MM
    """"mm", or "share" for a part of the ease."""
    got: float | None = None
    met: bool = False
    why: str = ""
    """Of what is not met: why."""
    text: str = ""
    """The target as a plan writes it, where one has to."""


class Way(Struct, frozen=True):
    """One way to reach an end."""

    name: str
    does: str
    """What is done, for people."""
    steps: tuple[Step, ...] = ()
    costs: tuple[Cost, ...] = ()
    reason: str = ""
    """Why it can't be done here; "" where it can."""
    warnings: tuple[str, ...] = ()
    goals: tuple[Goal, ...] = ()
    sits: float | None = None
    """Where the armhole seam then sits beyond the shoulder tip, where this way settles it."""
    gives_up: tuple[str, ...] = ()
    """The figures that earlier findings settled and this way moves out of what is wanted."""
    then: tuple[Finding, ...] = ()
    """What follows once it is done, where no way was picked yet."""
    by_hand: tuple[str, ...] = ()
    """How a person does it on paper, in sentences, where svgfit has no step for it; () elsewhere."""
    adds: tuple[tuple[str, float], ...] = ()
    """What the work by hand changes of figures as drawn, by name: mm."""
    because: str = ""
    """Why it is the recommended one; "" where it is not."""
    moves: float = 0.0
    """How far a cap that is only redrawn lies from where it was at most, mm."""


TITLES = {"pitch": "ease front to back"}
"""What people read for a topic, where that is another word than JSON has."""


def title_of(topic: str) -> str:
    """Name a topic as people read it."""
    return TITLES.get(topic, topic)


class Finding(Struct, frozen=True):
    """One comparison of the pattern with the body."""

    topic: str
    status: FindingStatus
    says: tuple[str, ...]
    """Plain sentences, with the reasons."""
    pattern: float | None = None
    body: float | None = None
    wanted: Range | None = None
    """What the pattern should have more than the body (or than the armhole), least and most; parts of 1 for pitch."""
    difference: float | None = None
    """How much the pattern has too much (too little: less than 0) against the nearer of the two; 0 where it passes."""
    ways: tuple[Way, ...] = ()
    taken: Way | None = None
    minds: tuple[str, ...] = ()
    """What of ``says`` nobody may miss."""

    @property
    def recommended(self) -> Way | None:
        """The way that a fitter would try first, where a person has to choose."""
        return next((way for way in self.ways if way.because), None)


class Advice(Struct, frozen=True):
    """The advice for one person and one sleeve."""

    person: str
    style: str
    sleeve: str
    size: str | None
    unit: str
    findings: tuple[Finding, ...]
    steps: tuple[Step, ...]
    """What is settled, in order."""
    goals: tuple[Goal, ...]
    """The ends of those steps, measured after all of them."""
    warnings: tuple[str, ...] = ()
    check: tuple[Step, ...] = ()
    """The check that the plan ends with, where the armhole is known."""
    unmet: tuple[Goal, ...] = ()
    """What is wanted and the steps don't give: what can't be had, and what a picked way gave up."""

    @property
    def open(self) -> bool:
        """Whether a person still has to choose."""
        return any(finding.status == OPEN for finding in self.findings)

    @property
    def failed(self) -> bool:
        """Whether an end can't be reached, or was not."""
        if self.unmet or not all(goal.met for goal in self.goals):
            return True
        return any(finding.status == CANT for finding in self.findings)
