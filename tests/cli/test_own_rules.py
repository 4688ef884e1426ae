"""Rules of the trade from a plug-in hold where nobody says otherwise; whatever rests on one says whose it is."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

PLUGIN = """
from svgfit.plugin import AllowanceRule, EaseRule, MatchingRule, NotchRule, SeamEaseRule, hookimpl

@hookimpl
def svgfit_rules():
    return [{rules}]
"""
SHOULDER = "SeamEaseRule(eased=(('back', 'shoulder'),), onto=(('front', 'shoulder'),), least={}, most={})"
WHO = "plug-in rules-mine (mine"
SQUARE = '"test square size" = "50 mm"\n'
STATED = '[pieces."*"]\n"seam allowance" = { all = "5/8 in", hem = "1 in" }\n'


@pytest.fixture
def add(here: Path):
    def put(rules: str, name: str = "rules_mine") -> None:
        (here / "mine").mkdir(exist_ok=True)
        (here / "mine" / f"{name}.py").write_text(PLUGIN.format(rules=rules), encoding="utf-8")

    return put


def say(here: Path, toml: str) -> None:
    """A convention that states nothing but this."""
    (here / "svgfit.toml").write_text(f"{SQUARE}{toml}", encoding="utf-8")


def leave_out(here: Path, name: str) -> None:
    """The demo's smock without its layers of such names."""
    text = (here / "smock.svg").read_text(encoding="utf-8")
    text, times = re.subn(rf'<g\b[^>]*inkscape:label="[^"]*{name}"[^>]*>.*?</g>', "", text, flags=re.DOTALL)
    assert times, f"the demo has no layer {name}"
    (here / "smock.svg").write_text(text, encoding="utf-8")


def told(err: str) -> list[str]:
    return [line for line in err.splitlines() if "rules-mine" in line]


def pieces(out: str) -> object:
    return json.loads(out)["pieces"]


# -- seam allowances -------------------------------------------------------------------------------------------------


def test_allowances_hold_where_only_a_cut_line_is_drawn(add, here: Path, svgfit) -> None:
    leave_out(here, "stitch line")
    say(here, "")
    assert "its seam allowance is not known" in svgfit("measure", "smock.svg").err
    add("AllowanceRule(edge='all', width=15.875), AllowanceRule(edge='hem', width=25.4)")
    done = svgfit("measure", "smock.svg", "--plugins", "mine", "--json")
    assert done.status == 0
    say(here, STATED)
    assert pieces(done.out) == pieces(svgfit("measure", "smock.svg", "--json").out)
    lines = told(done.err)
    assert len(lines) == 2
    assert any(f"Front, Back, Sleeve: seam allowances 5/8 in, as {WHO}" in line for line in lines)
    assert any(f"Front, Back, Sleeve: seam allowance of hem 1 in, as {WHO}" in line for line in lines)


@pytest.mark.slow
@pytest.mark.parametrize("command", ["inspect", "measure", "check", "walk", "adjust", "handout", "picture", "convert"])
def test_every_command_says_whose_allowances_its_figures_rest_on(add, command: str, here: Path, svgfit) -> None:
    leave_out(here, "stitch line")
    say(here, "")
    add("AllowanceRule(edge='all', width=15.875)")
    more = {
        "adjust": ("--do", "cap-raise amount='1/4 in'", "-o", "out.svg"),
        "handout": ("-o", "out.pdf", "--paper", "914mmx1400mm"),
        "picture": ("-o", "out.html"),
        "convert": ("-o", "out.csv"),
    }
    done = svgfit(command, "smock.svg", "--plugins", "mine", *more.get(command, ()))
    assert done.status in (0, 1), done.err
    assert told(done.err) or told((here / "out.html").read_text(encoding="utf-8"))


def test_what_svgfit_toml_says_of_allowances_holds_and_both_are_named(add, here: Path, svgfit) -> None:
    leave_out(here, "stitch line")
    say(here, STATED)
    stock = svgfit("measure", "smock.svg", "--json")
    add("AllowanceRule(edge='hem', width=50.8), AllowanceRule(edge='cap', width=15.875)")
    done = svgfit("measure", "smock.svg", "--plugins", "mine", "--json")
    assert pieces(done.out) == pieces(stock.out)
    (line,) = told(done.err)
    assert f"seam allowance of hem 2 in by {WHO}" in line
    assert "and 1 in by svgfit.toml, which holds" in line


def test_a_wider_name_of_svgfit_toml_holds_over_a_narrower_rule(add, here: Path, svgfit) -> None:
    leave_out(here, "stitch line")
    say(here, '[pieces."*"]\n"seam allowance" = { all = "5/8 in", underarm = "1 in" }\n')
    stock = svgfit("measure", "smock.svg", "--json")
    add("AllowanceRule(edge='underarm front', width=5.0)")
    assert pieces(svgfit("measure", "smock.svg", "--plugins", "mine", "--json").out) == pieces(stock.out)


def test_a_drawn_cut_line_holds_over_a_rule(add, svgfit) -> None:
    stock = svgfit("measure", "smock.svg")
    add("AllowanceRule(edge='all', width=50.8)")
    done = svgfit("measure", "smock.svg", "--plugins", "mine")
    assert (done.out, done.err) == (stock.out, stock.err)


# -- seams -----------------------------------------------------------------------------------------------------------


def limits(out: str) -> set[tuple[float, float]]:
    values = [one["values"] for walk in json.loads(out)["walks"] for one in walk["verdicts"]]
    return {(each["careful"], each["workable"]) for each in values if "careful" in each}


def test_how_far_seams_may_differ(add, here: Path, svgfit) -> None:
    assert limits(svgfit("walk", "smock.svg", "--json").out) == {(1.5875, 3.175)}
    add("MatchingRule(careful=2.0, workable=4.0)")
    done = svgfit("walk", "smock.svg", "--plugins", "mine", "--json")
    assert limits(done.out) == {(2.0, 4.0)}
    (line,) = told(done.err)
    assert "how far seams may differ: 1/16 in in careful work, 3/16 in at most, as " + WHO in line
    checked = svgfit("check", "smock.svg", "--plugins", "mine", "--json")
    seams = [one for one in json.loads(checked.out)["checks"] if one["name"].startswith("seam")]
    assert {one["values"]["tolerance"] for one in seams} == {2.0}
    assert told(checked.err) == [line]
    (here / "svgfit.toml").write_text(f'{SQUARE}[walk]\ncareful = "1 mm"\n', encoding="utf-8")
    done = svgfit("walk", "smock.svg", "--plugins", "mine", "--json")
    assert limits(done.out) == {(1.0, 3.175)}
    (line,) = told(done.err)
    assert f"by {WHO}" in line
    assert "otherwise by svgfit.toml, which holds" in line


def shoulder(svgfit, *more: str) -> tuple[dict, str]:
    done = svgfit("check", "smock.svg", "--json", *more)
    (found,) = [one for one in json.loads(done.out)["checks"] if "shoulder" in one["name"]]
    return found, done.err


def test_the_ease_of_a_seam_pair(add, here: Path, svgfit) -> None:
    assert shoulder(svgfit)[0]["status"] == "pass"
    add(SHOULDER.format(6.0, 9.0))
    found, err = shoulder(svgfit, "--plugins", "mine")
    assert found["status"] == "fail"
    assert (found["values"]["least"], found["values"]["most"]) in [(6.0, 9.0), (-9.0, -6.0)]
    assert f"is what {WHO}" in found["message"]
    (line,) = told(err)
    assert "Back/shoulder on Front/shoulder: ease of back/shoulder on front/shoulder 1/4 in to 3/8 in, as " in line
    step = ("--do", "seam-check a=Back/shoulder b=Front/shoulder", "--dry-run", "--json")
    done = svgfit("adjust", "smock.svg", "--plugins", "mine", *step[:-1])
    assert f"as {WHO}" in done.out
    toml = '[[seams]]\na = ["Back/shoulder"]\nb = ["Front/shoulder"]\nease = "1 mm"\n'
    (here / "svgfit.toml").write_text(f"{SQUARE}{toml}", encoding="utf-8")
    found, err = shoulder(svgfit, "--plugins", "mine")
    assert found["values"]["least"] == found["values"]["most"]
    (line,) = told(err)
    assert "otherwise by svgfit.toml, which holds" in line


# -- notches ---------------------------------------------------------------------------------------------------------


def front(svgfit, *more: str) -> float:
    """Where the sleeve's front underarm point lies across the page."""
    done = svgfit("inspect", "smock.svg", "--json", *more)
    (sleeve,) = [one for one in json.loads(done.out)["pieces"] if one["kind"] == "sleeve"]
    return sleeve["landmarks"]["underarm front"][0]


def test_how_many_notches_mark_the_front(add, here: Path, svgfit) -> None:
    leave_out(here, "Sleeve text")
    say(here, "")
    one_in_front = front(svgfit)
    add("NotchRule(front=2, back=1)")
    assert abs(front(svgfit, "--plugins", "mine") - one_in_front) > 100
    (line,) = told(svgfit("measure", "smock.svg", "--plugins", "mine").err)
    assert f"front and back: by the number of notches (two at the front, as {WHO}" in line
    say(here, '[pieces.Sleeve]\nfront = "right"\n')
    assert front(svgfit, "--plugins", "mine") == front(svgfit)


# -- from where ------------------------------------------------------------------------------------------------------

ALL = (
    "EaseRule('tunic', cap=(0.0, 12.0))",
    "AllowanceRule(edge='hem', width=25.4)",
    "MatchingRule(careful=2.0, workable=4.0)",
    SHOULDER.format(3.175, 6.35),
    "NotchRule(front=2, back=1)",
)


def test_svgfit_plugins_lists_each_rule_with_its_figures_and_its_file(add, svgfit) -> None:
    add(", ".join(ALL))
    found = " ".join(svgfit("plugins", "--plugins", "mine").out.split())
    for said in ("ease tunic", "rule seam allowance of hem 1 in", "1/8 in to 1/4 in", "two on the front, one on the"):
        assert said in found
    rows = json.loads(svgfit("plugins", "--plugins", "mine", "--json").out)
    (row,) = [row for row in rows if row["name"] == "rules-mine"]
    assert "seam allowance of hem 25.4 mm (1 in)" in row["rules"]
    assert len(row["rules"]) == 5


@pytest.mark.parametrize("rule", ALL[1:])
def test_one_rule_from_two_plug_ins_is_refused_by_both_names(rule: str, add, refused) -> None:
    add(rule)
    add(rule, "rules_other")
    line = refused("measure", "smock.svg", "--plugins", "mine")
    assert "is there twice" in line
    assert "rules_mine.py" in line
    assert "rules_other.py" in line
    assert "--without" in line


@pytest.mark.parametrize(
    ("rules", "why"),
    [
        ("AllowanceRule(edge='hem', width=-1.0)", "the seam allowance of 'hem' is -1 mm, not 0 to 300 mm"),
        ("AllowanceRule(edge='hem', width='1 in')", "the seam allowance of 'hem' is '1 in', not a number"),
        ("AllowanceRule(edge='', width=1.0)", "the edge of a seam allowance"),
        ("AllowanceRule(edge='hem', width=1.0), AllowanceRule(edge='Hem', width=2.0)", "seam allowance of hem' twice"),
        ("MatchingRule(careful=2.0, workable=1.0)", "the first is the smaller"),
        ("MatchingRule(careful=float('nan'))", "in careful work is nan"),
        (SHOULDER.format(3.0, 2.0), "is 3 to 2 mm, not least and most"),
        (SHOULDER.format(-3.0, 2.0), "is -3 to 2 mm, not least and most"),
        ("SeamEaseRule(eased='back/shoulder', onto=(), least=0.0, most=1.0)", "eased is a tuple of (kind of piece,"),
        ("SeamEaseRule(eased=('back', 'shoulder'), onto=(('a', 'b'),), least=0.0, most=1.0)", "and holds 'back'"),
        ("SeamEaseRule(eased=(('a', 'b'),), onto=(('a', 'b'),), least=0.0, most=1.0)", "is eased on itself"),
        ("NotchRule(front=2, back=2)", "they can't be told apart by them"),
        ("NotchRule(front=0, back=2)", "not a whole number from 1 to 3"),
        ("NotchRule(front=1.5, back=2)", "not a whole number from 1 to 3"),
        ("'hem'", "with a str in it, not only EaseRule, AllowanceRule"),
        ("", "svgfit_rules gives back nothing"),
    ],
)
def test_a_rule_that_cannot_be_is_told_and_nothing_else_changes(rules: str, why: str, add, svgfit) -> None:
    stock = svgfit("measure", "smock.svg")
    add(rules)
    done = svgfit("measure", "smock.svg", "--plugins", "mine")
    assert (done.status, done.out) == (stock.status, stock.out)
    assert any(why in line for line in told(done.err)), done.err
