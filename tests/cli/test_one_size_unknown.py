"""A nest in which one piece of one size can't be known: the other sizes are measured, walked and adjusted."""

from __future__ import annotations

import re

import pytest


@pytest.fixture
def nest(here):
    """Draw the smock in five sizes, the back of size 12 as a triangle."""
    text = (here / "smock-sizes.svg").read_text(encoding="utf-8")
    at = text.index('inkscape:label="Back stitch line"', text.index('inkscape:label="Size 12"'))
    triangle = r' d="M1100 200L1300 500L1000 700Z"'
    (here / "nest.svg").write_text(text[:at] + re.sub(r' d="[^"]*"', triangle, text[at:], count=1), encoding="utf-8")
    return "nest.svg"


def test_the_other_sizes_are_measured(svgfit, nest):
    whole, part = svgfit("measure", "smock-sizes.svg"), svgfit("measure", nest)
    assert part.status == 0
    assert "Back (other, size 12)" in part.out
    for size in ("8", "10", "14", "16"):
        first, second = (
            done.out.partition(f"Sleeve (sleeve, size {size})")[2].partition("\n\n")[0].partition("\n")[2]
            for done in (whole, part)
        )
        assert "cap ease" in first
        assert first == second


def test_they_are_walked_and_the_one_is_told(svgfit, nest):
    done = svgfit("walk", nest)
    assert done.status == 1
    told = [
        line for line in done.out.splitlines() if re.match(r"(fail|warn) +(walk of Sleeve|piece Back) \(12\)", line)
    ]
    assert len(told) == 2
    assert "Sleeve (size 14) in its armhole" in done.out


@pytest.mark.parametrize("step", ["cap-raise piece=Sleeve amount='1/8 in'", "bicep-widen piece=Sleeve amount='1/8 in'"])
def test_they_are_adjusted(svgfit, here, nest, step):
    done = svgfit("adjust", nest, "--do", step, "-o", "out.svg")
    assert done.status in (0, 1)
    assert (here / "out.svg").exists()
    assert svgfit("handout", "out.svg", "-o", "out.pdf", "--size", "14").status in (0, 1)
