"""What a step did to one piece, put together for drawing: its parts, what was redrawn, what moved, and where."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.model.instructions import Instructions, StepFacts
from svgfit.model.length import Units
from svgfit.model.piece import Mark, Piece
from svgfit.model.report import Annotation, Opening, StepRow
from svgfit.model.run import Stage
from svgfit.model.vocabulary import AnnotationKind
from svgfit.render.pdf.parts import Part, Slit, parted_from, parts, slits
from svgfit.render.pdf.piece_lines import SEEN, changed_allowances, cut_of, moved_marks
from svgfit.render.pdf.routes import Beginning, begins, route

APART = 0.08
"""Two edges nearer than this (mm) are one line: less is not seen even at full size."""
CLOSE_UPS = 2
"""So many close-ups a step at most."""
PLAIN = Instructions()
"""Those of an operation that has none."""


class Change(Struct, frozen=True):
    """What a step did to one piece, put together for drawing."""

    before: Piece
    after: Piece
    row: StepRow
    notes: tuple[Annotation, ...]
    openings: tuple[Opening, ...]
    parts: tuple[Part, ...]
    slits: tuple[Slit, ...]
    units: Units

    drawn_new: tuple[Curve, ...]
    """Stretches of the edge that are no part's edge: what was trued or redrawn."""
    left_over: tuple[Curve, ...]
    """Stretches of the parts' edges (of the old edge) that are the edge no longer."""
    cut_was: Curve | None = None
    """The cut line before, where the step changed an allowance."""
    cut_now: tuple[Curve, ...] = ()
    """Stretches of the cut line now that lie elsewhere than before."""
    wider: tuple[str, ...] = ()
    """Edges with another allowance now."""
    instructions: Instructions = PLAIN
    """What the operation wants to be told and shown."""

    @property
    def moving(self) -> list[Part]:
        """The parts that moved."""
        return [part for part in self.parts if part.motion is not None]

    @property
    def arrows(self) -> list[Annotation]:
        """The arrows that are long enough to be seen."""
        notes = [note for note in self.notes if note.kind == AnnotationKind.ARROW]
        return [note for note in notes if note.curve is not None and abs(note.curve.end - note.curve.start) > SEEN]

    @property
    def own_lines(self) -> list[Annotation]:
        """What is drawn with a plug-in's own kinds of lines."""
        return own_lines(self.notes)

    @property
    def ways(self) -> list[Curve]:
        """The arrows' lines."""
        return [note.curve for note in self.arrows if note.curve is not None]

    @property
    def notches(self) -> tuple[Mark, ...]:
        """The notches before that stand elsewhere now though the paper under them did not move."""
        return () if self.parts else moved_marks(self.before, self.after)

    def allowance_before(self, edge: str) -> float | None:
        """Give an edge's seam allowance before the step, mm; None where it had none or is new."""
        return self.before.edge(edge).allowance if self.before.has_edge(edge) else None


def change_of(before: Piece, after: Piece, stage: Stage, units: Units, instructions: Instructions = PLAIN) -> Change:
    """Put together what a step did to a piece, told in ``units``, as its operation has it told."""
    names = (before.title, before.name)
    own = tuple(note for note in stage.annotations if note.piece in names)
    gaps = tuple(one for one in stage.openings if one.piece in names)
    found = parts([one for one in stage.moved if one.piece in names])
    lying, now = [edge for part in found for edge in part.edges_now] or [before.outline()], [after.outline()]
    wider = changed_allowances(before, after)
    cut_was, cut_now = (cut_of(before), cut_of(after)) if wider else (None, None)
    return Change(
        before,
        after,
        stage.row,
        own,
        gaps,
        found,
        slits(own) if found else (),
        units,
        parted_from(now, lying, APART),
        parted_from(lying, now, APART),
        cut_was,
        () if cut_now is None else parted_from([cut_now], [cut_was], APART) if cut_was is not None else (cut_now,),
        wider,
        instructions,
    )


def facts_of(change: Change, summary: str, figures: Sequence[str] = ()) -> StepFacts:
    """Collect what the words of a step speak of; ``summary``: what the operation says of itself."""
    spots = [aside(change.before, spot) for spot in furthest_spots(change)]
    return StepFacts(
        change.row,
        change.openings,
        route(change.before, change.slits, change.units),
        any(slit.hinge is not None for slit in change.slits),
        change.units.unit,
        summary,
        tuple(note.length for note in change.arrows if note.length is not None),
        max((off for _, off, _ in spots), default=0.0),
        tuple(figures),
        "" if (found := beginning_of(change)) is None else found.words,
        tuple(dict.fromkeys(side for _, _, side in spots)),
    )


def is_seen(change: Change) -> bool:
    """Tell whether a step that cut nothing changed anything that is seen on paper."""
    seen = (change.drawn_new, change.left_over, change.cut_now, change.arrows, change.notches, change.own_lines)
    return any(map(bool, seen))


def own_lines(notes: Iterable[Annotation]) -> list[Annotation]:
    """Pick the annotations that are drawn with a plug-in's own kinds of lines."""
    return [note for note in notes if note.line is not None]


def spots_of(change: Change) -> list[complex]:
    """Find the middles of the close-ups."""
    if change.openings:
        return [(opening.first + opening.second) / 2 for opening in change.openings]
    arrows = [(way.start + way.end) / 2 for way in change.ways]
    return arrows or furthest_spots(change) or [mark.at for mark in change.notches if mark.at is not None]


def asides_of(change: Change) -> list[float]:
    """Measure how far the new edge lies beside the old in each close-up, mm; [0.0] where there is none."""
    return [aside(change.before, spot)[1] for spot in furthest_spots(change)] or [0.0]


def furthest_spots(change: Change) -> list[complex]:
    """Find, of a step that cut nothing, where each longest new stretch lies farthest from the old edge."""
    longest = sorted(change.drawn_new, key=lambda one: -one.length(1e-2))[:CLOSE_UPS]
    old = change.before.outline()
    every = [[stretch.point(t) for t in np.linspace(0, len(stretch), 40).tolist()] for stretch in longest]
    return [] if change.parts else [max(spots, key=lambda spot: old.nearest(spot)[1]) for spots in every]


def aside(piece: Piece, at: complex) -> tuple[complex, float, str]:
    """Find the place of a piece's edge nearest to a point, how far that is, mm, and on which side the point lies."""
    loop = piece.outline()
    t, off = loop.nearest(at)
    foot = loop.point(t)
    towards = (loop.tangent(t).conjugate() * (at - foot)).imag > 0
    return foot, off, "inside" if towards == (loop.area() > 0) else "outside"


def beginning_of(change: Change) -> Beginning | None:
    """Find where a redrawn edge begins that is to be marked; None for every other step."""
    edge = change.instructions.begins_on
    return begins(change.before, change.after, edge, change.units) if edge else None
