"""Walks as strips: true in proportion, shaded by the ease, readable."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.vocabulary import Unit
from svgfit.model.walk import Stop, Walk, Zone
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.annotate.walk_strips import walk_blocks
from svgfit.render.text_metrics import ASCENT, DESCENT, text_width

SIZE, WIDTH = 4.6, 200.0


def style(unit: str) -> PageStyle:
    return PageStyle(SIZE, units=Units(Unit(unit)))


def lower(turned: float, longer: float) -> Curve:
    """A hollow from the underarm up and inwards, for a sleeve's front (1) or a bodice's (-1)."""
    points = np.array([0, 25 - 1j, 45 - 20j, (60 + longer) - 70j])
    return Curve(np.array([turned * points.real + 1j * points.imag]))


def walk(*eases: float) -> Walk:
    """Front lower, front upper, back lower, back upper ease over armholes of 92, 128, 96 and 135 mm."""
    names = ("front underarm to notch", "front notch to shoulder", "back underarm to notch", "back notch to shoulder")
    zones: list[Zone] = []
    for name, hole, ease in zip(names, (92.0, 128.0, 96.0, 135.0), eases, strict=True):
        way = -1 if name.startswith("front") else 1
        curves = (lower(way, 0.0), lower(-way, 3.0)) if "underarm" in name else (None, None)
        zones.append(Zone(name, hole + ease, hole, ease, *curves))
    cap, hole = sum(zone.cap for zone in zones), sum(zone.armhole for zone in zones)
    stops = (Stop(zones[0].cap, "notch", "front"), Stop(cap - zones[2].cap, "notch", "back"))
    holes = (Stop(zones[0].armhole, "notch", "front"), Stop(hole - zones[2].armhole, "notch", "back"))
    return Walk("Sleeve", None, tuple(zones), cap, hole, cap - hole, 0.5, stops, holes)


def bars(block):
    """Left and right of the two strips, cap first."""
    closed = [stroke.points for stroke in block.strokes if stroke.kind == "strip" and len(stroke.points) == 5]
    return [(min(p.real for p in points), max(p.real for p in points), points[0].imag) for points in closed]


def shaded(block):
    return sorted(
        (stroke.points[0].imag, stroke.points[0].real) for stroke in block.strokes if stroke.kind == "shading"
    )


def test_strips_are_as_long_to_each_other_as_the_seams():
    found = walk(0.0, 9.0, 0.0, 11.0)
    cap, hole = bars(walk_blocks([found], style("in"), WIDTH)[0])
    assert (cap[1] - cap[0]) / (hole[1] - hole[0]) == pytest.approx(found.cap / found.armhole, rel=1e-9)


def test_ease_is_shaded_on_the_cap_as_wide_as_it_is():
    found = walk(0.0, 9.0, 0.0, 11.0)
    block = walk_blocks([found], style("in"), WIDTH)[0]
    cap = bars(block)[0]
    factor = (cap[1] - cap[0]) / found.cap
    places = [x for y, x in shaded(block) if y == cap[2]]
    gap = max(itertools.pairwise(places), key=lambda pair: pair[1] - pair[0])
    front, back = [x for x in places if x <= gap[0]], [x for x in places if x >= gap[1]]
    assert front[-1] - front[0] == pytest.approx(9.0 * factor)
    assert back[-1] - back[0] == pytest.approx(11.0 * factor)


def test_what_a_cap_lacks_is_shaded_on_the_armhole():
    block = walk_blocks([walk(0.0, -4.0, 0.0, 0.0)], style("in"), WIDTH)[0]
    cap, hole = bars(block)
    assert {y for y, _ in shaded(block)} == {hole[2]}
    assert any(line.text == "−3/16 in" for line in block.writing)
    assert any(line.text == "cap too short by 3/16 in" for line in block.writing)
    assert cap[2] != hole[2]


def test_no_ease_no_shading():
    assert not shaded(walk_blocks([walk(0.0, 0.0, 0.0, 0.0)], style("in"), WIDTH)[0])


@pytest.mark.parametrize("unit", ["in", "mm", "cm"])
@pytest.mark.parametrize("eases", [(0.0, 9.0, 0.0, 11.0), (3.0, -9.0, -2.0, 40.0)])
def test_writing_stands_free(unit, eases):
    for block in walk_blocks([walk(*eases)], style(unit), WIDTH):
        boxes = []
        for line in block.writing:
            wide = text_width(line.text, block.size, bold=line.bold)
            left = line.at.real - {"start": 0.0, "middle": wide / 2, "end": wide}[line.anchor]
            boxes.append((left, line.at.imag - ASCENT * SIZE, left + wide, line.at.imag + DESCENT * SIZE, line.text))
        for one, other in itertools.combinations(boxes, 2):
            apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            assert apart, (one, other)
        assert all(box[0] >= -0.01 and box[2] <= block.width + 0.01 for box in boxes), boxes
        assert all(0 <= point.imag <= block.height for stroke in block.strokes for point in stroke.points)


def test_the_lower_cap_lies_on_the_armhole_underarm_on_underarm():
    block = walk_blocks([walk(0.0, 9.0, 0.0, 11.0)], style("mm"), WIDTH)[1]
    caps = [stroke.points for stroke in block.strokes if stroke.kind == "strip"]
    holes = [stroke.points for stroke in block.strokes if stroke.kind == "armhole"]
    for cap, hole in zip(caps, holes, strict=True):
        assert cap[0] == pytest.approx(hole[0])
        # turned over, the cap runs the same way as the armhole: only the 3 mm by which it was drawn otherwise part them
        assert abs(cap[-1] - hole[-1]) < 3.01


def test_a_seam_of_no_length_draws_nothing():
    assert walk_blocks([Walk("Sleeve", None, (), 0.0, 0.0, 0.0, None)], style("in"), WIDTH) == []


def test_every_block_has_a_name_by_which_it_can_be_spoken_of():
    blocks = walk_blocks([walk(0.0, 9.0, 0.0, 11.0)], style("in"), WIDTH)
    assert [block.title for block in blocks] == [
        "Sleeve walked along its armhole",
        "Sleeve laid on its armhole, underarm to notch",
    ]
