"""Ease by style from a plug-in: used as the convention's tables are; these hold over it, and both sides are named."""

from __future__ import annotations

from pathlib import Path

import pytest

PLUGIN = """
from svgfit.plugin import EaseRule, hookimpl

@hookimpl
def svgfit_rules():
    return [{rules}]
"""
TUNIC = "EaseRule('tunic', cap=({}, {}))"


@pytest.fixture
def add(here: Path):
    def put(rules: str, name: str = "rules_mine") -> None:
        (here / "mine").mkdir(exist_ok=True)
        (here / "mine" / f"{name}.py").write_text(PLUGIN.format(rules=rules), encoding="utf-8")

    return put


def walk(svgfit, style: str, *more: str):
    return svgfit("walk", "smock.svg", "--plugins", "mine", "--style", style, *more)


def test_a_style_of_its_own_is_known_and_held_to(add, svgfit, refused) -> None:
    assert "there is no style 'tunic'" in refused("walk", "smock.svg", "--style", "tunic")
    add(TUNIC.format(5.0, 15.0))
    fits = walk(svgfit, "tunic")
    assert fits.status == 0
    assert "plug-in" not in fits.err
    add(TUNIC.format(30.0, 40.0))
    assert walk(svgfit, "tunic").out != fits.out
    assert "too little" in walk(svgfit, "tunic").out


def test_a_known_style_with_other_figures_is_told(add, svgfit) -> None:
    stock = svgfit("walk", "smock.svg", "--style", "shirt")
    add("EaseRule('shirt', cap=(30.0, 40.0))")
    done = walk(svgfit, "shirt")
    assert done.out != stock.out
    assert "style shirt: cap as plug-in rules-mine (mine" in done.err
    assert walk(svgfit, "blouse").err == svgfit("walk", "smock.svg", "--style", "blouse").err


def test_the_convention_holds_and_both_sides_are_named(add, here: Path, svgfit) -> None:
    toml = here / "svgfit.toml"
    toml.write_text(toml.read_text(encoding="utf-8") + '\n[ease.tunic]\ncap = ["1/4 in", "1/2 in"]\n', encoding="utf-8")
    stock = svgfit("walk", "smock.svg", "--style", "tunic")
    add("EaseRule('tunic', cap=(30.0, 40.0))")
    done = walk(svgfit, "tunic")
    assert done.out == stock.out
    (line,) = [line for line in done.err.splitlines() if "rules-mine" in line]
    assert "style tunic: cap by plug-in rules-mine (mine" in line
    assert "svgfit.toml, which holds" in line


def test_one_style_from_two_plug_ins_is_refused_by_both_names(add, refused) -> None:
    add(TUNIC.format(0.0, 1.0))
    add(TUNIC.format(0.0, 2.0).replace("tunic", "Tunic"), "rules_other")
    line = refused("walk", "smock.svg", "--plugins", "mine", "--style", "tunic")
    assert "rules_mine.py" in line
    assert "rules_other.py" in line


@pytest.mark.parametrize(
    ("rules", "why"),
    [
        ("EaseRule('tunic', bicep=(1.0, 2.0))", "a style of one's own needs cap"),
        ("EaseRule('shirt')", "says nothing"),
        ("EaseRule('shirt', cap=(2.0, 1.0))", "cap begins with the larger"),
        ("EaseRule('shirt', cap=(0.0, float('inf')))", "ease of 'shirt': cap is inf"),
        ("EaseRule('shirt', cap=3.0)", "cap is 3.0, not least and most"),
        ("EaseRule('shirt', share=(3.0, 5.0))", "share is a part of the armhole"),
        ("EaseRule('', cap=(0.0, 1.0))", "the name of a style"),
        ("1 / 0", "ZeroDivisionError"),
    ],
)
def test_a_rule_that_cannot_be_is_told_and_the_stock_styles_stand(rules: str, why: str, add, svgfit) -> None:
    stock = svgfit("walk", "smock.svg", "--style", "shirt")
    add(rules)
    done = walk(svgfit, "shirt")
    assert (done.status, done.out) == (stock.status, stock.out)
    assert any(why in line and "rules-mine (mine" in line for line in done.err.splitlines())
