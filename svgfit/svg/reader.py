"""From a file to a Drawing: source, tree, scale and layers put together."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.model.dialect import Dialect, Element, LayerFacts
from svgfit.model.drawing import Canvas, DrawnText, Layer, Shape, Text
from svgfit.model.label_size import stated_size
from svgfit.model.refusal import Refusal
from svgfit.model.wording import name_key
from svgfit.svg import scale as scales
from svgfit.svg.cubics import cubics_of
from svgfit.svg.element_transform import read_motion
from svgfit.svg.generator import generator_of
from svgfit.svg.labelled_square import LabelledSquare, find_labelled
from svgfit.svg.line_style import StyleReader, style_sheet
from svgfit.svg.path_data import Broken, PathError, Subpath
from svgfit.svg.shapes import Frame, read_shape
from svgfit.svg.source import OUR_MARK, Source, load_source, source_of
from svgfit.svg.styles import Sheet, may_have_sheet
from svgfit.svg.svgfit_layers import SvgfitLayer, find_layers
from svgfit.svg.texts import read_text
from svgfit.svg.transforms import IDENTITY
from svgfit.svg.traverse import Draft, Item, Walk
from svgfit.svg.tree import parse, place, visible_name
from svgfit.svg.warnings import WarningLog

ARC_ACCURACY = 2e-4
"""Largest distance of an arc's cubics from the true arc, mm. Five times what is promised: lengths add up."""
MEETS = 1e-4
"""Ends of a subpath nearer than this, mm, are one point: what is left of rounding in the file."""
MOST_SEGMENTS = 100_000
"""No drawing shows more curve segments than this in all (a guard against files made to fill memory and time)."""
FARTHEST = 1e6
"""Nothing on a sewing pattern lies farther from the page's corner than this, mm."""

_DATA = "data-svgfit-"


class Drawing(Struct, frozen=True):
    """A file's contents. Lengths in page millimetres."""

    source: Source
    canvas: Canvas
    layers: tuple[Layer, ...]
    """Document order, sublayers behind the layer they lie in."""
    svgfit_layers: tuple[SvgfitLayer, ...]
    """Layers that svgfit wrote on an earlier run, in document order."""
    warnings: tuple[str, ...] = ()
    ids: frozenset[str] = frozenset()
    """Every id in the file that is not in a layer of ours."""
    has_square: bool = False
    """Whether it holds a test square, which its scale was held against."""


class Placed(Struct, frozen=True):
    """One drawn element and what was read of it: its shape, or the lines of its text."""

    item: Item
    shape: Shape | None = None
    texts: tuple[DrawnText, ...] = ()


class Tree(Struct, frozen=True):
    """The elements behind a drawing, for printing it again; nothing else looks at them."""

    root: Element
    frame: Frame
    placed: tuple[tuple[Placed, ...], ...]
    """For each of the drawing's layers what lies on it."""


def names_a_test_square(path: tuple[str, ...]) -> bool:
    """Return whether a layer is for the test square by its plain name, where no convention says otherwise."""
    return any(name_key(name).startswith("test square") for name in path)


class ParsedFile(Struct, frozen=True):
    """A drawing's bytes and the tree they were parsed to, before anything is known of its scale."""

    source: Source
    root: Element
    svgfit_layers: tuple[SvgfitLayer, ...]
    """Layers that svgfit wrote on an earlier run, in document order."""


def parse_file(path: str | os.PathLike[str], data: bytes | None = None) -> ParsedFile:
    """Load a drawing's bytes and parse them, once.

    Args:
        path: an SVG file, gzipped or not.
        data: what is parsed in place of the file's own bytes; ``path`` is then for messages only.

    Raises:
        Refusal: for anything that is no readable SVG, with file and line.
    """
    source = load_source(path) if data is None else source_of(os.fspath(path), data)
    root = parse(source)
    return ParsedFile(source, root, find_layers(source, _ours(root), _space(root)))


def read_parsed(
    parsed: ParsedFile,
    *,
    scale: float | None = None,
    dialects: Sequence[Dialect],
    is_test_square: Callable[[tuple[str, ...]], bool] = names_a_test_square,
    test_square_mm: float | None = None,
    size_from: str | None = None,
) -> tuple[Drawing, Tree]:
    """Read a parsed drawing: its layers, shapes and texts in page millimetres, and the elements behind them.

    Args:
        parsed: as ``parse_file`` gave it; its tree is left as it is.
        scale: the root's user units in an inch; None to go by the file (its width and height, else a test square, else
            what the program that wrote it is known to write).
        dialects: ways to read layers; asked in their own order. Where none speaks, every group with an id is a layer.
        is_test_square: whether a layer of this path holds the test square.
        test_square_mm: the side of the test square, mm; None to go by what its layer says, else by the usual sizes.
        size_from: what the root's width and height are called, where a reader made them; None: as they are written.

    Raises:
        Refusal: for anything that cannot be read, with file, line and element.
    """
    source, root, ours = parsed.source, parsed.root, parsed.svgfit_layers
    space = _space(root)
    sheet = _sheet(source, root)
    box = scales.read_root(source.file, root, sheet)
    if size_from is not None:
        box = replace(box, stated=size_from)
    frame = Frame(*box.frame, page=box.page, sheet=sheet)
    _stays(source.file, root, frame)
    with np.errstate(over="ignore", invalid="ignore"):  # what is not finite is refused, with its element
        walk = _walk(source.file, root, list(root), _ours(root), frame, space, dialects)
        sheets = [draft for draft in walk.drafts if draft.ours is None and draft.items and is_test_square(draft.path)]
        squares = _squares(source.file, sheets, walk.log)
        labelled = () if squares else _labelled(source.file, walk)
        nominal = _stated(sheets) if test_square_mm is None and squares else test_square_mm
        generator = generator_of(root)
        per, scale_from, warnings = scales.scale_of(source.file, box, scale, squares, nominal, generator, labelled)
        canvas = scales.canvas(source.file, box, per, scale_from)
        build = _Builder(canvas, space, walk.log, StyleReader(style_sheet(source, root), canvas.mm_per_user_unit))
        placed = tuple(build.placed(draft) for draft in walk.drafts)
        layers = tuple(build.layer(draft, each) for draft, each in zip(walk.drafts, placed, strict=True))
    warnings = (*(sheet.warnings if sheet else ()), *walk.log.all(source.file), *warnings)
    square = bool(squares) or any(each.sure for each in labelled)
    return Drawing(source, canvas, layers, ours, warnings, _ids(root, ours), square), Tree(root, frame, placed)


def read_drawing(
    path: str | os.PathLike[str],
    *,
    scale: float | None = None,
    dialects: Sequence[Dialect],
    is_test_square: Callable[[tuple[str, ...]], bool] = names_a_test_square,
    test_square_mm: float | None = None,
) -> Drawing:
    """Read a drawing from its file: ``parse_file``, then ``read_parsed``, with their arguments and refusals."""
    drawing, _ = read_parsed(
        parse_file(path),
        scale=scale,
        dialects=dialects,
        is_test_square=is_test_square,
        test_square_mm=test_square_mm,
    )
    return drawing


def _space(root: Element) -> str:
    """Return the root's namespace as "{namespace}", "" where it has none."""
    space = root.tag.rpartition("}")[0]
    return space + "}" if space else ""


def _ours(root: Element) -> list[Element]:
    return [child for child in root if isinstance(child.tag, str) and child.get(OUR_MARK) is not None]


def _sheet(source: Source, root: Element) -> Sheet | None:
    if not may_have_sheet(source.utf8):
        return None
    from svgfit.svg.stylesheet import read_sheet  # here because most drawings have none

    return read_sheet(source.file, root)


def _stays(file: str, root: Element, frame: Frame) -> None:
    """Refuse a root that is moved as a whole: where it then lies on the page is not told by the drawing alone."""
    where = f"{file}: line {root.sourceline}: svg"
    unread: list[str] = []
    try:
        moved = read_motion(root, frame, lambda: (0.0, 0.0, 0.0, 0.0), unread.append) != IDENTITY
    except PathError as fault:
        raise Refusal(where, str(fault), "leave it out") from None
    if moved or unread:
        raise Refusal(where, "the drawing as a whole has a transform", "put it on a group inside instead")


def _walk(
    file: str,
    root: Element,
    children: list[Element],
    ours: list[Element],
    frame: Frame,
    space: str,
    dialects: Sequence[Dialect],
) -> Walk:
    """Walk with the first dialect that speaks for the drawing; one that fails is passed over with a warning."""
    failed: list[str] = []
    for dialect in sorted(dialects, key=lambda each: (each.order, each.name)):
        try:
            if not _speaks(dialect, root, ours):
                continue
            walk = Walk(file, root, frame, space, dialect.layer, dialect.extra)
            walk.run(children)
        except (Refusal, MemoryError):
            raise
        except Exception as fault:  # noqa: BLE001  a plug-in's fault must not keep a drawing from being read
            failed.append(f"{file}: the dialect {dialect.name!r} failed ({fault!r}) and is passed over")
            continue
        break
    else:
        walk = Walk(file, root, frame, space, _by_id)
        walk.run(children)
    for warning in failed:
        walk.log.add(warning)
    return walk


def _speaks(dialect: Dialect, root: Element, ours: list[Element]) -> bool:
    """Ask a dialect about the drawing without our own layers, which are always written in one way."""
    places = [(root.index(element), element) for element in ours]
    for element in ours:
        root.remove(element)
    try:
        return dialect.speaks(root)
    finally:
        for at, element in places:
            root.insert(at, element)


def _by_id(element: Element) -> LayerFacts | None:
    name = element.get("id")
    return LayerFacts(name) if name else None


def _ids(root: Element, layers: tuple[SvgfitLayer, ...]) -> frozenset[str]:
    ours = {name for layer in layers for name in layer.ids}
    return frozenset(name for element in root.iter() if (name := element.get("id"))) - ours


def _stated(drafts: list[Draft]) -> float | None:
    """Collect the sizes, mm, that the test-square layers state in their names or texts."""
    words = [name for draft in drafts for name in draft.path]
    texts = [item for draft in drafts for item in draft.items if item.kind == "text"]
    return stated_size([*words, *("".join(item.element.itertext()) for item in texts)])


def _labelled(file: str, walk: Walk) -> tuple[LabelledSquare, ...]:
    """Find squares on layers of any name that are marked with their size, in the root's user units."""

    def closed_chains(item: Item) -> list[Complex]:
        subpaths = _subpaths(file, item, 1.0, walk.log)
        return [item.matrix.apply(cubics_of(subpath.points)) for subpath in subpaths if subpath.closed]

    drawn = (draft for draft in walk.drafts if draft.ours is None)
    return find_labelled(drawn, closed_chains, scales.square_side)


def _squares(file: str, drafts: list[Draft], log: WarningLog) -> list[float]:
    """Measure the sides, in the root's user units, of the squares on the test-square layers."""
    found: list[float] = []
    for draft in drafts:
        for item in draft.items:
            if item.kind == "text":
                continue
            for subpath in _subpaths(file, item, 1.0, log):
                if subpath.closed:
                    side = scales.square_side(item.matrix.apply(cubics_of(subpath.points)))
                    if side is not None:
                        found.append(side)
    return found


def _subpaths(file: str, item: Item, mm_per_root_unit: float, log: WarningLog) -> Sequence[Subpath]:
    """Read the item's subpaths in its own units, arcs and ends held to this reader's accuracies in mm."""
    m = item.matrix
    # The largest stretch: the greater singular value, from the conformal and the anticonformal part.
    stretch = (abs(complex(m.a + m.d, m.b - m.c)) + abs(complex(m.a - m.d, m.b + m.c))) / 2 * mm_per_root_unit
    try:
        return read_shape(item.kind, item.element, item.frame, ARC_ACCURACY / stretch, MEETS / stretch)
    except Broken as fault:
        rest = "it is drawn only up to there" if fault.drawn else "it is left out"
        log.add(f"{place(file, item.element)}: {fault}; {rest}")
        return fault.drawn
    except PathError as fault:
        raise Refusal(place(file, item.element), str(fault), "mend or delete it") from None
    except (OverflowError, ZeroDivisionError, ValueError):  # what infinite numbers lead to
        raise _absurd(file, item.element) from None


def _absurd(file: str, element: Element) -> Refusal:
    return Refusal(place(file, element), "lies more than a kilometre away", "check its numbers and the scale")


class _Builder:
    """Builder of layers from drafts, at a known scale."""

    def __init__(self, canvas: Canvas, space: str, log: WarningLog, styles: StyleReader) -> None:
        self._file, self._space, self._log, self._styles = canvas.file, space, log, styles
        self._per = canvas.mm_per_user_unit
        self._to_page = canvas.to_root.inverse()
        self._segments = 0
        self._elements = 0

    def placed(self, draft: Draft) -> tuple[Placed, ...]:
        """Pair the layer's elements with their shapes and texts."""
        found: list[Placed] = []
        for item in draft.items:
            motion = item.matrix.then(self._to_page)
            if item.kind == "text":
                found.append(Placed(item, None, tuple(self._texts(item, motion))))
            else:
                found.append(Placed(item, self._shape(item, motion)))
            self._elements += 1
        return tuple(found)

    def layer(self, draft: Draft, placed: Sequence[Placed]) -> Layer:
        """Build the layer with its shapes and texts."""
        element = draft.element
        return Layer(
            file=self._file,
            name=draft.name,
            path=draft.path,
            id=element.get("id") if element is not None else None,
            hidden=draft.hidden,
            locked=draft.locked,
            shapes=tuple(each.shape for each in placed if each.shape is not None),
            texts=tuple(text for each in placed for text in each.texts),
            ours=draft.ours,
            line=element.sourceline if element is not None else None,
            data=_data(element) if element is not None and draft.ours else (),
        )

    def _shape(self, item: Item, motion: Affine) -> Shape | None:
        curves: list[Curve] = []
        closed: list[bool] = []
        for subpath in _subpaths(self._file, item, self._per, self._log):
            cubics = motion.apply(cubics_of(subpath.points))
            if not np.abs(cubics).max() < FARTHEST:
                raise _absurd(self._file, item.element)
            curves.append(Curve(cubics))
            closed.append(subpath.closed)
            self._segments += len(cubics)
            if self._segments > MOST_SEGMENTS:
                what = f"the drawing shows more than {MOST_SEGMENTS} curve segments"
                raise Refusal(place(self._file, item.element), what, "leave out what is no pattern, or simplify it")
        if not curves:
            return None
        owner = item.owner
        return Shape(
            curves=tuple(curves),
            closed=tuple(closed),
            id=owner.get("id"),
            name=visible_name(owner, self._space),
            line=owner.sourceline,
            data=_data(owner),
            element=self._elements,
            style=self._styles.read(item),
        )

    def _texts(self, item: Item, motion: Affine) -> list[DrawnText]:
        try:
            lines = read_text(item.element, item.frame)
        except Broken as fault:
            self._log.add(f"{place(self._file, item.element)}: {fault}; it is left out")
            return []
        except PathError as fault:
            raise Refusal(place(self._file, item.element), str(fault), "mend or delete it") from None
        found: list[DrawnText] = []
        for line in lines:
            at = motion.apply(line.at)
            direction = motion.apply_vector(1 + 0j)
            if not abs(at) < FARTHEST or not line.size * motion.size < FARTHEST:
                raise _absurd(self._file, item.element)
            text = Text(line.content, at, direction / abs(direction), line.size * motion.size, line.anchor)
            data = _data(item.owner) if line.element is item.element else (*_data(item.owner), *_data(line.element))
            found.append(DrawnText(text, item.owner.get("id"), line.element.sourceline, data, self._elements))
        return found


def _data(element: Element) -> tuple[tuple[str, str], ...]:
    """Collect the ``data-svgfit-*`` attributes, without the prefix."""
    return tuple((name[len(_DATA) :], value) for name, value in element.attrib.items() if name.startswith(_DATA))
