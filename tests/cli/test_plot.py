"""The trade plot: what its lines say is what the sleeve measures when it is really changed so."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest
from lxml import etree

from svgfit.app.session import open_drawings
from svgfit.app.tradeoff import trade
from svgfit.model.tradeoff import Trade
from svgfit.render.text_metrics import text_width
from tests.cli.conftest import DEMOS

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def found():
    session = open_drawings(DEMOS / "smock.svg")
    (one,) = trade(session.pieces, session.seams, session.registry)
    return one


@pytest.mark.slow
def test_a_point_of_a_line_is_true_when_the_sleeve_is_made_so(svgfit, here, found):
    line = found.heights_for(20.0)
    for height, width in (line[0], line[len(line) // 2], line[-1]):
        steps = [f"bicep-widen width='{width:.6f} mm'", f"cap-raise height='{height:.6f} mm'"]
        done = svgfit("adjust", "smock.svg", *(word for do in steps for word in ("--do", do)), "--dry-run", "--json")
        sleeve = next(row for row in json.loads(done.out)["pieces"] if row["kind"] == "sleeve")
        ease = next(row["after"] for row in sleeve["measurements"] if row["name"] == "cap ease")
        assert ease == pytest.approx(20.0, abs=0.5), (height, width)  # read off between heights 9 mm apart


@pytest.mark.slow
def test_more_height_or_more_bicep_is_more_ease(found):
    for _, row in found.rows:
        eases = [ease for _, ease in row]
        assert eases == sorted(eases)
    for low, high in ((10.0, 20.0), (20.0, 30.0)):
        one = {width: height for height, width in found.heights_for(low)}
        other = {width: height for height, width in found.heights_for(high)}
        assert all(one[width] < other[width] for width in one.keys() & other.keys())


def test_interpolation_is_straight_and_stays_within_what_was_made():
    made = Trade("Sleeve", None, 140.0, 340.0, 10.0, 450.0, ((340.0, ((130.0, 0.0), (140.0, 10.0), (150.0, 30.0))),))
    assert made.heights_for(20.0) == ((145.0, 340.0),)
    assert made.heights_for(31.0) == ()


@pytest.mark.slow
@pytest.mark.parametrize("ease", [0.0, 12.7, 25.4, 38.1, 50.8])
def test_a_drawn_line_is_smooth_true_and_runs_from_edge_to_edge(found, ease):
    line = found.curve_for(ease)
    heights, widths = np.array(line).T
    every = [height for _, row in found.rows for height, _ in row]
    ends = min(every), max(every), found.rows[0][0], found.rows[-1][0]
    for height, width in (line[0], line[-1]):
        assert min(abs(height - ends[0]), abs(height - ends[1]), abs(width - ends[2]), abs(width - ends[3])) < 1e-6
    turns = np.abs(np.diff(np.unwrap(np.angle(np.diff(heights) + 1j * np.diff(widths)))))
    assert np.degrees(turns.max()) < 2.0
    straight = found.heights_for(ease)
    off = [abs(float(np.interp(width, widths[::-1], heights[::-1])) - height) for height, width in straight]
    assert max(off) < 25.4 / 32  # mm of cap height, against reading off straight between what was made


def test_no_line_is_drawn_where_nothing_was_made():
    row = ((130.0, 0.0), (140.0, 10.0), (150.0, 30.0))
    made = Trade("Sleeve", None, 140.0, 340.0, 10.0, 450.0, ((340.0, row), (350.0, row[:2])))
    line = made.curve_for(20.0)
    assert all(height <= 150.0 - 10.0 * (width - 340.0) / 10.0 + 1e-6 for height, width in line)
    assert made.curve_for(60.0) == ()


@pytest.mark.slow
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_plot_is_a_drawing_with_its_lines_named(svgfit, here, unit):
    done = svgfit("plot", "smock.svg", "--unit", unit, "-o", "trade.svg")
    assert done.status == 0
    root = etree.parse("trade.svg").getroot()
    width, height = float(root.get("width")[:-2]), float(root.get("height")[:-2])
    texts = root.findall(f".//{SVG}text")
    words = {text.text for text in texts}
    assert {"as drawn", "no ease"} <= words
    assert sum(1 for word in words if re.fullmatch(r"ease [\d /.]+ " + unit, word)) >= 3
    label = next(text for text in texts if text.text == "as drawn")
    ground = label.getprevious()
    assert ground.tag == f"{SVG}rect"  # so that no line crosses the words
    left = float(ground.get("x"))
    assert left < float(label.get("x"))
    assert float(label.get("x")) + text_width("as drawn", 3.6, bold=True) < left + float(ground.get("width"))
    assert all(0 < float(text.get("x")) < width and 0 < float(text.get("y")) < height - 2 for text in texts)


@pytest.mark.slow_after(2)
@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("teaching-sleeve.svg", "-o", "t.svg"), "no sleeve is here whose armhole is known"),
        (("smock-sizes.svg", "-o", "t.svg"), "choose one size with --size"),
        (("smock.svg", "-o", "smock.svg"), "smock.svg"),
        (("smock.svg", "-o", "t.svg", "--without", "bicep-widen"), "there is nothing to plot"),
    ],
)
def test_what_can_not_be_plotted_is_one_line(refused, here, arguments, said):
    assert said in refused("plot", *arguments)
