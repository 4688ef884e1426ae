"""Ease as data: what practice names (common practice, no source; per cents and the bicep row from memory)."""

from __future__ import annotations

import pytest

from svgfit.model.refusal import Refusal
from svgfit.pattern.convention import parse_convention
from svgfit.rules.ease import STYLES, find_style, styles_with

IN = 25.4


def with_table(text):
    return styles_with(parse_convention(text).ease)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("flat-felled shirt", 0, 0.25),
        ("shirt", 0, 1),
        ("blouse", 0.75, 1),
        ("fitted woven", 1, 1.875),
        ("tailored jacket", 1, 1.5),
        ("coat", 2, 2),
        ("knit", 0, 0.75),
    ],
)
def test_cap_ease_is_as_practice_has_it(name, low, high):
    assert find_style(name).cap == pytest.approx((low * IN, high * IN))


@pytest.mark.parametrize(
    ("name", "ease", "fine"),
    [
        ("flat-felled shirt", -0.25, True),
        ("flat-felled shirt", -0.3, False),
        ("tailored jacket", 2.5, True),
        ("tailored jacket", 2.6, False),
        ("shirt", 1.0, True),
        ("shirt", 1.01, False),
    ],
)
def test_what_is_no_cause_for_a_warning(name, ease, fine):
    assert find_style(name).allows(ease * IN) is fine


def test_bicep_wearing_ease_is_as_remembered():
    found = {style.name: style.bicep for style in STYLES if style.bicep}
    assert found["fitted woven"] == pytest.approx((1.5 * IN, 2.5 * IN))
    assert found["shirt"] == pytest.approx((3 * IN, 4 * IN))
    assert found["coat"] == pytest.approx((4 * IN, 5 * IN))
    assert found["knit"][1] == 0.0


def test_a_convention_adds_a_style_and_changes_another():
    styles = with_table(
        '[ease.smock]\ncap = ["1/4 in", "3/4 in"]\n"seam sits" = "1/2 in"\n[ease.Coat]\nbicep = "6 in"\n'
    )
    smock, coat = find_style("Smock", styles), find_style("coat", styles)
    assert smock.cap == pytest.approx((0.25 * IN, 0.75 * IN))
    assert (smock.sits, smock.bicep) == (pytest.approx((12.7, 12.7)), None)
    assert coat.bicep == pytest.approx((6 * IN, 6 * IN))
    assert coat.cap == find_style("coat").cap
    assert len(styles) == len(STYLES) + 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[ease.smock]\nbicep = "2 in"\n', ("smock", "has no cap ease", "shirt")),
        ("[ease.smock]\ncap = 2\n", ("line 2", "has no unit")),
        ('[ease.smock]\ncap = "2"\n', ("line 2", "has no unit")),
        ('[ease.smock]\ncap = ["2 in", "1 in"]\n', ("line 2", "larger length")),
        ('[ease.smock]\ncap = ["2 in", 3]\n', ("line 2",)),
        ('[ease.smock]\ncaps = "2 in"\n', ("line 2", "did you mean 'cap'?")),
        ('[ease.smock]\ncap = "1 in"\n"share of armhole" = [3, 5]\n', ("line 3", "parts of the armhole")),
        ('[ease.smock]\ncap = "1 in"\n[ease.Smock]\ncap = "1 in"\n', ("twice",)),
        ("ease = 3\n", ("should be a table",)),
    ],
)
def test_each_slip_in_an_ease_table_is_one_clear_line(text, words):
    with pytest.raises(Refusal) as raised:
        with_table(text)
    line = raised.value.line()
    assert all(word in line for word in words), line


def test_an_unknown_style_is_refused_with_those_that_are_known():
    with pytest.raises(Refusal, match="choose one of: flat-felled shirt, shirt"):
        find_style("toga")
