"""How far each notch of a piece moved, and along which edge: a small table for the step that marks notches anew."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.sewn import has_dart, sewn_distance, sewn_length
from svgfit.model.length import Units
from svgfit.model.piece import Mark, Piece
from svgfit.model.vocabulary import MarkKind, PieceKind, Side
from svgfit.render.pdf.piece_lines import NOTCHES, SEEN
from svgfit.render.pdf.step_sentences import length


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
    pairs = zip(before.marks, after.marks, strict=False)
    found = [_moved(before, after, old, new) for old, new in pairs if old.kind in NOTCHES]
    rows = [row for row in found if row is not None]
    return tuple(replace(row, name=f"{_place(row, rows)}{row.name}") for row in rows)


def _moved(before: Piece, after: Piece, old: Mark, new: Mark) -> Moved | None:
    edge = old.edge or ""
    if (old.kind, old.edge) != (new.kind, new.edge) or not (before.has_edge(edge) and after.has_edge(edge)):
        return None
    if old.at is None or new.at is None:
        return None
    was, now = sewn_distance(before, edge, old.at), sewn_distance(after, edge, new.at)
    closed = ", darts closed" if has_dart(after, edge) else ""
    if before.kind != PieceKind.SLEEVE:
        return Moved("notch", edge, f"the underarm{closed}", was, now, _way(now - was, "up", "down"))
    if old.kind == MarkKind.SHOULDER_NOTCH:
        way = _way(was - now, "to the front", "to the back")
        return Moved("shoulder notch", edge, f"the front underarm{closed}", was, now, way)
    side, wholes = Side.FRONT, [sewn_length(piece, edge) for piece in (before, after)]
    if was >= wholes[0] / 2:
        side, was, now = Side.BACK, wholes[0] - was, wholes[1] - now
    return Moved(f"{side} notch", edge, f"the {side} underarm{closed}", was, now, _way(now - was, "up", "down"))


def _way(by: float, forth: str, back: str) -> str:
    return "" if abs(by) <= SEEN else forth if by > 0 else back


def _place(row: Moved, rows: Sequence[Moved]) -> str:
    """Say which of a pair of notches it is, the lower or the upper; "" for one alone."""
    pair = [one.before for one in rows if (one.name, one.edge) == (row.name, row.edge)]
    return "" if len(pair) != 2 else "lower " if row.before == min(pair) else "upper "
