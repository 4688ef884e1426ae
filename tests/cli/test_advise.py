"""svgfit advise as a person uses it: wrong inputs first, then plans, JSON, and plans that are then run."""

from __future__ import annotations

import json
import re
import tomllib

import pytest

PLAYERS = ("Ines Marlow", "Tobias Reed", "Wilhelmine Okoro")
ONE = """style = "smock"
[[person]]
name = "Ines Marlow"
"shoulder length" = "5 7/16 in"
"armhole depth" = "7 in"
"upper arm girth" = "11 1/4 in"
"shoulder tip to bicep line" = "5 3/8 in"
"""


@pytest.fixture
def one(here):
    """The demo's folder, with the sheet of one person whose cap has to be a little higher."""
    (here / "one.toml").write_text(ONE)
    return here


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), ("there is no drawing",)),
        (("smock.svg",), ("there is no body sheet", "--body SHEET")),
        (("smock.svg", "--body", "none.toml"), ("none.toml", "can't be read")),
        (("smock.svg", "--body", "smock.svg"), ("smock.svg line 1", "is not TOML")),
        (("smock.svg", "--body", "svgfit.toml"), ("names no person", "[[person]]")),
        (("smock.svg", "--body", "sheet.xlsx"), ("CSV UTF-8",)),
        (("smock.svg", "--body", "players.toml", "--person", "Hamlet"), ("no 'Hamlet'", *PLAYERS)),
        (("smock.svg", "--body", "players.toml", "--style", "toga"), ("no style 'toga'", "smock")),
        (("smock.svg", "--body", "players.toml", "--choose", "magic"), ("no choice 'magic'", "bicep")),
        (("smock.svg", "--body", "players.toml", "-o", "smock.svg"), ("plans of 3 people", "folder")),
        (("smock.svg", "--body", "one.toml", "-o", "one.toml", "--force"), ("one.toml", "one of the files read")),
        (("smock.svg", "--body", "one.toml", "-o", "smock.svg", "--force"), ("smock.svg", "one of the files")),
        (("smock.svg", "--body", "one.toml", "-o", "svgfit.toml"), ("svgfit.toml", "--force")),
        (("smock.svg", "--body", "one.toml", "-o", "none/plan.toml"), ("no such folder",)),
        (("smock.svg", "teaching-sleeve.svg", "--body", "one.toml"), ("several sleeves", "--sleeve NAME")),
        (("smock.svg", "--body", "one.toml", "--sleeve", "Left"), ("no sleeve 'Left'", "Sleeve")),
        (("smock.svg", "--body", "one.toml", "--size", "12"), ("no size",)),
        (("none.svg", "--body", "one.toml"), ("none.svg",)),
    ],
)
def test_each_wrong_use_is_one_clear_line(refused, one, arguments, words):
    line = refused("advise", *arguments)
    assert all(word in line for word in words), line


def test_no_style_anywhere_is_one_clear_line(refused, one):
    (one / "bare.toml").write_text(ONE.removeprefix('style = "smock"\n'))
    assert "--style NAME" in refused("advise", "smock.svg", "--body", "bare.toml")


def test_advice_is_read_top_down_and_says_that_nothing_was_written(svgfit, one):
    before = sorted(one.iterdir())
    done = svgfit("advise", "smock.svg", "--body", "one.toml", "--person", "ines")
    assert done.status == 0
    topics = ["armhole depth", "shoulder", "bicep", "cap height", "cap ease", "pitch"]
    places = [done.out.index(f"{number}. {topic}: ") for number, topic in enumerate(topics, 1)]
    assert places == sorted(places)
    assert "cap height: raised" in done.out
    assert "no plan written" in done.out
    assert "Sew a test garment" in done.out
    assert sorted(one.iterdir()) == before


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(
    ("unit", "figures"),
    [
        ("in", "pattern 5 1/2 in; body 5 3/8 in; wanted 5 5/8 to 5 3/4 in; 1/8 in too little"),
        ("mm", "pattern 140.0 mm; body 136.5 mm; wanted 142.9 to "),
        ("cm", "pattern 14.00 cm; body 13.65 cm; wanted 14.29 to "),
    ],
)
def test_it_speaks_in_the_unit_asked_for(svgfit, one, unit, figures):
    arguments = ("advise", "smock.svg", "--body", "one.toml", "--unit", unit)
    assert figures in svgfit(*arguments, "--verbose").out
    assert re.sub(r" \(\d\.\d+\)", "", figures.split(";")[0]) in svgfit(*arguments).out


def test_measures_are_explained(svgfit):
    done = svgfit("advise", "--measures")
    assert done.status == 0
    for words in ("shoulder tip to bicep line", "Round the fullest part of the upper arm"):
        assert words in done.out


def test_the_plan_runs_and_its_ends_are_met(svgfit, one):
    assert svgfit("advise", "smock.svg", "--body", "one.toml", "-o", "ines.toml", "--quiet").status == 0
    text = (one / "ines.toml").read_text()
    assert "svgfit adjust smock.svg --plan ines.toml -o OUT" in text
    assert [step["do"] for step in tomllib.loads(text)["step"]] == ["cap-raise", "seam-check"]
    done = svgfit("adjust", "smock.svg", "--plan", "ines.toml", "-o", "ines.svg", "--json")
    report = json.loads(done.out)
    assert done.status == 0
    ends = [check for check in report["checks"] if check["name"].startswith("end: ")]
    assert [end["status"] for end in ends] == ["pass"]
    assert ends[0]["values"]["got"] == pytest.approx(5.625 * 25.4, abs=0.01)


@pytest.mark.slow
def test_taken_again_on_the_adjusted_drawing_nothing_is_left_to_do(svgfit, one):
    svgfit("advise", "smock.svg", "--body", "one.toml", "-o", "ines.toml", "--quiet")
    svgfit("adjust", "smock.svg", "--plan", "ines.toml", "-o", "ines.svg", "--quiet")
    again = json.loads(svgfit("advise", "ines.svg", "--from", "adjusted", "--body", "one.toml", "--json").out)
    assert {finding["status"] for finding in again["people"][0]["findings"]} == {"pass"}


def test_json_says_the_same_for_other_programs(svgfit, one):
    found = json.loads(svgfit("advise", "smock.svg", "--body", "one.toml", "-o", "p.toml", "--json").out)
    assert set(found) == {"svgfit", "people", "warnings"}
    (person,) = found["people"]
    assert (person["name"], person["plan"], person["open"], person["failed"]) == ("Ines Marlow", "p.toml", False, False)
    height = person["findings"][3]
    assert height["name"] == "cap height"
    assert height["pattern"] - height["body"] - height["wanted"][0] == pytest.approx(height["difference"])
    assert height["ways"][0]["costs"][0]["name"] == "cap length"
    assert person["ends"] == [
        {"name": "cap height", "unit": "mm", "asked": 142.875, "got": pytest.approx(142.875, abs=0.01), "met": True}
    ]


@pytest.mark.slow
def test_many_people_get_a_plan_each_in_a_folder(svgfit, here):
    done = svgfit("advise", "smock.svg", "--body", "players.toml", "-o", "plans")
    assert done.status in (0, 1)
    names = {path.name for path in (here / "plans").iterdir()}
    assert names == {"ines-marlow.plan.toml", "tobias-reed.plan.toml", "wilhelmine-okoro.plan.toml"}
    for name in names:
        assert tomllib.loads((here / "plans" / name).read_text(encoding="utf-8"))
    again = svgfit("advise", "smock.svg", "--body", "players.toml", "-o", "plans")
    assert again.status == 2
    assert "--force" in again.err


def test_a_sleeve_without_its_armhole_is_still_held_against_the_arm(svgfit, one):
    done = svgfit("advise", "smock-sleeve-cut-line.svg", "--body", "one.toml", "--json")
    statuses = {row["name"]: row["status"] for row in json.loads(done.out)["people"][0]["findings"]}
    assert statuses["cap height"] == "do"
    assert statuses["cap ease"] == statuses["armhole depth"] == "not known"
    assert "no front and back among the drawings" in done.out


def test_a_half_size_drawing_against_a_whole_body_is_wondered_at(svgfit, one):
    assert "in full size?" in svgfit("advise", "teaching-sleeve.svg", "--body", "one.toml").out.replace("\n   ", " ")
