"""Draws the demo smock with its notches in every form the trade draws them, and holds svgfit to where they stand.

Run from the project's root: ``python docs/notch_forms.py`` prints the table; ``python docs/make_docs.py`` puts it into
docs/notches.md. A form is given as strokes in a notch's own frame: x along the seam, y out of the piece, mm; which
forms makers draw is from memory.
"""

from __future__ import annotations

import cmath
import itertools
import math
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

from smock_shapes import SEAM, Pattern, smock

import svgfit
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve

Stroke = tuple[complex, ...]
"""Corners of one stroke; a closed one ends where it starts."""
K = 4 / 3 * (math.sqrt(2) - 1)
WITHIN = 0.1
"""A notch this near to its true place, mm, is right."""
LINES = {"stitch": ("stitch line",), "cut": ("cut line",), "both": ("cut line", "stitch line")}
"""Which lines are drawn: stitch line, cut line, or both."""
STANDS = {"stitch": (0.0,), "cut": (SEAM,), "both": (0.0, SEAM)}
"""The line on which a notch stands, as how far out of the stitch line: it, the cut line, or one on each."""


def circle(at: complex, radius: float, sides: int = 24) -> Stroke:
    """A circle as a polygon, as drawing programs of the trade write it."""
    return tuple(at + cmath.rect(radius, 2 * math.pi * (k % sides) / sides) for k in range(sides + 1))


def zig(*points: complex) -> Stroke:
    """A stroke from point to point."""
    return points


TRIANGLE = zig(-3 + 0j, 3 + 0j, 0 - 5j, -3 + 0j)
FORMS: dict[str, tuple[Stroke, ...]] = {
    "tick inwards": (zig(0j, -6j),),
    "tick outwards": (zig(0j, 6j),),
    "tick across": (zig(-3j, 3j),),
    "slit, both its sides": (zig(-0.3 + 0j, -0.3 - 6j), zig(0.3 + 0j, 0.3 - 6j)),
    "vee inwards": (zig(-3 + 0j, -5j, 3 + 0j),),
    "vee outwards": (zig(-3 + 0j, 5j, 3 + 0j),),
    "triangle inwards": (TRIANGLE,),
    "triangle outwards": (zig(-3 + 0j, 3 + 0j, 5j, -3 + 0j),),
    "triangle in three strokes": (zig(-3 + 0j, 3 + 0j), zig(3 + 0j, -5j), zig(-5j, -3 + 0j)),
    "diamond": (zig(-3 + 0j, 5j, 3 + 0j, -5j, -3 + 0j),),
    "T": (zig(0j, 8j), zig(-4 + 8j, 4 + 8j)),
    "cross": (zig(-3j, 3j), zig(-3 + 0j, 3 + 0j)),
    "slanted cross": (zig(-2 - 2j, 2 + 2j), zig(-2 + 2j, 2 - 2j)),
    "dot": (circle(0j, 2),),
    "U": (zig(-2 + 0j, *(-4j - cmath.rect(2, math.pi * k / 8) for k in range(9)), 2 + 0j),),
    "box": (zig(-2 + 0j, -2 - 4j, 2 - 4j, 2 + 0j, -2 + 0j),),
    "castle": (zig(-3 + 0j, -3 + 4j, 3 + 4j, 3 + 0j),),
    "arrow": (zig(-8j, 0j), zig(-2 - 3j, 0j, 2 - 3j)),
    "keyhole": (zig(0j, -5j), circle(-6.5j, 1.5)),
    "slit with a bar": (zig(0j, -6j), zig(-2 - 6j, 2 - 6j)),
    "vee in two strokes": (zig(-3 + 0j, -5j), zig(3 + 0j, -5j)),
    "box in four strokes": (zig(-2 + 0j, -2 - 4j), zig(-2 - 4j, 2 - 4j), zig(2 - 4j, 2 + 0j), zig(2 + 0j, -2 + 0j)),
    "dot in a ring": (circle(0j, 2.5), circle(0j, 0.8)),
    "dot on a tick": (zig(-4j, 4j), circle(0j, 2)),
}
"""What is drawn beside the line, or on it."""
CUT_IN: dict[str, Stroke] = {
    "vee cut in": zig(-3 + 0j, -5j, 3 + 0j),
    "slit cut in": zig(-0.4 + 0j, -0.4 - 6j, 0.4 - 6j, 0.4 + 0j),
    "slit cut in, of no width": zig(0j, -6j, 0j),
    "box cut in": zig(-2.5 + 0j, -2.5 - 4j, 2.5 - 4j, 2.5 + 0j),
    "vee left standing": zig(-3 + 0j, 5j, 3 + 0j),
    "castle left standing": zig(-3 + 0j, -3 + 4j, 3 + 4j, 3 + 0j),
}
"""What is part of the line itself."""


class Place(NamedTuple):
    """A notch's true place on a piece's stitch line, and the way out of the piece there."""

    piece: str
    at: complex
    out: complex


class Drawn(NamedTuple):
    """A drawing, its convention, and where its notches are."""

    svg: str
    convention: str
    places: tuple[Place, ...]


def laid_out() -> list[tuple[Pattern, Affine]]:
    """The smock's pieces and where they lie on the page; the back the other way round."""
    sleeve, front, back = smock()
    flip = Affine.scale(-1, 1)
    return [
        (sleeve, Affine.shift(260 + 360j)),
        (front, Affine.shift(520 + 360j)),
        (back, flip.then(Affine.shift(1260 + 360j))),
    ]


def places_of(pattern: Pattern, motion: Affine) -> list[Place]:
    """Where the notches of a piece stand, on the page."""
    edge = pattern.edges["cap" if pattern.name == "Sleeve" else "armhole"]
    found: list[Place] = []
    for tick in pattern.notches:
        t, _ = edge.nearest(tick.start)
        out = tick.start - tick.end
        found.append(Place(pattern.name, motion.apply(edge.point(t)), motion.apply_vector(out / abs(out))))
    return found


def draw(
    strokes: Sequence[Stroke] = (),
    *,
    lines: str = "stitch",
    stands: str = "stitch",
    cut_in: Stroke = (),
    apart: bool = False,
    own_layer: bool = True,
    filled: bool = False,
    turned: float = 0.0,
    on_page: Affine | None = None,
) -> Drawn:
    """The smock with its notches in one form.

    ``lines``, ``stands``: see LINES, STANDS; ``cut_in``: a form that is part of the lines drawn; ``apart``: each stroke
    an element of its own; ``own_layer``: notches on a layer of their own, else on the outline's; ``turned``: by how
    much the strokes lean, radians; ``on_page``: how the whole drawing is moved.
    """
    layers: list[str] = []
    places: list[Place] = []
    for pattern, home in laid_out():
        motion = home.then(on_page) if on_page else home
        here = places_of(pattern, motion)
        places += here
        marks = [
            mark
            for place in here
            for away in STANDS[stands]
            for mark in _figure(strokes, place, away, apart=apart, filled=filled, turned=turned)
        ]
        for name in LINES[lines]:
            curve = (pattern.stitch if name == "stitch line" else pattern.cut).transform(motion)
            far = SEAM if name == "cut line" else 0.0
            for place in here if cut_in else ():
                curve = _with_cut_in(curve, place, far, cut_in)
            own = marks if not own_layer and name == LINES[lines][0] else []
            layers.append(_layer(f"{pattern.name} {name}", [_path([_data(curve)]), *own]))
        if own_layer and marks:
            layers.append(_layer(f"{pattern.name} notches", marks))
        layers.append(_layer(f"{pattern.name} grain line", [_path([_data(pattern.grain.transform(motion), False)])]))
        if pattern.fold:
            fold = pattern.fold.transform(motion)
            layers.append(_layer(f"{pattern.name} fold line", [_path([_data(fold, False)])]))
    head = 'xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
    svg = f'<svg {head} width="1500mm" height="1000mm" viewBox="0 0 1500 1000">' + "\n".join(layers) + "</svg>\n"
    names = ("Sleeve", "Front", "Back")
    toml = "".join(f'[pieces.{name}]\n"seam allowance" = {{ all = "5/8 in", hem = "1 in" }}\n' for name in names)
    return Drawn(svg, toml if lines == "cut" else "", tuple(places))


def _layer(name: str, elements: Sequence[str]) -> str:
    return f'<g inkscape:groupmode="layer" inkscape:label="{name}">{"".join(elements)}</g>'


def _path(parts: Sequence[str], fill: str = "none") -> str:
    return f'<path style="fill:{fill};stroke:#000;stroke-width:0.3" d="{" ".join(parts)}"/>'


def _xy(point: complex) -> str:
    return f"{point.real:.4f},{point.imag:.4f}"


def _data(curve: Curve, closed: bool = True) -> str:
    words = [f"M {_xy(curve.start)}", *(f"C {_xy(b)} {_xy(c)} {_xy(d)}" for _, b, c, d in curve.segments.tolist())]
    return " ".join([*words, "Z"] if closed else words)


def _on_page(stroke: Stroke, at: complex, out: complex) -> list[complex]:
    along = out * 1j
    return [at + point.real * along + point.imag * out for point in stroke]


def _figure(
    strokes: Sequence[Stroke], place: Place, away: float, *, apart: bool, filled: bool, turned: float
) -> list[str]:
    lean = complex(math.cos(turned), math.sin(turned))
    parts: list[str] = []
    for stroke in strokes:
        points = _on_page(stroke, place.at + away * place.out, place.out * lean)
        shut = len(points) > 2 and stroke[0] == stroke[-1]
        words = " L ".join(map(_xy, points[:-1] if shut else points))
        parts.append(f"M {words}{' Z' if shut else ''}")
    fill = "#000" if filled else "none"
    return [_path([part], fill) for part in parts] if apart else [_path(parts, fill)]


def _with_cut_in(curve: Curve, place: Place, away: float, stroke: Stroke) -> Curve:
    """The line with a notch cut into it (or left standing) at a place."""
    at = place.at + away * place.out
    centre = curve.nearest(at)[0]
    half = abs(stroke[-1] - stroke[0]) / 2
    if half:
        along = curve.length_between(0.0, centre)
        first, last = curve.at_lengths([along - half, along + half])
    else:
        first = last = centre
    corners = _on_page(stroke, at, place.out)
    ends = curve.point(first), curve.point(last)
    if abs(corners[0] - ends[0]) > abs(corners[-1] - ends[0]):
        corners.reverse()
    notch = Curve.polyline([ends[0], *corners[1:-1], ends[1]])
    return Curve.chain([curve.subcurve(0.0, first), notch, curve.subcurve(last, float(len(curve)))])


# -- what svgfit makes of it -------------------------------------------------------------------------------------------


class Outcome(NamedTuple):
    """What was found of a drawing's notches."""

    right: bool
    words: str
    """"" where all is right."""


def outcome(drawn: Drawn, within: float = WITHIN) -> Outcome:
    """Read the drawing: right is a notch within ``within`` mm of each place, none elsewhere, a walk that passes."""
    try:
        with tempfile.TemporaryDirectory() as folder:
            path, toml = Path(folder) / "smock.svg", Path(folder) / "svgfit.toml"
            path.write_text(drawn.svg, encoding="utf-8")
            toml.write_text(drawn.convention, encoding="utf-8")
            session = svgfit.open_drawings(str(path), convention=str(toml))
            pieces = session.pieces
            kinds = {piece.name: str(piece.kind) for piece in pieces}
            wrong = [f"{name} is {kind}" for name, kind in kinds.items() if kind != name.casefold()]
            wrong += list(itertools.chain.from_iterable(_misplaced(piece, drawn.places, within) for piece in pieces))
            if not wrong:
                failed = [check for check in session.walk().checks if check.status in ("fail", "warn")]
                wrong += [f"walk: {check.name} {check.status}" for check in failed]
    except svgfit.Refusal as refusal:
        wrong = [f"refused: {refusal.what}"]
    return Outcome(not wrong, "; ".join(wrong))


def _misplaced(piece: svgfit.Piece, places: Sequence[Place], within: float) -> list[str]:
    wanted = [place.at for place in places if place.piece == piece.name]
    found = [
        piece.placement.apply(mark.at)
        for mark in piece.marks
        if mark.at is not None and "notch" in mark.kind and mark.edge in ("cap", "armhole")
    ]
    stray = sum(1 for mark in piece.marks if "notch" in mark.kind) - len(found)
    wrong = [f"{piece.name}: {len(found)} notches for {len(wanted)}"] if len(found) != len(wanted) else []
    wrong += [f"{piece.name}: {stray} on another edge"] if stray else []
    off = max((min(abs(at - other) for other in found) for at in wanted), default=0.0) if found else math.inf
    return wrong if off <= within else [*wrong, f"{piece.name}: {off:.2f} mm off"]


def cases() -> dict[str, Callable[[str, str], Drawn | None]]:
    """Every form, as a drawing by the lines drawn and where its notches stand; None where that can't be drawn."""

    def beside(strokes: Sequence[Stroke], *, filled: bool = False) -> Callable[[str, str], Drawn | None]:
        return lambda lines, stands: draw(strokes, lines=lines, stands=stands, filled=filled)

    def within(stroke: Stroke) -> Callable[[str, str], Drawn | None]:
        return lambda lines, stands: draw(lines=lines, cut_in=stroke) if lines == stands else None

    found = {name: beside(strokes) for name, strokes in FORMS.items()}
    found["filled triangle"] = beside((TRIANGLE,), filled=True)
    found.update({name: within(stroke) for name, stroke in CUT_IN.items()})
    return found


def table() -> str:
    """Each form, on the stitch line, on the cut line and on both, where these lines are drawn."""
    head = ["form", *(f"on the {name} line" for name in ("stitch", "cut")), "on both"]
    rows = [head, ["---"] * len(head)]
    outcomes: list[Outcome] = []
    for name, drawing in cases().items():
        found = [outcome(drawn) for lines in LINES if (drawn := drawing(lines, lines)) is not None]
        rows.append([name, *("right" if one.right else one.words for one in found)])
        outcomes += found
    lines = [f"| {' | '.join(row)} |" for row in rows]
    right = sum(one.right for one in outcomes)
    return "\n".join([*lines, "", f"{right} of {len(outcomes)} are right."])


if __name__ == "__main__":
    print(table())
