"""How far each notch of a piece moved, and along which edge: a small table for the step that marks notches anew."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.fitting.sewn import has_dart, sewn_distance, sewn_length
from svgfit.model.length import Units
from svgfit.model.piece import Mark, Piece
from svgfit.model.vocabulary import MarkKind, PieceKind
from svgfit.render.pdf.step_sentences import length

_SEEN = 0.3
"""What moved by less than this, mm, stays."""
_NOTCHES = (MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH)


class Moved(Struct, frozen=True):
    """One notch before and after."""

    name: str
    edge: str
    start: str
    """From where it is measured."""
    before: float
    """From there along the stitch line as sewn, mm."""
    after: float
    way: str
    """Where it went; "" where it stays."""

    def cells(self, units: Units) -> tuple[str, ...]:
        """Write the row of the table."""
        by = f"{length(self.after - self.before, units)} {self.way}" if self.way else "stays"
        return f"{self.name}, on the {self.edge}", self.start, length(self.before, units), length(self.after, units), by


HEAD = ("notch", "measured from", "before", "after", "moves")


def notch_moves(before: Piece, after: Piece) -> tuple[Moved, ...]:
    """Make a row for each notch that stands on one edge before and after, in the order of the drawing."""
    pairs = [
        (old, new)
        for old, new in zip(before.marks, after.marks, strict=False)
        if old.kind in _NOTCHES and old.kind == new.kind and old.edge == new.edge and old.at and new.at and old.edge
    ]
    found = [(old, _moved(before, after, old, new)) for old, new in pairs]
    return tuple(_named(row, [other for _, other in found]) for _, row in found if row is not None)


def _moved(before: Piece, after: Piece, old: Mark, new: Mark) -> Moved | None:
    edge = old.edge or ""
    if not before.has_edge(edge) or not after.has_edge(edge) or old.at is None or new.at is None:
        return None
    was, now = sewn_distance(before, edge, old.at), sewn_distance(after, edge, new.at)
    wholes = [sewn_length(piece, edge) for piece in (before, after)]
    closed = ", darts closed" if has_dart(after, edge) else ""
    if before.kind != PieceKind.SLEEVE:
        return Moved("notch", edge, f"the underarm{closed}", was, now, _way(now - was, "up", "down"))
    if old.kind == MarkKind.SHOULDER_NOTCH:
        way = _way(was - now, "to the front", "to the back")
        return Moved("shoulder notch", edge, f"the front underarm{closed}", was, now, way)
    if was < wholes[0] / 2:
        return Moved("front notch", edge, f"the front underarm{closed}", was, now, _way(now - was, "up", "down"))
    was, now = wholes[0] - was, wholes[1] - now
    return Moved("back notch", edge, f"the back underarm{closed}", was, now, _way(now - was, "up", "down"))


def _way(by: float, forth: str, back: str) -> str:
    return "" if abs(by) <= _SEEN else forth if by > 0 else back


def _named(row: Moved, every: Sequence[Moved | None]) -> Moved:
    """Give the row its notch's name; one of a pair is the lower or the upper."""
    pair = [one for one in every if one is not None and (one.name, one.edge) == (row.name, row.edge)]
    if len(pair) != 2:
        return row
    place = "lower" if row.before == min(one.before for one in pair) else "upper"
    return Moved(f"{place} {row.name}", row.edge, row.start, row.before, row.after, row.way)
