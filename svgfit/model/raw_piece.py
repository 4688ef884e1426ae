"""A piece as drawn: its layers sorted by the convention, before it is recognised. Page millimetres."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.model.adjusted_attributes import OutlineAttributes
from svgfit.model.drawing import Shape, Text
from svgfit.model.piece import CornerForm, Mark, Piece
from svgfit.model.report import Measurement


class NotchCounts(Struct, frozen=True, kw_only=True):
    """How many notches mark the front and the back of a cap where a plug-in's rule says it."""

    front: int
    """At the front."""
    back: int
    """At the back."""
    by: str
    """The plug-in and its file."""


class DrawnPiece(Struct, frozen=True):
    """The content of the layers of one piece (and size), by role."""

    file: str
    """The drawing that it lies in, as given."""
    name: str
    """As its layers call it, without its size."""
    size: str | None = None
    """In a nest; None for a piece of no size."""
    kind: str | None = None
    """From the convention; None: to be recognised."""
    front: str | None = None
    """"left" or "right" as drawn with the cap (or neck) up; None where the convention does not say."""
    allowances: Mapping[str, float] = {}
    """Seam allowances of the convention in mm, by edge name or "all"; may be empty."""
    by_rules: Mapping[str, str] = {}
    """Those of ``allowances`` that a plug-in's rule gives: the plug-in and its file, by edge name or "all"."""
    stitch: tuple[Shape, ...] = ()
    """Shapes of its stitch line."""
    cut: tuple[Shape, ...] = ()
    """Shapes of its cut line."""
    notches: tuple[Shape, ...] = ()
    """Shapes of its notches."""
    grain: tuple[Curve, ...] = ()
    """Its grain line."""
    bicep: tuple[Curve, ...] = ()
    """Its bicep line."""
    centre: tuple[Curve, ...] = ()
    """Its centre line."""
    fold: tuple[Curve, ...] = ()
    """Its fold line."""
    details: tuple[Shape, ...] = ()
    """Shapes drawn on it that are none of these."""
    landmarks: tuple[tuple[str, complex], ...] = ()
    """Names in lower case with single spaces, and points (a shape's box centre)."""
    texts: tuple[Text, ...] = ()
    """What is written on it."""
    edge_names: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """From the convention: an edge's name, and its numbers ("edge 2") or the two landmarks that it runs between."""
    join: float = 0.5
    """Ends of its lines nearer than this, mm, meet (the convention's ``join within``)."""
    marks: tuple[Mark, ...] = ()
    """Only when read back from a layer of ours: notches that already know their edge."""
    own_marks: tuple[Mark, ...] = ()
    """Likewise: marks of kinds that only a plug-in knows, and texts with a name."""
    attributes: OutlineAttributes | None = None
    """Only when read back from a layer of ours: what its stitch path says of edges, landmarks and placement."""
    corners: str = CornerForm.AS_DRAWN
    """From the convention: the form of the cut line's corners that are drawn anew."""
    notch_counts: NotchCounts | None = None
    """How front and back of a cap are told by notches, as a plug-in's rule says; None: as svgfit's own rules do."""
    elements: frozenset[int] = frozenset()
    """Numbers of the drawn elements that its lines, marks and texts came from; empty on a layer of ours."""

    @property
    def where(self) -> str:
        """For messages."""
        return f"{self.file}: {self.name} ({self.size})" if self.size else f"{self.file}: {self.name}"


class Recogniser(Struct, frozen=True):
    """A plug-in's way to recognise one kind of piece."""

    name: str
    """No two recognisers' alike."""
    kinds: tuple[str, ...]
    """Kinds of piece it can give back."""
    suits: Callable[[DrawnPiece], float]
    """How sure it is that the piece is its kind, 0 … 1 (1: convention or name says so). Cheap, never refuses."""
    recognise: Callable[[DrawnPiece], Piece]
    """The piece; raises Refusal with what to add to the drawing or the convention where it can't tell."""


class Measurer(Struct, frozen=True):
    """A plug-in's extra measurements of one piece."""

    name: str
    """No two measurers' alike."""
    kinds: tuple[str, ...]
    """Kinds of piece that it measures, "any" for every kind."""
    measure: Callable[[Piece], Iterable[Measurement]]
    """Figures of a piece, each with its unit; one that is no finite number, or of no known unit, is left out and
    warned of."""


class LoadedMeasurer(Measurer, frozen=True):
    """A measurer, and the plug-in that it comes from."""

    who: str = ""
    """The plug-in and its file, for messages."""
    switch: str = ""
    """What ``--without`` calls it."""
