"""A PDF as pymupdf reads it: strokes and words, in mm from the upper left corner."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pymupdf
import shapely

from svgfit.render.pdf.build import Pages
from svgfit.render.pdf.first_page import FirstPage
from svgfit.render.pdf.typesetting import typeset

MM = 25.4 / 72
pymupdf.TOOLS.set_small_glyph_heights(True)  # a word's box is then as high as its letters


def opened(data: bytes) -> pymupdf.Document:
    return pymupdf.open(stream=data, filetype="pdf")


def first_pages(page: FirstPage) -> pymupdf.Document:
    return opened(typeset("handout", Pages("", page, (), ())))


def point(at) -> complex:
    return complex(at.x, at.y) * MM


def strokes(page) -> list[list[complex]]:
    """Every stroked or filled segment, flattened: two points for a straight one."""
    found: list[list[complex]] = []
    t = np.linspace(0, 1, 200)[:, None]
    for drawing in page.get_drawings():
        for item in drawing["items"]:
            if item[0] == "l":
                found.append([point(item[1]), point(item[2])])
            elif item[0] == "c":
                a, b, c, d = (point(at) for at in item[1:5])
                u = 1 - t
                found.append((u**3 * a + 3 * u**2 * t * b + 3 * u * t**2 * c + t**3 * d).ravel().tolist())
            else:
                corners = item[1].quad if item[0] == "re" else item[1]
                ring = [point(at) for at in (corners.ul, corners.ur, corners.lr, corners.ll, corners.ul)]
                found += [list(pair) for pair in pairwise(ring)]
    return found


def closed(page) -> list[tuple[float, float]]:
    """Width and height of everything closed that is drawn."""
    return [
        (drawing["rect"].width * MM, drawing["rect"].height * MM)
        for drawing in page.get_drawings()
        if drawing["closePath"] or drawing["items"][0][0] in ("re", "qu")
    ]


def lengths(page, *, level: bool) -> list[float]:
    """Lengths of the straight strokes across the page (``level``) or down it."""
    return [
        abs(b - a)
        for a, b, *rest in strokes(page)
        if not rest and abs((b - a).imag if level else (b - a).real) < 1e-3 and a != b
    ]


def lines(page) -> shapely.MultiLineString:
    """All strokes."""
    return shapely.MultiLineString([[(at.real, at.imag) for at in stroke] for stroke in strokes(page)])


def words(page) -> list[tuple[str, shapely.Polygon]]:
    """Every word and its box."""
    return [
        (word[4], shapely.box(word[0] * MM, word[1] * MM, word[2] * MM, word[3] * MM))
        for word in page.get_text("words")
    ]


def sizes(page) -> list[float]:
    """Font sizes, in points."""
    blocks = page.get_text("dict")["blocks"]
    return [span["size"] for block in blocks for line in block.get("lines", ()) for span in line["spans"]]


def collisions(page) -> list[str]:
    """Words that a stroke crosses, and words that lie on each other."""
    every = words(page)
    boxes = shapely.buffer(np.array([box for _, box in every]), -0.05)
    drawn = np.array([shapely.LineString([(at.real, at.imag) for at in stroke]) for stroke in strokes(page)])
    tree = shapely.STRtree(boxes)
    crossed = tree.query(drawn, predicate="intersects")[1] if len(drawn) else []
    one, other = tree.query(boxes, predicate="intersects")
    found = [f"{every[k][0]} x a line" for k in crossed]
    return found + [f"{every[k][0]} x {every[n][0]}" for k, n in zip(one, other, strict=True) if k < n]


def outside(page, left: float, top: float, right: float, bottom: float) -> list[str]:
    """Words and strokes that reach beyond a box."""
    room = shapely.box(left, top, right, bottom).buffer(0.02)
    found = [word for word, box in words(page) if not room.covers(box)]
    drawn = lines(page)
    return found if drawn.is_empty or room.covers(drawn) else [*found, f"strokes reach to {drawn.bounds}"]
