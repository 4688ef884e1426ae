"""Garments drawn to measure for tests of advice: sleeve, front and back, or a shirt whose armhole runs over a yoke.

Everything follows from a few measures in inches, so that the truth is known beforehand. Sheets are SVG in mm, y down;
each piece's centre lies on the fold. No data from anywhere.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.curve import Curve

IN = 25.4
Cubic = tuple[complex, ...]
"""Four points."""


class Cut(Struct, frozen=True, kw_only=True):
    """The measures that a garment is drawn from, in inches."""

    shoulder: float = 5.0
    """Neck point to where the armhole begins."""
    depth: float = 8.0
    """Back neck to the level of the underarm."""
    front_depth: float | None = None
    """Neck point to the level of the front's underarm; None: 3/4 in more than the back's."""
    back_width: float = 15.0
    """Across both halves, at the narrowest of the armhole, which is straight there."""
    chest: float = 38.0
    """All round, at the underarm."""
    bicep: float = 14.0
    cap: float = 5.5
    sleeve: float = 23.0
    """Cap top to hem."""
    ease: float = 1.25
    """Of the cap."""
    back_share: float = 0.55
    """Of the ease."""
    yoke: float = 0.0
    """Depth of a yoke at the centre back; 0 for none."""
    yoke_front: float = 1.25
    """How far the yoke comes over to the front."""
    yoke_notch: bool = True
    """Whether the shoulder is marked on the yoke's armhole."""
    cuff: bool = False
    pleat: float = 0.0
    """How much wider the back is than its yoke, on the half."""


class Drawn(Struct, frozen=True):
    """A piece's outline by its edges, from one corner to the next, and its notches."""

    name: str
    edges: tuple[tuple[Cubic, ...], ...]
    notches: tuple[complex, ...] = ()
    fold: tuple[complex, complex] | None = None
    grain: tuple[complex, complex] = (0j, 0j)


def line(a: complex, b: complex) -> Cubic:
    return (a, a + (b - a) / 3, b - (b - a) / 3, b)


def length(cubics: Sequence[Cubic]) -> float:
    return Curve(np.array(cubics)).length()


def at_length(cubics: Sequence[Cubic], mm: float) -> complex:
    curve = Curve(np.array(cubics))
    return curve.point(curve.at_length(mm))


# -- bodice ----------------------------------------------------------------------------------------------------------

NECK = 2.9 * IN
"""Half the back neck's width."""
SLOPE = math.radians(18.0)
"""How much the shoulder slopes."""


def _armhole(tip: complex, across: float, underarm: complex) -> tuple[Cubic, ...]:
    """From the shoulder tip down: straight at ``across`` half way down, then round to the underarm point."""
    middle = complex(across, (tip.imag + underarm.imag) / 2)
    upper = (tip, tip + 0.35 * 1j * (middle.imag - tip.imag), middle - 0.35j * (middle.imag - tip.imag), middle)
    deep = underarm.imag - middle.imag
    lower = (middle, middle + 0.6j * deep, underarm - 0.6 * (underarm.real - across), underarm)
    return upper, lower


def _half(cut: Cut, side: str) -> tuple[complex, complex, complex, complex]:
    """Neck centre, neck point, shoulder tip and underarm point of one half; the fold at x = 0, centre up."""
    raised = 0.75 * IN
    neck_point = complex(NECK, 0.0)
    tip = neck_point + cut.shoulder * IN * complex(math.cos(SLOPE), math.sin(SLOPE))
    if side == "back":
        centre = complex(0.0, raised)
        underarm = complex(cut.chest * IN / 4 - 0.1 * IN, raised + cut.depth * IN)
    else:
        centre = complex(0.0, 3.2 * IN)
        deep = cut.depth + 0.75 if cut.front_depth is None else cut.front_depth
        underarm = complex(cut.chest * IN / 4 + 0.1 * IN, deep * IN)
    return centre, neck_point, tip, underarm


def _bodice(cut: Cut, side: str) -> Drawn:
    centre, neck, tip, underarm = _half(cut, side)
    across = cut.back_width * IN / 2 if side == "back" else cut.back_width * IN / 2 - 0.4 * IN
    armhole = _armhole(tip, across, underarm)
    neckline = (centre, complex(0.6 * neck.real, centre.imag), neck + 0.45j * (centre.imag - neck.imag), neck)
    waist = underarm.imag + 8.0 * IN
    side_foot, foot = complex(underarm.real - 0.4 * IN, waist), complex(0.0, waist)
    up = length(armhole)
    marks = (up - 3.3 * IN,) if side == "front" else (up - 3.3 * IN, up - 3.8 * IN)
    return Drawn(
        side.capitalize(),
        (
            (neckline,),
            (line(neck, tip),),
            armhole,
            (line(underarm, side_foot),),
            (line(side_foot, foot),),
            (line(foot, centre),),
        ),
        tuple(at_length(armhole, mm) for mm in marks),
        fold=(centre + 1j * IN, foot - 1j * IN),
        grain=(complex(2 * IN, centre.imag + 3 * IN), complex(2 * IN, waist - 1 * IN)),
    )


def _yoked(cut: Cut) -> tuple[Drawn, Drawn, Drawn]:
    """Front, back and yoke of a shirt; the yoke's shoulder line runs from neck point to tip."""
    centre, neck, tip, underarm = _half(cut, "back")
    across = cut.back_width * IN / 2
    armhole = _armhole(tip, across, underarm)
    level = centre.imag + cut.yoke * IN
    whole = Curve(np.array(armhole))
    places = np.linspace(0.0, 1.0, 4001)
    heights = np.array([whole.point(float(t)).imag for t in places])
    t = float(places[int(np.abs(heights - level).argmin())])
    upper, lower = whole.split(t)
    seam_end = upper.end
    along = (tip - neck) / abs(tip - neck)
    ahead = -1j * along * cut.yoke_front * IN
    neck_front, tip_front = neck + ahead, tip + ahead
    neckline = (
        (
            centre,
            complex(0.6 * neck.real, centre.imag),
            neck - 0.4 * ahead / abs(ahead) * (centre.imag - neck.imag),
            neck,
        ),
        line(neck, neck_front),
    )
    over = (line(tip_front, tip), *(tuple(segment) for segment in upper.segments.tolist()))
    foot = complex(0.0, seam_end.imag)
    yoke = Drawn(
        "Yoke",
        (neckline, (line(neck_front, tip_front),), over, (line(seam_end, foot),), (line(foot, centre),)),
        (tip,) if cut.yoke_notch else (),
        fold=(centre + 0.2j * IN, foot - 0.2j * IN),
        grain=(complex(1.5 * IN, centre.imag + 0.3 * IN), complex(1.5 * IN, foot.imag - 0.2 * IN)),
    )
    plain = _bodice(cut, "back")
    wide = cut.pleat * IN
    rest = tuple(tuple(point + wide for point in segment) for segment in lower.segments.tolist())
    side_foot = plain.edges[4][0][0] + wide
    hem = complex(0.0, side_foot.imag)
    back = Drawn(
        "Back",
        (
            (line(foot, seam_end + wide),),
            rest,
            (line(underarm + wide, side_foot),),
            (line(side_foot, hem),),
            (line(hem, foot),),
        ),
        tuple(point + wide for point in plain.notches),
        fold=(foot + 1j * IN, hem - 1j * IN),
        grain=(complex(2 * IN, foot.imag + 2 * IN), complex(2 * IN, hem.imag - 1 * IN)),
    )
    return _front_below(cut), back, yoke


def _front_below(cut: Cut) -> Drawn:
    """The front of a shirt whose shoulder went to the yoke: its seam is as long as the yoke's."""
    whole = _bodice(cut, "front")
    centre, neck, tip, underarm = _half(cut, "front")
    along = (tip - neck) / abs(tip - neck)
    down = 1j * along * cut.yoke_front * IN
    start, end = neck + down, tip + down
    across = cut.back_width * IN / 2 - 0.4 * IN
    neckline = (centre, complex(0.6 * start.real, centre.imag), start + 0.45j * (centre.imag - start.imag), start)
    armhole = _armhole(end, across, underarm)
    up = length(armhole)
    return Drawn(
        whole.name,
        ((neckline,), (line(start, end),), armhole, *whole.edges[3:]),
        (at_length(armhole, up - 3.3 * IN),),
        whole.fold,
        whole.grain,
    )


# -- sleeve ----------------------------------------------------------------------------------------------------------


def _cap(cut: Cut, crown: float, scoop: float) -> tuple[tuple[Cubic, ...], tuple[Cubic, ...]]:
    """Front and back half, each from its underarm point up to the top; y of the bicep line is 0, the front at +x."""
    half, top = cut.bicep * IN / 2, -1j * cut.cap * IN
    front = (complex(half), complex(half * (1 - scoop)), top + crown * half, top)
    return (front,), (tuple(complex(-p.real, p.imag) for p in front),)


def _fitted_cap(cut: Cut, wanted: float) -> tuple[tuple[Cubic, ...], tuple[Cubic, ...]]:
    low, high = (0.02, 0.1), (0.98, 0.8)
    for _ in range(60):
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        halves = _cap(cut, *middle)
        if sum(map(length, halves)) < wanted:
            low = middle
        else:
            high = middle
    halves = _cap(cut, *low)
    assert abs(sum(map(length, halves)) - wanted) < 0.01, f"no such cap: {wanted / IN} in"
    return halves


def _sleeve(cut: Cut, front: float, back: float) -> Drawn:
    """A sleeve for armholes so long (mm); its shoulder notch stands where the back has its share of the ease."""
    ease = cut.ease * IN
    halves = _fitted_cap(cut, front + back + ease)
    cap = (
        *halves[1],
        *(tuple(reversed(one)) for one in reversed(halves[0])),
    )  # from the back over the top to the front
    whole = length(cap)
    back_half = back + cut.back_share * ease
    wrist = 4.5 * IN
    foot = complex(0.0, (cut.sleeve - cut.cap) * IN)
    corners = (complex(cut.bicep * IN / 2), foot + wrist, foot - wrist, complex(-cut.bicep * IN / 2))
    marks = (3.3 * IN, 3.8 * IN, back_half, whole - 3.3 * IN)
    return Drawn(
        "Sleeve",
        (cap, (line(corners[0], corners[1]),), (line(corners[1], corners[2]),), (line(corners[2], corners[3]),)),
        tuple(at_length(cap, mm) for mm in marks),
        grain=(0j, foot - 1j * IN),
    )


def _cuff() -> Drawn:
    corners = (0j, complex(9 * IN), complex(9 * IN, 2.5 * IN), 2.5j * IN)
    edges = tuple((line(a, b),) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True))
    return Drawn("Cuff", edges, grain=(complex(4 * IN, 0.3 * IN), complex(4 * IN, 2 * IN)))


# -- sheet -----------------------------------------------------------------------------------------------------------


def drawn_pieces(cut: Cut) -> tuple[Drawn, ...]:
    """All pieces of a garment; the sleeve fits the armhole as sewn with the ease asked for."""
    if cut.yoke:
        front, back, yoke = _yoked(cut)
        over = length(yoke.edges[2])
        before = cut.yoke_front * IN  # of the yoke's armhole, what lies before the shoulder
        halves = length(front.edges[2]) + before, length(back.edges[1]) + over - before
        bodice = (front, back, yoke)
    else:
        bodice = (_bodice(cut, "front"), _bodice(cut, "back"))
        halves = length(bodice[0].edges[2]), length(bodice[1].edges[2])
    return (_sleeve(cut, *halves), *bodice, *((_cuff(),) if cut.cuff else ()))


def drawing(cut: Cut) -> str:
    """The garment as a sheet: a layer for each piece and role."""
    layers: list[str] = []
    for number, piece in enumerate(drawn_pieces(cut)):
        shift = complex(300 + 380 * number, 250)
        outline = [segment for edge in piece.edges for segment in edge]
        data = f"M{_xy(outline[0][0] + shift)} " + " ".join(
            f"C{_xy(b + shift)} {_xy(c + shift)} {_xy(d + shift)}" for _, b, c, d in outline
        )
        layers.append(_layer(f"{piece.name} stitch line", [f"{data} Z"]))
        ticks = [f"M{_xy(at + shift)} L{_xy(_outwards(piece, at) + shift)}" for at in piece.notches]
        layers += [_layer(f"{piece.name} notches", ticks)] if ticks else []
        for name, ends in (("grain line", piece.grain), ("fold line", piece.fold)):
            if ends:
                layers.append(_layer(f"{piece.name} {name}", [f"M{_xy(ends[0] + shift)} L{_xy(ends[1] + shift)}"]))
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="2400mm" height="1200mm" viewBox="0 0 2400 1200">\n'
        f"{''.join(layers)}</svg>\n"
    )


def _outwards(piece: Drawn, at: complex) -> complex:
    """Six millimetres square to the edge on which a notch stands, out of the piece."""
    curves = [Curve(np.array(edge)) for edge in piece.edges]
    t, curve = min(((curve.nearest(at), curve) for curve in curves), key=lambda one: one[0][1])
    way = curve.tangent(t[0])
    inside = Curve(np.array([segment for edge in piece.edges for segment in edge])).area()
    return at + 6 * (way * (-1j if inside > 0 else 1j))


def _xy(at: complex) -> str:
    return f"{at.real:.6f},{at.imag:.6f}"


def _layer(name: str, paths: Sequence[str]) -> str:
    inside = "".join(f'<path d="{data}" fill="none" stroke="black"/>' for data in paths)
    return f'<g id="{name}">{inside}</g>\n'
