"""The demo's smock as other hands and machines draw it, its true lengths known: traced, in chords, unfolded, cut only.

Drawn here from ``docs/smock_shapes.py``, whose parallels are not svgfit's own. Page mm, y down.
"""

from __future__ import annotations

import importlib.util
import itertools
import math
import sys
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
from msgspec import Struct

from svgfit.app.session import open_drawings
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.vocabulary import EdgeName

SEAM, HEM = 15.875, 25.4
ALLOWANCES = '"seam allowance" = { all = "5/8 in", hem = "1 in" }'
ROOT = Path(__file__).parents[2]


@lru_cache
def shapes() -> ModuleType:
    """The script that draws the demo's pieces, which is no module of the package."""
    spec = importlib.util.spec_from_file_location("smock_shapes", ROOT / "docs" / "smock_shapes.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules.setdefault("smock_shapes", module)
    spec.loader.exec_module(module)
    return module


class Part(Struct, frozen=True, kw_only=True):
    """A piece to draw: its edges in order round the outline, what else is on it, what it is."""

    name: str
    kind: str
    edges: Mapping[str, Curve]
    notches: tuple[Curve, ...] = ()
    grain: Curve | None = None
    fold: Curve | None = None
    cut: Curve | None = None

    def lengths(self) -> dict[str, float]:
        """The edges' true lengths, mm."""
        return {name: curve.length() for name, curve in self.edges.items()}

    def stitch(self) -> Curve:
        """The closed stitch line."""
        return Curve.chain(self.edges.values())


@lru_cache
def smock(steps: float = 0.0) -> tuple[Part, ...]:
    """Sleeve, front and back, so many sizes up or down."""
    draw = shapes()
    found: list[Part] = []
    for pattern in draw.smock(draw.larger(steps)):
        found.append(_part(pattern))
    return tuple(found)


def _part(pattern: Any) -> Part:
    return Part(
        name=pattern.name,
        kind=pattern.name.casefold(),
        edges=dict(pattern.edges),
        notches=pattern.notches,
        grain=pattern.grain,
        fold=pattern.fold,
        cut=pattern.cut,
    )


@lru_cache
def neck(width: float, depth: float) -> Part:
    """A back with a neckline of its own width and depth: narrow or flat ones bend tightly at the shoulder."""
    draw = shapes()
    measures = draw.Measures(neck_width=width)
    return _part(draw.bodice("Back", measures, 231.66, depth, 19, 20))


def unfolded(part: Part) -> Part:
    """The whole piece: a half on the fold and its mirror image, edge names twice ("armhole", "armhole other side")."""
    names = list(part.edges)
    at = names.index("fold")
    half = [*names[at + 1 :], *names[:at]]  # from the fold's foot or top, round to it again
    flip = Affine.scale(-1, 1)
    edges = {name: part.edges[name] for name in half}
    first, last = half[0], half[-1]  # hem or neckline, either one
    whole: dict[str, Curve] = {}
    for name in half[1:-1]:
        whole[name] = edges[name]
    mirrored = {name: edges[name].transform(flip).reverse() for name in half}
    whole[last] = Curve.chain([edges[last], mirrored[last]])
    for name in reversed(half[1:-1]):
        whole[f"{name} other side"] = mirrored[name]
    whole[first] = Curve.chain([mirrored[first], edges[first]])
    notches = (*part.notches, *(curve.transform(flip) for curve in part.notches))
    assert part.cut is not None
    return Part(name=part.name, kind=part.kind, edges=whole, notches=notches, grain=part.grain)


def trousers(name: str, kind: str = "other", *, back: bool = False) -> Part:
    """A trouser front (or back): crotch curve, fly or seat seam, waist, side seam, hem, inseam. Invented measures."""
    deep, out, rise = (250.0, 110.0, 300.0) if back else (250.0, 62.0, 290.0)
    waist_in, waist_out = complex(18 if not back else 40, -rise), complex(235.0, -rise + (0 if not back else 12))
    crotch = complex(-out, 0.0)
    turn = complex(0.0, -95.0)
    hem_in, hem_out = complex(30, 780), complex(205, 780)
    side = Curve(np.array([[waist_out, waist_out + 30 + 90j, 262 - 60j, hem_out - 8 - 500j]]))
    side = Curve.chain([side, Curve.polyline([side.end, hem_out])])
    inseam = Curve(np.array([[hem_in, hem_in - 10 - 300j, crotch + 40 + 200j, crotch]]))
    curve = Curve(np.array([[crotch, crotch + 0.75 * out, turn + 50j, turn]]))
    edges = {
        "waist": Curve.polyline([waist_in, waist_out]),
        "side seam": side,
        "hem": Curve.polyline([hem_out, hem_in]),
        "inseam": inseam,
        "crotch": Curve.chain([curve, Curve.polyline([turn, waist_in])]),
    }
    middle = complex(deep / 2, 0)
    return Part(name=name, kind=kind, edges=edges, grain=Curve.polyline([middle - 150j, middle + 500j]))


# -- other hands ------------------------------------------------------------------------------------------------------


def points_of(curve: Curve, spacing: float) -> np.ndarray:
    """Points along a curve, by length, no farther apart than ``spacing`` mm; its ends are among them."""
    length = curve.length(1e-4)
    count = max(1, math.ceil(length / spacing))
    return curve.points(np.array(curve.at_lengths(np.linspace(0, length, count + 1).tolist(), 1e-4)))


def traced(part: Part, spacing: float, jitter: float, seed: int = 0, *, smooth: bool = False) -> Part:
    """The edges as a tracing has them: a node every ``spacing`` mm, each off by ``jitter`` mm (standard deviation).

    ``smooth``: through the nodes run cubics (Catmull and Rom's tangents, from memory), not straight lines.
    """
    luck = np.random.default_rng(seed)
    ends: dict[complex, complex] = {}

    def moved(point: complex) -> complex:
        return point + jitter * complex(*luck.normal(size=2))

    def shared(point: complex) -> complex:
        key = complex(round(point.real, 3), round(point.imag, 3))
        return ends.setdefault(key, moved(point))

    edges: dict[str, Curve] = {}
    for name, curve in part.edges.items():
        points = [complex(point) for point in points_of(curve, spacing)]
        points = [shared(points[0]), *(moved(point) for point in points[1:-1]), shared(points[-1])]
        edges[name] = rounded(points) if smooth else Curve.polyline(points)
    return Part(name=part.name, kind=part.kind, edges=edges, notches=part.notches, grain=part.grain, fold=part.fold)


def rounded(points: Sequence[complex]) -> Curve:
    """Cubics through points."""
    ways = [points[1] - points[0], *(0.5 * (c - a) for a, c in zip(points, points[2:], strict=False))]
    ways.append(points[-1] - points[-2])
    pairs = itertools.pairwise(zip(points, ways, strict=True))
    return Curve(np.array([[p, p + v / 3, q - w / 3, q] for (p, v), (q, w) in pairs]))


def around(part: Part, join: str, *, reach: float = 0.0, spacing: float = 1.0, seam: float = SEAM) -> Part:
    """The piece with a cut line as a machine offsets it, a polyline: parallels joined at corners as ``join`` says.

    "mitred": run on to where they meet; "bevelled": cut straight across from parallel to parallel; "rounded": an arc
    about the seam's corner; "clipped": mitred, its tip cut off ``reach`` mm before it; "eased": mitred, its tip rounded
    with radius ``reach``. Nothing is added at a fold, and its neighbours run on to it. ``seam``: the allowance, mm.
    """
    names = list(part.edges)
    lines = [_beside(curve, _width(name, seam), spacing) for name, curve in part.edges.items()]
    found: list[complex] = []
    for k, name in enumerate(names):
        after = (k + 1) % len(names)
        u, v = _way(lines[k][-1] - lines[k][-2]), _way(lines[after][1] - lines[after][0])
        corner = part.edges[name].end
        tip = meeting(lines[k][-1], u, lines[after][0], v)
        found += lines[k][1:-1]
        hollow = (u.conjugate() * v).imag < 0
        if "fold" in (name, names[after]) or hollow or join == "mitred":
            found.append(tip)
        elif join == "bevelled":
            found += [lines[k][-1], lines[after][0]]
        elif join == "rounded":
            found += _arc(corner, lines[k][-1], lines[after][0])
        elif join == "clipped":
            found += [tip - reach * u, tip + reach * v]
        else:
            found += _eased(tip, u, v, reach)
    return Part(
        name=part.name,
        kind=part.kind,
        edges=part.edges,
        notches=part.notches,
        grain=part.grain,
        fold=part.fold,
        cut=Curve.polyline([*found, found[0]]),
    )


def _width(name: str, seam: float) -> float:
    return 0.0 if name == "fold" else HEM if name == "hem" else seam


def _beside(curve: Curve, wide: float, spacing: float) -> list[complex]:
    """Points of an edge's parallel outwards, as they stand (where the edge bends tighter, they run back)."""
    if curve.is_straight(1e-9):
        way = curve.tangent(0.0)
        return [
            curve.start - 1j * wide * way,
            (curve.start + curve.end) / 2 - 1j * wide * way,
            curve.end - 1j * wide * way,
        ]
    length = curve.length(1e-4)
    t = np.array(curve.at_lengths(np.linspace(0, length, math.ceil(length / spacing) + 1).tolist(), 1e-5))
    ways = curve.tangents(t)
    ways[-1] = curve.tangent(float(len(curve)), before=True)
    return (curve.points(t) - 1j * wide * ways).tolist()


def _way(step: complex) -> complex:
    return step / abs(step)


def meeting(a: complex, u: complex, b: complex, v: complex) -> complex:
    """Where two lines, each a point and a direction, meet."""
    return a + u * (((b - a).conjugate() * 1j * v).real / (u.conjugate() * 1j * v).real)


def _arc(centre: complex, first: complex, last: complex, steps: int = 12) -> list[complex]:
    r1, r2 = abs(first - centre), abs(last - centre)
    turn = float(np.angle((last - centre) / (first - centre)))
    way = (first - centre) / r1
    return [centre + way * np.exp(1j * turn * k / steps) * (r1 + (r2 - r1) * k / steps) for k in range(steps + 1)]


def _eased(tip: complex, u: complex, v: complex, radius: float, steps: int = 10) -> list[complex]:
    turn = float(np.angle(v / u))
    back = radius * math.tan(abs(turn) / 2)
    centre = tip - back * u + 1j * u * radius * (1 if turn > 0 else -1)
    return _arc(centre, tip - back * u, tip + back * v, steps)


# -- the drawing ------------------------------------------------------------------------------------------------------

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '


def svg(parts: Sequence[Part], *, lines: str = "stitch") -> str:
    """The parts side by side on one page, a layer for each line; ``lines``: "stitch", "cut" or both."""
    layers: list[str] = []
    x = 40.0
    for part in parts:
        curves = [*part.edges.values(), *([part.cut] if part.cut is not None else [])]
        boxes = [curve.bounds() for curve in curves]
        left, right = min(box[0] for box in boxes), max(box[2] for box in boxes)
        place = Affine.shift(complex(x - left, 700))
        x += right - left + 60
        drawn: dict[str, Sequence[Curve]] = {
            "stitch line": [part.stitch()] if "stitch" in lines else [],
            "cut line": [part.cut] if "cut" in lines and part.cut is not None else [],
            "notches": part.notches,
            "grain line": [part.grain] if part.grain is not None else [],
            "fold line": [part.fold] if part.fold is not None else [],
        }
        for role, own in drawn.items():
            if own:
                inside = "".join(f'<path fill="none" stroke="black" d="{_data(c.transform(place))}"/>' for c in own)
                layers.append(f'<g inkscape:groupmode="layer" inkscape:label="{part.name} {role}">{inside}</g>')
    return f'{HEAD}width="{x:.0f}mm" height="1700mm" viewBox="0 0 {x:.0f} 1700">\n' + "\n".join(layers) + "\n</svg>\n"


def _data(curve: Curve) -> str:
    def pair(point: complex) -> str:
        return f"{point.real:.4f},{point.imag:.4f}"

    words = [f"M {pair(curve.start)}"]
    for a, b, c, d in curve.segments.tolist():
        straight = abs(b - (2 * a + d) / 3) < 1e-9 and abs(c - (a + 2 * d) / 3) < 1e-9
        words.append(f"L {pair(d)}" if straight else f"C {pair(b)} {pair(c)} {pair(d)}")
    return " ".join([*words, "Z"] if curve.is_closed(1e-6) else words)


def convention(parts: Sequence[Part], *, kinds: bool = False, allowances: str = ALLOWANCES) -> str:
    """A convention for them: allowances, and the sleeve's front to the right."""
    tables: list[str] = []
    for part in parts:
        front = 'front = "right"\n' if part.kind == "sleeve" else ""
        kind = f'kind = "{part.kind}"\n' if kinds else ""
        tables.append(f'[pieces."{part.name}"]\n{kind}{front}{allowances}\n')
    return 'unit = "mm"\n' + "\n".join(tables)


# -- what svgfit makes of it ------------------------------------------------------------------------------------------


class Outcome(Struct, frozen=True):
    """What a drawn part was read as, told apart from what it is."""

    part: str
    kind: str
    off: Mapping[str, float]
    """Edges whose length is off by more than was allowed, and by how much; an edge that is missing by infinity."""
    told: tuple[str, ...]
    """What is warned of that names the part, but for hints at the convention's allowances."""

    @property
    def silent(self) -> bool:
        """Whether a figure is wrong and nothing is said."""
        return bool(self.off) and not self.told


def outcomes(
    folder: Path,
    parts: Sequence[Part],
    within: float,
    *,
    lines: str = "stitch",
    truth: Sequence[Part] | None = None,
    kinds: bool = False,
    allowances: str = ALLOWANCES,
) -> list[Outcome]:
    """Draw the parts into a file, read it, and hold every edge against its true length (mm, ``within``).

    ``kinds``: whether the convention says what each is.
    """
    (folder / "svgfit.toml").write_text(convention(parts, kinds=kinds, allowances=allowances))
    path = folder / "drawn.svg"
    path.write_text(svg(parts, lines=lines))
    session = open_drawings(path)
    found: list[Outcome] = []
    for part, true in zip(parts, truth or parts, strict=True):
        piece = next(one for one in session.pieces if one.name == part.name)
        told = tuple(text for text in session.warnings if part.name in text and f"gives {part.name} a seam" not in text)
        named = {EdgeName.FOLD if edge.name == "centre" else edge.name: edge for edge in piece.edges}
        lengths = true.lengths() if EdgeName.ARMHOLE in named or EdgeName.CAP in named else {}
        off = {
            name: named[name].curve.length() - length if name in named else math.inf for name, length in lengths.items()
        }
        off = {name: miss for name, miss in off.items() if not abs(miss) <= within}
        found.append(Outcome(part.name, piece.kind, off, told))
    return found
