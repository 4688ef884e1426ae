"""What a plan dropped is shown nowhere but on the original's layer; what its steps sewed is sewn in later runs too."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pymupdf
import pytest
from lxml import etree  # pyright: ignore[reportAttributeAccessIssue]

from svgfit.model.adjusted_attributes import format_seams, parse_seams
from svgfit.model.plan import Seam, SeamEase
from tests.cli.test_pieces_in_and_out import DROP, FACING
from tests.plugin.border_plugins import operation

LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
SHORTER = """
edge = piece.edge("armhole")
last = edge.curve.segments.copy()
hem = edge.curve.split(len(edge.curve) * 0.9)[0]
other = replace(piece.edge("one end"), curve=Curve.polyline([hem.end, piece.edge("inside").curve.start]))
edges = tuple(replace(edge, curve=hem) if one.name == "armhole" else other if one.name == "one end" else one
              for one in piece.edges)
return Outcome(swap(job.pieces, replace(piece, edges=edges)))
"""


@pytest.fixture
def adjusted(here: Path, svgfit):
    """Runs steps on drawings with the plug-ins of this page."""
    (here / "mine").mkdir()
    for name, body in (("facing", FACING), ("drop", DROP), ("shorter", SHORTER)):
        (here / "mine" / f"{name}.py").write_text(operation(name, body, kind="any"), encoding="utf-8")

    def adjust(drawings: str, *steps: str, out: str, more: tuple[str, ...] = ()) -> Path:
        asked = [word for step in steps for word in ("--do", step)]
        done = svgfit("adjust", *drawings.split(), *asked, "--plugins", "mine", "-o", out, "--force", *more)
        assert done.status in (0, 1), done.err
        return here / out

    return adjust


def checks(svgfit, *drawing: str | Path) -> dict[str, tuple[str, str]]:
    found = json.loads(svgfit("check", *drawing, "--from", "adjusted", "--json").out)
    return {one["name"]: (one["status"], one["message"]) for one in found["checks"]}


def each_on_its_own(here: Path) -> str:
    """The smock as three drawings."""
    for piece in ("Front", "Back", "Sleeve"):
        tree = etree.parse(here / "smock.svg")
        for layer in list(tree.getroot()):
            if not layer.get(LABEL, piece).startswith((piece, "test")):
                tree.getroot().remove(layer)
        tree.write(here / f"{piece}.svg")
    return "Front.svg Back.svg Sleeve.svg"


# -- dropped ---------------------------------------------------------------------------------------------------------


def test_a_handout_does_not_offer_what_the_plan_dropped(adjusted, svgfit, refused) -> None:
    adjusted("smock.svg", "drop piece=Back", "drop piece=Sleeve", out="one.svg")
    done = svgfit("handout", "one.svg", "--plugins", "mine", "-o", "one.pdf")
    assert (done.status, "Back" in done.err, "Sleeve" in done.err) == (0, False, False), done.err
    line = refused("handout", "one.svg", "--plugins", "mine", "--pieces", "Front,Back", "-o", "two.pdf")
    assert "Back is no piece of it any more: the plan dropped it; --layers original prints it" in line
    assert svgfit("handout", "one.svg", "--pieces", "Back", "--layers", "original", "-o", "two.pdf").status == 0


def test_minis_leave_out_what_the_plan_dropped(adjusted, svgfit) -> None:
    adjusted("smock.svg", "drop piece=Back", out="one.svg")
    asked = ("--plugins", "mine", "--mini", "1/4", "--layers", "adjusted", "-o", "one.pdf")
    assert svgfit("handout", "one.svg", *asked).status == 0
    text = "".join(str(page.get_text()) for page in pymupdf.open("one.pdf"))
    assert "Sleeve" in text
    assert not re.search(r"^Back\b(?!/)", text, re.MULTILINE)


def test_a_picture_measures_what_is_there_and_tells_what_is_not(adjusted, svgfit, here: Path) -> None:
    adjusted("smock.svg", "drop piece=Back", "facing piece=Front", out="one.svg")
    assert svgfit("picture", "one.svg", "--plugins", "mine", "-o", "one.html").status == 0
    page = re.sub(r"<svg.*?</svg>", "", (here / "one.html").read_text(encoding="utf-8"), flags=re.DOTALL)
    heads = re.findall(r"<(?:h\d|caption)[^>]*>([^<]*)<", page)
    assert "Facing" in heads
    assert "Back" not in heads
    assert "Back is no piece of the pattern any more: the plan dropped it" in page
    assert svgfit("picture", "one.svg", "--layers", "original", "-o", "two.html").status == 0
    assert "no piece of the pattern" not in (here / "two.html").read_text(encoding="utf-8")


def test_a_drawing_of_which_every_piece_is_dropped_stays_so(adjusted, svgfit, refused, here: Path) -> None:
    """Each piece in a file of its own: no outline is left in the file that could say it."""
    adjusted(each_on_its_own(here), "drop piece=Back", out="out")
    files = [f"out/{name}.svg" for name in ("Front", "Back", "Sleeve")]
    found = json.loads(svgfit("inspect", *files, "--from", "adjusted", "--json").out)
    assert sorted(piece["name"] for piece in found["pieces"]) == ["Front", "Sleeve"]
    assert "every piece of it was dropped" in refused("measure", "out/Back.svg", "--from", "adjusted")
    assert "--layers original prints it" in refused("handout", "out/Back.svg", "-o", "one.pdf")
    done = svgfit("handout", *files, "--plugins", "mine", "-o", "one.pdf")
    assert (done.status, "out/Back.svg: original" in done.out) == (0, False)
    assert "out/Back.svg: not printed, since the plan dropped every piece of it" in done.err


def test_the_plan_shown_again_without_its_steps_leaves_out_what_was_dropped(adjusted, svgfit, here: Path) -> None:
    adjusted("smock.svg", "drop piece=Back", out="one.svg")
    adjusted("one.svg", "facing piece=Front", out="two.svg", more=("--from", "adjusted"))
    text = (here / "two.svg").read_text(encoding="utf-8")
    cut = re.sub(r",?&quot;before&quot;:\[.*?\]\}?\](?=[,}])", "", text)
    assert cut != text
    (here / "two.svg").write_text(cut, encoding="utf-8")
    done = svgfit("handout", "two.svg", "--plugins", "mine", "--mini", "1/4", "--layers", "adjusted", "-o", "one.pdf")
    assert done.status == 0, done.err
    shown = "".join(str(page.get_text()) for page in pymupdf.open("one.pdf"))
    assert not re.search(r"^Back\b(?!/)", shown, re.MULTILINE)


# -- sewn by steps ---------------------------------------------------------------------------------------------------


def test_what_a_step_sewed_is_known_on_the_adjusted_drawing(adjusted, svgfit) -> None:
    adjusted("smock.svg", "facing piece=Front", out="one.svg")
    status, words = checks(svgfit, "one.svg")["seam Front/armhole"]
    assert (status, words.split(" are ")[0]) == ("pass", "Front/armhole and Facing/armhole")
    assert "seam Front/armhole" in svgfit("walk", "one.svg", "--from", "adjusted").out
    assert "seam Front/armhole" not in svgfit("check", "one.svg").out


def test_it_goes_on_to_later_runs_and_is_held_there(adjusted, svgfit) -> None:
    going_on = ("--from", "adjusted")
    adjusted("smock.svg", "facing piece=Front", out="one.svg")
    adjusted("one.svg", "cap-raise piece=Sleeve amount='1/4 in'", out="two.svg", more=going_on)
    assert checks(svgfit, "two.svg")["seam Front/armhole"][0] == "pass"
    adjusted("two.svg", "shorter piece=Facing", out="three.svg", more=going_on)
    status, words = checks(svgfit, "three.svg")["seam Front/armhole"]
    assert (status, "longer than Facing/armhole" in words) == ("fail", True)
    assert svgfit("walk", "three.svg", *going_on).status == 1
    adjusted("three.svg", "drop piece=Facing", out="four.svg", more=going_on)
    assert "seam Front/armhole" not in checks(svgfit, "four.svg")


def test_it_is_known_over_several_drawings_and_left_out_with_a_word_where_one_is_missing(
    adjusted, svgfit, here: Path
) -> None:
    adjusted(each_on_its_own(here), "facing piece=Front", out="out")
    files = [f"out/{name}.svg" for name in ("Front", "Back", "Sleeve")]
    assert checks(svgfit, *files)["seam Front/armhole"][0] == "pass"
    text = (here / "one.svg").name
    adjusted("smock.svg", "facing piece=Front", out=text)
    drawing = (here / text).read_text(encoding="utf-8")
    renamed = drawing.replace("=Facing/armhole", "=Hood/armhole")
    (here / text).write_text(renamed, encoding="utf-8")
    done = svgfit("check", text, "--from", "adjusted")
    assert "which a step sewed, is left out: Hood/armhole is not among what was read" in done.err


def test_what_svgfit_toml_states_of_the_same_seam_holds(adjusted, svgfit, here: Path) -> None:
    adjusted("smock.svg", "facing piece=Front", out="one.svg")
    stated = '[[seams]]\na = ["Facing/armhole"]\nb = ["Front/armhole"]\nease = "1/4 in"\neased = "Facing/armhole"\n'
    (here / "own.toml").write_text(stated, encoding="utf-8")
    found = json.loads(svgfit("check", "one.svg", "--from", "adjusted", "--convention", "own.toml", "--json").out)
    rows = [one["name"] for one in found["checks"] if "Facing" in one["message"]]
    assert rows == ["seam Facing/armhole"]


def test_damaged_seams_are_told(adjusted, svgfit, here: Path) -> None:
    adjusted("smock.svg", "facing piece=Front", out="one.svg")
    text = (here / "one.svg").read_text(encoding="utf-8")
    (here / "one.svg").write_text(text.replace("=Facing/armhole", ""), encoding="utf-8")
    assert (
        "the seams that its layer 'adjusted' keeps can't be read"
        in svgfit("check", "one.svg", "--from", "adjusted").err
    )


def test_seams_are_written_so_that_they_read_back() -> None:
    a, b = (("a/b+c=d", "x;y@z"),), (("%", "e:f"), ("g", "h,#?"))
    for seam in (Seam(a, b, by_step=True), Seam(b, a, ease=SeamEase(a, (-0.1, 1 / 3)), by_step=True)):
        assert parse_seams(format_seams([seam, seam])) == (seam, seam)
    for text in ("Front", "Front/hem", "Front/hem=Back", "A/b=C/d:eased@a:1", "A/b=C/d:eased@c:1:2", "A/b=C/d=E/f"):
        with pytest.raises(ValueError, match=r"unpack|not said"):
            parse_seams(text)
