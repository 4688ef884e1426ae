"""Files that are no SVG: which plug-in reads one, and what the drawing is called that comes of it."""

from __future__ import annotations

import os
from collections.abc import Sequence

from msgspec.structs import replace

from svgfit.model.file_format import HEAD, Converted, Reader, Wishes
from svgfit.model.refusal import Refusal
from svgfit.plugin.registry import Registry
from svgfit.svg import Drawing, may_be_svg

_SVG_ENDINGS = (".svg", ".svgz", ".svg.gz")


def convert_foreign(file: str, data: bytes, registry: Registry, wishes: Wishes) -> Converted | None:
    """Turn a file's bytes into a drawing in mm; None for what may be SVG, and for what no reader knows.

    No plug-in is imported for what may be SVG. Raises Refusal where the file's reader can't read it.
    """
    head = data[:HEAD]
    if not head.strip(b"\x00 \t\r\n") or may_be_svg(head):
        return None
    readers = registry.readers()
    for reader in readers:
        if reader.suits(head):
            return reader.read(file, data, wishes)
    _refuse_misnamed(file, readers)
    return None


def _refuse_misnamed(file: str, readers: Sequence[Reader]) -> None:
    """Raise Refusal for a file that its name says to be of a kind that it is not."""
    for reader in readers:
        ending = next((ending for ending in reader.suffixes if file.casefold().endswith(ending)), None)
        if ending is not None:
            raise Refusal(file, f"is not what its ending {ending} says", "export or save it again")


def converted_drawing(drawing: Drawing, found: Converted) -> Drawing:
    """Say of a drawing that a reader made what there is to mind; no line of a file is named, for it has none."""
    file = drawing.canvas.file
    layers = tuple(
        replace(
            layer,
            line=None,
            shapes=tuple(replace(shape, line=None) for shape in layer.shapes),
            texts=tuple(replace(text, line=None) for text in layer.texts),
        )
        for layer in drawing.layers
    )
    warnings = (*(f"{file}: {text}" for text in found.warnings), *drawing.warnings)
    return replace(drawing, layers=layers, warnings=warnings)


def drawing_name(file: str) -> str:
    """Name the drawing that is written for a file, without its folder: an SVG keeps its name, others end in .svg."""
    name = os.path.basename(file)
    if name.casefold().endswith(_SVG_ENDINGS):
        return name
    try:
        with open(file, "rb") as stream:
            head = stream.read(HEAD)
    except (OSError, ValueError):
        return name
    return name if may_be_svg(head) or not head.strip() else f"{os.path.splitext(name)[0]}.svg"
