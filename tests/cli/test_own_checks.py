"""Checks of plug-ins stand among svgfit's own, named as the plug-in's; one that breaks hides none of them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

CHECKS = """
from svgfit.plugin import Check, Checker, hookimpl, sewing

def wrist(subject):
    got = sewing.sewn_length(subject.piece, "hem")
    return [Check("wrist", "pass" if got >= {least} else "fail", f"{{got:.0f}} mm round", {{"wrist": got}})]

def seam(subject):
    return [Check("pinked", "warn", f"{{subject.seam.a[0][1]}} of {{len(subject.pieces)}}")]

def whole(subject):
    return [Check("count", "pass", f"{{len(subject.pieces)}} pieces, {{len(subject.seams)}} seams")]

@hookimpl
def svgfit_checks():
    return [
        Checker(name="wrist", of="piece", check=wrist, kinds=("sleeve",)),
        Checker(name="seam", of="seam", check=seam),
        Checker(name="count", of="garment", check=whole),
    ]
"""
BROKEN = """
from svgfit.plugin import Check, Checker, hookimpl

def broken(subject):
    {body}

@hookimpl
def svgfit_checks():
    return [Checker(name="broken", of={of!r}, check=broken)]
"""
WAYS = {
    "throws": ("return [1 / 0]", "ZeroDivisionError: division by zero (line 5)"),
    "status": ("return [Check('x', 'maybe', '')]", "has the status 'maybe'"),
    "figure": ("return [Check('x', 'fail', '', {'a': float('nan')})]", "'a' of check 'x' is nan"),
    "one": ("return Check('x', 'pass', '')", "check gives back a Check, not a list"),
    "nothing": ("return None", "check gives back nothing"),
    "other": ("return ['x']", "what check gives back"),
}


@pytest.fixture
def add(here: Path):
    def put(text: str, name: str = "check_mine") -> None:
        (here / "mine").mkdir(exist_ok=True)
        (here / "mine" / f"{name}.py").write_text(text, encoding="utf-8")

    return put


def test_check_shows_piece_seam_and_garment_as_the_plug_ins(add, svgfit) -> None:
    stock = svgfit("check", "smock.svg")
    add(CHECKS.format(least=100))
    done = svgfit("check", "smock.svg", "--plugins", "mine")
    assert done.status == stock.status == 0
    names = [
        check["name"] for check in json.loads(svgfit("check", "smock.svg", "--plugins", "mine", "--json").out)["checks"]
    ]
    assert "plug-in check-mine: wrist, Sleeve" in names
    assert any(name.startswith("plug-in check-mine: pinked, ") for name in names)
    assert "plug-in check-mine: count" in names
    assert "plug-in check-mine: count" in done.out
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("command", ["check", "walk"])
def test_a_failed_one_makes_the_status_1(command: str, add, svgfit) -> None:
    add(CHECKS.format(least=100))
    assert svgfit(command, "smock.svg", "--plugins", "mine").status == 0
    add(CHECKS.format(least=9999))
    done = svgfit(command, "smock.svg", "--plugins", "mine")
    assert done.status == 1
    assert "plug-in check-mine: wrist, Sleeve" in done.out


def test_adjust_shows_them_on_every_side_and_ends_with_1(add, here: Path, svgfit) -> None:
    add(CHECKS.format(least=9999))
    step = ("--do", "cap-raise amount='1/4 in'", "--plugins", "mine")
    done = svgfit("adjust", "smock.svg", *step, "-o", "out.svg", "--report", "out.json")
    assert done.status == 1
    assert "wrist, Sleeve" in done.out
    checks = {one["name"]: one for one in json.loads((here / "out.json").read_text())["checks"]}
    assert checks["plug-in check-mine: wrist, Sleeve"]["status"] == "fail"
    assert checks["plug-in check-mine: wrist, Sleeve"]["origin"] == "before the run"
    assert "wrist, Sleeve" in (here / "out.svg").read_text(encoding="utf-8")
    printed = svgfit("handout", "out.svg", "--plugins", "mine", "-o", "out.pdf")
    assert "wrist, Sleeve" in printed.out + printed.err
    svgfit("picture", "out.svg", "--plugins", "mine", "-o", "out.html")
    page = (here / "out.html").read_text(encoding="utf-8")
    assert page.count("plug-in check-mine: count") == 1


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("of", ["piece", "garment"])
def test_one_that_breaks_is_named_and_hides_none_of_svgfits(of: str, way: str, add, svgfit) -> None:
    stock = svgfit("check", "smock.svg")
    body, why = WAYS[way]
    add(BROKEN.format(body=body, of=of))
    done = svgfit("check", "smock.svg", "--plugins", "mine")
    assert (done.status, done.out) == (stock.status, stock.out)
    lines = [line for line in done.err.splitlines() if "plug-in check-mine (mine" in line]
    assert lines
    assert all(why in line and "'broken' is not done" in line for line in lines)


@pytest.mark.parametrize(
    ("record", "why"),
    [
        ("Checker(name='x', of='sleeve', check=print)", "is of 'sleeve', not one of piece, seam, garment"),
        ("Checker(name='x', of='seam', check=print, kinds=('sleeve',))", "names kinds of piece, but looks at a seam"),
        ("Checker(name='x', of='piece', check=None)", "needs a function check"),
        ("Checker(name='', of='piece', check=print)", "has no name"),
    ],
)
def test_one_that_cannot_be_is_failed_on_loading(record: str, why: str, add, svgfit) -> None:
    add(f"from svgfit.plugin import Checker, hookimpl\n@hookimpl\ndef svgfit_checks():\n    return [{record}]\n")
    assert why in " ".join(svgfit("plugins", "--plugins", "mine").out.split())
    done = svgfit("check", "smock.svg", "--plugins", "mine")
    assert done.status == 0
    assert why in done.err


SEAMS = """
from svgfit.plugin import Seam, SeamFinder, hookimpl

@hookimpl
def svgfit_seams():
    return [SeamFinder(name="centre", find=lambda pieces: [Seam((("Front", "fold"),), (("Back", "fold"),))])]
"""


def test_a_seam_that_a_plug_in_finds_is_compared_unless_svgfit_toml_says_what_is_sewn(add, here: Path, svgfit) -> None:
    (here / "svgfit.toml").unlink()
    assert "Front/fold" not in svgfit("check", "smock.svg").out
    add(SEAMS, "seams_mine")
    assert "seam Front/fold" in svgfit("check", "smock.svg", "--plugins", "mine").out
    assert "Front/fold" in svgfit("walk", "smock.svg", "--plugins", "mine").out
    (here / "svgfit.toml").write_text('[[seams]]\na = ["Front/shoulder"]\nb = ["Back/shoulder"]\n', encoding="utf-8")
    assert "Front/fold" not in svgfit("check", "smock.svg", "--plugins", "mine").out
