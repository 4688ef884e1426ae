"""A plan that goes on from adjusted outlines: what earlier plans adjusted stays in the new layer."""

from __future__ import annotations

import json

import pytest


def figures(svgfit, drawing):
    """What is measured of the adjusted outlines, in mm, by piece and name."""
    told = json.loads(svgfit("measure", drawing, "--from", "adjusted", "--json", "--quiet").out)
    return {(row["name"], one["name"]): one["before"] for row in told["pieces"] for one in row["measurements"]}


def adjust(svgfit, drawing, step, out, *more):
    done = svgfit("adjust", drawing, "--from", "adjusted", "--do", step, "-o", out, *more)
    assert done.status == 0, done.err
    return done


def test_a_piece_that_a_further_plan_leaves_alone_stays_adjusted(svgfit, here):
    svgfit("adjust", "smock.svg", "--do", "cap-raise piece=Sleeve amount='1/4 in'", "-o", "one.svg", "--quiet")
    first = figures(svgfit, "one.svg")
    adjust(svgfit, "one.svg", "armhole-adjust lower='1/4 in'", "two.svg", "--quiet")
    second = figures(svgfit, "two.svg")
    for name in ("cap height", "cap length", "bicep width"):
        assert second["Sleeve", name] == pytest.approx(first["Sleeve", name], abs=1e-6)
    assert second["Front", "armhole length"] > first["Front", "armhole length"] + 1
    adjust(svgfit, "two.svg", "bicep-widen amount='1/4 in'", "three.svg", "--quiet")
    third = figures(svgfit, "three.svg")
    assert third["Sleeve", "cap height"] == pytest.approx(first["Sleeve", "cap height"], abs=0.01)
    assert third["Front", "armhole length"] == pytest.approx(second["Front", "armhole length"], abs=1e-6)


def test_sizes_that_are_not_gone_on_with_are_told(svgfit, here):
    svgfit("adjust", "smock-sizes.svg", "--plan", "smock-sizes.plan.toml", "-o", "nest.svg", "--quiet")
    done = adjust(svgfit, "nest.svg", "cap-raise piece=Sleeve amount='1/8 in'", "twelve.svg", "--size", "12")
    assert "what was adjusted of Sleeve (8), Sleeve (10), Sleeve (14), Sleeve (16) is not in the new layer" in done.err
    assert "--size" in done.err


def test_of_several_adjusted_outlines_the_one_written_last_is_looked_at(svgfit, here):
    svgfit("adjust", "smock.svg", "--do", "cap-raise piece=Sleeve amount='1/4 in'", "-o", "one.svg", "--quiet")
    text = (here / "one.svg").read_text(encoding="utf-8")
    start, mark, own = text.partition('data-svgfit-layer="adjusted"')
    edited = own.replace("</g>", '<path d="M1 1L2 2" fill="none"/></g>', 1)
    (here / "one.svg").write_text(start + mark + edited, encoding="utf-8")
    first = figures(svgfit, "one.svg")
    done = adjust(svgfit, "one.svg", "cap-raise piece=Sleeve amount='1/4 in'", "two.svg")
    assert "was edited since svgfit wrote it: it is kept beside the new one" in done.err
    told = svgfit("measure", "two.svg", "--from", "adjusted").err
    assert "what was written last is looked at: Sleeve as on the layer 'adjusted (2)'" in told
    second = figures(svgfit, "two.svg")
    assert second["Sleeve", "cap height"] == pytest.approx(first["Sleeve", "cap height"] + 6.35, abs=1e-6)
    assert svgfit("handout", "two.svg", "-o", "two.pdf").status in (0, 1)
