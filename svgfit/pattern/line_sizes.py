"""Sizes told apart by how their outlines are drawn: by dash, colour or width.

Which line is which size comes from the convention's ``[sizes]``, else from a key beside the drawing: a sample of each
line next to its size's name. Nothing is taken to be a size because of where it comes in a row. Page mm.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.curve import Curve
from svgfit.model.drawing import DrawnText, Layer, LineStyle, Shape
from svgfit.model.toml_file import TomlFile
from svgfit.pattern.join_paths import Loop
from svgfit.pattern.layer_patterns import name_key, single_spaced
from svgfit.pattern.layer_rows import OUTLINES, LayerRow
from svgfit.pattern.piece_places import outlines, stacked
from svgfit.rules.drawing_habits import ENDS_MEET, KEY_LONGEST, KEY_NEAR, KEY_SHORTEST

_BARE = r"(?i)\d{1,3}[a-z]?|x{0,4}[sl]|[2-6]xl|m|(?:eu|uk|us|gr)\.? ?\d{1,3}|\d{1,3} ?[-/] ?\d{1,3}"
_NAMED = r"(?i)(?:size|gr(?:öße|\.)?|taille|talla|taglia|サイズ)[ :.]*(\S+)"


class By(StrEnum):
    """What tells the lines of sizes apart; the values of ``by`` in a convention's ``[sizes]``."""

    DASH = "dash"
    COLOUR = "colour"
    WIDTH = "width"


class SizeLines(Struct, frozen=True):
    """Which line is drawn for which size."""

    by: str
    samples: tuple[tuple[str, str], ...] = ()
    """Sizes with a sample of their lines each, as ``sample`` writes it; none where the key beside the drawing tells."""

    def size_of(self, style: LineStyle) -> str | None:
        """Tell the size of a line; None for a line that is no size's."""
        return next((size for size, text in self.samples if is_like(style, self.by, text)), None)


def read_sizes(file: TomlFile) -> SizeLines:
    """Read a convention's ``[sizes]``. Raises Refusal for what is not known there."""
    table = file.value(("sizes",), file.table["sizes"], dict[str, object])
    file.check_keys(("sizes",), table, ("by", "samples"))
    words = [one.value for one in By]
    by = name_key(file.value(("sizes", "by"), table.get("by", ""), str))
    by = By.COLOUR.value if by == "color" else by
    if by not in words:
        todo = f"write one of {', '.join(words)}; the lines of sizes in layers of their own need no [sizes]"
        raise file.refusal(("sizes", "by") if "by" in table else ("sizes",), "must say what tells sizes apart", todo)
    given = file.value(("sizes", "samples"), table.get("samples", {}), dict[str, str])
    samples: list[tuple[str, str]] = []
    for size, text in given.items():
        if _parsed(by, text) is None:
            todo = {
                By.DASH: 'write "solid", or the lengths of dashes and gaps in mm, as in "3 1.5"',
                By.COLOUR: 'write it as in "#d40000"',
                By.WIDTH: 'write it as in "0.35 mm"',
            }
            raise file.refusal(("sizes", "samples", size), f"{text!r} is no sample of a line", todo[By(by)])
        twin = next((other for other, sample in samples if _parsed(by, sample) == _parsed(by, text)), None)
        if twin is not None:
            raise file.refusal(("sizes", "samples", size), f"has the same sample as {twin}", "give each size its own")
        samples.append((single_spaced(size), text))
    return SizeLines(by, tuple(samples))


# -- samples -----------------------------------------------------------------------------------------------------------


def sample(style: LineStyle, by: str) -> str:
    """Write how a line is drawn, as ``inspect`` prints it and a convention's ``samples`` have it.

    >>> line = LineStyle("#d40000", 0.35, (3.0, 1.5))
    >>> sample(line, "dash"), sample(line, "colour"), sample(line, "width"), sample(LineStyle("#000000"), "dash")
    ('3 1.5', '#d40000', '0.35 mm', 'solid')
    """
    if by == By.DASH:
        return " ".join(f"{part:g}" for part in style.dash) or "solid"
    if by == By.COLOUR:
        return style.colour or "none"
    return f"{style.width:g} mm"


def describe(style: LineStyle) -> str:
    """Write all of a line's style for a message.

    >>> describe(LineStyle("#d40000", 0.35, (3.0, 1.5)))
    'dash 3 1.5, colour #d40000, width 0.35 mm'
    """
    if style.colour is None:
        return "no line, only filled" if style.filled else "no line painted"
    dash = f"dash {sample(style, By.DASH)}" if style.dash else "solid"
    return f"{dash}, colour {style.colour}, width {sample(style, By.WIDTH)}"


def is_like(style: LineStyle, by: str, text: str) -> bool:
    """Say whether a line is drawn as a sample shows; lengths may differ as rounding in files makes them.

    >>> is_like(LineStyle("#000000", 0.35, (2.99, 1.51)), "dash", "3 1.5")
    True
    """
    parsed, own = _parsed(by, text), _parsed(by, sample(style, by))
    if by == By.COLOUR or isinstance(parsed, str) or isinstance(own, str) or parsed is None or own is None:
        return parsed is not None and parsed == own
    return len(parsed) == len(own) and all(abs(a - b) <= max(0.06, 0.03 * a) for a, b in zip(parsed, own, strict=True))


def _parsed(by: str, text: str) -> str | tuple[float, ...] | None:
    """Read a sample: a colour or "solid" as it is, else lengths in mm; None for what is none."""
    word = name_key(text) if by != By.COLOUR else text.strip().casefold()
    if by == By.COLOUR:
        return word or None
    if by == By.DASH and word == "solid":
        return word
    numbers = re.fullmatch(r"\s*((?:\d+\.?\d*|\.\d+)(?:[\s,]+(?:\d+\.?\d*|\.\d+))*)\s*(?:mm)?\s*", text)
    if numbers is None:
        return None
    found = tuple(float(part) for part in re.split(r"[\s,]+", numbers[1].strip()))
    if by == By.WIDTH:
        return found if len(found) == 1 else None
    found = found * 2 if len(found) % 2 else found
    return found if sum(found) > 0 else None


def by_area(loops: Sequence[Loop]) -> list[Loop]:
    """Put outlines in order, the smallest first."""
    return sorted(loops, key=lambda one: abs(one.curve.area()))


def in_places(loops: Sequence[Loop]) -> list[Loop]:
    """Put outlines that lie one over another together, their order otherwise kept."""
    places: list[list[Loop]] = []
    for loop in loops:
        home = next((place for place in places if stacked(place[-1].curve, loop.curve)), None)
        if home is None:
            places.append([loop])
        else:
            home.append(loop)
    return [loop for place in places for loop in place]


def told_apart_by(styles: Sequence[LineStyle]) -> str | None:
    """Find what tells all of these lines apart: dash, else colour, else width; None where none of them does alone."""
    return next(
        (
            by.value
            for by in By
            if all(not is_like(one, by, sample(other, by)) for k, one in enumerate(styles) for other in styles[:k])
        ),
        None,
    )


def sizes_to_say(styles: Sequence[LineStyle]) -> str | None:
    """Write the line of a convention that names sizes by their lines, to be filled in; None where none can tell them.

    ``styles`` come from the smallest outline to the largest.
    """
    by = told_apart_by(styles)
    if by is None:
        return None
    samples = ", ".join(f'"size {k}" = "{sample(style, by)}"' for k, style in enumerate(styles, 1))
    return f'sizes = {{ by = "{by}", samples = {{ {samples} }} }}'


# -- the key beside the drawing ----------------------------------------------------------------------------------------


def key_of(layers: Iterable[Layer]) -> tuple[tuple[str, Shape], ...]:
    """Find the key beside a drawing: names of sizes, each with the straight sample of a line beside it."""
    seen = [layer for layer in layers if not layer.ours and not layer.hidden]
    lines = [shape for layer in seen for shape in layer.shapes if _is_sample(shape)]
    found: list[tuple[str, Shape]] = []
    for drawn in (text for layer in seen for text in layer.texts):
        size = size_named(drawn.text.content)
        near = [(away, k) for k, line in enumerate(lines) if (away := _beside(drawn, line.curves[0])) is not None]
        if size is not None and near:
            found.append((size, lines[min(near)[1]]))
    return tuple(found)


def size_named(words: str) -> str | None:
    """Read a size out of a text that says nothing else.

    >>> [size_named(words) for words in ("Size 12", "12", "XL", "Gr. 40", "Front", "cut 2")]
    ['12', '12', 'XL', '40', None, None]
    """
    text = single_spaced(words.strip())
    named = re.fullmatch(_NAMED, words.strip())
    if named is not None:
        return named[1]
    return text if re.fullmatch(_BARE, words.strip()) else None


def _is_sample(shape: Shape) -> bool:
    if len(shape.curves) != 1 or shape.closed[0] or shape.style.colour is None:
        return False
    curve = shape.curves[0]
    return curve.is_straight() and KEY_SHORTEST <= abs(curve.end - curve.start) <= KEY_LONGEST


def _beside(drawn: DrawnText, line: Curve) -> float | None:
    """Measure from a text to a line level with it, before it or behind it; None for a line that is not beside it."""
    text = drawn.text
    ends = [(end - text.at) / text.direction for end in (line.start, line.end)]
    if not all(-1.1 * text.size <= end.imag <= 0.4 * text.size for end in ends):
        return None
    left, right = min(end.real for end in ends), max(end.real for end in ends)
    wide = 0.62 * text.size * len(text.content)
    away = -right if right <= 0.2 * text.size else left - 0.6 * wide if left >= 0.6 * wide else None
    return away if away is not None and away <= KEY_NEAR + 2 * text.size else None


# -- what is which size ------------------------------------------------------------------------------------------------


def sizes_by_key(
    styles: Sequence[LineStyle], key: Sequence[tuple[str, Shape]], only: str | None = None
) -> SizeLines | None:
    """Read the sizes of lines off the key; None where it does not have each of them, once and for one size.

    ``only`` one thing is looked at where the convention says which.
    """
    for by in By if only is None else (only,):
        samples: dict[str, str] = {}
        for size, line in key:
            samples.setdefault(size, sample(line.style, by))
        told = SizeLines(by, tuple(samples.items()))
        sizes = [[size for size, text in told.samples if is_like(style, by, text)] for style in styles]
        if all(len(found) == 1 for found in sizes) and len({found[0] for found in sizes}) == len(styles):
            return told
    return None


def with_sizes_by_line(rows: Sequence[LayerRow], told: SizeLines | None, join: float) -> list[LayerRow]:
    """Divide outlines that tell no size by the size whose line each is, as the convention or the key says.

    Where neither says it, or the key has not every line, the rows stay as they are. ``rows`` are one drawing's.
    """
    open_rows = [row for row in rows if row.role in OUTLINES and row.size is None and len(row.layer.shapes) > 1]
    if not open_rows:
        return list(rows)
    key: tuple[tuple[str, Shape], ...] | None = None
    if told is None or not told.samples:
        styles = list(dict.fromkeys(loop.style for row in open_rows for loop in stacked_loops(row.layer.shapes, join)))
        if len(styles) < 2:
            return list(rows)
        key = key_of(row.layer for row in rows)
        told = sizes_by_key(styles, key, told.by if told is not None else None)
        if told is None:
            return list(rows)
    samples = {id(line) for _, line in (key_of(row.layer for row in rows) if key is None else key)}
    found: list[LayerRow] = []
    for row in rows:
        shapes = tuple(shape for shape in row.layer.shapes if id(shape) not in samples)
        left = replace(row, layer=replace(row.layer, shapes=shapes)) if len(shapes) < len(row.layer.shapes) else row
        found += _divided(left, told) if row in open_rows else [left]
    return found


def _divided(row: LayerRow, told: SizeLines) -> list[LayerRow]:
    """Divide a row's lines by the size whose line each is; what is no size's stays for all."""
    shares: dict[str | None, list[Shape]] = {}
    for shape in row.layer.shapes:
        shares.setdefault(told.size_of(shape.style), []).append(shape)
    texts = row.layer.texts
    parts = [
        replace(row, size=size, layer=replace(row.layer, shapes=tuple(shapes), texts=() if size else texts))
        for size, shapes in shares.items()
    ]
    return parts if None in shares or not texts else [*parts, replace(row, layer=replace(row.layer, shapes=()))]


def stacked_loops(shapes: Sequence[Shape], join: float = ENDS_MEET) -> list[Loop]:
    """Find the closed lines that lie over others of like size that are drawn otherwise, as the sizes of a nest do."""
    alike: dict[LineStyle, list[Shape]] = {}
    for shape in shapes:
        alike.setdefault(shape.style, []).append(shape)
    if len(alike) < 2:
        return []
    loops = [Loop(one.loop, frozenset(), style=style) for style, own in alike.items() for one in outlines(own, join)]
    return [
        one for one in loops if any(one.style != other.style and stacked(one.curve, other.curve) for other in loops)
    ]
