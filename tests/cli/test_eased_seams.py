"""Seams that are eased in, and mismatches that were there before: stated, told apart, and no cause to stop."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.model.piece import Piece
from tests.fitting.garments import bodice_of, scooped, svg_of
from tests.fitting.sleeves import Shape, sleeve

MOTIONS = [Affine.shift(complex(x, 400)) for x in (400, 800, 1600)]
EASED = '[[seams]]\na = "Front/shoulder"\nb = "Back/shoulder"\nease = {}\n'


def garment(*, drop: float = 40.0, side: float = 300.0, size: str | None = None) -> list[Piece]:
    """Sleeve, front and back; ``drop`` sets the back's shoulder (40: 117.05 mm as the front's), ``side`` its side seam.

    Shoulders: the square root of 110² + drop², by construction.
    """
    armhole = scooped("back").edge("armhole").curve
    back = bodice_of("back", armhole, drop=drop, side=side)
    pieces = [sleeve(Shape(height=120.0)), scooped("front"), back]
    return [replace(piece, size=size) for piece in pieces]


def write(folder: Path, pieces: list[Piece], motions: list[Affine] = MOTIONS) -> str:
    (folder / "garment.svg").write_text(svg_of(pieces, motions), encoding="utf-8")
    return "garment.svg"


@pytest.fixture
def there(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def check(svgfit, there, *options: str) -> dict[str, dict]:
    done = svgfit("check", "garment.svg", "--json", "--unit", "mm", *options)
    return {one["name"]: one for one in json.loads(done.out)["checks"]} | {"exit": done.status}


def test_a_back_shoulder_that_is_a_little_longer_is_told_and_not_failed(svgfit, there):
    write(there, garment(drop=60.0))  # 125.30 mm on 117.05: 8.25 mm, about 5/16 in
    found = check(svgfit, there)
    shoulder = found["seam Front/shoulder"]
    assert shoulder["status"] == "warn"
    assert "usual there up to 12.7 mm and eased in" in shoulder["message"]
    assert found["exit"] == 0


@pytest.mark.parametrize("drop", [80.0, 0.0], ids=["too much", "the back is the shorter"])
def test_what_is_not_usual_at_a_shoulder_fails_as_ever(svgfit, there, drop):
    write(there, garment(drop=drop))
    found = check(svgfit, there)
    assert found["seam Front/shoulder"]["status"] == "fail"
    assert found["exit"] == 1


@pytest.mark.parametrize(
    ("ease", "status"),
    [
        ('["6 mm", "10 mm"]', "pass"),
        ('"8 mm"', "pass"),
        ('["1 mm", "6 mm"]', "warn"),
        ('["1/16 in", "1/8 in"]', "fail"),
    ],
)
def test_a_stated_ease_is_what_the_seam_is_held_to(svgfit, there, ease, status):
    write(there, garment(drop=60.0))
    (there / "svgfit.toml").write_text(EASED.format(ease), encoding="utf-8")
    found = check(svgfit, there)
    assert found["seam Front/shoulder"]["status"] == status
    assert found["exit"] == (status == "fail")
    # Whoever states an ease has not forgotten the other seams.
    assert {"seam Sleeve/cap", "seam Front/side seam"} <= found.keys()


def test_the_eased_edge_can_be_named_and_the_other_way_round_it_fails(svgfit, there):
    write(there, garment(drop=60.0))
    for eased, status in (("Back", "pass"), ("Front", "fail")):
        text = EASED.format('["6 mm", "10 mm"]') + f'eased = "{eased}/shoulder"\n'
        (there / "svgfit.toml").write_text(text, encoding="utf-8")
        assert check(svgfit, there)["seam Front/shoulder"]["status"] == status


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ('ease = ["3/8 in", "1/8 in"]', "begins with the larger length"),
        ("ease = 0.25", "has no unit"),
        ('ease = ["-1/8 in", "1/8 in"]', "less than nothing"),
        ('eased = "Back/shoulder"', "how much"),
        ('ease = "1/4 in"\neased = "Back/hem"', "is not the edge that can be eased here; write Front/shoulder or Back"),
        ('easing = "1/4 in"', "there is no key 'easing' here"),
    ],
)
def test_what_can_not_be_meant_is_refused_with_its_line(refused, there, lines, words):
    write(there, garment())
    text = '[[seams]]\na = "Front/shoulder"\nb = "Back/shoulder"\n' + lines + "\n"
    (there / "svgfit.toml").write_text(text, encoding="utf-8")
    line = refused("check", "garment.svg")
    assert words in line
    assert "svgfit.toml line " in line


def test_where_it_is_not_plain_which_edge_is_eased_it_must_be_said(svgfit, refused, there):
    write(there, garment(side=306.0))
    text = '[[seams]]\na = "Front/side seam"\nb = "Back/side seam"\nease = ["3 mm", "8 mm"]\n'
    (there / "svgfit.toml").write_text(text, encoding="utf-8")
    assert 'add the longer one: eased = "Front/side seam" or' in refused("check", "garment.svg")
    (there / "svgfit.toml").write_text(text + 'eased = "Back/side seam"\n', encoding="utf-8")
    assert check(svgfit, there)["seam Front/side seam"]["status"] == "pass"


def test_a_caps_ease_can_be_stated_and_the_walk_keeps_to_it(svgfit, there):
    write(there, garment())
    ease = json.loads(svgfit("measure", "garment.svg", "--json").out)["pieces"][0]["measurements"]
    ease = next(one["before"] for one in ease if one["name"] == "cap ease")
    for least, status in ((ease - 1, "pass"), (ease + 1, "warn")):
        text = (
            f'[[seams]]\na = "Sleeve/cap"\nb = ["Front/armhole", "Back/armhole"]\nease = ["{least:.3f} mm", "200 mm"]\n'
        )
        (there / "svgfit.toml").write_text(text, encoding="utf-8")
        assert check(svgfit, there)["seam Sleeve/cap"]["status"] == status
        (walk,) = json.loads(svgfit("walk", "garment.svg", "--json").out)["walks"]
        assert next(one for one in walk["verdicts"] if one["name"] == "cap ease")["status"] == status


# -- so before, or this run's own ------------------------------------------------------------------------------------

RAISE = "cap-raise amount='1/4 in'"
SIDES = "seam-check a='Front/side seam' b='Back/side seam'"


def adjust(svgfit, *steps: str) -> tuple[int, list[dict]]:
    options = [word for step in steps for word in ("--do", step)]
    done = svgfit("adjust", "garment.svg", *options, "--dry-run", "--json")
    return done.status, json.loads(done.out)["checks"]


def test_the_makers_own_mismatch_is_told_and_does_not_fail_a_run(svgfit, there):
    write(there, garment(side=312.0))
    status, (seam,) = adjust(svgfit, SIDES)
    assert (status, seam["status"]) == (1, "fail"), "a plan that only checks says what it finds"
    for steps in ((RAISE, SIDES), (SIDES, RAISE)):
        status, (seam,) = adjust(svgfit, *steps)
        assert (status, seam["status"], seam["origin"]) == (0, "warn", "before the run")
        assert seam["message"].endswith("was so before this run")


def test_one_that_nobody_can_mean_still_fails(svgfit, there):
    write(there, garment(side=340.0))
    status, (seam,) = adjust(svgfit, RAISE, SIDES)
    assert (status, seam["status"], seam["origin"]) == (1, "fail", "before the run")


def test_what_the_run_did_is_a_failure_and_is_called_its_own(svgfit, there):
    write(there, garment())
    ease = adjust(svgfit, "seam-check a=Sleeve/cap b=Front/armhole+Back/armhole min='-20 in'")[1][0]["values"][
        "difference"
    ]
    cap = f"seam-check a=Sleeve/cap b=Front/armhole+Back/armhole max='{ease + 1:.3f} mm'"
    status, (check,) = adjust(svgfit, RAISE, cap)
    assert (status, check["status"], check["origin"]) == (1, "fail", "the run")
    assert "this run did it (before: " in check["message"]


def test_a_size_that_nobody_touched_does_not_fail_the_run(svgfit, there):
    small = garment(side=340.0, size="10")
    large = [replace(piece, size="12") for piece in garment()]
    away = [motion.then(Affine.shift(900j)) for motion in MOTIONS]
    write(there, [*small, *large], [*MOTIONS, *away])
    table = '[[step]]\ndo = "cap-raise"\namount = { 12 = "1/4 in", 10 = "0 in" }\n'
    table += '[[step]]\ndo = "seam-check"\na = "Front/side seam"\nb = "Back/side seam"\n'
    (there / "plan.toml").write_text(table, encoding="utf-8")
    done = svgfit("adjust", "garment.svg", "--plan", "plan.toml", "--dry-run", "--json")
    checks = {one["name"]: one for one in json.loads(done.out)["checks"] if "side seam" in one["name"]}
    assert {name: one["status"] for name, one in checks.items()} == {
        "Front/side seam against Back/side seam (size 10)": "warn",
        "Front/side seam against Back/side seam (size 12)": "pass",
    }
    assert done.status == 0


def test_paper_says_stop_only_for_what_the_run_did(svgfit, there):
    write(there, garment(side=312.0))
    for step, stops in ((SIDES, False), ("seam-check a=Sleeve/cap b=Front/armhole+Back/armhole max='-9 in'", True)):
        svgfit("adjust", "garment.svg", "--do", RAISE, "--do", step, "-o", "out.svg", "--force")
        done = svgfit("handout", "out.svg", "-o", "out.pdf", "--force", "--no-teaching")
        assert ("don't cut yet" in done.out + done.err) is stops
