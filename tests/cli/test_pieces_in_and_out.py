"""Plug-ins that add, drop and part pieces, change edges, keep facts and marks of their own: drawn and read back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.plugin.border_plugins import changed, operation

FACING = """
from svgfit.plugin import Seam, beside
armhole = piece.edge("armhole").curve
inner = armhole.reverse().transform(Affine.shift(30j * armhole.tangent(len(armhole) / 2)))
edges = (
    Edge("armhole", armhole, 10.0), Edge("one end", Curve.polyline([armhole.end, inner.start]), 10.0),
    Edge("inside", inner, 10.0), Edge("other end", Curve.polyline([inner.end, armhole.start]), 10.0),
)
new = replace(piece, name="Facing", kind="facing", edges=edges, marks=(), landmarks=(), darts=())
sewn = Seam(((piece.name, "armhole"),), (("Facing", "armhole"),))
return Outcome((*job.pieces, beside(new, job.pieces)), seams=(sewn,))
"""
DROP = "return Outcome(tuple(one for one in job.pieces if one is not piece), dropped=(piece.title,))"
PART = """
hem = piece.edge("hem")
first, second = hem.curve.split(len(hem.curve) / 2)
halves = (replace(hem, curve=first), replace(hem, name="vent", curve=second))
edges = tuple(part for edge in piece.edges for part in (halves if edge.name == "hem" else (edge,)))
return Outcome(swap(job.pieces, replace(piece, edges=edges)))
"""
MARKS = """
from svgfit.plugin import Text
hole = Mark("button-hole", (Curve.polyline([0j, 10 + 0j]), Curve.polyline([5 - 2j, 5 + 2j])), name="top; first")
peg = Mark("peg", edge="hem", at=piece.edge("hem").curve.start)
said = Mark("label of mine", (Curve.polyline([20j, 30 + 20j]),), text=Text("pitched", 20j, 1 + 0j, 5.0, "start"))
named = tuple(replace(mark, name="patch pocket") if mark.kind == "detail" else mark for mark in piece.marks)
new = replace(piece, marks=(*named, hole, peg, said)).with_fact("pitch: angle", " 7.5; a@b\\n% ")
return Outcome(swap(job.pieces, new))
"""
READ = """
told = [f"{m.kind}|{m.name}|{m.edge}|{m.at is not None}|{len(m.curves)}|{m.text.content if m.text else None}"
        for m in piece.marks if m.kind not in ("notch", "grain line", "text", "fold line", "centre line")]
return Outcome(job.pieces, warnings=(*told, repr(piece.fact("pitch: angle"))))
"""
SEWN = """
from svgfit.plugin.sewing import spell_edges
return Outcome(job.pieces, warnings=tuple(f"sewn: {spell_edges(seam.b)}" for seam in job.seams))
"""


@pytest.fixture
def run(here: Path, svgfit):
    """Runs one step on a drawing with the plug-ins of this page; gives back the report."""
    (here / "mine").mkdir()
    for name, body in (
        ("facing", FACING),
        ("drop", DROP),
        ("part", PART),
        ("marks", MARKS),
        ("read", READ),
        ("sewn", SEWN),
    ):
        (here / "mine" / f"{name}.py").write_text(operation(name, body, kind="any"), encoding="utf-8")

    def adjust(drawing: str, step: str, out: str, *more: str) -> dict:
        place = ("--plugins", "mine", "-o", out, "--report", "out.json", "--force")
        done = svgfit("adjust", drawing, "--do", step, *place, *more)
        assert done.status in (0, 1), done.err
        return json.loads((here / "out.json").read_text(encoding="utf-8"))

    return adjust


def names(svgfit, drawing: str) -> list[str]:
    found = json.loads(svgfit("inspect", drawing, "--from", "adjusted", "--json", "--plugins", "mine").out)
    return sorted(piece["name"] for piece in found["pieces"])


def test_a_piece_that_is_added_is_drawn_measured_and_read_back(run, svgfit) -> None:
    report = run("smock.svg", "facing piece=Front", "out.svg")
    assert report["steps"][0]["added"] == ["Facing"]
    (row,) = [piece for piece in report["pieces"] if piece["name"] == "Facing"]
    length = next(one for one in row["measurements"] if one["name"] == "armhole length")
    assert (length["before"], row["kind"]) == (None, "facing")
    assert names(svgfit, "out.svg") == ["Back", "Facing", "Front", "Sleeve"]
    read = json.loads(svgfit("measure", "out.svg", "--from", "adjusted", "--json", "--plugins", "mine").out)
    again = {one["name"]: one["before"] for p in read["pieces"] if p["name"] == "Facing" for one in p["measurements"]}
    assert again["armhole length"] == pytest.approx(length["after"], abs=1e-4)


def test_a_later_step_is_handed_the_seams_as_the_steps_before_left_them(run) -> None:
    more = ("--do", "drop piece=Back", "--do", "sewn piece=Front")
    told = [text for text in run("smock.svg", "facing piece=Front", "out.svg", *more)["warnings"] if "sewn: " in text]
    assert any("Facing/armhole" in text for text in told)
    assert not any("Back/" in text for text in told)


def test_a_piece_that_is_dropped_is_told_and_stays_dropped(run, svgfit) -> None:
    report = run("smock.svg", "drop piece=Back", "out.svg")
    assert report["steps"][0]["dropped"] == ["Back"]
    assert any(
        "Front/side seam and Back/side seam are held against each other no more" in t for t in report["warnings"]
    )
    assert names(svgfit, "out.svg") == ["Front", "Sleeve"]
    run("out.svg", "facing piece=Front", "next.svg", "--from", "adjusted")
    assert names(svgfit, "next.svg") == ["Facing", "Front", "Sleeve"]
    assert not any("is not in the new layer" in text for text in json.loads(Path("out.json").read_text())["warnings"])


@pytest.mark.parametrize("piece", ["Sleeve", "Front"])
def test_an_edge_may_be_parted(piece: str, run, svgfit) -> None:
    report = run("smock.svg", f"part piece={piece}", "out.svg")
    assert any(f"{piece}: its edges are others than before" in text for text in report["warnings"])
    found = json.loads(svgfit("inspect", "out.svg", "--from", "adjusted", "--json").out)
    (row,) = [one for one in found["pieces"] if one["name"] == piece]
    assert {"hem", "vent"} <= {edge["name"] for edge in row["edges"]}
    assert svgfit("handout", "out.svg", "--plugins", "mine", "-o", "out.pdf").status == 0


def test_marks_and_facts_of_a_plug_in_go_round(run) -> None:
    run("smock.svg", "marks piece=Front", "one.svg")
    first = run("one.svg", "read piece=Front", "two.svg", "--from", "adjusted")["warnings"]
    second = run("two.svg", "read piece=Front", "three.svg", "--from", "adjusted")["warnings"]
    for told in (first, second):
        assert "button-hole|top; first|None|False|2|None" in told
        assert "peg|None|hem|True|0|None" in told
        assert "label of mine|None|None|False|1|pitched" in told
        assert any(text.startswith("detail|patch pocket|") for text in told)
        assert repr(" 7.5; a@b\n% ") in told


def test_facts_outlive_an_outline_that_a_person_redrew(run, here: Path) -> None:
    """A node more: the piece is recognised anew, and keeps what plug-ins keep with it, marks of their own too."""
    run("smock.svg", "marks piece=Front", "one.svg")
    text = (here / "one.svg").read_text(encoding="utf-8")
    before, mark, after = text.partition('data-svgfit-segments="')
    count = after.partition('"')[0]
    (here / "one.svg").write_text(f"{before}{mark}{int(count) + 1}{after.removeprefix(count)}", encoding="utf-8")
    told = run("one.svg", "read piece=Front", "two.svg", "--from", "adjusted")["warnings"]
    assert repr(" 7.5; a@b\n% ") in told
    assert "button-hole|top; first|None|False|2|None" in told


BAD = {
    "forgets": ("return Outcome((piece,))", "must give back all pieces of the job, and 'Front' is missing"),
    "twice": ("return Outcome((*job.pieces, piece))", "gives back 'Sleeve' twice"),
    "keeps": ("return Outcome(job.pieces, dropped=('Back',))", "drops 'Back' and gives it back"),
    "unknown": ("return Outcome(job.pieces, dropped=('Hood',))", "dropped is for a piece 'Hood'"),
    "all": ("return Outcome((), dropped=tuple(one.title for one in job.pieces))", "run drops every piece"),
    "foreign": (
        "return Outcome((*job.pieces, replace(piece, name='B', file='b.svg')))",
        "must name a file and the size",
    ),
    "namesake": ("return Outcome((*job.pieces, replace(piece, name='SLEEVE')))", "has another one's name"),
    "seam": (
        "from svgfit.plugin import Seam\n"
        "return Outcome(job.pieces, seams=(Seam((('Front', 'cuff'),), (('Sleeve', 'cap'),)),))",
        "a seam is at the edge 'cuff' of Front; its edges are:",
    ),
    "turned too far": (
        "from svgfit.plugin import CapTurn\nreturn Outcome(swap(job.pieces, CapTurn.whole(900.0).kept_on(piece)))",
        "is turned 35 7/16 in on purpose, more than half its cap",
    ),
    "turned no sleeve": (
        "from svgfit.plugin import CapTurn\nfront = next(one for one in job.pieces if one.name == 'Front')\n"
        "return Outcome(swap(job.pieces, CapTurn.whole(9.0).kept_on(front)))",
        "Front: is turned on purpose, but a front without a cap can't be",
    ),
    "ours": (changed("data=(('svgfit: mine', 'x'),)"), "what begins so is svgfit's own; use another name"),
    "spoilt": (changed("data=(('svgfit: cap turned to the front', 'x'),)"), "CapTurn(…).kept_on(piece) keeps it"),
    "data": (changed("data=(('pitch', 7.5),)"), "not a name and a text; with_fact keeps one"),
}


@pytest.mark.parametrize("way", BAD)
def test_pieces_that_can_not_be_are_refused(way: str, run, here: Path, refused) -> None:
    body, why = BAD[way]
    (here / "mine" / "bad.py").write_text(operation("bad", body), encoding="utf-8")
    line = refused("adjust", "smock.svg", "--plugins", "mine", "--do", "bad", "-o", "out.svg")
    assert why in line
    assert "plug-in bad (mine" in line
    assert not (here / "out.svg").exists()
