"""The handout put together: drawings as read in, one PDF out; nothing is read or written here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack

from msgspec import Struct

from svgfit.geometry.box import Box, widen_box
from svgfit.model.length import Units
from svgfit.model.refusal import Refusal
from svgfit.model.wording import drawing_stem
from svgfit.render.annotate.scene import ADJUSTED, MEASUREMENTS, WORKING
from svgfit.render.pdf.choosing import Chosen, Printable, Wanted, choose
from svgfit.render.pdf.first_page import FirstPage, first_page, heading
from svgfit.render.pdf.frames import Frame, frame
from svgfit.render.pdf.inking import Inking, ink_of
from svgfit.render.pdf.joining import FullDrawing, join
from svgfit.render.pdf.overview import Overview, overview
from svgfit.render.pdf.papers import Paper
from svgfit.render.pdf.tiling import Inked, Tiling, print_areas, tile
from svgfit.render.pdf.typesetting import FullSize, TypesetDrawing, typeset
from svgfit.render.text_metrics import text_box, text_width
from svgfit.rules.paper import MARGIN, OVERLAP
from svgfit.svg.export.contrast import make_printable
from svgfit.svg.export.drawable import check_depth
from svgfit.svg.export.ink_extent import paint_sheet, reach
from svgfit.svg.export.print_svg import to_print
from svgfit.svg.reader import Drawing, Placed, Tree
from svgfit.svg.styles import Sheet as StyleSheet

MANY = 100
"""More pages than this are printed only on demand."""
_HALO = 0.3
"""A text's ink reaches so many font sizes beyond its box: other letters than those it was measured for, a halo."""


_EXACT = 0.01
"""Lines are printed to within this, mm, or it is told."""


class Handout(Struct, frozen=True):
    """How it is to be printed."""

    paper: Paper
    orientation: str | None = None
    """``portrait`` or ``landscape``; None: the one that needs fewer pages."""
    margin: float = MARGIN
    overlap: float = OVERLAP
    wanted: Wanted = Wanted()
    units: Units = Units()
    many: bool = False
    """Whether more than ``MANY`` pages may be printed."""
    as_drawn: bool = False
    """Whether pale and hair-thin lines are left as they are."""
    redraw: Callable[[str], Printable | None] | None = None
    """Gives the drawing of a file with the figures of the wanted sizes; None where these can't be had."""


class Made(Struct, frozen=True):
    """A handout, and what is to be said of it."""

    pdf: bytes
    said: tuple[str, ...]
    warnings: tuple[str, ...]
    tilings: tuple[Tiling, ...] = ()
    """The pages of each drawing; they are the last of the PDF but for what lies behind."""


class Pages(Struct, frozen=True):
    """All pages but what they show of the drawings."""

    title: str
    first: FirstPage
    overviews: tuple[Overview, ...]
    frames: tuple[Frame, ...]


class Ready(Struct, frozen=True):
    """A drawing chosen from and divided into pages."""

    drawing: Drawing
    tree: Tree
    chosen: Chosen
    ink: Inked
    tiling: Tiling
    title: str
    words: tuple[Box, ...]
    """Boxes round what is written, page mm."""
    sheet: StyleSheet | None
    """What style sheets say of painting."""


def prepare(drawings: Sequence[Printable], how: Handout) -> tuple[Ready, ...]:
    """Choose from the drawings and divide them into pages. Raises Refusal for what can't be printed so."""
    ready = tuple(_ready(one, how) for one in drawings)
    pages = sum(len(one.tiling.tiles) for one in ready)
    if pages > MANY and not how.many:
        what = f"it would take {pages} pages of {how.paper.described()}"
        todo = "choose with --pieces, --size or --layers, take a larger --paper, or give --many"
        raise Refusal(", ".join(one.drawing.canvas.file for one in drawings), what, todo)
    return ready


def make_handout(
    ready: Sequence[Ready], how: Handout, behind: Sequence[bytes] = (), failed: Sequence[str] = ()
) -> Made:
    """Make the PDF of what is prepared, true to size: a page to print first, an overview, the pages of each drawing.

    ``behind`` are PDFs that follow, ``failed`` checks that the first page tells of. Uses up the drawings' trees.
    """
    pdfs: list[bytes] = []
    warnings: list[str] = []
    with ExitStack() as begun:
        latest: TypesetDrawing | None = None
        for one in ready:
            ink, canvas = one.ink, one.drawing.canvas
            darkened = 0
            if not how.as_drawn:
                darkened = make_printable(one.tree.root, one.chosen.placed, canvas.mm_per_user_unit, one.sheet)
            svg, pictures = to_print(
                canvas,
                one.tree,
                {each.item.owner for each in one.chosen.placed},
                (ink.left, ink.top, ink.width, ink.height),
                text_width,
            )
            pdfs += [latest.result()] if latest is not None else []
            latest = TypesetDrawing(canvas.file, svg, FullSize(ink.width, ink.height))
            begun.callback(latest.end)
            warnings += _warnings(one, pictures, darkened)
        frames = typeset("handout", _frames(ready, how, failed))  # while the last drawing is being set
        pdfs += [latest.result()] if latest is not None else []
    drawings = [
        FullDrawing(pdf, one.ink.left, one.ink.top, one.tiling.area, one.tiling.tiles)
        for one, pdf in zip(ready, pdfs, strict=True)
    ]
    pdf = join(frames, drawings, behind)
    return Made(pdf, tuple(_said(one) for one in ready), tuple(warnings), tuple(one.tiling for one in ready))


def _ready(read: Printable, how: Handout) -> Ready:
    ways = print_areas(how.paper, how.orientation, how.margin, how.overlap)
    chosen = choose(read, how.wanted)
    if chosen.unsized and how.redraw is not None:
        redrawn = how.redraw(read.drawing.canvas.file)
        if redrawn is not None:
            read, chosen = redrawn, choose(redrawn, how.wanted)
    file, per = read.drawing.canvas.file, read.drawing.canvas.mm_per_user_unit
    check_depth(file, read.tree.root)
    sheet = paint_sheet(file, read.tree.root)
    drawn = [_drawn(each, per, sheet) for each in chosen.placed if each.shape is not None]
    texts = [text.text for each in chosen.placed for text in each.texts]
    words = tuple(text_box(text) for text in texts)
    ink = ink_of(drawn, [widen_box(box, _HALO * text.size) for box, text in zip(words, texts, strict=True)])
    if not chosen.placed:
        sizes = " and ".join(dict.fromkeys(size for _, size in chosen.unsized))
        raise Refusal(file, f"what is on these layers is there for size {sizes} only", f"take --size {sizes}")
    if ink is None:
        raise Refusal(file, "what is to be printed of it is white on white", "choose others by --layers")
    title = _title(file, how.wanted)
    return Ready(read.drawing, read.tree, chosen, ink, tile(ink, ways, words), title, words, sheet)


def _drawn(each: Placed, per: float, sheet: StyleSheet | None) -> Inking:
    found = reach(each.item, per, sheet)
    curves = each.shape.curves if each.shape is not None else ()
    return Inking(curves, found.radius, found.stroked, found.filled)


def _title(file: str, wanted: Wanted) -> str:
    name = drawing_stem(file)
    sizes = wanted.sizes
    return f"{name}, size{'s' * (len(sizes) > 1)} {', '.join(sizes)}" if sizes else name


def _frames(ready: Sequence[Ready], how: Handout, failed: Sequence[str]) -> Pages:
    """Collect first page, overviews and the frames of all true-to-size pages."""
    title = ", ".join(one.title for one in ready)
    area = ready[0].tiling.area
    warned = heading(failed) if failed else ""
    several = [one for one in ready if len(one.tiling.tiles) > 1]
    return Pages(
        title,
        first_page(area, title, _load(area.paper, how), failed),
        tuple(overview(one.tiling, one.chosen, one.title, how.units, warned) for one in several),
        tuple(frame(one.tiling, tile, one.title, how.units, one.words) for one in ready for tile in one.tiling.tiles),
    )


def _load(paper: Paper, how: Handout) -> str:
    """Say which paper to put in the printer."""
    names = [name.upper() if len(name) == 2 else name.replace("-", " ") for name in paper.name.split("+") if name]
    return f"{' or '.join(names)} paper" if names else f"paper of {paper.described(how.units)}"


def _said(one: Ready) -> str:
    tiling = one.tiling
    count = len(tiling.tiles)
    blank = f", {tiling.blank} blank left out" if tiling.blank else ""
    pages = f"{count} page{'s' * (count != 1)}"
    grid = f" (rows {tiling.rows}, columns {tiling.columns}{blank})" if count > 1 else ""
    name = f"{tiling.area.paper.described()}, {tiling.area.orientation}"
    printed = ", ".join((*one.chosen.layers, *(f"{name} as drawn" for name in one.chosen.as_drawn)))
    return f"{one.drawing.canvas.file}: {printed} on {pages} of {name}{grid}"


def _hidden(file: str, chosen: Chosen) -> str:
    """Say that hidden layers are not printed, and what is missing without them."""
    names = ", ".join(f'"{name}"' for name in chosen.hidden)
    bare = f", so that no outline of {', '.join(chosen.no_outline)} is printed" if chosen.no_outline else ""
    return f"{file}: not printed, since hidden in the drawing: {names}{bare}; show them and save the drawing"


def _rounding(one: Ready) -> float:
    """Reckon by how much lines may be off, mm: the typesetter counts in numbers of 24 bits."""
    canvas = one.drawing.canvas
    shifts = {(each.item.matrix.e, each.item.matrix.f) for each in one.chosen.placed}
    largest = max(map(abs, (canvas.to_root.e, canvas.to_root.f, *(part for shift in shifts for part in shift))))
    return largest * canvas.mm_per_user_unit * 2.0**-23


def _warnings(one: Ready, pictures: int, darkened: int) -> list[str]:
    file = one.drawing.canvas.file
    found = [*one.drawing.warnings]
    if one.chosen.left_out:
        names = ", ".join(one.chosen.left_out)
        every = ",".join(dict.fromkeys((*(name for name, _ in one.chosen.pieces), *one.chosen.left_out)))
        todo = f'--pieces "{every}" prints them as drawn'
        found.append(f"{file}: not printed, since no plan changed them: {names}; {todo}")
    if one.chosen.hidden:
        found.append(_hidden(file, one.chosen))
    for name, size in one.chosen.unsized:
        todo = f"they are measured on size {size}; --size {size} prints them"
        found.append(f"{file}: {name} is printed without its figures, which can't be had for this size: {todo}")
    if pictures:
        found.append(f"{file}: {pictures} of its pictures (photographs, scans, web pages) are not printed")
    if darkened:
        what = (
            f"{darkened} of its lines and texts, too pale or too thin for a laser printer, are printed darker or wider"
        )
        found.append(f"{file}: {what}; --colours as-drawn leaves them")
    off = _rounding(one)
    if off > _EXACT:
        todo = "move the drawing to where its numbers begin"
        found.append(f"{file}: its numbers are so large that the print may be off by {off:.2f} mm; {todo}")
    for kind in (ADJUSTED, MEASUREMENTS, WORKING):
        if kind in one.chosen.layers and sum(layer.kind == kind for layer in one.drawing.svgfit_layers) > 1:
            found.append(f"{file}: there are several layers {kind}, since one was edited; all of them are printed")
    return found
