"""A PDF read as a layered drawing in mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec.structs import replace

from svgfit.formats.layered_svg import PathItem, SvgLayer, TextItem, layered_svg
from svgfit.formats.pdf.dashes import join_exploded
from svgfit.formats.pdf.interpreter import Interpreter
from svgfit.formats.pdf.limits import DAMAGED, Unreadable
from svgfit.formats.pdf.optional_content import Layers, PdfLayer, read_layers
from svgfit.formats.pdf.pages import MM_PER_POINT, Page, read_pages
from svgfit.formats.pdf.records import Line, Writing
from svgfit.formats.pdf.sheet import Sheet, put_together
from svgfit.formats.pdf.state import HAIR
from svgfit.formats.pdf.streams import open_pdf, quiet_library
from svgfit.formats.pdf.writings import join_writings, to_text
from svgfit.geometry.affine import Affine
from svgfit.geometry.box import box_of_points
from svgfit.model.file_format import Converted, PagePlace, Wishes
from svgfit.model.refusal import Refusal
from svgfit.model.wording import listed

UNNAMED = "drawing"
"""The layer of what lies in none."""


def read_pdf(file: str, data: bytes, wishes: Wishes) -> Converted:
    """Read a PDF: its layers, lines and texts at true size, pages that are tiles of one sheet put together.

    Raises Refusal, in one line, for what is damaged, locked, has no lines, or can't be put together for certain.
    """
    try:
        return _read(data, wishes)
    except Unreadable as fault:
        raise Refusal(file, fault.what, fault.todo) from None


def _read(data: bytes, wishes: Wishes) -> Converted:
    with quiet_library(), open_pdf(data) as document:
        layers = read_layers(document)
        pages = read_pages(document, Interpreter(layers))
        repaired = bool(document.get_warnings())
    _refuse_without_lines(pages)
    sheet = put_together(pages, wishes)
    marks = join_exploded(sheet.marks)
    drawn = _layers(marks, layers)
    if not drawn:
        raise Unreadable("draws no line that can be seen", DAMAGED)
    warnings = (*_warnings(pages, layers, sheet.marks, wishes), *sheet.warnings)
    if repaired:
        warnings = ("is damaged and was repaired as far as it goes; look whether all of it is here", *warnings)
    return Converted(
        svg=layered_svg(sheet.width, sheet.height, drawn),
        warnings=warnings,
        notes=(*sheet.notes, *_dashes_note(sheet.marks, marks)),
        scale_from=_scale_from(pages),
        places=_places(pages, sheet),
    )


def _dashes_note(before: Sequence[Line | Writing], after: Sequence[Line | Writing]) -> Iterator[str]:
    """Say how many strokes were put together to dashed lines."""
    strokes, lines = (sum(len(mark.subpaths) for mark in marks if isinstance(mark, Line)) for marks in (before, after))
    if strokes != lines:
        known = {id(mark) for mark in before}
        dashed = sum(isinstance(mark, Line) and bool(mark.style.dash) and id(mark) not in known for mark in after)
        yield f"{strokes - lines + dashed} single strokes are the dashes of {dashed} lines"


def _places(pages: Sequence[Page], sheet: Sheet) -> tuple[PagePlace, ...]:
    """Say where the pages lie on the sheet, and what of it each shows."""
    motions = {page.number: page.motion for page in pages}
    found: list[PagePlace] = []
    for tile in sheet.tiles:
        by = Affine.shift(tile.shift)
        window = tile.window and box_of_points(
            by.apply(complex(*corner)) for corner in (tile.window[:2], tile.window[2:])
        )
        found.append(PagePlace(tile.number, motions[tile.number].then(by), window))
    return tuple(found)


def _refuse_without_lines(pages: Sequence[Page]) -> None:
    if not pages:
        raise Unreadable("has no pages", DAMAGED)
    if any(page.content.points for page in pages):
        return
    if any(page.content.pictures for page in pages):
        raise Unreadable(
            "holds only pictures made of pixels, no lines",
            "trace it in a drawing program, with a square of known size in it, and save that as SVG",
        )
    raise Unreadable("holds no lines", "export the pattern as lines, not as pictures or text alone")


def _scale_from(pages: Sequence[Page]) -> str:
    units = sorted({round(page.motion.size / MM_PER_POINT, 6) for page in pages})
    if units == [1.0]:
        return "the PDF's unit (1/72 in)"
    return f"the PDF's unit (1/72 in times {listed([f'{unit:g}' for unit in units])})"


def _warnings(pages: Sequence[Page], layers: Layers, marks: Sequence[Line | Writing], wishes: Wishes) -> list[str]:
    found: list[str] = []
    used = {mark.layer for mark in marks}
    off = ["/".join(layer.path) for key, layer in layers.known.items() if layer.hidden and key in used]
    if off:
        verb, they = ("are", "they are") if len(off) > 1 else ("is", "it is")
        found.append(
            f"{listed(off)} {verb} switched off in the PDF; like any hidden layer {they} looked at where the name "
            "says what it is: choose with --size"
        )
    strange = sum(page.content.strange for page in pages)
    if strange:
        found.append(f"{strange} places in it could not be understood; look whether all of it is here")
    if any(page.content.pictures for page in pages):
        found.append("pictures made of pixels in it are left out")
    if any(page.annotations for page in pages):
        found.append("notes and drawings that a viewer put onto its pages are left out")
    if wishes.scale is not None:
        found.append("--scale is not used: a PDF states its own size")
    return found


def _layers(marks: Sequence[Line | Writing], layers: Layers) -> list[SvgLayer]:
    """Sort what is drawn into the tree of layers, in the order in which the file lists them; those with nothing go."""
    items: dict[tuple[str, ...], list[PathItem | TextItem]] = {layer.path: [] for layer in layers.known.values()}
    hidden = {layer.path for layer in layers.known.values() if layer.hidden}
    nowhere = PdfLayer((UNNAMED,))
    for mark in (mark for mark in marks if isinstance(mark, Line)):
        path = _layer_of(mark, layers, nowhere).path
        items.setdefault(path, []).append(_path(mark))
    for writing in join_writings([mark for mark in marks if isinstance(mark, Writing)]):
        path = _layer_of(writing, layers, nowhere).path
        items.setdefault(path, []).append(to_text(writing))
    return _tree(items, hidden, ())


def _layer_of(mark: Line | Writing, layers: Layers, nowhere: PdfLayer) -> PdfLayer:
    return layers.known.get(mark.layer, nowhere) if mark.layer is not None else nowhere


def _tree(
    items: Mapping[tuple[str, ...], list[PathItem | TextItem]], hidden: set[tuple[str, ...]], above: tuple[str, ...]
) -> list[SvgLayer]:
    depth = len(above) + 1
    below = dict.fromkeys(path[:depth] for path in items if len(path) >= depth and path[: depth - 1] == above)
    found: list[SvgLayer] = []
    for path in below:
        inner = _tree(items, hidden, path)
        own = tuple(items.get(path, ()))
        if own or inner:
            found.append(SvgLayer(path[-1], own, tuple(inner), hidden=path in hidden))
    return found


def _path(mark: Line) -> PathItem:
    style = mark.style
    if style.stroke and style.width < HAIR:
        style = replace(style, width=HAIR)
    return PathItem(mark.subpaths, style)
