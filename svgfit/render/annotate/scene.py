"""What the annotation needs to know of one drawing, and what it gives back."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Canvas, Text
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.report import Annotation, Check, Opening, PieceRow, StepRow
from svgfit.model.walk import Walk
from svgfit.svg.markup import Node, serialise

WORKING, ADJUSTED, MEASUREMENTS = "working-lines", "adjusted", "measurements"
LAYERS = (WORKING, ADJUSTED, MEASUREMENTS)
"""Our layers in the order in which they lie in the file: the last is on top."""

DEFAULT_NAMES: Mapping[str, str] = {WORKING: "working lines", ADJUSTED: "adjusted", MEASUREMENTS: "measurements"}


class Scene(Struct, frozen=True):
    """All that is to be drawn into ONE drawing file. Curves of pieces in the pieces' frames, the rest in page mm."""

    canvas: Canvas
    before: tuple[Piece, ...]
    after: tuple[Piece, ...]
    """The same pieces in the same order; only those of this file."""
    cut_after: tuple[Curve | None, ...]
    """Closed cut lines, each in its piece's frame; None where there is none."""
    rows: tuple[PieceRow, ...] = ()
    """Figures of this file's pieces, and behind them those of the garment, which is of no file."""
    openings: tuple[Opening, ...] = ()
    annotations: tuple[Annotation, ...] = ()
    checks: tuple[Check, ...] = ()
    steps: tuple[StepRow, ...] = ()
    walks: tuple[Walk, ...] = ()
    """Sleeves walked along their armholes: each is drawn as strips, and its lower cap on the lower armhole."""
    warnings: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    """What the run did not do, and what it left to be changed elsewhere, in sentences."""
    note: str = ""
    """What the plan's writer says of it."""
    shown: tuple[str, ...] = LAYERS
    """Which of our layers are to be written."""
    units: Units = Units()
    """How labels speak."""
    names: Mapping[str, str] = field(default_factory=lambda: dict(DEFAULT_NAMES))
    """Visible names of the three layers."""
    occupied: tuple[Curve, ...] = ()
    """Every curve drawn in the original, in page mm: where the page is not free."""
    occupied_texts: tuple[Text, ...] = ()
    """Every text drawn in the original, in page mm."""
    dropped: tuple[tuple[str, str | None], ...] = ()
    """Names and sizes of pieces of this file that a step dropped: a later run that goes on from here has them not."""
    seams: tuple[Seam, ...] = ()
    """Seams of this file's pieces that steps sewed: a later run that goes on from here has them too."""
    taken_ids: frozenset[str] = frozenset()
    """Ids of the original: ours must differ."""
    plan: str = ""
    """The plan as ASCII text, kept with the measurements so that it can be run again; "": none."""
    names_sizes: bool = False
    """Whether a size names itself on its lines although no other lies beside it: it is one of a nest."""
    text_size: float | None = None
    """Font size of labels in mm; None: by the size of the pieces, 3 … 4.8 mm."""


class Drawn(Struct, frozen=True):
    """The three layers, in the order of ``LAYERS``."""

    layers: tuple[Node, ...]
    warnings: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """Write all layers as text, one after another, a line end behind each."""
        return "".join(f"{serialise(layer)}\n" for layer in self.layers)
