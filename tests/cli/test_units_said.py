"""A person's own unit alone in whatever is printed, drawn and refused; the other unit and decimals where asked for."""

from __future__ import annotations

import json
import re

import pytest

from svgfit.app.session import open_drawings
from svgfit.model.length import Unit, Units, both_ways, format_length, reads_alike
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal

INCHES = re.compile(r"\d in\b")
METRIC = re.compile(r"\d (?:mm|cm)\b")
MARKS = "\ufff9\ufffa\ufffb"
RAISE, SCOOP = "cap-raise piece=Sleeve amount=.5in", "armhole-adjust scoop=.125in"
TOO_MUCH = {
    "a spread that reaches too little": "ease-spread piece=Sleeve ease=3in",
    "a redrawn cap": "cap-redraw piece=Sleeve ease=6in",
    "a slash outside the cap": "cap-raise piece=Sleeve amount=.25in at=20in",
    "a scoop without room": "armhole-adjust scoop=3in",
    "more than half the bicep": "bicep-widen piece=Sleeve amount=-9in",
    "an allowance that has no room": "seam-allowance piece=Sleeve width=5in",
    "a bound of a parameter": "cap-raise piece=Sleeve height=-1in",
}
SHOWN = {
    "measure": ("measure", "smock.svg"),
    "check": ("check", "smock.svg"),
    "walk": ("walk", "smock.svg"),
    "adjust": ("adjust", "smock.svg", "--do", RAISE, "--do", SCOOP, "--dry-run", "--verbose", "--all"),
    "seam-check": ("adjust", "smock.svg", "--do", "seam-check a=Sleeve/cap b=Front/armhole+Back/armhole", "--dry-run"),
    "ends": ("adjust", "smock.svg", "--ends", "cap-height=6in cap-ease=5in", "--dry-run"),
    "advise": ("advise", "smock.svg", "--body", "players.toml", "--verbose"),
}


def lengths_in(text: str, unit: str) -> tuple[list[str], list[str]]:
    """Lengths in the person's unit, and those in the other; of plans' own words (amount .5in) none has a blank."""
    mine, other = (INCHES, METRIC) if unit == "in" else (METRIC, INCHES)
    return mine.findall(text), other.findall(text)


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("unit", ["in", "mm", "cm"])
@pytest.mark.parametrize("command", SHOWN)
def test_what_is_printed_has_one_unit(svgfit, here, command, unit):
    done = svgfit(*SHOWN[command], "--unit", unit)
    mine, other = lengths_in(done.out + done.err, unit)
    assert mine
    assert not other, [line for line in (done.out + done.err).splitlines() if lengths_in(line, unit)[1]]
    assert not re.search(r"in \(\d", done.out), "no decimals"
    assert not set(MARKS) & set(done.out + done.err)


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("step", TOO_MUCH.values(), ids=TOO_MUCH)
def test_a_refusal_has_one_unit_and_both_where_asked(refused, here, step, unit):
    call = ("adjust", "smock.svg", "--do", step, "--dry-run", "--unit", unit)
    line = refused(*call)
    mine, other = lengths_in(line, unit)
    assert (bool(mine), other) == (True, []), line
    both = refused(*call, "--both-units")
    assert all(lengths_in(both, unit)), both


def test_a_convention_decides_the_unit_of_a_refusal(refused, here):
    (here / "svgfit.toml").write_text('unit = "cm"\n', "utf-8")
    line = refused("adjust", "smock.svg", "--do", "cap-raise amount=9in", "--dry-run")
    assert "36.86 cm high" in line


def test_the_library_speaks_the_session_s_unit_and_a_refusal_of_nobody_both(here):
    session = open_drawings("smock.svg", unit="mm")
    with pytest.raises(Refusal, match=r"would be 368\.6 mm high"):
        session.run(Plan.from_steps("cap-raise amount=9in"))
    assert str(Refusal("Sleeve", f"is {both_ways(-3)} high")) == "Sleeve: is -3.0 mm (-1/8 in) high"
    assert Refusal("", f"is {both_ways(-3)} high").what == "is -3.0 mm (-1/8 in) high"


def test_decimals_and_the_other_unit_stand_beside_where_asked(svgfit, here):
    text = svgfit("measure", "smock.svg", "--decimals").out
    assert "5 1/2 in (5.512)" in text
    text = svgfit("measure", "smock.svg", "--both-units").out
    assert "5 1/2 in (140.0 mm)" in text
    assert "140.0 mm (5 1/2 in)" in svgfit("measure", "smock.svg", "--both-units", "--unit", "mm").out


def test_rows_nobody_sews_by_are_shown_with_all(svgfit, here):
    assert "outline length" not in svgfit("measure", "smock.svg").out
    assert "outline length" in svgfit("measure", "smock.svg", "--all").out
    assert "outline length" in svgfit("measure", "smock.svg", "--csv").out
    adjust = ("adjust", "smock.svg", "--do", RAISE, "--dry-run")
    assert "outline" not in svgfit(*adjust).out
    assert "outline length" in svgfit(*adjust, "--all").out


def test_drawn_labels_have_one_unit(svgfit, here):
    assert svgfit("adjust", "smock.svg", "--do", RAISE, "--do", SCOOP, "-o", "out.svg").status == 0
    drawn = (here / "out.svg").read_text("utf-8")
    texts = re.findall(r">([^<>]*)</t", drawn[drawn.index("data-svgfit-layer") :])
    assert any("cap height" in text for text in texts)
    assert not [text for text in texts if METRIC.search(text) or re.search(r"in \(\d", text)]
    assert not set(MARKS) & set(drawn)


@pytest.mark.parametrize("made", ["report.json", "page.html"])
def test_no_mark_of_a_length_stays_in_a_file(svgfit, here, made):
    step = "seam-allowance piece=Sleeve width=2.5in"  # its warning has a figure
    svgfit("adjust", "smock.svg", "--do", step, "-o", "out.svg", "--report", "report.json")
    svgfit("picture", "out.svg", "-o", "page.html")
    text = (here / made).read_text("utf-8")
    assert not set(MARKS) & set(text)
    assert not {r"￹", r"\ufffa", "&#65529;"} & set(re.findall(r"\\u[0-9a-f]{4}|&#\d+;", text))
    if made == "report.json":
        assert any(INCHES.search(text) for text in json.loads(text)["warnings"])


def test_a_sign_is_never_lost():
    for unit in Unit:
        assert format_length(-30.0, unit).startswith("-")
        assert Units(unit).speak(both_ways(-30.0)).startswith("-")
        assert Units(unit).speak(both_ways(30.0, signed=True)).startswith("+")
    assert format_length(-0.5, "in") == "just under 0 in"
    assert format_length(-0.001, "in") == "0 in"


def test_lengths_of_one_sixteenth_read_alike(svgfit, here):
    assert reads_alike(450.8, 450.9)
    done = svgfit("adjust", "smock.svg", "--do", "armhole-adjust length=455.05mm", "--dry-run", "--unit", "mm")
    (line,) = [line for line in done.out.splitlines() if "armhole-adjust length" in line and "end:" in line]
    assert re.search(r"the armhole is [\d.]+ mm long, as asked", line)
