"""The drawing's real size: by the person's word, the root's size, a test square, or the program that wrote it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.model.dialect import Element
from svgfit.model.drawing import Canvas
from svgfit.model.length import MM_PER_INCH, both_ways
from svgfit.model.refusal import Refusal
from svgfit.rules.scale import DISAGREE, NOT_SQUARE
from svgfit.svg import styles
from svgfit.svg.generator import Generator
from svgfit.svg.labelled_square import LabelledSquare, believed, by_labels
from svgfit.svg.styles import Sheet
from svgfit.svg.test_square import by_squares, contradiction, nearest_usual
from svgfit.svg.units import SvgLength, read_length
from svgfit.svg.viewport import ViewBox, fit, read_view_box

UNEQUAL = 1e-5
"""Relative difference of x and y scale that still counts as rounding of the file's numbers."""
FARTHEST_ORIGIN = 1e9
"""No page begins farther than this, mm, from the zero point of its numbers: beyond, they round to 1e-7 mm and worse."""


class UnknownScale(Refusal):
    """The refusal of a drawing that says no scale: whoever knows its pieces can say which ones are possible."""


class RootBox(Struct, frozen=True):
    """The root's box, before the scale is known."""

    origin: complex
    """Its top left in the root's user units."""
    width: float
    """In the root's user units; 0 where the drawing states none."""
    height: float
    mm_per_user_unit: float | None
    """From a width or height with a real unit; None where there is none."""
    stated: str
    """What the root says, for people."""
    frame: tuple[float, float]
    """What percentages refer to, in user units."""
    page: tuple[float, float] = (0.0, 0.0)
    """Width and height in CSS px, which ``vw`` and the like are parts of; (0, 0) where the drawing states none."""


def read_root(file: str, root: Element, sheet: Sheet | None = None) -> RootBox:
    """Read the root's box; refuses a viewBox or size that cannot be read, and unequal scales across and down."""
    where = f"{file}: line {root.sourceline}: svg"
    width, height = _size(where, root, "width", sheet), _size(where, root, "height", sheet)
    physical = [length for length in (width, height) if length and length.physical]
    box = _view_box(where, root)
    wide, high = width.mm() if width else None, height.mm() if height else None
    if box is None:
        per = 25.4 / 96
        origin, size = 0j, ((wide or 0.0) / per, (high or 0.0) / per)
        frame = size
    else:
        if wide is None and high is None:
            wide, high = box.width, box.height
        wide = wide if wide is not None else box.width * (high or 0.0) / box.height
        high = high if high is not None else box.height * wide / box.width
        placed = _fitted(where, root, box, wide, high)
        per = math.sqrt(placed.a * placed.d)
        origin = complex(-placed.e / placed.a, -placed.f / placed.d)
        size, frame = (wide / placed.a, high / placed.d), (box.width, box.height)
    if not all(map(math.isfinite, (*size, per, abs(origin)))) or per <= 0:
        raise Refusal(where, "the size of the drawing is no finite number", "write width and height in mm or in")
    return RootBox(
        origin=origin + 0,
        width=size[0],
        height=size[1],
        mm_per_user_unit=per if physical else None,
        stated=f"width and height in {'inches' if physical[0].unit == 'in' else physical[0].unit}" if physical else "",
        frame=frame,
        page=((wide or 0.0) * 96 / MM_PER_INCH, (high or 0.0) * 96 / MM_PER_INCH),
    )


def canvas(file: str, box: RootBox, mm_per_user_unit: float, scale_from: str) -> Canvas:
    """Build the canvas at a known scale; refuses one that could be no drawing."""
    k = mm_per_user_unit
    width, height = box.width * k, box.height * k
    if not (1e-9 < k < 1e9) or max(width, height) > 1e6:
        raise Refusal(
            file, f"the drawing would be {width / 1000:g} m wide with {k:g} mm to its unit", "check its width and scale"
        )
    if not abs(box.origin) * k < FARTHEST_ORIGIN:
        what = "the page lies so far from the point where its numbers begin that they are no longer exact"
        raise Refusal(file, what, "move the page, or make the first two numbers of the viewBox smaller")
    to_root = Affine(1 / k, 0.0, 0.0, 1 / k, box.origin.real, box.origin.imag)
    return Canvas(file, k, scale_from, to_root, width, height)


def scale_of(
    file: str,
    box: RootBox,
    scale: float | None,
    squares: Sequence[float],
    nominal: float | None,
    generator: Generator | None = None,
    labelled: Sequence[LabelledSquare] = (),
) -> tuple[float, str, tuple[str, ...]]:
    """Find mm a user unit, where that comes from, and warnings where two sources disagree.

    In this order: ``scale`` in user units an inch; the root's physical size; ``squares``, sides of test squares in user
    units, ``nominal`` being their side in mm where it is known, or else those that are ``labelled`` on other layers;
    what the ``generator`` is known to write. Raises UnknownScale where none of these says anything.
    """
    stated = _stated_scales(box, scale, generator)
    if not squares:
        firm = stated[0][0] if stated and stated[0][1] is not generator else None
        labelled = believed(labelled, firm)
    if labelled and not squares:
        return _by_labels(file, stated, labelled, generator)
    if squares and (not stated or stated[0][1] is generator):
        per, size = by_squares(file, squares, nominal)
        known, named = per, f"test square ({size:g} mm)"
    elif stated:
        (known, source), squares_agree = stated[0], contradiction(squares, nominal, stated[0][0])
        named = _named(source)
        if squares_agree is not None:
            warning = _square_off(file, known, source, "the test square", squares_agree)
            return known, named, (warning, *_disagreements(file, known, named, stated[1:]))
    else:
        raise UnknownScale(
            file,
            "says no real size (its width and height are in px or missing)",
            "give --scale N (units of the drawing in an inch; common are 96, 72 and 300), or draw a closed 50 mm square"
            ' in a layer named "test square"',
        )
    return known, named, _disagreements(file, known, named, [each for each in stated if _named(each[1]) != named])


def _by_labels(
    file: str,
    stated: Sequence[tuple[float, RootBox | Generator | str]],
    labelled: Sequence[LabelledSquare],
    generator: Generator | None,
) -> tuple[float, str, tuple[str, ...]]:
    """Find the scale where squares on layers of any name are marked with their size; as ``scale_of``."""
    marked = f'a square marked "{labelled[0].label[:40]}"'
    if not stated or stated[0][1] is generator:
        known, taken = by_labels(file, labelled)
        marked += f" (taken for {taken:g} mm)" if taken is not None else ""
        told = (
            () if labelled[0].sure else (f"{file}: the scale is by {marked} ({_per_inch(known)}); --scale changes it",)
        )
        return known, marked, (*told, *_disagreements(file, known, marked, stated))
    known, source = stated[0]
    named = _named(source)
    warnings = [
        _square_off(file, known, source, f'the square marked "{square.label[:40]}"', off)
        for square in labelled
        if (off := contradiction([square.side], square.nominal, known)) is not None
    ]
    return known, named, (*warnings, *_disagreements(file, known, named, stated[1:]))


def _square_off(
    file: str, known: float, source: RootBox | Generator | str, square: str, sides: tuple[float, float]
) -> str:
    """Warn of a square that is not as wide as it should be; ``sides``: its own by ``known``, and that, in mm."""
    named = _named(source)
    says = _by_its(named) if isinstance(source, RootBox) else f"with {named}"
    wide, size = sides
    other = MM_PER_INCH / nearest_usual(known * size / wide)
    return (
        f"{file}: {says} {square} is {both_ways(wide)} wide, not {both_ways(size)} ({100 * (wide / size - 1):+.1f} %); "
        f"going by {named} ({_per_inch(known)}, not {other:.6g})"
    )


def _by_its(named: str) -> str:
    """Say by what of the drawing's a size goes: what a reader calls by an article of its own keeps that."""
    return f"by {named}" if named.startswith("the ") else f"by its {named}"


def _per_inch(mm_per_unit: float) -> str:
    """Write a scale as ``--scale`` takes it."""
    return f"{MM_PER_INCH / mm_per_unit:.6g} units of the drawing in an inch"


def _stated_scales(
    box: RootBox, scale: float | None, generator: Generator | None
) -> list[tuple[float, RootBox | Generator | str]]:
    """List every source but the squares that says a scale: mm a user unit, and what says so; the strongest first."""
    stated: list[tuple[float, RootBox | Generator | str]] = []
    if scale is not None:
        if not (math.isfinite(scale) and scale > 0):
            raise Refusal(
                "--scale", f"{scale!r} is no scale", "give the units of the drawing in an inch, for example --scale 96"
            )
        stated.append((MM_PER_INCH / scale, f"--scale {scale:g}"))
    if box.mm_per_user_unit is not None:
        stated.append((box.mm_per_user_unit, box))
    elif generator is not None:  # with a physical size its pixel says nothing
        stated.append((MM_PER_INCH / generator.per_inch, generator))
    return stated


def _named(source: RootBox | Generator | str) -> str:
    if isinstance(source, RootBox):
        return source.stated
    return source if isinstance(source, str) else source.reason


def _disagreements(
    file: str, known: float, named: str, others: Sequence[tuple[float, RootBox | Generator | str]]
) -> tuple[str, ...]:
    return tuple(
        f"{file}: {named} and {_named(source)} differ: {_per_inch(known)}, or {MM_PER_INCH / per:.6g}; going by {named}"
        for per, source in others
        if abs(per / known - 1) > DISAGREE
    )


def square_side(cubics: Complex) -> float | None:
    """Measure the side of a closed chain (n, 4) that is a square, in its own unit; None for anything else."""
    start, end = cubics[:, 0], cubics[:, 3]
    chord = end - start
    size = float(np.abs(cubics - cubics[0, 0]).max())
    if size == 0:
        return None
    long = np.abs(chord) > 1e-3 * size
    bent = np.abs(np.imag((cubics[:, 1:3] - start[:, None]) * np.conjugate(chord)[:, None])) > 1e-3 * size * size
    if bent.any():
        return None
    points: list[complex] = []
    steps = chord[long].tolist()
    for k, (at, step) in enumerate(zip(start[long].tolist(), steps, strict=True)):
        before = steps[k - 1]
        if abs((before.conjugate() * step).imag) > 1e-3 * abs(before) * abs(step):
            points.append(at)
    if len(points) != 4:
        return None
    sides = [abs(points[k] - points[k - 1]) for k in range(4)]
    across = [abs(points[2] - points[0]), abs(points[3] - points[1])]
    side = sum(sides) / 4
    if any(abs(each / side - 1) > NOT_SQUARE for each in sides) or any(
        abs(each / side / math.sqrt(2) - 1) > NOT_SQUARE for each in across
    ):
        return None
    return side


def _size(where: str, root: Element, name: str, sheet: Sheet | None) -> SvgLength | None:
    """Read width or height, by CSS or the attribute; None for nothing, or for a part of what is around the drawing.

    CSS of that kind (``width: 100%``) fits the drawing into a page of the web: then the attribute says the real size.
    """
    for text in styles.declared(root, name, sheet):
        try:
            if read_length(text).absolute:
                return _real(where, name, text)
        except ValueError:
            continue
    given: str | None = root.get(name)
    return _real(where, name, given.strip()) if given is not None else None


def _real(where: str, name: str, text: str) -> SvgLength | None:
    if not text or text.lower() in styles.UNSET:
        return None
    try:
        length = read_length(text)
        if length.relative:
            return None
        if not length.absolute or not math.isfinite(length.value):
            raise ValueError(text)
    except ValueError:
        raise Refusal(where, f"its {name} cannot be read: {text[:30]!r}", "write for example 210mm or 8.5in") from None
    if length.value <= 0:
        raise Refusal(where, f"its {name} is {text[:30]!r}", "give the drawing a real width and height")
    return length


def _view_box(where: str, root: Element) -> ViewBox | None:
    text: str | None = root.get("viewBox")
    try:
        box = read_view_box(text)
        if box is not None and not (box.width and box.height):
            raise ValueError(text)
        return box
    except ValueError:
        todo = "write four numbers, the last two above 0"
        raise Refusal(where, f"its viewBox cannot be read: {(text or '')[:40]!r}", todo) from None


def _fitted(where: str, root: Element, box: ViewBox, wide: float, high: float) -> Affine:
    aspect: str | None = root.get("preserveAspectRatio")
    text: str | None = root.get("viewBox")
    try:
        placed = fit(box, wide, high, aspect)
    except ValueError:
        todo = "write for example xMidYMid meet, or leave it out"
        raise Refusal(where, f"its preserveAspectRatio cannot be read: {(aspect or '')[:40]!r}", todo) from None
    if not (placed.a > 0 and placed.d > 0):  # numbers so far apart that one is lost beside the other
        what = f"its viewBox {(text or '')[:40]!r} and its size are worlds apart"
        raise Refusal(where, what, "write width and height in mm or in, and a viewBox to match")
    if abs(placed.a / placed.d - 1) > UNEQUAL:
        raise Refusal(
            where,
            f"the drawing is stretched: {placed.a:g} across but {placed.d:g} down",
            "make width and height fit the viewBox, or leave preserveAspectRatio out",
        )
    return placed
