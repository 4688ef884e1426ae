"""The walk of a sleeve along its armhole. Lengths in mm, on the stitch line, darts closed."""

from __future__ import annotations

from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.model.cap_turn import CapTurn
from svgfit.model.report import Check
from svgfit.model.vocabulary import Figure, LandmarkName, MarkKind, Status

FRONT_LOWER, FRONT_UPPER = "front underarm to notch", "front notch to shoulder"
BACK_LOWER, BACK_UPPER = "back underarm to notch", "back notch to shoulder"
FRONT_WHOLE, BACK_WHOLE = "front underarm to shoulder", "back underarm to shoulder"
"""In place of two zones where cap or armhole has no notch on that side."""

NOTCH, SHOULDER, CAP_TOP, SEAM = MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH, LandmarkName.CAP_TOP, "seam"
"""What a stop is; the cap top only where no shoulder notch is drawn on the cap."""

TURNED = "turned on purpose"
"""The name of the verdict that a sleeve is turned in its armhole on purpose."""
CAP_EASE = Figure.CAP_EASE
"""The name of a walk's verdict on it, and of the measurement."""


class Zone(Struct, frozen=True):
    """A stretch of the cap and the stretch of the armhole that it is sewn to."""

    zone: str
    cap: float
    armhole: float
    ease: float
    """``cap`` less ``armhole``."""
    cap_curve: Curve | None = None
    """The stretch of the cap in the sleeve's frame, from its lower end up."""
    armhole_curve: Curve | None = None
    """The stretch of the armhole, its pieces laid together as sewn, in the frame of the piece at its lower end, from
    there up."""
    on_purpose: float = 0.0
    """What of the ease is there because the sleeve is turned on purpose (svgfit.model.cap_turn)."""

    @property
    def mismatch(self) -> float:
        """What of the ease nobody asked for."""
        return self.ease - self.on_purpose


class Stop(Struct, frozen=True):
    """A place on a seam: how far along from the front underarm, and what it is (NOTCH, SHOULDER, CAP_TOP or SEAM).

    A SEAM is where two pieces of the armhole meet. The shoulder is the one stop without a side, whatever its kind.
    """

    at: float
    kind: str
    side: str
    """"front" or "back"; "" for the shoulder."""


class Walk(Struct, frozen=True):
    """One sleeve of one size, walked along its armhole from the front underarm over the shoulder to the back."""

    sleeve: str
    size: str | None
    zones: tuple[Zone, ...]
    cap: float
    armhole: float
    ease: float
    """``cap`` less ``armhole``."""
    share_back: float | None
    """The back's part of the ease; None where there is less than 1/16 in of it to part."""
    cap_stops: tuple[Stop, ...] = ()
    armhole_stops: tuple[Stop, ...] = ()
    verdicts: tuple[Check, ...] = ()
    turn: CapTurn = CapTurn()
    """How far the sleeve is turned on purpose; its stops and zones are those of the cap as it is sewn so."""


def is_judged(check: Check) -> bool:
    """Return whether a limit was held against a check.

    A walk's cap ease has a limit only where a style is given: then its ``values`` name it.
    """
    return check.name != CAP_EASE or check.status != Status.PASS or "least" in check.values


def holds_cap_ease(check: Check, sleeve: str) -> bool:
    """Tell whether a check of a plan holds a sleeve's cap ease: it states it, or compares the cap with an armhole."""
    stated = check.message.startswith(sleeve) and f": {CAP_EASE} " in check.message
    return stated or (f"{sleeve}/cap" in check.name.split(" against ") and "difference" in check.values)
