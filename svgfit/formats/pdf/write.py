"""A drawing as one true-to-size page of a PDF, its layers as optional content.

Each painted layer is one form; where it is shown it is marked with its layer and those that it lies in, so that a
viewer's switch for a layer rules its sublayers too (PDF 1.7, 8.11 "Optional content").
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from io import BytesIO
from typing import Any

from msgspec import Struct

from svgfit.model.drawing import Layer
from svgfit.model.file_format import Convertible

Path = tuple[str, ...]


class Group(Struct, frozen=True):
    """A layer as PDF knows it: its place among the groups, its path, its form (None: nothing of its own is on it)."""

    number: int
    path: Path
    form: int | None
    hidden: bool
    parent: int | None


def layered_pdf(drawing: Convertible) -> bytes:
    """Write the drawing, painted beforehand, as one page; the same drawing gives the same bytes."""
    import pikepdf

    groups = list(_groups(drawing.layers))
    with pikepdf.open(BytesIO(drawing.painted)) as painted, pikepdf.new() as pdf:
        forms = [pdf.make_indirect(pdf.copy_foreign(page.as_form_xobject())) for page in painted.pages]
        left, bottom, right, top = (float(side) for side in painted.pages[0].mediabox)
        page = pdf.add_blank_page(page_size=(right - left, top - bottom))
        marks = [pdf.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=_text(g.path[-1]))) for g in groups]
        page.Contents = pdf.make_stream("\n".join(_shown(groups)).encode())
        page.Resources = pikepdf.Dictionary(
            XObject=pikepdf.Dictionary({f"/F{g.form}": forms[g.form] for g in groups if g.form is not None}),
            Properties=pikepdf.Dictionary({f"/L{g.number}": marks[g.number] for g in groups}),
        )
        pdf.Root.OCProperties = pikepdf.Dictionary(
            OCGs=pikepdf.Array(marks),
            D=pikepdf.Dictionary(
                Order=_order(groups, marks, None),
                OFF=pikepdf.Array([marks[g.number] for g in groups if g.hidden]),
                Name=_text("as drawn"),
            ),
        )
        pdf.Root.PageMode = pikepdf.Name.UseOC
        pdf.Root.ViewerPreferences = pikepdf.Dictionary(PrintScaling=pikepdf.Name("/None"), PickTrayByPDFSize=True)
        page.trimbox = page.mediabox
        out = BytesIO()
        pdf.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return out.getvalue()


def _text(name: str) -> Any:
    import pikepdf

    return pikepdf.String(name or "(no name)")


def _groups(layers: Sequence[Layer]) -> Iterator[Group]:
    """Make a group of each layer with something on it, and of those that it lies in; layers of one path share one."""
    full = [bool(layer.shapes or layer.texts) for layer in layers]
    needed = {layer.path[:depth] for layer, has in zip(layers, full, strict=True) if has for depth in range(1, 99)}
    numbers: dict[Path, int] = {}
    count = 0
    for form, layer in enumerate(layers):
        if layer.path not in needed:
            continue
        parent = next(
            (numbers[layer.path[:k]] for k in range(len(layer.path) - 1, 0, -1) if layer.path[:k] in numbers), None
        )
        yield Group(count, layer.path, form if full[form] else None, layer.hidden, parent)
        numbers[layer.path] = count
        count += 1


def _shown(groups: Sequence[Group]) -> Iterator[str]:
    """Write what is shown: each form within the marks of its layer and of those that it lies in."""
    for group in groups:
        if group.form is None:
            continue
        chain = [group]
        while chain[-1].parent is not None:
            chain.append(groups[chain[-1].parent])
        for each in reversed(chain):
            yield f"/OC /L{each.number} BDC"
        yield f"q /F{group.form} Do Q"
        yield from ["EMC"] * len(chain)


def _order(groups: Sequence[Group], marks: Sequence[Any], parent: int | None) -> Any:
    """List the groups as a viewer shows them, sublayers behind their layer; the topmost layer first."""
    import pikepdf

    found: list[Any] = []
    for group in reversed(groups):
        if group.parent == parent:
            found.append(marks[group.number])
            below = _order(groups, marks, group.number)
            if len(below):
                found.append(below)
    return pikepdf.Array(found)
