"""What adjust prints fits on a screen: what changed, what fails, what to do; the rest by --verbose and in JSON."""

from __future__ import annotations

import json

import pytest

STEPS = (
    "cap-raise piece=Sleeve amount='1/4 in'",
    "armhole-adjust scoop='1/8 in'",
    "bicep-widen piece=Sleeve amount='1/2 in'",
    "cap-redraw piece=Sleeve ease='3/4 in'",
)


def adjust(svgfit, *steps: str, more=()):
    return svgfit("adjust", *more, *(word for step in steps for word in ("--do", step)), "--dry-run")


def test_three_sizes_and_four_steps_fit_on_one_screen(svgfit, here):
    done = adjust(svgfit, *STEPS, more=("smock-sizes.svg", "--sizes", "10,12,14"))
    lines = (done.out + done.err).splitlines()
    assert done.status == 0
    assert len(lines) < 40
    for words in ("1. cap-raise, Sleeve (10, 12, 14): amount 1/4 in", "cap ease ", "armhole length", "12 checks pass"):
        assert any(words in line for line in lines), words
    assert max(map(len, done.out.splitlines())) <= 100


@pytest.mark.slow
def test_what_is_left_out_is_said_with_verbose_and_in_json(svgfit, here):
    more = ("smock-sizes.svg", "--sizes", "10,12,14")
    said = adjust(svgfit, *STEPS, more=(*more, "--verbose")).out
    for words in ("12. cap-redraw, Sleeve (14)", "opening in the cap", "sizes of Sleeve step evenly", "Sleeve (12) "):
        assert words in said
    steps = json.loads(adjust(svgfit, *STEPS, more=(*more, "--json")).out)["steps"]
    assert len(steps) == 12
    assert steps[0]["openings"]
    assert steps[0]["also"]


def test_what_fails_is_said_however_many_checks_there_are(svgfit, here):
    seam = "seam-check a=Sleeve/cap b=Front/armhole+Back/armhole max='1/8 in'"
    done = adjust(svgfit, STEPS[0], seam, seam, more=("smock-sizes.svg", "--sizes", "10,12,14"))
    assert done.status == 1
    failed = [line for line in done.out.splitlines() if line.strip().startswith("fail")]
    assert failed
    assert "2 checks pass (--verbose lists them)" in done.out
    assert not [line for line in done.out.splitlines() if line.strip().startswith("pass ")]


@pytest.mark.parametrize("more", [("smock.svg",), ("smock-sizes.svg", "--sizes", "10,12")])
def test_what_else_to_change_is_said_once_net_of_later_steps(svgfit, here, more):
    once = adjust(svgfit, STEPS[0], STEPS[1], more=more).out
    assert once.count("also change") == 1
    assert "Sleeve's cap has 3/16 in more ease" in once  # 3/8 by the cap, less the scoop's 3/16
    undone = adjust(svgfit, STEPS[0], "cap-raise piece=Sleeve amount='-1/4 in'", more=more).out
    assert "also change" not in undone


def test_an_ease_that_was_asked_for_and_reached_is_nothing_to_change(svgfit, here):
    assert "also change" not in adjust(svgfit, "cap-redraw ease='3/4 in'", more=("smock.svg",)).out


def test_the_page_says_it_once_too(svgfit, here):
    steps = [word for step in STEPS[:2] for word in ("--do", step)]
    assert svgfit("adjust", "smock.svg", *steps, "-o", "out.svg").status == 0
    assert (here / "out.svg").read_text("utf-8").count("Also change") == 1
