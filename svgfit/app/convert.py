"""Write a drawing as a file of another kind: SVG, or what a writer's plug-in knows."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from svgfit.model.file_format import Convertible, Needs, Writer
from svgfit.model.refusal import Refusal
from svgfit.model.run import garment_rows

if TYPE_CHECKING:
    from svgfit.app.session import Session
    from svgfit.model.report import PieceRow
    from svgfit.plugin.registry import Registry


def choose_writer(out: str, registry: Registry) -> Writer:
    """Find the writer of files that end as ``out`` does. Raises Refusal, with the endings there are, for none."""
    writers = registry.writers()
    name = os.path.basename(out).casefold()
    fitting = [writer for writer in writers if name.endswith(writer.suffix)]
    if not fitting:
        endings = ", ".join(sorted(writer.suffix for writer in writers))
        raise Refusal(out, "has an ending that svgfit can't write", f"choose one of {endings}")
    return max(fitting, key=lambda writer: len(writer.suffix))


def conversion_warnings(session: Session, writer: Writer) -> tuple[str, ...]:
    """List what there is to mind of what a writer wrote: where it wrote pieces, what was guessed of them too."""
    if _knows_pieces(writer):
        return session.warnings
    texts = (*session.only_drawing[0].warnings, *session.registry.warnings)
    return tuple(map(session.units.speak, texts))


def _knows_pieces(writer: Writer) -> bool:
    return writer.needs in (Needs.PIECES, Needs.MEASUREMENTS)


def convert(session: Session, writer: Writer) -> bytes:
    """Write the session's one drawing by a writer. Raises Refusal for what can't be read, told or written."""
    drawing, _ = session.only_drawing
    known = _knows_pieces(writer)
    return writer.write(
        Convertible(
            file=drawing.canvas.file,
            svg=drawing.source.data,
            canvas=drawing.canvas,
            layers=drawing.layers,
            drawn=session.read.raw_pieces if known else (),
            pieces=session.pieces if known else (),
            rows=_rows(session) if writer.needs == Needs.MEASUREMENTS else (),
            painted=_painted(session) if writer.needs == Needs.PAINTED else b"",
            unit=session.units.unit,
        )
    )


def _rows(session: Session) -> tuple[PieceRow, ...]:
    """Give the measurements of all pieces, and behind them those of the garment."""
    return (*session.measurements(), *(row.as_piece for row in garment_rows(session.unchanged.sizes)))


def _painted(session: Session) -> bytes:
    from svgfit.render.pdf.painted_layers import paint_layers  # here because it brings the typesetter

    (file,) = session.files
    return paint_layers(*session.fresh_copy(file)).pdf
