"""What is really painted on a page, as pymupdf reads it: the letters' own ink, strokes as wide as they are, clipped.

Independent of how svgfit places things: nothing here asks it. Lengths in mm from the upper left corner of the page.
"""

from __future__ import annotations

import struct
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import pymupdf
import shapely
from lxml import etree

MM = 25.4 / 72
FACES = Path(__file__).parents[3] / "svgfit/fonts"
FURNITURE, OURS, DRAWN = "furniture", "ours", "drawn"
"""What stands round the drawing on a true-to-size page (and all of any other page); what svgfit wrote; the user's."""
_NEAR = 0.02
"""Ink that touches by less, mm, is rounding."""


@dataclass(frozen=True, slots=True)
class Word:
    """One word as far as it shows on its page."""

    text: str
    ink: shapely.Geometry
    """A box round each letter's own ink."""
    whose: str
    size: float
    """Points."""
    cut: bool
    """Whether the page's edge cuts it."""
    line: int
    """Words of one line of writing share a number."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One painted line or dark shape."""

    ink: shapely.Geometry
    whose: str
    width: float
    luminance: float


@dataclass(frozen=True, slots=True)
class Printed:
    """A page."""

    label: str
    words: tuple[Word, ...]
    strokes: tuple[Stroke, ...]
    shows: shapely.Geometry
    """The part of the page that shows the drawing; all of it on other pages."""
    paper: shapely.Geometry


def own_texts(svg: bytes) -> frozenset[str]:
    """The texts that svgfit wrote into a drawing: its figures and the labels of its working lines."""
    layers = etree.fromstring(svg).iterfind("{*}g[@data-svgfit-layer]")
    ours = [layer for layer in layers if layer.get("data-svgfit-layer") in ("measurements", "working-lines")]
    return frozenset("".join(text.itertext()) for layer in ours for text in layer.iter("{*}text"))


def printed(page: pymupdf.Page, own: Collection[str] = (), *, halos: bool = True) -> Printed:
    """What is painted on a page; ``own``: what counts as svgfit's writing in a drawing.

    ``halos``: whether white over a line hides it; else every line counts where it was drawn, seen or not.
    """
    paper = shapely.box(0, 0, page.rect.width * MM, page.rect.height * MM)
    box = page.trimbox
    tile = box.x0 > 0  # of the true size, named by letters, or of a mini
    shows = shapely.box(box.x0 * MM, box.y0 * MM, box.x1 * MM, box.y1 * MM) if tile else paper
    drawings = page.get_drawings(extended=True)
    first = min((one["seqno"] for one in drawings if one.get("level") == 0 and "seqno" in one), default=0)
    first = first if tile else 0
    words, last = _words(page, shows, first, own if page.get_label()[:1].isupper() else None)
    strokes = _strokes(drawings, shows, (last, first), halos)
    return Printed(page.get_label(), tuple(words), tuple(strokes), shows, paper)


# -- words -------------------------------------------------------------------------------------------------------------


class _Face:
    """The boxes of a TrueType face's glyphs, from its ``glyf`` table (OpenType 1.9, "glyf", "loca", "head")."""

    def __init__(self, file: Path) -> None:
        self._font, self._data = pymupdf.Font(fontfile=str(file)), file.read_bytes()
        (count,) = struct.unpack_from(">H", self._data, 4)
        entries = [struct.unpack_from(">4sLLL", self._data, 12 + 16 * k) for k in range(count)]
        self._at = {name.decode(): start for name, _, start, _ in entries}
        (self._em,) = struct.unpack_from(">H", self._data, self._at["head"] + 18)
        (self._long,) = struct.unpack_from(">H", self._data, self._at["head"] + 50)

    @lru_cache(512)  # noqa: B019
    def box(self, sign: int) -> tuple[float, float, float, float]:
        """Left, lower, right and upper end of a letter's ink in font sizes, y up from the baseline."""
        glyph = self._font.has_glyph(sign)
        form, step, factor = (">2L", 4, 1) if self._long else (">2H", 2, 2)
        start, end = struct.unpack_from(form, self._data, self._at["loca"] + glyph * step)
        if start == end:
            return (0.0, 0.0, 0.0, 0.0)
        sides = struct.unpack_from(">4h", self._data, self._at["glyf"] + start * factor + 2)
        left, lower, right, upper = (side / self._em for side in sides)
        return left, lower, right, upper

    def advance(self, sign: int) -> float:
        """From a letter to the next, in font sizes."""
        return self._font.glyph_advance(sign)


@lru_cache
def _face(name: str) -> _Face:
    return _Face(FACES / f"{name.rpartition('+')[2]}.ttf")


def _words(
    page: pymupdf.Page, shows: shapely.Geometry, first: int, own: Collection[str] | None
) -> tuple[list[Word], int]:
    """The words, and the place in the order of painting of the user's last one."""
    found: list[Word] = []
    last = -1
    for line, spans in enumerate(_lines_of_writing(page)):
        signs = [(span, char) for span in spans for char in span["chars"]]
        content = "".join(chr(char[0]) for _, char in signs).strip()
        size, seqno = spans[0]["size"], spans[0]["seqno"]
        whose = FURNITURE if seqno >= first else OURS if own is None or content in own else DRAWN
        last = max(last, spans[-1]["seqno"]) if whose == DRAWN else last
        for some in _split(signs):
            ink = shapely.union_all([_letter(span, char) for span, char in some])
            seen = ink if whose == FURNITURE else shapely.intersection(ink, shows)
            if seen.area > 1e-9:
                text = "".join(chr(char[0]) for _, char in some)
                found.append(Word(text, seen, whose, size, seen.area < ink.area - 1e-6, line))
    return found, last


def _lines_of_writing(page: pymupdf.Page) -> list[list[dict]]:
    """Spans that continue one another: some programs show every letter by itself."""
    found: list[list[dict]] = []
    end = complex("nan")
    for span in page.get_texttrace():
        if span["type"] == 3:
            continue
        way, start, size = complex(*span["dir"]), complex(*span["chars"][0][2]), span["size"]
        same = bool(found) and found[-1][-1]["font"] == span["font"] and abs(found[-1][-1]["size"] - size) < 0.01
        if same and abs(start - end) < 0.05 * size:
            found[-1].append(span)
        else:
            found.append([span])
        last = span["chars"][-1]
        end = complex(*last[2]) + way * _face(span["font"]).advance(last[0]) * size
    return found


def _split(signs: list[tuple[dict, tuple]]) -> Iterable[list[tuple[dict, tuple]]]:
    some: list[tuple[dict, tuple]] = []
    for sign in signs:
        if chr(sign[1][0]).isspace():
            if some:
                yield some
            some = []
        else:
            some.append(sign)
    if some:
        yield some


def _letter(span: dict, char: tuple) -> shapely.Geometry:
    """The box of a letter's own ink, turned as its line runs."""
    left, lower, right, upper = _face(span["font"]).box(char[0])
    way, at = complex(*span["dir"]), complex(*char[2])
    places = [(left, lower), (right, lower), (right, upper), (left, upper)]
    corners = [(at + way * complex(x, -y) * span["size"]) * MM for x, y in places]
    return shapely.Polygon([(corner.real, corner.imag) for corner in corners])


# -- strokes -----------------------------------------------------------------------------------------------------------


def luminance(colour: Iterable[float]) -> float:
    """Relative luminance of an sRGB colour, 0 black to 1 white (WCAG 2.1, "relative luminance", from IEC 61966-2-1)."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in colour]
    if len(linear) == 1:
        return linear[0]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _strokes(drawings: list[dict], room: shapely.Geometry, order: tuple[int, int], halos: bool) -> list[Stroke]:
    """All that is painted, in the order in which it is: what is white hides what lies beneath it.

    ``order``: where the user's own ends (svgfit's figures come behind all that was drawn), where the furniture begins.
    """
    found: list[Stroke] = []
    clips: list[tuple[int, shapely.Geometry]] = []
    for one in drawings:
        level = one.get("level", 0)
        clips = [clip for clip in clips if clip[0] < level]
        if one["type"] in ("clip", "group"):
            if one["type"] == "clip":
                clips.append((level, _rect(one["scissor"])))
            continue
        within = shapely.intersection_all([room, *(clip for _, clip in clips)])
        if not _rect(one["rect"], (one.get("width") or 0.0) * MM + 0.01).intersects(within):
            continue
        whose = FURNITURE if one["seqno"] >= order[1] else OURS if one["seqno"] > order[0] else DRAWN
        lines = _lines(one)
        if one.get("fill") and (one.get("fill_opacity") or 0) > 0.99:
            area = shapely.intersection(_area(lines), within)
            shade = luminance(one["fill"])
            if shade > 0.98 and halos:
                found = _hidden(found, area)
            elif shade < 0.3:
                found.append(Stroke(area, whose, 0.0, shade))
        if one.get("color") and (one.get("stroke_opacity") or 0) > 0.01:
            width = (one["width"] or 0.0) * MM
            shade = luminance(one["color"])
            ink = shapely.intersection(shapely.MultiLineString(lines), within)
            if shade > 0.98 and width > 1.0 and halos:
                found = _hidden(found, shapely.intersection(ink.buffer(width / 2), within))
            elif shade <= 0.98 and not ink.is_empty:
                found.append(Stroke(ink.buffer(max(width, 0.02) / 2, cap_style="flat"), whose, width, shade))
    return [one for one in found if not one.ink.is_empty]


def _hidden(found: list[Stroke], by: shapely.Geometry) -> list[Stroke]:
    if by.is_empty:
        return found
    return [
        Stroke(shapely.difference(one.ink, by), one.whose, one.width, one.luminance) if one.ink.intersects(by) else one
        for one in found
    ]


def _rect(rect: pymupdf.Rect, by: float = 0.0) -> shapely.Geometry:
    return shapely.box(rect.x0 * MM - by, rect.y0 * MM - by, rect.x1 * MM + by, rect.y1 * MM + by)


def _area(lines: list[list[tuple[float, float]]]) -> shapely.Geometry:
    rings = [shapely.Polygon(line).buffer(0) for line in lines if len(line) > 3]
    return shapely.union_all(rings) if rings else shapely.Polygon()


def _lines(drawing: dict) -> list[list[tuple[float, float]]]:
    """The drawing's subpaths, flattened."""
    t = np.linspace(0, 1, 60)[:, None]
    found: list[list[complex]] = []
    for item in drawing["items"]:
        if item[0] == "l":
            points = [complex(at.x, at.y) * MM for at in item[1:3]]
        elif item[0] == "c":
            a, b, c, d = (complex(at.x, at.y) * MM for at in item[1:5])
            u = 1 - t
            points = (u**3 * a + 3 * u**2 * t * b + 3 * u * t**2 * c + t**3 * d).ravel().tolist()
        else:
            quad = item[1].quad if item[0] == "re" else item[1]
            points = [complex(at.x, at.y) * MM for at in (quad.ul, quad.ur, quad.lr, quad.ll, quad.ul)]
        if found and item[0] in "lc" and abs(found[-1][-1] - points[0]) < 1e-6:
            found[-1] += points[1:]
        else:
            found.append(points)
    if drawing.get("closePath") and found:
        found[-1].append(found[-1][0])
    kept = [[at for k, at in enumerate(line) if k == 0 or at != line[k - 1]] for line in found]
    return [[(at.real, at.imag) for at in line] for line in kept if len(line) > 1]


# -- what is wrong -----------------------------------------------------------------------------------------------------


def on_lines(page: Printed) -> list[str]:
    """Words that a line runs through; not the user's own words on the user's own lines."""
    found: list[str] = []
    boxes = np.array([word.ink.buffer(-_NEAR) for word in page.words])
    if not len(boxes):
        return found
    tree = shapely.STRtree(boxes)
    for stroke in page.strokes:
        for k in tree.query(stroke.ink, predicate="intersects"):
            word = page.words[k]
            if not (word.whose == DRAWN and stroke.whose == DRAWN):
                found.append(f"{page.label}: {word.whose} {word.text!r} on a {stroke.whose} line {stroke.width:.2f}")
    return found


def on_words(page: Printed) -> list[str]:
    """Words that lie on one another; not the user's own on the user's own."""
    boxes = np.array([word.ink.buffer(-_NEAR) for word in page.words])
    if not len(boxes):
        return []
    one, other = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    pairs = [(page.words[a], page.words[b]) for a, b in zip(one, other, strict=True) if a < b]
    return [
        f"{page.label}: {a.text!r} x {b.text!r}"
        for a, b in pairs
        if a.line != b.line and not (a.whose == b.whose == DRAWN)
    ]


def beyond(page: Printed, margin: float) -> list[str]:
    """Words that reach beyond what a printer prints, or from a margin into what a page shows."""
    room = page.paper.buffer(-margin, join_style="mitre")
    found = [f"{page.label}: {word.text!r} leaves the paper" for word in page.words if not room.covers(word.ink)]
    if page.shows.equals(page.paper):
        return found
    inner = page.shows.buffer(-_NEAR)
    return found + [
        f"{page.label}: {word.text!r} on the drawing"
        for word in page.words
        if word.whose == FURNITURE and word.ink.intersects(inner)
    ]


def small(page: Printed) -> list[str]:
    """Words of less than 8 pt; the user's own are as large as drawn."""
    return [
        f"{page.label}: {word.text!r} {word.size:.1f}"
        for word in page.words
        if word.size < 7.99 and word.whose != DRAWN
    ]


def gnawed(page: pymupdf.Page) -> list[str]:
    """Letters over which something white is painted after them."""
    white: list[tuple[int, shapely.Geometry]] = []
    for one in page.get_drawings():
        if one.get("fill") and luminance(one["fill"]) > 0.98 and (one.get("fill_opacity") or 0) > 0.5:
            white.append((one["seqno"], _area(_lines(one))))
        if one.get("color") and luminance(one["color"]) > 0.98:
            drawn = shapely.MultiLineString(_lines(one))
            white.append((one["seqno"], drawn.buffer((one["width"] or 0.0) * MM / 2)))
    letters = [
        (span["seqno"], chr(char[0]), _letter(span, char).buffer(-_NEAR))
        for span in page.get_texttrace()
        for char in span["chars"]
        if span["type"] != 3 and not chr(char[0]).isspace()
    ]
    tree = shapely.STRtree([ink for _, _, ink in letters])
    found = [
        letters[k][1]
        for seqno, area in white
        for k in tree.query(area, predicate="intersects")
        if seqno > letters[k][0]
    ]
    return [f"{page.get_label()}: {letter!r}" for letter in found]
