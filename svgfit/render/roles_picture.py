"""A picture of what each line of a drawing was taken for: one kind of line a role, and what each means beside it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.geometry.box import Box, box_around
from svgfit.model.drawing import Layer
from svgfit.model.line_kind import BLACK, BLUE, GREEN, VERMILION, WHITE
from svgfit.pattern.convention import Role, spoken_role
from svgfit.pattern.line_roles import Taken
from svgfit.render.png import rendered
from svgfit.svg.markup import ROUGH, Node, element, number, path_data, serialise

ACROSS = 1600
"""Pixels across."""
_GREY = "#8A8A8A"
_ORANGE, _SKY, _PURPLE = "#E69F00", "#56B4E9", "#CC79A7"
_PENS: dict[str | None, tuple[str, float, str]] = {
    Role.CUT_LINE: (BLACK, 3.0, "none"),
    Role.STITCH_LINE: (BLUE, 2.4, "10,4"),
    Role.NOTCHES: (VERMILION, 3.6, "none"),
    Role.GRAIN_LINE: (GREEN, 2.4, "30,6"),
    Role.FOLD_LINE: (GREEN, 2.4, "14,4,3,4"),
    Role.BICEP_LINE: (_PURPLE, 2.0, "none"),
    Role.CENTRE_LINE: (_PURPLE, 2.0, "12,4,3,4"),
    Role.DETAILS: (_SKY, 2.0, "6,4"),
    Role.LANDMARKS: (_ORANGE, 3.6, "none"),
    Role.TEXT: (_SKY, 1.0, "none"),
    Role.TEST_SQUARE: (_ORANGE, 2.4, "14,10"),
    None: (_GREY, 1.4, "3,4"),
}
"""Colour, width and dash, in pixels, of each role's lines; of what plays no part, ``None``.

They differ by width and dash too, for a print without colours. The colours are those of Okabe and Ito for all kinds of
colour vision, as in ``line_kinds``."""
_LETTERS = 26.0
_MARGIN = 30.0


def roles_png(file: str, taken: Sequence[Taken], *, title: str) -> bytes:
    """Draw layers in the kinds of line of what they were taken for, on white, with a legend beneath.

    Raises Refusal for what can't be drawn.
    """
    boxes = [box for one in taken for box in _boxes(one.layer)]
    left, top, right, bottom = box_around(boxes) if boxes else (0.0, 0.0, 100.0, 100.0)
    scale = (ACROSS - 2 * _MARGIN) / max(right - left, (bottom - top) / 4, 1.0)
    head = 2 * _MARGIN + _LETTERS
    rows = _legend_rows(taken)
    foot = head + (bottom - top) * scale + _MARGIN
    down = round(foot + len(rows) * 1.5 * _LETTERS + _MARGIN)
    matrix = f"matrix({scale:.6f},0,0,{scale:.6f},{_MARGIN - left * scale:.3f},{head - top * scale:.3f})"
    drawn = element("g", [("transform", matrix)], *_lines(taken, scale))
    body = [
        element("rect", [("width", "100%"), ("height", "100%"), ("fill", WHITE)]),
        _writing(title, _MARGIN, _MARGIN + 0.8 * _LETTERS, bold=True),
        drawn,
        *_legend(rows, foot),
    ]
    size: list[tuple[str, str]] = [("width", str(ACROSS)), ("height", str(down))]
    text = serialise(element("svg", [("xmlns", "http://www.w3.org/2000/svg"), *size], *body))
    return rendered(file, text, ACROSS * down)


def _boxes(layer: Layer) -> Iterable[Box]:
    return (curve.control_box() for shape in layer.shapes for curve in shape.curves)


def _lines(taken: Sequence[Taken], scale: float) -> Iterable[Node]:
    """Draw what plays no part first, so that it lies under what does."""
    for one in sorted(taken, key=lambda each: _pen_of(each) is not _PENS[None]):
        curves = [curve for shape in one.layer.shapes for curve in shape.curves]
        colour, width, dash = _pen_of(one)
        if curves:
            thin = number(width / scale, 4)
            dashes = dash if dash == "none" else ",".join(number(float(part) / scale, 4) for part in dash.split(","))
            style = f"fill:none;stroke:{colour};stroke-width:{thin};stroke-dasharray:{dashes};stroke-linejoin:round"
            yield element("path", [("d", path_data(curves, ROUGH)), ("style", style)])
        for each in one.layer.texts:
            text = each.text
            style = f"fill:{colour};font-size:{number(text.size, ROUGH)}px;text-anchor:{text.anchor}"
            turn = f"matrix({text.direction.real:.5f},{text.direction.imag:.5f},{-text.direction.imag:.5f},"
            turn += f"{text.direction.real:.5f},{text.at.real:.3f},{text.at.imag:.3f})"
            yield element("text", [("transform", turn), ("style", style)], text.content)


def _pen_of(one: Taken) -> tuple[str, float, str]:
    return _PENS.get(one.role, _PENS[None])


def _legend_rows(taken: Sequence[Taken]) -> list[tuple[str | None, str]]:
    """List each role once, with its layers, those that are guessed apart."""
    rows: dict[tuple[str | None, bool], list[str]] = {}
    for one in taken:
        role = one.role if one.role in _PENS else None
        rows.setdefault((role, bool(one.guess)), []).append(one.layer.name or "without a name")
    found: list[tuple[str | None, str]] = []
    for (role, guessed), names in rows.items():
        every = list(dict.fromkeys(names))
        more = f" and {len(every) - 6} more" if len(every) > 6 else ""
        said = spoken_role(role) if role else "left out"
        found.append((role, f"{said}{', guessed' if guessed else ''}: {', '.join(every[:6])}{more}"))
    return found


def _legend(rows: Sequence[tuple[str | None, str]], top: float) -> Iterable[Node]:
    for k, (role, text) in enumerate(rows):
        colour, width, dash = _PENS[role]
        level = top + (k + 0.5) * 1.5 * _LETTERS
        style = f"fill:none;stroke:{colour};stroke-width:{number(width, ROUGH)};stroke-dasharray:{dash}"
        line = [("x1", number(_MARGIN)), ("x2", number(_MARGIN + 96)), ("y1", number(level)), ("y2", number(level))]
        yield element("line", [*line, ("style", style)])
        yield _writing(text if len(text) < 100 else f"{text[:99]}…", _MARGIN + 110, level + 0.35 * _LETTERS)


def _writing(text: str, x: float, y: float, *, bold: bool = False) -> Node:
    weight = "bold" if bold else "normal"
    style = f"fill:{BLACK};font-size:{number(_LETTERS)}px;font-weight:{weight}"
    return element("text", [("x", number(x)), ("y", number(y, ROUGH)), ("style", style)], text)
