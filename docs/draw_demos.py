"""Draws the drawings in ``demo_svgs/``: one work smock, as a small theatre's costume workshop might keep it.

Run from the project's root: ``python docs/draw_demos.py``. It gives the same bytes every time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np
from smock_shapes import INCH, Pattern, Writing, larger, smock

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve

FOLDER = Path(__file__).resolve().parent.parent / "demo_svgs"


def number(value: float, digits: int = 4) -> str:
    """A number without needless zeros."""
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def path_data(curve: Curve, digits: int = 4) -> str:
    """A path's ``d``: straight segments as L, others as C, Z where it is closed."""

    def point(at: complex) -> str:
        return f"{number(at.real, digits)},{number(at.imag, digits)}"

    words = [f"M {point(curve.start)}"]
    closed = curve.is_closed()
    for k, (a, b, c, d) in enumerate(curve.segments.tolist()):
        straight = abs(b - (2 * a + d) / 3) < 1e-9 and abs(c - (a + 2 * d) / 3) < 1e-9
        if straight and closed and k == len(curve) - 1:
            break
        words.append(f"L {point(d)}" if straight else f"C {point(b)} {point(c)} {point(d)}")
    return " ".join([*words, "Z"] if closed else words)


LINES = {
    "stitch line": "stroke:#1b1b1b;stroke-width:0.5;stroke-dasharray:3,1.5",
    "cut line": "stroke:#1b1b1b;stroke-width:0.8",
    "notches": "stroke:#1b1b1b;stroke-width:0.8",
    "grain line": "stroke:#1b1b1b;stroke-width:0.4;marker-start:url(#tip);marker-end:url(#tip)",
    "fold line": "stroke:#1b1b1b;stroke-width:1.6;stroke-dasharray:14,4,3,4",
    "details": "stroke:#1b1b1b;stroke-width:0.4;stroke-dasharray:1.5,1.5",
    "bicep line": "stroke:#1b1b1b;stroke-width:0.35;stroke-dasharray:8,2",
    "centre line": "stroke:#1b1b1b;stroke-width:0.35;stroke-dasharray:8,2,2,2",
}
TIP = (
    '<marker id="tip" orient="auto-start-reverse" markerUnits="userSpaceOnUse" markerWidth="{0}" markerHeight="{0}" '
    'viewBox="-10 -5 10 10" overflow="visible"><path d="M 0,0 L -10,3.5 L -10,-3.5 Z"/></marker>'
)


def curves_of(pattern: Pattern) -> dict[str, tuple[Curve, ...]]:
    """What is drawn of a piece, by layer."""
    found: dict[str, tuple[Curve, ...]] = {
        "cut line": (pattern.cut,),
        "stitch line": (pattern.stitch,),
        "notches": pattern.notches,
        "grain line": (pattern.grain,),
        "details": pattern.details,
    }
    if pattern.fold:
        found["fold line"] = (pattern.fold,)
    found.update({name: (curve,) for name, curve in pattern.lines.items()})
    return {name: curves for name, curves in found.items() if curves}


def moved(pattern: Pattern, motion: Affine) -> dict[str, tuple[Curve, ...]]:
    """What is drawn of a piece, by layer, where it lies on the page."""
    return {name: tuple(curve.transform(motion) for curve in curves) for name, curves in curves_of(pattern).items()}


# -- the full-size smock, as Inkscape writes layers --------------------------------------------------------------------

PAGE = (1300.0, 914.0)
INKSCAPE = """<?xml version="1.0" encoding="UTF-8" standalone="no"?>
<!-- Work smock, full size. Drawn for this project; drawn on 36 in paper from the roll. -->
<svg
   width="{width}mm"
   height="{height}mm"
   viewBox="0 0 {width} {height}"
   version="1.1"
   id="smock"
   sodipodi:docname="smock.svg"
   inkscape:version="1.2"
   xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"
   xmlns:sodipodi="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"
   xmlns="http://www.w3.org/2000/svg">
  <sodipodi:namedview
     id="namedview1"
     pagecolor="#ffffff"
     bordercolor="#666666"
     inkscape:document-units="mm"
     showgrid="false" />
  <defs
     id="defs1">
    {marker}
  </defs>
{layers}
</svg>
"""


def inkscape_layer(number_of: int, label: str, inside: Sequence[str], indent: str = "  ") -> str:
    """One layer group; ``inside`` is its elements."""
    head = f'{indent}<g\n{indent}   inkscape:groupmode="layer"\n{indent}   id="layer{number_of}"\n'
    return f'{head}{indent}   inkscape:label="{escape(label)}">\n' + "\n".join(inside) + f"\n{indent}</g>"


def paths(name: str, curves: Sequence[Curve], start: int, indent: str = "    ") -> list[str]:
    """Path elements in millimetres, numbered from ``start``."""
    found: list[str] = []
    for k, curve in enumerate(curves):
        parts = (f'id="path{start + k}"', f'style="fill:none;{LINES[name]}"', f'd="{path_data(curve)}" />')
        found.append(f"\n{indent}   ".join([f"{indent}<path", *parts]))
    return found


def words(texts: Sequence[Writing], motion: Affine, start: int, indent: str = "    ") -> list[str]:
    """Text elements in millimetres, upright wherever the piece lies."""
    found: list[str] = []
    for k, text in enumerate(texts):
        at = motion.apply(text.at)
        style = f"font-size:{number(text.size)}px;font-family:sans-serif;fill:#1b1b1b"
        place = f'id="text{start + k}" x="{number(at.real)}" y="{number(at.imag)}"'
        found.append(f'{indent}<text {place} style="{style}">{escape(text.words)}</text>')
    return found


def smock_svg(pieces: Sequence[Pattern]) -> str:
    """Sleeve, front and back on one page, with room beside them."""
    sleeve, front, back = pieces
    places = (
        (front, Affine.shift(40 + 300j)),
        (back, Affine.scale(-1, 1).then(Affine.shift(670 + 300j))),
        (sleeve, Affine.shift(905 + 215j)),
    )
    layers: list[str] = []
    serial = 1
    for pattern, motion in places:
        for name, curves in moved(pattern, motion).items():
            if name in ("bicep line", "centre line"):
                continue
            layers.append(inkscape_layer(len(layers) + 1, f"{pattern.name} {name}", paths(name, curves, serial)))
            serial += len(curves)
        upright = Affine.shift(70 + 0j).then(motion) if motion.mirrors else motion
        texts = words(pattern.texts, upright, serial)
        layers.append(inkscape_layer(len(layers) + 1, f"{pattern.name} text", texts))
        serial += len(texts)
    layers.append(inkscape_layer(len(layers) + 1, "test square", _test_square(720 + 700j, serial)))
    width, height = (number(side) for side in PAGE)
    return INKSCAPE.format(width=width, height=height, marker=TIP.format(8), layers="\n".join(layers))


# -- five sizes, one inside the other ----------------------------------------------------------------------------------

SIZES = {"8": "1.5,1.5", "10": "6,2", "12": "none", "14": "8,2,1.5,2", "16": "12,2.5"}
"""Size: the dashes that tell its line from the others'. The one in the middle is the smock's own."""
SHEET = (1530.0, 914.0)
KEY = 850 + 800j
"""Where on the page the key to the sizes begins."""


def sizes_svg() -> str:
    """A layer a size, in it the lines of that size; folds, grain lines, pocket and texts once for all."""
    nest = {size: smock(larger(k - 2)) for k, size in enumerate(SIZES)}
    places = {
        "Front": Affine.shift(40 + 330j),
        "Back": Affine.scale(-1, 1).then(Affine.shift(760 + 330j)),
        "Sleeve": Affine.shift(1020 + 240j),
    }
    layers: list[str] = []
    serial, number_of = 1, 1

    def layer(label: str, inside: list[str], indent: str = "  ") -> str:
        nonlocal number_of, serial
        number_of, serial = number_of + 1, serial + len(inside)
        return inkscape_layer(number_of - 1, label, inside, indent)

    for size, pieces in nest.items():
        inside: list[str] = []
        for pattern in pieces:
            drawn = moved(pattern, places[pattern.name])
            for name in ("stitch line", "notches"):
                lines = paths(name, drawn[name], serial, "      ")
                if name == "stitch line":
                    lines = [
                        line.replace("stroke-dasharray:3,1.5", f"stroke-dasharray:{SIZES[size]}") for line in lines
                    ]
                inside.append(layer(f"{pattern.name} {name}", lines, "    "))
        layers.append(layer(f"Size {size}", inside))
    for pattern in nest["12"]:
        motion = places[pattern.name]
        drawn = moved(pattern, motion)
        for name in ("grain line", "fold line", "details"):
            if name in drawn:
                layers.append(layer(f"{pattern.name} {name}", paths(name, drawn[name], serial)))
        upright = Affine.shift(70 + 0j).then(motion) if motion.mirrors else motion
        layers.append(layer(f"{pattern.name} text", words(pattern.texts, upright, serial)))
    layers.append(layer("test square", _test_square(KEY + 150, serial)))
    layers.append(layer("key", _key(serial)))
    width, height = (number(side) for side in SHEET)
    text = INKSCAPE.replace("Work smock, full size.", "Work smock, five sizes, full size.").replace(
        "smock.svg", "smock-sizes.svg"
    )
    return text.format(width=width, height=height, marker=TIP.format(8), layers="\n".join(layers))


def _test_square(at: complex, serial: int) -> list[str]:
    square = (
        f'    <rect id="square" x="{number(at.real)}" y="{number(at.imag)}" width="50" height="50" '
        'style="fill:none;stroke:#1b1b1b;stroke-width:0.4" />'
    )
    return [square, *words([Writing(at + 55 + 28j, "50 mm: measure after printing", 7)], Affine(), serial)]


def _key(serial: int) -> list[str]:
    """A short line of each size with its name."""
    found: list[str] = []
    for k, (size, dashes) in enumerate(SIZES.items()):
        at = KEY + 12j * k
        style = f"fill:none;stroke:#1b1b1b;stroke-width:0.5;stroke-dasharray:{dashes}"
        found.append(f'    <path id="key{size}" style="{style}" d="M {number(at.real)},{number(at.imag)} h 60" />')
        found += words([Writing(at + 65 + 3j, f"size {size}", 9)], Affine(), serial + k)
    return found


# -- the sleeve's cut line, from a program that knows only group ids ---------------------------------------------------


def cut_line_svg(sleeve: Pattern) -> str:
    """Inches, 72 units an inch, y upwards in each group, names only in ids."""
    unit = 72 / INCH
    upright = Affine.scale(unit, -unit)
    groups: list[str] = []
    wanted = {"cut line": "Sleeve_cut_line", "notches": "Sleeve_notches", "grain line": "Sleeve_grain"}
    for name, curves in curves_of(sleeve).items():
        if name in wanted:
            drawn = "\n".join(f'<path d="{path_data(curve.transform(upright), 3)}"/>' for curve in curves)
            width = 2 if name == "cut line" else 1
            look = f'fill="none" stroke="black" stroke-width="{width}" transform="matrix(1 0 0 -1 612 522)"'
            groups.append(f'<g id="{wanted[name]}" {look}>\n{drawn}\n</g>')
    texts = [(text, upright.apply(text.at)) for text in sleeve.texts if text.words not in ("front", "back")]
    lines = "\n".join(
        f'<text x="{number(at.real, 2)}" y="{number(-at.imag, 2)}" font-size="{number(text.size * unit, 1)}" '
        f'font-family="sans-serif">{text.words}</text>'
        for text, at in texts
    )
    groups.append(f'<g id="Sleeve_text" transform="translate(612 522)">\n{lines}\n</g>')
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="32in" height="26in" viewBox="0 0 2304 1872">'
    return "\n".join([head, *groups, "</svg>", ""])


# -- the half-size sleeve for class ----------------------------------------------------------------------------------

UNITS = 2.5
"""Units a millimetre in the class drawing, which states no size: only its test square tells."""


def teaching_svg(sleeve: Pattern) -> str:
    """Stitch line only, front to the left, turned on the page, in bare units."""
    half = Affine.scale(-0.5, 0.5).then(Affine.turn(math.radians(24))).then(Affine.shift(300 + 112j))
    motion = half.then(Affine.scale(UNITS))
    moves = {name: curves for name, curves in moved(sleeve, motion).items() if name not in ("cut line", "notches")}
    cap = sleeve.edges["cap"].transform(motion)
    moves["notches"] = tuple(_short_tick(cap, curve.transform(motion)) for curve in sleeve.notches)
    layers: list[str] = []
    for name in ("stitch line", "notches", "bicep line", "centre line", "grain line"):
        style = f'fill="none" style="{_scaled(LINES[name])}"'
        drawn = "\n".join(f'    <path d="{path_data(curve, 3)}"/>' for curve in moves[name])
        layers.append(f'  <g id="class-sleeve-{name.replace(" ", "-")}" {style}>\n{drawn}\n  </g>')
    lines = (Writing(140 + 110j, "Class sleeve"), Writing(140 + 132j, "half size"))
    places = [(motion.apply(line.at), line.words) for line in lines]
    text = "\n    ".join(
        f'<text transform="translate({number(at.real, 2)} {number(at.imag, 2)}) rotate(24)" font-size="20" '
        f'font-family="sans-serif">{content}</text>'
        for at, content in places
    )
    layers.append(f'  <g id="class-sleeve-text">\n    {text}\n  </g>')
    side = number(50 * UNITS)
    layers.append(
        f'  <g id="test-square">\n    <rect x="40" y="735" width="{side}" height="{side}" fill="none" '
        'stroke="#1b1b1b"/>\n    <text x="50" y="800" font-size="18" font-family="sans-serif">50 mm</text>\n  </g>'
    )
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="1200" height="900">'
    defs = f"  <defs>{TIP.format(14)}</defs>"
    return "\n".join(["<?xml version='1.0' encoding='UTF-8'?>", head, defs, *layers, "</svg>", ""])


def _short_tick(cap: Curve, notch: Curve) -> Curve:
    """A notch across the stitch line itself, 8 mm long before halving: this sleeve has no cut line."""
    t, _ = cap.nearest(notch.start)
    reach = 4 * 0.5 * UNITS * 1j * cap.tangent(t)
    return Curve(np.array([_straight(cap.point(t) - reach, cap.point(t) + reach)]))


def _straight(start: complex, end: complex) -> list[complex]:
    return [start, (2 * start + end) / 3, (start + 2 * end) / 3, end]


def _scaled(style: str) -> str:
    """A style in millimetres, with its numbers in units."""
    parts = [part.partition(":") for part in style.split(";")]
    found: list[str] = []
    for key, _, value in parts:
        if key in ("stroke-width", "stroke-dasharray"):
            value = ",".join(number(float(word) * UNITS) for word in value.split(","))
        found.append(f"{key}:{value}")
    return ";".join(found)


def main(folder: Path = FOLDER) -> None:
    """Writes all drawings."""
    pieces = smock()
    for name, text in (
        ("smock.svg", smock_svg(pieces)),
        ("smock-sizes.svg", sizes_svg()),
        ("smock-sleeve-cut-line.svg", cut_line_svg(pieces[0])),
        ("teaching-sleeve.svg", teaching_svg(pieces[0])),
    ):
        (folder / name).write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
