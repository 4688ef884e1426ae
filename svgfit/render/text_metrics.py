"""Letters: how wide a line of them is, and how it is written with its halo."""

from __future__ import annotations

from functools import lru_cache

from svgfit.geometry.box import Box, box_of_points
from svgfit.model.drawing import Text
from svgfit.model.line_kind import BLACK, WHITE
from svgfit.svg.markup import ROUGH, Attributes, Node, element, number, on_one_line

FACE = "Arial, Helvetica, sans-serif"
LINE = 1.28
"""Distance of baselines, in font sizes."""
ASCENT, DESCENT = 0.76, 0.22
"""Height over and depth under the baseline, in font sizes."""
_BOLD = 1.1

# Advance widths in hundredths of the font size, taken from the wide side of common sans faces, so that boxes hold in
# whatever face a reader's machine puts in.
_WIDTHS = {
    28: "'ijl",
    31: "IJ ,.·",
    36: "/:;\\|f-",
    40: "()[]t!r",
    50: '*_`°–"',
    54: "sz?c",
    58: "FkLPvxy",
    62: "TYaoeES",
    64: "bdghnpqu0123456789${}",
    68: "KAVBRXZC",
    75: "UHNDG&OQ",
    84: "w#+<=>^~−→×≤±M",
    99: "m½¼¾W%@—",
}
_OTHER = 0.64


class _Widths(dict[str, float]):
    """Widths in font sizes, also of signs that are not listed."""

    def __missing__(self, sign: str) -> float:
        return _OTHER if ord(sign) < 0x1100 else 1.0


_WIDTH = _Widths({sign: width / 100 for width, signs in _WIDTHS.items() for sign in signs})


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Measure the advance width in mm, rather more than less; full-width scripts count a font size a character."""
    return _ems(text) * size * (_BOLD if bold else 1.0)


@lru_cache(2048)  # the same words are measured again for each size that is tried
def _ems(text: str) -> float:
    return sum(map(_WIDTH.__getitem__, text))


def text_corners(text: Text) -> list[complex]:
    """Find the four corners round a text, in the frame it is given in."""
    way = text.direction / abs(text.direction) if text.direction else 1 + 0j
    width = text_width(text.content, text.size)
    start = {"start": 0.0, "middle": -width / 2, "end": -width}.get(text.anchor, 0.0)
    over, under = -ASCENT * text.size, DESCENT * text.size
    places = ((start, over), (start + width, over), (start + width, under), (start, under))
    return [text.at + way * complex(x, y) for x, y in places]


def text_box(text: Text) -> Box:
    """Find the upright box round a text: left, top, right, bottom."""
    return box_of_points(text_corners(text))


def letters(
    text: str,
    at: complex,
    size: float,
    *,
    anchor: str = "start",
    colour: str = BLACK,
    bold: bool = False,
    degrees: float = 0.0,
    halo: bool = True,
    data: Attributes = (),
) -> tuple[Node, ...]:
    """Write one line, its baseline at ``at`` (page mm), turned by ``degrees``.

    The halo is a copy of its own beneath, outlined in white: not every program draws an outline behind its filling.
    ``data`` goes on the writing, not on the halo.
    """
    base = (
        f"font-family:{FACE};font-size:{number(size, ROUGH)}px;font-weight:{'bold' if bold else 'normal'};"
        f"font-style:normal;font-variant:normal;font-stretch:normal;letter-spacing:0;word-spacing:0;"
        f"text-anchor:{anchor};text-decoration:none;fill-opacity:1;opacity:1;"
    )
    place: list[tuple[str, str | None]] = [("x", number(at.real, 6)), ("y", number(at.imag, 6))]
    if degrees:
        place.append(("transform", f"rotate({number(degrees, 6)} {number(at.real, 6)} {number(at.imag, 6)})"))
    content = on_one_line(text)
    written = element("text", [*place, ("style", f"{base}fill:{colour};stroke:none"), *data], content)
    if not halo:
        return (written,)
    outline = f"stroke-width:{number(size * 0.28, ROUGH)};stroke-linejoin:round;stroke-dasharray:none;stroke-opacity:1"
    white = f"{base}fill:{WHITE};stroke:{WHITE};{outline}"
    return element("text", [*place, ("style", white)], content), written
