"""A walk on the page: cap and armhole as straight strips, and the lower cap laid on the lower armhole. In mm.

Blocks of their own, not true to size: the strips are shortened to the block's width, lengths are written beside them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from svgfit.geometry.bezier import Complex
from svgfit.geometry.box import box_around
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.vocabulary import MarkKind
from svgfit.model.walk import BACK_LOWER, FRONT_LOWER, Stop, Walk, Zone
from svgfit.render.annotate.block import Block, Stroke, Written, list_rules
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.text_metrics import ASCENT, text_width

SEEN = 0.4
"""Ease under this (mm) is not shaded: it is thinner than a pencil line."""
_HATCH = 0.4
"""Between strokes that shade what two lines enclose, in font sizes."""


def walk_blocks(walks: Sequence[Walk], style: PageStyle, width: float, *, scaled: bool = True) -> list[Block]:
    """Draw each walk as strips and, where there are notches on both seams, the lower cap on the lower armhole.

    ``width`` mm is what a block may take; inches are in sixteenths. An armhole or cap of no length draws nothing.
    Without ``scaled`` the scale is not said: for what is shown at any size, as on a screen.
    """
    blocks: list[Block] = []
    for walk in walks:
        if walk.cap <= 0 or walk.armhole <= 0:
            continue
        blocks.append(_strips(walk, style, width, scaled=scaled))
        blocks += _laid(walk, style, width, scaled=scaled)
    return blocks


def _title(walk: Walk, what: str) -> str:
    return f"{walk.sleeve} ({walk.size}) {what}" if walk.size else f"{walk.sleeve} {what}"


# -- both seams as straight strips -----------------------------------------------------------------------------------


def _strips(walk: Walk, style: PageStyle, width: float, *, scaled: bool) -> Block:
    """Draw cap above, armhole below, shoulders together, from front underarm (left) to back underarm."""
    size, units = style.size, style.units
    caps, armholes = _ends(walk, "cap"), _ends(walk, "armhole")
    across = max(-caps[0], -armholes[0]) + max(caps[-1], armholes[-1])
    factor = width / across
    shoulder = max(-caps[0], -armholes[0]) * factor
    thick, between = size * 1.1, size * 4.4
    top = size * (ASCENT + 4.6)
    upper, lower = top + thick, top + thick + between
    writing = [
        Written(_title(walk, "walked along its armhole"), 1j * size * ASCENT, bold=True),
        Written(f"cap {units.plain(walk.cap)}", 1j * (size * (ASCENT + 2.1)), bold=False),
        Written(f"armhole {units.plain(walk.armhole)}", 1j * (lower + thick + size * 3.0)),
        Written("front underarm", 1j * (lower + thick + size * 1.5)),
        Written("shoulder", complex(shoulder, lower + thick + size * 1.5), "middle"),
        Written("back underarm", complex(width, lower + thick + size * 1.5), "end"),
        Written(_ease_text(walk.ease, units), complex(width, size * (ASCENT + 2.1)), "end", bold=True),
    ]
    drawn: list[Stroke] = [
        *_bar(shoulder + caps[0] * factor, shoulder + caps[-1] * factor, upper - thick, thick),
        *_bar(shoulder + armholes[0] * factor, shoulder + armholes[-1] * factor, lower, thick),
    ]
    for one, other in zip(caps, armholes, strict=True):
        above, below = complex(shoulder + one * factor, upper), complex(shoulder + other * factor, lower)
        drawn += [Stroke("met", (above, below)), Stroke("strip", (above, above - 1j * thick))]
        drawn.append(Stroke("strip", (below, below + 1j * thick)))
    for seam, stops, y in (("cap", walk.cap_stops, upper - thick), ("armhole", walk.armhole_stops, lower)):
        drawn += _ticks(walk, stops, seam, factor, complex(shoulder, y), thick)
    for k, zone in enumerate(_in_order(walk)):
        ends = caps if zone.ease > 0 else armholes
        y = upper - thick if zone.ease > 0 else lower
        middle = shoulder + (ends[k] + ends[k + 1]) / 2 * factor
        half = abs(zone.ease) / 2 * factor
        if abs(zone.ease) >= SEEN:
            drawn += _shaded_bar(middle - half, middle + half, y, thick)
        middle = shoulder + (caps[k] + caps[k + 1] + armholes[k] + armholes[k + 1]) / 4 * factor
        writing.append(Written(_short(zone.ease, units), complex(middle, upper + between / 2 + size * 0.3), "middle"))
    turned = f"; {walk.turn.words(units.plain)}" if walk.turn else ""
    note = f"shaded: what is eased in (or missing), where it falls{_scale(factor, scaled)}{turned}"
    height = lower + thick + size * 5.0
    writing.append(Written(note, 1j * (height - size * 0.5)))
    wide = max(width, text_width(note, size))
    return Block(wide, height, size, tuple(writing), list_rules(size), title=writing[0].text, strokes=tuple(drawn))


def _in_order(walk: Walk) -> list[Zone]:
    """Sort the zones from the front underarm over the shoulder to the back underarm."""
    front = [zone for zone in walk.zones if zone.zone.startswith("front")]
    back = [zone for zone in walk.zones if zone.zone.startswith("back")]
    return [*front, *back[::-1]]


def _ends(walk: Walk, seam: str) -> list[float]:
    """Find where zones begin and end along a seam, mm from the shoulder, the front negative."""
    front = [getattr(zone, seam) for zone in walk.zones if zone.zone.startswith("front")]
    back = [getattr(zone, seam) for zone in walk.zones if zone.zone.startswith("back")][::-1]
    marks = [-float(sum(front[k:])) for k in range(len(front))]
    return [*marks, 0.0, *(float(sum(back[: k + 1])) for k in range(len(back)))]


def _ticks(walk: Walk, stops: Sequence[Stop], seam: str, factor: float, at: complex, thick: float) -> Iterable[Stroke]:
    """Draw every notch of a seam, also those that bound no zone."""
    front = -_ends(walk, seam)[0]
    for stop in stops:
        if stop.kind == MarkKind.NOTCH:
            foot = at + (stop.at - front) * factor
            yield Stroke("strip notch", (foot - 0.25j * thick, foot + 1.25j * thick))


def _bar(left: float, right: float, y: float, thick: float) -> list[Stroke]:
    corners = (complex(left, y), complex(right, y), complex(right, y + thick), complex(left, y + thick))
    return [Stroke("strip", (*corners, corners[0]))]


def _shaded_bar(left: float, right: float, y: float, thick: float) -> Iterable[Stroke]:
    """Draw upright strokes so close that they read as grey in print; at least the two ends."""
    count = max(2, int((right - left) / (thick * 0.16)) + 1)
    for x in np.linspace(left, right, count).tolist():
        yield Stroke("shading", (complex(x, y), complex(x, y + thick)))


# -- the lower cap on the lower armhole ------------------------------------------------------------------------------


def _laid(walk: Walk, style: PageStyle, width: float, *, scaled: bool) -> list[Block]:
    """Draw front and back side by side, underarm points together, grain along grain, the sleeve turned over."""
    size, units = style.size, style.units
    pairs: list[tuple[Zone, Curve, Curve]] = []
    for zone in walk.zones:
        if zone.zone in (FRONT_LOWER, BACK_LOWER) and zone.cap_curve is not None and zone.armhole_curve is not None:
            cap = np.array(zone.cap_curve.points(np.linspace(0, len(zone.cap_curve), 60)))
            hole = np.array(zone.armhole_curve.points(np.linspace(0, len(zone.armhole_curve), 60)))
            pairs.append(
                (zone, Curve.polyline((-(cap - cap[0]).conj()).tolist()), Curve.polyline((hole - hole[0]).tolist()))
            )
    if not pairs:
        return []
    boxes = [box_around(curve.bounds() for curve in (cap, hole)) for _, cap, hole in pairs]
    room = width - size * 3 * (len(pairs) - 1)
    factor = min(
        1.0, room / sum(right - left for left, _, right, _ in boxes), size * 18 / max(b[3] - b[1] for b in boxes)
    )
    writing = [Written(_title(walk, "laid on its armhole, underarm to notch"), 1j * size * ASCENT, bold=True)]
    drawn: list[Stroke] = []
    x, floor = 0.0, size * (ASCENT + 2.0) + factor * max(bottom - top for _, top, _, bottom in boxes)
    for (zone, cap, hole), (left, _, right, bottom) in zip(pairs, boxes, strict=True):
        origin = complex(x - left * factor, floor - bottom * factor)
        one, other = (origin + factor * curve.points(np.arange(len(curve) + 1.0)) for curve in (cap, hole))
        drawn += _hatched(one, other, size * _HATCH)
        drawn += [Stroke("strip", tuple(one.tolist())), Stroke("armhole", tuple(other.tolist()))]
        side = "front" if zone.zone == FRONT_LOWER else "back"
        for row, text in enumerate((side, f"cap {units.plain(zone.cap)}", f"armhole {units.plain(zone.armhole)}")):
            writing.append(Written(text, complex(x, floor + size * (1.5 + 1.3 * row)), bold=not row))
        x += max((right - left) * factor, size * 14) + size * 3
    note = f"solid: cap, dashed: armhole, shaded: where they part{_scale(factor, scaled)}"
    height = floor + size * 7.4
    writing.append(Written(note, 1j * (height - size * 0.5)))
    wide = max(x - size * 3, text_width(note, size), text_width(writing[0].text, size, bold=True))
    return [Block(wide, height, size, tuple(writing), list_rules(size), title=writing[0].text, strokes=tuple(drawn))]


def _hatched(one: Complex, other: Complex, step: float) -> Iterable[Stroke]:
    """Draw upright strokes, ``step`` mm from each other, where two lines that begin together enclose something."""
    ring = np.concatenate([one, other[::-1]])
    ends = np.roll(ring, -1)
    left, right = float(ring.real.min()), float(ring.real.max())
    chords: list[tuple[complex, complex]] = list(zip(ring.tolist(), ends.tolist(), strict=True))
    for x in np.arange(left + step / 2, right, step).tolist():
        met: list[int] = ((ring.real <= x) != (ends.real <= x)).nonzero()[0].tolist()
        down = sorted(_height(chords[k], x) for k in met)
        for top, bottom in zip(down[::2], down[1::2], strict=True):
            if bottom - top > SEEN:
                yield Stroke("shading", (complex(x, top), complex(x, bottom)))


def _height(chord: tuple[complex, complex], x: float) -> float:
    """Return at what height a chord passes ``x``."""
    start, end = chord
    return start.imag + (x - start.real) / (end.real - start.real) * (end.imag - start.imag)


# -- words -----------------------------------------------------------------------------------------------------------


def _short(ease: float, units: Units) -> str:
    """Write ease with its sign: "+3/8 in"; "0" where it is too little to be read."""
    text = units.plain(abs(ease))
    if abs(ease) < 0.01 or text.startswith("under"):
        return "0"
    return f"{'+' if ease > 0 else '−'}{text}"


def _ease_text(ease: float, units: Units) -> str:
    if abs(ease) < 0.01:
        return "no ease"
    return f"ease {units.plain(ease)}" if ease > 0 else f"cap too short by {units.plain(-ease)}"


def _scale(factor: float, scaled: bool) -> str:
    if not scaled:
        return ""
    return f"; drawn 1 : {round(1 / factor, 1):g}" if factor < 0.999 else "; drawn full size"
