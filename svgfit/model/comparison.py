"""Two fittings of a drawing held against each other: what lies elsewhere, which figures differ. Lengths in mm."""

from __future__ import annotations

from msgspec import Struct


class FigureDiffers(Struct, frozen=True):
    """A measurement in both; None where one has none of that name."""

    name: str
    unit: str
    a: float | None
    b: float | None


class AllowanceDiffers(Struct, frozen=True):
    """The seam allowance of an edge that is not as wide in both; None where it is not known."""

    edge: str
    a: float | None
    b: float | None


class EdgeMoved(Struct, frozen=True, kw_only=True):
    """An edge, or the whole cut line, that does not run alike in both."""

    edge: str
    """Its name; "cut line" for that."""
    moved: float
    """The greatest distance of a point of either edge from the other one, on the page."""
    outwards: bool
    """Whether the second one's edge lies outside the first one's piece there."""
    length_a: float
    length_b: float


class MarkMoved(Struct, frozen=True, kw_only=True):
    """A notch that does not stand alike in both, or stands in one only."""

    kind: str
    edge: str
    number: int
    """Counted along the edge from its front or underarm end, from 1."""
    at_a: float | None
    """Along the edge from there; None where it has none of this number."""
    at_b: float | None
    moved: float | None
    """Straight across on the page."""


class LineDiffers(Struct, frozen=True, kw_only=True):
    """Another line or dart that does not lie alike in both, or an edge, line or dart that only one has."""

    line: str
    """Its kind and name; an edge's name; "dart in the side seam"."""
    moved: float | None
    """The greatest distance of a point of either from the other, on the page; None where one has none."""
    only_in: str | None
    """"a" or "b" where only that has it."""


class TextDiffers(Struct, frozen=True, kw_only=True):
    """A text that reads otherwise in the two, stands elsewhere, or is in one only."""

    a: str | None
    """As it reads in the first; None where that has none."""
    b: str | None
    moved: float | None
    """From where it begins in the one to where it begins in the other, on the page; None where one has none."""


class ComparedGarment(Struct, frozen=True, kw_only=True):
    """What plug-ins measure across the pieces of one size."""

    size: str | None
    measurements: tuple[FigureDiffers, ...]
    """All of them, also those that are alike."""


class ComparedPiece(Struct, frozen=True, kw_only=True):
    """A piece that both have."""

    name: str
    size: str | None
    measurements: tuple[FigureDiffers, ...]
    """All of them, also those that are alike."""
    edges: tuple[EdgeMoved, ...]
    """Those that don't run alike."""
    marks: tuple[MarkMoved, ...]
    """Those that don't stand alike."""
    allowances: tuple[AllowanceDiffers, ...]
    """Those that are not as wide."""
    lines: tuple[LineDiffers, ...]
    """Grain lines, lines drawn inside and darts that don't lie alike, and edges that only one has."""
    texts: tuple[TextDiffers, ...]
    """Texts on the piece that are not alike."""

    @property
    def title(self) -> str:
        """Name, and the size in a nest."""
        return f"{self.name} ({self.size})" if self.size else self.name


class Differences(Struct, frozen=True, kw_only=True):
    """What differs between two drawings; ``pieces`` also holds those that are alike."""

    svgfit: str
    a: str
    b: str
    pieces: tuple[ComparedPiece, ...]
    only_a: tuple[str, ...]
    """Titles of pieces that only the first has."""
    only_b: tuple[str, ...]
    garment: tuple[ComparedGarment, ...]
    """A row for each size of which plug-ins measure something across the pieces; () where none do."""
    texts: tuple[TextDiffers, ...]
    """Texts on no piece that are not alike."""
    warnings: tuple[str, ...]
