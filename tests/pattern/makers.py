"""Garments with a cut line as makers draw it: roofs over darts, square and mirrored corners, a facing's curve, tapers.

Drawn here with plain sums of their own, as one SVG; no data from anywhere.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Piece
from tests.fitting.sleeves import Shape, sleeve

from .bodices import Bodice, bodice

SEAM, HEM = 15.875, 38.1
FORMS = ("plain", "mirrored", "square")


class Maker(Struct, frozen=True, kw_only=True):
    """What a maker draws of cut lines."""

    hem: str = "mirrored"
    """The form of the hem's corner at the side seam."""
    neck: str = "square"
    """The form of the shoulder's corner at the neck."""
    facing: float = 12.0
    """By how much the front neckline's cut line swells in its middle, for a facing drawn in one."""
    taper: float = 0.0
    """By how much the hem's allowance is wider at the centre."""
    roof: bool = True
    """Whether the front has a dart in its side seam, with a roof in the cut line."""


def unit(way: complex) -> complex:
    return way / abs(way)


def meeting(a: complex, u: complex, b: complex, v: complex) -> complex:
    """Where two lines, each a point and a direction, meet."""
    gap = b - a
    return a + u * ((gap.conjugate() * 1j * v).real / (u.conjugate() * 1j * v).real)


def mirrored(point: complex, a: complex, u: complex) -> complex:
    return a + u**2 * (point - a).conjugate()


def beside(edge: Edge, widths: np.ndarray, outwards: float) -> np.ndarray:
    """Points beside an edge, at widths given for as many places."""
    t = np.array(edge.curve.at_lengths((np.linspace(0, 1, len(widths)) * edge.curve.length()).tolist()))
    ways = edge.curve.tangents(t)
    ways[-1] = edge.curve.tangent(float(len(edge.curve)), before=True)
    return edge.curve.points(t) + outwards * 1j * ways * widths


def drawn_cut(piece: Piece, maker: Maker, dart: tuple[complex, complex, complex] | None = None) -> np.ndarray:
    """The maker's cut line round a piece, as points: every edge's parallel, and each corner in its form."""
    outwards = -1.0 if piece.outline().area() > 0 else 1.0
    lines: list[np.ndarray] = []
    wides: list[float] = []
    for edge in piece.edges:
        wide = 0.0 if edge.fold else HEM if edge.name == "hem" else SEAM
        shares = np.linspace(0, 1, 2 if edge.curve.is_straight() else 61)
        widths = np.full(len(shares), wide)
        if edge.name == "neckline" and piece.kind == "front":
            widths = widths + maker.facing * np.sin(np.pi * shares) ** 2
        if edge.name == "hem" and maker.taper:
            shares = np.linspace(0, 1, 31)
            toward_centre = 1 - shares if piece.kind in ("front", "back") else np.sin(np.pi * shares)
            widths = HEM + maker.taper * toward_centre
        lines.append(beside(edge, widths, outwards))
        wides.append(wide)
    points: list[complex] = []
    n = len(lines)
    for k, edge in enumerate(piece.edges):
        after = piece.edges[(k + 1) % n]
        own = list(lines[k][1:-1])
        if edge.name == "neckline" and points:  # begins where the corner before ends
            own = [p for p in own if abs(p - points[-1]) > 15 or ((p - points[-1]) / (own[0] - lines[k][0])).real > 0]
        points += own
        if dart is not None and edge.name == "side seam":
            points += roof(edge, dart, outwards)
        points += corner(maker, (edge, after), (lines[k], lines[(k + 1) % n]), (wides[k], wides[(k + 1) % n]))
    return np.array(points)


def roof(edge: Edge, dart: tuple[complex, complex, complex], outwards: float) -> list[complex]:
    """The roof of a level dart pressed down: its legs run on to the cut line, its tip mirrored about the lower leg."""
    start, apex, end = dart
    way = unit(edge.curve.end - edge.curve.start)
    base = edge.curve.start + outwards * 1j * way * SEAM
    on_start = meeting(apex, unit(start - apex), base, way)
    on_end = meeting(apex, unit(end - apex), base, way)
    lower, leg = (on_end, end - apex) if on_end.imag > on_start.imag else (on_start, start - apex)
    down = way if way.imag > 0 else -way
    image = mirrored(lower + down, lower, unit(leg)) - lower
    tip = meeting(lower, image, apex, unit(start - apex) + unit(end - apex))
    return [on_start, tip, on_end]


def corner(
    maker: Maker, edges: tuple[Edge, Edge], lines: tuple[np.ndarray, np.ndarray], wides: tuple[float, float]
) -> list[complex]:
    """The cut line's points at the corner between two edges."""
    one, two = edges
    u, v = unit(lines[0][-1] - lines[0][-2]), unit(lines[1][1] - lines[1][0])
    plain = meeting(complex(lines[0][-1]), u, complex(lines[1][0]), v)
    names = {one.name, two.name}
    form, folded = "plain", ""
    if "hem" in names and not (one.fold or two.fold):
        form, folded = maker.hem, "hem"
    elif names == {"shoulder", "neckline"}:
        form, folded = maker.neck, "shoulder"
    if form == "plain" or min(wides) == 0:
        return [plain]
    at = one.curve.end
    first = one.name == folded
    seam = unit(one.curve.tangent(float(len(one.curve)), before=True)) if first else unit(two.curve.tangent(0.0))
    crossing_at, crossing = (complex(lines[1][0]), v) if first else (complex(lines[0][-1]), u)
    folded_at, folded_way = (complex(lines[0][-1]), u) if first else (complex(lines[1][0]), v)
    on_seam = meeting(crossing_at, crossing, at, seam)
    end_way = 1j * seam if form == "square" else mirrored(on_seam + crossing, on_seam, seam) - on_seam
    end = meeting(on_seam, end_way, folded_at, folded_way)
    return [end, on_seam] if first else [on_seam, end]


def garment(maker: Maker, seed: int = 0) -> tuple[str, dict[str, np.ndarray]]:
    """The SVG of sleeve, front and back, and each one's cut line as points on the page, mm."""
    luck = np.random.default_rng(seed)
    shape = Bodice(drop=luck.uniform(30, 45), length=luck.uniform(330, 420), flare=luck.uniform(4, 18), scoop=0.85)
    layers: list[str] = []
    cuts: dict[str, np.ndarray] = {}
    front = bodice(shape)
    back = bodice(
        Bodice(kind="back", drop=shape.drop, length=shape.length, flare=shape.flare, neck_depth=30, scoop=0.85)
    )
    arm = sleeve(Shape(front=175, back=170, height=130, length=430, wrist=0.6))
    for piece, at in ((front, 200 + 420j), (back, 1200 + 420j), (arm, 700 + 1200j)):
        dart = None
        if maker.roof and piece.kind == "front":
            seam = piece.edge("side seam").curve
            length = seam.length()
            low, high = (seam.point(seam.at_length(length - down)) for down in (105.0, 75.0))
            dart = (low, (low + high) / 2 + 110 + 2j, high)
        cut = drawn_cut(piece, maker, dart) + at
        cuts[piece.name] = cut
        layers += _layers(piece, at, cut, dart)
    head = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    text = head + 'width="1600mm" height="1800mm" viewBox="0 0 1600 1800">\n' + "\n".join(layers) + "\n</svg>\n"
    return text, cuts


def _layers(piece: Piece, at: complex, cut: np.ndarray, dart: tuple[complex, complex, complex] | None) -> list[str]:
    def path(curve: Curve, end: str = "") -> str:
        moved = curve.transform(Affine.shift(at)).segments
        steps = " ".join("C " + " ".join(f"{p.real:.6f},{p.imag:.6f}" for p in one[1:]) for one in moved)
        return f'<path d="M {moved[0, 0].real:.6f},{moved[0, 0].imag:.6f} {steps}{end}" fill="none" stroke="black"/>'

    def layer(name: str, content: str) -> str:
        return f'<g inkscape:groupmode="layer" inkscape:label="{piece.name} {name}">{content}</g>'

    ring = " L ".join(f"{p.real:.6f},{p.imag:.6f}" for p in cut)
    found = [
        layer("stitch line", path(piece.outline(), " Z")),
        layer("cut line", f'<path d="M {ring} Z" fill="none" stroke="black"/>'),
    ]
    for kind, name in (("notch", "notches"), ("grain line", "grain"), ("fold line", "fold")):
        lines = [path(curve) for mark in piece.marks if mark.kind == kind for curve in mark.curves]
        found += [layer(name, "".join(lines))] if lines else []
    if dart is not None:
        v = " L ".join(f"{(p + at).real:.6f},{(p + at).imag:.6f}" for p in dart)
        found.append(layer("details", f'<path d="M {v}" fill="none" stroke="black"/>'))
    return found
