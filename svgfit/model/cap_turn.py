"""A house fact: how far a sleeve is turned in its armhole on purpose. Kept with it, read by svgfit itself. In mm.

Positive is towards the front: a place of the cap that is to meet the armhole then stands so much nearer to the cap's
front underarm point than where it would meet it unturned. The sleeve's underarm seam comes to lie so much in front of
the armhole's underarm point. The notches on the sleeve are drawn where they stand now; only this fact tells that they
were moved on purpose, and what can't be drawn: that the underarm seam no longer meets the side seam.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from msgspec import Struct

from svgfit.model.length import both_ways
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import MarkKind

HOUSE = "svgfit:"
"""What the names of facts begin with that svgfit reads itself."""
CAP_TURN = f"{HOUSE} cap turned to the front"
"""The name under which a piece keeps it."""
_NOTHING = 1e-6
_FORM = re.compile(r"shoulder (\S+) mm, notches (\S+) mm, underarm (\S+) mm")


class CapTurn(Struct, frozen=True, kw_only=True):
    """How far a sleeve's match points are turned along its cap on purpose, mm; towards the front is more than 0."""

    shoulder: float = 0.0
    """The shoulder notch; without one, the place of the cap that meets the shoulder."""
    notches: float = 0.0
    """The other notches, front and back alike."""
    underarm: float = 0.0
    """The place that meets the armhole's underarm point: where it is turned, that is not the sleeve's own any more."""

    @classmethod
    def whole(cls, amount: float) -> CapTurn:
        """Turn all match points alike: the whole sleeve, ``amount`` mm, towards the front more than 0."""
        return cls(shoulder=amount, notches=amount, underarm=amount)

    @classmethod
    def of(cls, piece: Piece) -> CapTurn:
        """Read what a piece keeps; nothing turned where it keeps nothing. Refuse what can't be read."""
        text = piece.fact(CAP_TURN)
        if text is None:
            return cls()
        try:
            return cls._read(text)
        except ValueError:
            what = f"how far it is turned on purpose can't be read: {text!r}"
            raise Refusal(piece.where, what, "adjust it again from the drawn outline") from None

    @classmethod
    def _read(cls, text: str) -> CapTurn:
        found = _FORM.fullmatch(text)
        if found is None:
            raise ValueError(text)
        shoulder, notches, underarm = map(float, found.groups())
        if not all(map(math.isfinite, (shoulder, notches, underarm))):
            raise ValueError(text)
        return cls(shoulder=shoulder, notches=notches, underarm=underarm)

    def kept_on(self, piece: Piece) -> Piece:
        """Return the piece keeping this in place of what it kept; one that is not turned keeps nothing."""
        amounts = f"shoulder {self.shoulder!r} mm, notches {self.notches!r} mm, underarm {self.underarm!r} mm"
        return piece.with_fact(CAP_TURN, amounts if self else None)

    def __bool__(self) -> bool:
        """Tell whether anything is turned."""
        return abs(self.most) > _NOTHING

    @property
    def most(self) -> float:
        """How far the one of them that is turned farthest is turned, mm."""
        return max((self.shoulder, self.notches, self.underarm), key=abs)

    @property
    def below_notches(self) -> float:
        """How far the notches are turned more than the underarm point: the front loses so much of the cap there."""
        return self.notches - self.underarm

    @property
    def above_notches(self) -> float:
        """How far the shoulder notch is turned more than the other notches."""
        return self.shoulder - self.notches

    def words(self, spell: Callable[[float], str] = both_ways) -> str:
        """Say it: "turned 1/2 in to the front on purpose"; "" where nothing is turned. ``spell`` writes a length."""
        if not self:
            return ""
        names: dict[str, float] = {
            MarkKind.SHOULDER_NOTCH: self.shoulder,
            "notches": self.notches,
            "underarm point": self.underarm,
        }
        groups: dict[float, list[str]] = {}
        for name, amount in names.items():
            if abs(amount) > _NOTHING:
                groups.setdefault(round(amount, 6), []).append(name)
        said = [
            f"{'' if which == [*names] else ' and '.join(which) + ' '}turned {spell(abs(amount))} to the "
            + ("front" if amount > 0 else "back")
            for amount, which in groups.items()
        ]
        return f"{', '.join(said)} on purpose"
