"""The report of a run, and the records it holds: measurements, checks, openings, annotations.

The report's keys are a contract (svgfit/render/text/report-schema.json). Numbers are unrounded, lengths in mm.
"""

from __future__ import annotations

from typing import Any

from msgspec import UNSET, Struct, UnsetType

from svgfit.geometry.curve import Curve
from svgfit.model.line_kind import LineKind
from svgfit.model.vocabulary import MeasureUnit


class Measurement(Struct, frozen=True):
    """A named figure, of a piece or of what a step reached.

    ``unit`` is "mm", "mm2" (an area in square millimetres), "deg", "number" (a count, a ratio) or "share" (1 for all).
    """

    name: str
    """As tables and reports have it; no two of a piece alike."""
    value: float
    """In ``unit``."""
    unit: str = MeasureUnit.MM
    """The unit of ``value``."""


class Opening(Struct, frozen=True, kw_only=True):
    """The step that a slash left in an edge, and what truing made of it. Piece frame."""

    piece: str
    """The piece's title."""
    edge: str
    """The edge's name."""
    at: float
    """Where, in mm along the edge before the spread, from its front or underarm end."""
    first: complex
    """The one cut end (on the part that stayed, after the move)."""
    second: complex
    """The other cut end (on the part that moved)."""
    width: float
    """Straight across between the cut ends, mm; negative where the parts overlap."""
    gain: float
    """What the whole edge gained in length by this opening and its truing, mm."""
    trued: Curve
    """The stretch that truing drew."""
    unkept: tuple[str, ...] = ()
    """Promises of truing that this opening could not keep, in words for people."""


class Check(Struct, frozen=True):
    """A verdict. ``status``: "pass", "warn" or "fail"."""

    name: str
    """As the list of checks has it, such as "seam: Sleeve/cap + Front/armhole"."""
    status: str
    """"pass", "warn" or "fail"; with a "fail" the exit status is 1."""
    message: str
    """What was found, for people, with its figures."""
    values: dict[str, float] = {}
    """The figures by name, lengths in mm, for the report."""
    origin: str | UnsetType = UNSET
    """Whence a mismatch comes: "before the run", or "the run", which made it or more of it; unset: not known, none."""

    @property
    def title(self) -> str:
        """Name it as people read it: what a plan asks for is "asked", where JSON has "end"."""
        start, colon, rest = self.name.partition(": ")
        return f"asked{colon}{rest}" if start == "end" and colon else self.name


class Annotation(Struct, frozen=True):
    """A working line: what a person would have drawn in pencil. Piece frame.

    ``kind``: "slash", "hinge" (a point), "arrow" (first point to last: how a part moved), "old edge" (what truing
    replaced), "cut end", "construction" (bicep line, centre line, cap height where the drawing lacks them), or the name
    of a ``LineKind`` that a plug-in supplies.
    """

    kind: str
    """One of those above."""
    piece: str
    """The piece's title."""
    curve: Curve | None = None
    """The line; None for a point."""
    point: complex | None = None
    """The point of a hinge; None for a line."""
    label: str = ""
    """What is written beside it; "" for nothing."""
    length: float | None = None
    """For an arrow or opening: the amount in mm that the label should speak of."""
    line: LineKind | None = None
    """How a plug-in's own kind is drawn; svgfit sets it, by the kind."""


class MeasurementRow(Struct, frozen=True):
    """Before and after; None where a measurement exists only on one side."""

    name: str
    """As everywhere: "cap ease", "bicep width" …"""
    unit: str
    """ "mm", "mm2", "deg", "number" or "share"."""
    before: float | None
    """Before the first step; None where it was not there."""
    after: float | None
    """After the last; None where it is not there any more."""


class PieceRow(Struct, frozen=True):
    """A piece in the report."""

    file: str
    """The drawing that it lies in."""
    name: str
    """Without its size."""
    kind: str
    """Its kind; "other" where none is known."""
    size: str | None
    """In a nest; None for a piece of no size."""
    measurements: tuple[MeasurementRow, ...]
    """All that is measured of it, in the order in which it is shown."""

    @property
    def title(self) -> str:
        """Name, and the size in a nest."""
        return f"{self.name} ({self.size})" if self.size else self.name

    def find(self, name: str) -> MeasurementRow | None:
        """Return the measurement of that name; None where the piece has none."""
        return next((row for row in self.measurements if row.name == name), None)


class GarmentRow(Struct, frozen=True):
    """The garment of one size in the report: what plug-ins measured across its pieces."""

    size: str | None
    measurements: tuple[MeasurementRow, ...]

    @property
    def as_piece(self) -> PieceRow:
        """The same row for tables of pieces; it lies in no file."""
        return PieceRow("", WHOLE, WHOLE, self.size, self.measurements)


class OpeningRow(Struct, frozen=True):
    """An opening in the report."""

    edge: str
    """The edge that was cut open."""
    at: float
    """Where, mm along it from its front or underarm end."""
    width: float
    """How wide it opened, mm; negative: overlapped."""
    gain: float
    """How much longer the trued edge is for it, mm."""


class AlsoRow(Struct, frozen=True, rename={"against": "with"}):
    """A seam that a step left unmatched elsewhere, and by how much."""

    piece: str
    """The piece, or pieces joined with ``+``, to be changed as well."""
    edge: str
    """Its edges, as people write them: ``Front/armhole+Back/armhole``."""
    against: str
    """The edges, written likewise, that the step changed; in JSON ``with``."""
    amount: float
    """How much longer ``edge`` now is, mm (negative: shorter); for a cap and its armhole how much the ease changed."""
    message: str
    """The same in a sentence for people."""


class StepRow(Struct, frozen=True):
    """The parameters a step was given and the figures it got."""

    do: str
    """The operation."""
    piece: str | None
    """The piece's title; None where the step takes none, or several."""
    asked: dict[str, str]
    """Its parameters, by name, as they were written."""
    got: dict[str, float]
    """What it measured of its result, by name, each in its unit."""
    openings: tuple[OpeningRow, ...]
    """Where edges were cut open."""
    also: tuple[AlsoRow, ...] = ()
    """Seams that it left unmatched elsewhere."""
    note: str | UnsetType = UNSET
    """What the plan's writer says of it."""
    added: tuple[str, ...] | UnsetType = UNSET
    """Titles of pieces that the step added; unset where there are none."""
    dropped: tuple[str, ...] | UnsetType = UNSET
    """Titles of pieces that are none any more; likewise."""
    got_units: dict[str, str] | UnsetType = UNSET
    """The units of what was got, by name, where they are not mm; unset where all are."""

    @property
    def came_and_went(self) -> str:
        """Say which pieces the step added and dropped, as the end of a sentence; "" for none."""
        parts = [
            f"{word} {', '.join(titles)}"
            for word, titles in (("adds", self.added), ("drops", self.dropped))
            if titles is not UNSET
        ]
        return " and ".join(parts)

    def unit_of(self, name: str) -> str:
        """Return the unit of a figure that was got."""
        return MeasureUnit.MM if self.got_units is UNSET else self.got_units.get(name, MeasureUnit.MM)


class NotDoneRow(Struct, frozen=True):
    """A step that was not done, since its condition did not hold."""

    do: str
    piece: str | None
    """Its title, where the step names one."""
    why: str
    """"the cap ease of Sleeve is 1 1/4 in, not over 1 1/2 in"."""
    note: str | UnsetType = UNSET

    @property
    def sentence(self) -> str:
        """Say that it was not done and why, without a full stop."""
        return f"{self.do}{f', {self.piece}' if self.piece else ''}: not done, since {self.why}"


class DrawingRow(Struct, frozen=True):
    """A drawing in the report."""

    file: str
    mm_per_user_unit: float
    scale_from: str


class Report(Struct, frozen=True):
    """The whole report, as written by ``--report`` and ``--json``."""

    svgfit: str
    drawings: tuple[DrawingRow, ...]
    pieces: tuple[PieceRow, ...]
    steps: tuple[StepRow, ...]
    checks: tuple[Check, ...]
    warnings: tuple[str, ...]
    not_done: tuple[NotDoneRow, ...] | UnsetType = UNSET
    """Steps that were not done, since their conditions did not hold; unset where there are none."""
    note: str | UnsetType = UNSET
    """What the plan's writer says of it as a whole."""
    garment: tuple[GarmentRow, ...] | UnsetType = UNSET
    """What plug-ins measured across pieces, a row a size; unset where there is none."""

    @property
    def rows(self) -> tuple[PieceRow, ...]:
        """The pieces and behind them the garment, for tables."""
        return (*self.pieces, *(row.as_piece for row in self.garment or ()))


WHOLE = "garment"
"""What a table calls all pieces of a size together."""
Json = dict[str, Any]
