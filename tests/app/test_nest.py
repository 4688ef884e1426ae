"""Amounts by size, and sizes held against each other."""

import numpy as np
import pytest
import shapely
from msgspec.structs import replace

from svgfit.app.nest import nest_checks, outside, plan_for_size, sizes, variants
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.plan import Plan, Step
from svgfit.model.refusal import Refusal
from svgfit.model.report import Measurement
from svgfit.model.vocabulary import Unit


@pytest.fixture
def by_size(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(
        '[[step]]\ndo = "cap-raise"\nat = "2 in"\namount = { 10 = "1/4 in", "12" = "3/8 in", other = "1 cm" }\n'
    )
    return Plan.read(str(path))


def test_a_table_gives_each_size_its_own_amount(by_size):
    asked = {size: dict(plan_for_size(by_size, size).steps[0].asked)["amount"] for size in ("10", "12", "14")}
    assert asked == {"10": "1/4 in", "12": "3/8 in", "14": "1 cm"}
    assert [dict(step.asked)["amount"] for step in variants(by_size.steps[0])] == ["1/4 in", "3/8 in", "1 cm"]


@pytest.mark.parametrize(("size", "what"), [("14", "says nothing of size 14"), (None, "the drawing tells no sizes")])
def test_a_size_that_the_table_leaves_out_is_refused(size, what):
    plan = Plan((Step("cap-raise", None, (), "--do 1", (("amount", (("10", "1 cm"),)),)),))
    with pytest.raises(Refusal, match=what):
        plan_for_size(plan, size)


def test_sizes_one_by_one_with_what_has_none(sleeve):
    small, large = (replace(sleeve, size=size) for size in ("10", "12"))
    yoke = replace(sleeve, name="Yoke")
    assert sizes((small, large, yoke)) == ((small, yoke), (large, yoke))
    assert sizes((yoke,)) == ((yoke,),)


def grown(piece, size, scale):
    by = Affine.scale(scale, scale)
    return replace(piece, size=size, edges=tuple(replace(edge, curve=edge.curve.transform(by)) for edge in piece.edges))


def raised(piece, by):
    """The cap's peak moved up by so many mm."""
    points = [piece.edges[0].curve.start, piece.edges[0].curve.point(1.0) - 1j * by, piece.edges[0].curve.end]
    cap = replace(piece.edges[0], curve=Curve.polyline(points))
    return replace(piece, edges=(cap, *piece.edges[1:]))


def nest(sleeve, raises, scales=(1.0, 1.05, 1.1)):
    before = [grown(sleeve, str(10 + 2 * k), scale) for k, scale in enumerate(scales)]
    after = [raised(piece, by) for piece, by in zip(before, raises, strict=True)]

    def told(piece):
        return {piece.title: (Measurement("cap height", -piece.edges[0].curve.bounds()[1]),)}

    return [([old], [new], told(old), told(new)) for old, new in zip(before, after, strict=True)]


def test_equal_raises_neither_cross_nor_step_unevenly(sleeve):
    crossing, steps = nest_checks(nest(sleeve, (5.0, 5.0, 5.0)), Units(Unit.MM))
    assert (crossing.status, steps.status) == ("pass", "pass")


def test_a_small_size_raised_over_the_next_crosses_it(sleeve):
    crossing, steps = nest_checks(nest(sleeve, (20.0, 5.0, 5.0)), Units(Unit.MM))
    assert crossing.status == "fail"
    assert "size 10 now lies" in crossing.message
    assert steps.status == "warn"
    assert "10 to 12" in steps.message


def test_uneven_steps_are_told_with_each_step(sleeve):
    crossing, steps = nest_checks(nest(sleeve, (2.0, 2.0, 6.0)), Units(Unit.MM))
    assert crossing.status == "pass"
    assert steps.status == "warn"
    assert "10 to 12 6.0 mm, 12 to 14 10.0 mm" in steps.message


@pytest.mark.parametrize("scales", [(1.0, 1.1, 1.15), (1.0, 1.05, 1.2), (1.0, 1.05, 1.1)])
def test_sizes_picked_by_hand_are_no_less_even_than_drawn(sleeve, scales):
    """Sizes 8, 12 and 14 of a nest, each raised by as much more as it is larger: the steps are as the sizes are."""
    raises = tuple(100.0 * (scale - 1.0) for scale in scales)
    assert [check.status for check in nest_checks(nest(sleeve, raises, scales), Units(Unit.MM))] == ["pass", "pass"]
    uneven = (raises[0], raises[1] + 4.0, raises[2])
    assert nest_checks(nest(sleeve, uneven, scales), Units(Unit.MM))[1].status == "warn"


def test_a_hair_is_not_less_even_than_before(sleeve):
    steps = nest_checks(nest(sleeve, (0.0, 3.0, 3.5), (1.0, 1.08, 1.1)), Units(Unit.MM))[1]
    assert steps.status == nest_checks(nest(sleeve, (0.0, 3.2, 3.5), (1.0, 1.08, 1.1)), Units(Unit.MM))[1].status


def test_one_size_or_nothing_changed_needs_no_check(sleeve):
    untouched = [(old, old, first, first) for old, _, first, _ in nest(sleeve, (1.0, 1.0, 1.0))]
    assert nest_checks(untouched, Units(Unit.MM)) == ()
    assert nest_checks(nest(sleeve, (1.0, 1.0, 1.0))[:1], Units(Unit.MM)) == ()


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("seed", range(8))
def test_how_far_one_line_lies_outside_another_as_shapely_has_it(seed):
    random = np.random.default_rng(seed)

    def star(scale):
        turns = np.linspace(0, 2 * np.pi, 9)[:-1]
        points = scale * random.uniform(60, 100, 8) * np.exp(1j * turns)
        return Curve.polyline([*points.tolist(), complex(points[0])])

    small, large = star(0.9), star(1.0)
    ring = shapely.Polygon([(p.real, p.imag) for p in large.segments[:, 0]])
    # Farthest of many places of the one outline from the other, where it is not within it.
    places = shapely.points([(p.real, p.imag) for p in small.points(np.linspace(0, 8, 4001))])
    expected = max(shapely.distance(ring, places))
    assert outside(small, large)[0] == pytest.approx(expected, abs=0.05)
