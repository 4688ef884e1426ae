"""Lines and shapes clipped to a picture's frame, against shapely's intersections."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from svgfit.geometry.bezier import Complex
from svgfit.render.pdf.picture import clip_line, clip_shape

FRAME = (0.0, 0.0, 78.0, 50.0)
BOX = shapely.box(*FRAME)


def blob(seed: int) -> Complex:
    """A closed row of points round somewhere near the frame, less than a step of a picture apart."""
    random = np.random.default_rng(seed)
    around = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    radius = 30 + sum(random.uniform(-9, 9) * np.cos(k * around + random.uniform(0, 6)) for k in range(1, 5))
    return complex(random.uniform(-20, 98), random.uniform(-20, 70)) + radius * np.exp(1j * around)


def polygon(points: Complex) -> shapely.Polygon:
    return shapely.Polygon([(at.real, at.imag) for at in points])


@pytest.mark.parametrize("seed", range(40))
def test_a_clipped_shape_fills_what_the_whole_fills_of_the_frame(seed: int) -> None:
    whole = polygon(blob(seed)).buffer(0)
    clipped = clip_shape(blob(seed), FRAME)
    wanted = shapely.intersection(whole, BOX)
    if not len(clipped):
        assert wanted.area < 0.5
        return
    assert shapely.symmetric_difference(shapely.make_valid(polygon(clipped)), wanted).area < 0.5


def test_a_shape_round_the_whole_frame_fills_it_and_one_beside_it_nothing() -> None:
    around = np.array([-9 - 9j, 99 - 9j, 99 + 99j, -9 + 99j])
    assert polygon(clip_shape(around, FRAME)).equals(BOX)
    assert not len(clip_shape(around + 200, FRAME))
    assert not len(clip_shape(around + 105 + 90j, FRAME))  # beyond a corner, beside two sides


@pytest.mark.parametrize("seed", range(40))
def test_a_clipped_line_is_what_the_frame_holds_of_it(seed: int) -> None:
    points = blob(seed)
    wanted = shapely.intersection(shapely.LineString([(at.real, at.imag) for at in points]), BOX)
    parts = [[(at.real, at.imag) for at in part] for part in clip_line(points, FRAME)]
    found = shapely.MultiLineString([part for part in parts if len(part) > 1])
    if wanted.length > 1:
        assert BOX.buffer(1e-9).covers(found)
        assert shapely.hausdorff_distance(found, wanted) < 0.36
    else:
        assert found.length < 2


def test_a_long_straight_line_is_cut_where_it_crosses_the_frame() -> None:
    (inside,) = clip_line(np.array([-40 + 25j, 120 + 25j]), FRAME)
    assert abs(inside[0] - 25j) < 0.36
    assert abs(inside[-1] - (78 + 25j)) < 0.36
    assert clip_line(np.array([3 + 3j, 70 + 40j]), FRAME)[0].tolist() == [3 + 3j, 70 + 40j]
