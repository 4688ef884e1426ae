"""Slips that people make at a terminal, and what they are told."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("raise cap 1/2 in", "cap-raise amount='1/2 in'"),
        ("cap raise by 12.5 mm", "cap-raise amount='12.5 mm'"),
        ("add ease 1/2 in", "ease-spread ease='1/2 in'"),
        ("scoop the armhole 1/8 in", "armhole-adjust scoop='1/8 in'"),
        ("widen bicep", "bicep-widen"),
        ("lower cap 1/4 in", "cap-raise amount='-1/4 in'"),
        ("narrow the bicep 1/2 in", "bicep-widen amount='-1/2 in'"),
        ("lower armhole 1/4 in", "armhole-adjust lower='1/4 in'"),
        ("raise-cap amount='1/2 in'", "cap-raise"),
    ],
)
def test_a_step_in_other_words_is_told_the_one_that_is_meant(refused, here, typed, meant) -> None:
    line = refused("adjust", "smock.svg", "--do", typed, "--dry-run")
    assert f"did you mean {meant}?" in line


@pytest.mark.parametrize("typed", ["knit it 1 in", "cap 1/4 in"])
def test_of_what_could_be_several_none_is_guessed(refused, here, typed) -> None:
    assert "did you mean" not in refused("adjust", "smock.svg", "--do", typed, "--dry-run")


@pytest.mark.parametrize("table", ["{10='1/4 in', 12='3/8 in'}", "'{ 10 = 1 }'", "{}"])
def test_a_table_by_size_goes_into_a_plan(refused, here, table) -> None:
    line = refused("adjust", "smock-sizes.svg", "--do", f"cap-raise amount={table}", "--dry-run")
    assert "amount is a table of values by size, which only a plan can hold" in line
    assert "--plan runs it" in line


@pytest.mark.parametrize("typed", ["[[step]]", '{do = "cap-raise"}', 'do = "cap-raise"', "do=cap-raise"])
def test_a_step_as_a_plan_has_it_goes_into_a_plan(refused, here, typed) -> None:
    line = refused("adjust", "smock.svg", "--do", typed, "--dry-run")
    assert "is how a step is written in a plan; put it into a plan, which --plan runs" in line


def test_a_piece_that_is_a_pattern_is_told_of(svgfit, here) -> None:
    (here / "svgfit.toml").write_text('[pieces."Slee*"]\n"seam allowance" = { all = "5/8 in" }\n', "utf-8")
    done = svgfit("inspect", "smock.svg")
    assert '[pieces."Slee*"] in svgfit.toml is for a piece of that very name' in done.err
    assert '[pieces."*"] is for every piece, others are named: Front, Back, Sleeve' in done.err


def test_an_edge_that_no_piece_has_is_told_of(svgfit, here) -> None:
    (here / "svgfit.toml").write_text('[pieces."*"]\n"seam allowance" = { all = "1 cm", wrist = "1 in" }\n', "utf-8")
    done = svgfit("inspect", "smock.svg")
    assert "gives every piece a seam allowance for 'wrist', which is no edge of any" in done.err
    assert "'all'" not in done.err


def test_ease_front_to_back_is_called_that_and_its_old_name_still_works(svgfit, here) -> None:
    advise = ("advise", "smock.svg", "--body", "players.toml", "--person", "Ines Marlow")
    said = svgfit(*advise)
    assert "ease front to back: " in said.out
    assert "pitch" not in said.out
    for name in ("pitch", "ease front to back"):
        assert svgfit(*advise, "--choose", f"{name}: notch moved").status in (0, 1)
    assert '"name": "pitch"' in svgfit(*advise, "--json").out
