"""A smock with a yoke, a dart in its armhole, a lining and a cuff, through the commands: in one file and in several."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from svgfit.fitting.sewn import sewn_length
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from tests.fitting.sleeves import Shape, sleeve
from tests.pattern.bodices import Bodice, bodice
from tests.pattern.test_darts import cut_in
from tests.pattern.yokes import Yoke, edges

SLEEVE = sleeve(Shape(height=120.0))
FRONT = cut_in(bodice(Bodice("front", armhole=185.0, fold=False)), "armhole", 0.4, 9.525, 60.0)
BACK = bodice(Bodice("back", armhole=150.0, fold=False))
YOKE = Yoke(armhole=90.0)
ARMHOLE = sewn_length(FRONT, "armhole") + edges(YOKE)["armhole"].length() + sewn_length(BACK, "armhole")


def path(curve: Curve, name: str = "") -> str:
    d = f"M {curve.start.real},{curve.start.imag}"
    for _, b, c, e in curve.segments.tolist():
        d += f" C {b.real},{b.imag} {c.real},{c.imag} {e.real},{e.imag}"
    label = f' inkscape:label="{name}"' if name else ""
    return f'<path{label} style="fill:none;stroke:#000000" d="{d}"/>'


def layer(name: str, content: str) -> str:
    return f'<g inkscape:groupmode="layer" inkscape:label="{name}" id="{name.replace(" ", "_")}">{content}</g>\n'


def drawn(piece: Piece, name: str, motion: Affine) -> str:
    def lines(kind: str) -> str:
        return "".join(path(c.transform(motion)) for mark in piece.marks if mark.kind == kind for c in mark.curves)

    text = layer(f"{name} stitch line", path(piece.outline().transform(motion)))
    for kind, role in (("notch", "notches"), ("grain line", "grain"), ("centre line", "centre")):
        if lines(kind):
            text += layer(f"{name} {role}", lines(kind) + (lines("shoulder notch") if kind == "notch" else ""))
    return text


def yoke(motion: Affine, notch: float | None = None) -> str:
    loop = Curve.chain(edges(YOKE).values()).transform(motion)
    text = layer("Yoke stitch line", path(loop))
    text += layer("Yoke fold", path(edges(YOKE)["centre"].transform(motion)))
    if notch is not None:
        armhole = edges(YOKE)["armhole"]
        at = armhole.point(armhole.at_length(notch))
        text += layer("Yoke notches", path(Curve.polyline([at, at + 6]).transform(motion)))
    return text


def cuff(motion: Affine) -> str:
    """Named by landmarks beside its edges."""
    length = SLEEVE.edge("hem").curve.length()
    box = Curve.polyline([0j, length + 0j, length + 60j, 60j, 0j]).transform(motion)
    dot = Curve.polyline([length / 2 - 2j, length / 2 - 3j, length / 2 + 1 - 3j]).transform(motion)
    return layer("Band stitch line", path(box)) + layer("Band landmarks", path(dot, "edge sleeve hem"))


def sheet(*texts: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        'width="2000mm" height="1500mm" viewBox="0 0 2000 1500">\n' + "".join(texts) + "</svg>\n"
    )


def parts(angle: float, *, mirrored: bool, notch: float | None = None) -> dict[str, str]:
    def place(x: float, y: float, turn: float) -> Affine:
        first = Affine.scale(-1, 1) if mirrored else Affine()
        return first.then(Affine.turn(turn)).then(Affine.shift(complex(x, y)))

    lining = drawn(SLEEVE, "Sleeve lining", place(1500, 1100, -angle))
    return {
        "front": drawn(FRONT, "Front", place(250, 400, angle)),
        "back": drawn(BACK, "Back", place(900, 400, -angle / 2)),
        "sleeve": drawn(SLEEVE, "Sleeve", place(1500, 400, angle)) + lining,
        "yoke": yoke(place(400, 1250, angle), notch) + cuff(place(800, 1250, angle)),
    }


@pytest.fixture
def written(tmp_path: Path):
    def write(several: bool, angle: float = 0.0, *, mirrored: bool = False, notch: float | None = None) -> list[str]:
        found = parts(angle, mirrored=mirrored, notch=notch)
        sheets = {name: sheet(text) for name, text in found.items()} if several else {"all": sheet(*found.values())}
        for name, text in sheets.items():
            (tmp_path / f"{name}.svg").write_text(text, encoding="utf-8")
        return [str(tmp_path / f"{name}.svg") for name in sheets]

    return write


def measurements(svgfit, files: list[str]) -> dict[str, float]:
    found = svgfit("measure", *files, "--json")
    assert found.status == 0, found.err
    (row,) = [piece for piece in json.loads(found.out)["pieces"] if piece["name"] == "Sleeve"]
    return {one["name"]: one["after"] for one in row["measurements"]}


@pytest.mark.parametrize("several", [False, True])
@pytest.mark.parametrize(("angle", "mirrored"), [(0.0, False), (0.6, False), (-0.4, True)])
def test_the_armhole_runs_over_front_yoke_and_back(svgfit, written, several: bool, angle: float, mirrored: bool):
    measured = measurements(svgfit, written(several, angle, mirrored=mirrored))
    cap = SLEEVE.edge("cap").curve.length()
    assert measured["cap ease"] == pytest.approx(cap - ARMHOLE, abs=0.001)
    front = measured["cap length front"] - sewn_length(FRONT, "armhole") - edges(YOKE)["armhole"].length() / 2
    assert measured["cap ease front"] == pytest.approx(front, abs=0.001)


def test_a_notch_on_the_yoke_parts_front_from_back(svgfit, written):
    measured = measurements(svgfit, written(False, 0.6, notch=30.0))
    front = measured["cap length front"] - sewn_length(FRONT, "armhole") - 30
    assert measured["cap ease front"] == pytest.approx(front, abs=0.01)
    assert measured["cap ease"] == pytest.approx(measured["cap ease front"] + measured["cap ease back"], abs=1e-6)


def test_check_speaks_of_every_seam(svgfit, written):
    found = svgfit("check", *written(True), "--json")
    names = {check["name"]: check["status"] for check in json.loads(found.out)["checks"]}
    assert names["seam Sleeve/hem"] == "pass"
    assert names["seam Sleeve/cap"] in ("pass", "warn")
    assert "seam Front/shoulder" in names
    assert "seam Back/shoulder" in names
    assert "seam Front/side seam" in names


def test_inspect_shows_what_was_told(svgfit, written):
    pieces = {piece["name"]: piece for piece in json.loads(svgfit("inspect", *written(True), "--json").out)["pieces"]}
    assert pieces["Yoke"]["kind"] == "yoke"
    lengths = {edge["name"]: edge["length"] for edge in pieces["Front"]["edges"]}
    assert lengths["armhole"] == pytest.approx(sewn_length(FRONT, "armhole"), abs=1e-4)
    assert any(note.startswith("dart in the armhole: the V in it, 3/8 in wide") for note in pieces["Front"]["guessed"])
    assert "sleeve hem" in {edge["name"] for edge in pieces["Band"]["edges"]}


def test_adjust_says_what_to_change_as_well(svgfit, written, tmp_path: Path):
    files = written(False)
    out, report = tmp_path / "out.svg", tmp_path / "report.json"
    steps = ["--do", "cap-raise piece=Sleeve amount='1/2 in'", "--report", str(report)]
    found = svgfit("adjust", *files, *steps, "-o", str(out))
    assert found.status == 0, found.err
    (step,) = json.loads(report.read_text(encoding="utf-8"))["steps"]
    told = {row["piece"]: row for row in step["also"]}
    assert set(told) == {"Front+Yoke+Back", "Sleeve lining"}
    assert told["Front+Yoke+Back"]["edge"] == "Front/armhole+Yoke/armhole+Back/armhole"
    assert told["Sleeve lining"]["with"] == "Sleeve/cap"
    for row in told.values():
        assert row["message"] in found.out
    assert "lso change Sleeve lining" in out.read_text(encoding="utf-8")
    again = svgfit("measure", str(out), "--from", "adjusted", "--json")
    names = {piece["name"] for piece in json.loads(again.out)["pieces"]}
    assert {"Sleeve", "Front", "Yoke"} <= names


def test_operations_work_over_the_yoke(svgfit, written):
    """Its own allowance; an armhole lowered on front and back, the yoke and the front's dart left as they are."""
    files = written(True, -0.4, mirrored=True)
    done = svgfit("adjust", *files, "--do", "seam-allowance piece=Yoke width='1/2 in'", "--dry-run", "--json")
    assert done.status == 0, done.err
    done = svgfit("adjust", *files, "--do", "armhole-adjust lower='1/2 in'", "--dry-run", "--json")
    assert done.status == 0, done.err
    (step,) = json.loads(done.out)["steps"]
    (row,) = [one for one in step["also"] if one["piece"] == "Sleeve"]
    assert row["amount"] == pytest.approx(ARMHOLE - step["got"]["armhole length"], abs=0.01)
    assert step["got"]["Yoke armhole length"] == pytest.approx(edges(YOKE)["armhole"].length(), abs=0.001)
