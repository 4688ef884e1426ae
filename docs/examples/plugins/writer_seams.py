"""Writes every edge of a drawing with its length as sewn, a line of text for each: ``svgfit convert … -o a.seams``.

The fields stand between tabs: piece, size, edge, length in mm, seam allowance in mm (nothing where it is not known).
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import Refusal, formats, hookimpl, sewing

HEAD = ("piece", "size", "edge", "length mm", "allowance mm")


def write(drawing: formats.Convertible) -> bytes:
    """Write the table; refuse a drawing without pieces."""
    if not drawing.pieces:
        raise Refusal(drawing.file, "it has no piece whose edges are known", "name its pieces in svgfit.toml")
    rows: list[tuple[str, ...]] = [HEAD]
    for piece in drawing.pieces:
        for edge in piece.edges:
            allowance = "" if edge.allowance is None else f"{edge.allowance:.2f}"
            length = f"{sewing.sewn_length(piece, edge.name):.2f}"
            rows.append((piece.name, piece.size or "", edge.name, length, allowance))
    return "".join("\t".join(field.replace("\t", " ") for field in row) + "\n" for row in rows).encode()


@hookimpl
def svgfit_writers() -> Iterable[formats.Writer]:
    """Called once, when svgfit loads this file."""
    summary = "a text, the length of every edge as sewn"
    return [formats.Writer("seams", ".seams", write, needs=formats.Needs.PIECES, summary=summary)]
