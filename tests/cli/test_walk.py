"""``svgfit walk`` as a person calls it."""

from __future__ import annotations

import json
import re

import jsonschema
import pytest
from lxml import etree
from msgspec.structs import replace

from svgfit.app.walks import Walked, page_checks
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Mark, Piece
from svgfit.model.report import Check
from svgfit.model.walk import Walk
from svgfit.render.text.report import schema_text
from tests.fitting.garments import notched, scooped, straight_sleeve, svg_of, yoke
from tests.pattern.yokes import Yoke
from tests.pattern.yokes import edges as shaped

ZONES = ["front underarm to notch", "front notch to shoulder", "back underarm to notch", "back notch to shoulder"]


def garment(size: str | None = None, longer: float = 0.0):
    """Sleeve, front and back; the cap 12 mm longer than the armhole, its lower front longer by ``longer``."""
    front, back = (notched(scooped(kind), "armhole", 80.0) for kind in ("front", "back"))
    back = notched(back, "armhole", 92.0)
    half = front.edge("armhole").curve.length() + 6
    arm = notched(straight_sleeve(half, half), "cap", 80.0 + longer, 2 * half - 80, 2 * half - 92)
    arm = notched(arm, "cap", half, kind="shoulder notch")
    return tuple(replace(piece, size=size) for piece in (arm, front, back))


def write(path, pieces, start=0):
    places = [Affine.shift(complex(400 + 500 * ((start + k) % 3), 500 + 600 * ((start + k) // 3))) for k in range(9)]
    path.write_text(svg_of(pieces, places[: len(pieces)]))
    return str(path)


def test_the_smock_walks(svgfit, here):
    done = svgfit("walk", "smock.svg")
    assert done.status == 0
    for words in (
        *ZONES,
        "in all",
        "3/8 in",
        "18 3/16 in",
        "share of the back",
        "seam Front/side seam",
    ):
        assert words in done.out
    assert "Front: hem at the fold" in done.out


def test_json_has_exactly_the_promised_keys(svgfit, here):
    done = svgfit("walk", "smock.svg", "--json")
    found = json.loads(done.out)
    jsonschema.validate(found, json.loads(schema_text("walk")))
    assert list(found) == ["svgfit", "drawings", "walks", "checks", "warnings"]
    (walk,) = found["walks"]
    assert set(walk) == {"sleeve", "size", "zones", "ease", "verdicts"}
    assert (walk["sleeve"], walk["size"]) == ("Sleeve", None)
    assert [zone["zone"] for zone in walk["zones"]] == ZONES
    assert all(set(zone) == {"zone", "cap", "armhole", "ease"} for zone in walk["zones"])
    assert sum(zone["ease"] for zone in walk["zones"]) == pytest.approx(walk["ease"], abs=1e-6)
    assert all(set(check) == {"name", "status", "message", "values"} for check in walk["verdicts"] + found["checks"])
    measured = json.loads(svgfit("measure", "smock.svg", "--json").out)
    eases = [row["after"] for piece in measured["pieces"] for row in piece["measurements"] if row["name"] == "cap ease"]
    assert walk["ease"] == pytest.approx(eases[0], abs=1e-6)


@pytest.mark.parametrize(("longer", "status", "words"), [(1.0, 0, "pass"), (2.5, 0, "warn"), (5.0, 1, "fail")])
def test_the_exit_status_tells_of_a_mismatch(svgfit, tmp_path, longer, status, words):
    done = svgfit("walk", write(tmp_path / "a.svg", garment(longer=longer)))
    assert done.status == status
    (row,) = [line for line in done.out.splitlines() if line.startswith(words) and "front underarm to notch" in line]
    assert row


def test_the_convention_s_limits_and_style_hold_and_the_option_wins(svgfit, tmp_path):
    drawing = write(tmp_path / "a.svg", garment(longer=5.0))
    (tmp_path / "svgfit.toml").write_text('[walk]\ncareful = "1/8 in"\nworkable = "1/4 in"\nstyle = "Coat"\n')
    done = svgfit("walk", drawing, "--json")
    assert done.status == 0
    verdicts = {check["name"]: check for check in json.loads(done.out)["walks"][0]["verdicts"]}
    assert verdicts["front underarm to notch"]["status"] == "warn"
    assert verdicts["front underarm to notch"]["values"]["workable"] == pytest.approx(6.35)
    assert "coat takes 2 in: too little" in verdicts["cap ease"]["message"]
    done = svgfit("walk", drawing, "--json", "--style", "shirt")
    verdicts = {check["name"]: check for check in json.loads(done.out)["walks"][0]["verdicts"]}
    assert verdicts["cap ease"]["status"] == "pass"
    assert "shirt takes 0 in to 1 in" in verdicts["cap ease"]["message"]


def test_a_gathered_cap_may_have_any_ease(svgfit, tmp_path):
    arm, front, back = garment()
    half = arm.edge("cap").curve.length() / 2 + 50
    full = notched(straight_sleeve(half, half), "cap", 80, 2 * half - 80, 2 * half - 92)
    drawing = write(tmp_path / "a.svg", (notched(full, "cap", half, kind="shoulder notch"), front, back))
    assert "too much unless it is to be gathered" in svgfit("walk", drawing).out
    (tmp_path / "svgfit.toml").write_text("[walk]\ngathered = true\n")
    assert "to be gathered" in (out := svgfit("walk", drawing).out)
    assert "too much" not in out


def test_a_nest_is_walked_size_by_size(svgfit, tmp_path):
    sizes = {"10": garment("10"), "12": garment("12", 2.5), "14": garment("14", 5.0)}
    drawings = [write(tmp_path / f"{size}.svg", pieces) for size, pieces in sizes.items()]
    done = svgfit("walk", *drawings, "--json")
    assert done.status == 1
    found = json.loads(done.out)
    assert [walk["size"] for walk in found["walks"]] == ["10", "12", "14"]
    first = [walk["verdicts"][0]["status"] for walk in found["walks"]]
    assert first == ["pass", "warn", "fail"]
    names = [check["name"] for check in found["checks"]]
    assert len(names) == len(set(names))
    assert "seam Front/side seam (12)" in names
    assert [walk["size"] for walk in json.loads(svgfit("walk", *drawings, "--size", "12", "--json").out)["walks"]] == [
        "12"
    ]
    table = svgfit("walk", *drawings).out
    assert "Sleeve (size 14) in its armhole" in table


@pytest.mark.slow
def test_of_a_nest_the_strips_say_of_which_size_they_are_and_alike_checks_stand_once(svgfit, here):
    done = svgfit("walk", "smock-sizes.svg", "-o", "out.svg", "--style", "tailored jacket")
    assert "the strips drawn are those of Sleeve, size 12; for another: --size 8" in done.out
    page = " ".join(etree.parse("out.svg").getroot().itertext())
    assert "Sleeve: the strips are those of size 12; --size draws another." in " ".join(page.split())
    every = json.loads(svgfit("walk", "smock-sizes.svg", "--json", "--style", "tailored jacket").out)
    verdicts = [verdict for walk in every["walks"] for verdict in walk["verdicts"]] + every["checks"]
    assert len(verdicts) > 50
    drawn = svgfit("walk", "smock-sizes.svg", "-o", "one.svg", "--size", "8")
    assert "strips drawn" not in drawn.out


def test_on_the_page_what_passes_in_all_sizes_is_one_line_and_the_rest_names_its_sizes():
    def one(size, *verdicts):
        return Walk("Sleeve", size, (), 1.0, 1.0, 0.0, 0.5, (), (), verdicts)

    fine, odd = Check("cap ease", "pass", "a", {"least": 0.0}), Check("front notch", "warn", "has no notch")
    bad = Check("cap ease", "fail", "b")
    others = tuple(Check(f"seam side ({size})", "pass", size) for size in ("8", "10", "12"))
    walks = (one("8", fine, odd), one("10", fine, odd), one("12", bad))
    rows = [(check.name, check.status, check.message) for check in page_checks(Walked(walks, others))]
    assert rows == [
        ("front notch (8, 10)", "warn", "has no notch"),
        ("cap ease (12)", "fail", "b"),
        ("sizes 8, 10", "pass", "cap ease"),
        ("sizes 8, 10, 12", "pass", "seam side"),
    ]
    assert page_checks(Walked(walks[:1], others[:1])) == (fine, odd, *others[:1])


def test_a_size_without_a_sleeve_is_a_failed_check_beside_the_others(svgfit, tmp_path):
    drawings = [write(tmp_path / "10.svg", garment("10")), write(tmp_path / "12.svg", garment("12")[1:])]
    done = svgfit("walk", *drawings, "--json")
    assert done.status == 1
    found = json.loads(done.out)
    assert [walk["size"] for walk in found["walks"]] == ["10"]
    (check,) = [check for check in found["checks"] if check["status"] == "fail"]
    assert "there is no sleeve" in check["message"]
    assert "(12)" in check["name"]


def test_several_sleeves_are_each_walked_along_their_own_armhole(svgfit, tmp_path):
    left = [replace(piece, name=f"Left {piece.name.casefold()}") for piece in garment()]
    right = [replace(piece, name=f"Right {piece.name.casefold()}") for piece in garment(longer=5.0)]
    drawing = write(tmp_path / "a.svg", (*left, *right))
    assert "which armhole it is sewn into is not known" in svgfit("walk", drawing).err
    seams = [
        f'[[seams]]\na = "{side} sleeve/cap"\nb = ["{side} front/armhole", "{side} back/armhole"]\n'
        for side in ("Left", "Right")
    ]
    (tmp_path / "svgfit.toml").write_text("".join(seams))
    done = svgfit("walk", drawing, "--json")
    found = json.loads(done.out)
    assert [walk["sleeve"] for walk in found["walks"]] == ["Left sleeve", "Right sleeve"]
    assert [walk["zones"][0]["cap"] for walk in found["walks"]] == pytest.approx([80, 85], abs=1e-6)
    assert [walk["zones"][0]["ease"] for walk in found["walks"]] == pytest.approx([0, 5], abs=1e-6)
    assert done.status == 1


def test_adjusted_outlines_are_walked_where_asked_for(svgfit, here):
    svgfit("adjust", "smock.svg", "--do", "cap-raise amount='1/2 in'", "-o", "raised.svg", "--quiet")
    drawn = svgfit("walk", "raised.svg", "--json")
    assert "--from adjusted" in drawn.err
    adjusted = svgfit("walk", "raised.svg", "--json", "--from", "adjusted")
    assert "--from adjusted" not in adjusted.err
    eases = [json.loads(done.out)["walks"][0]["ease"] for done in (drawn, adjusted)]
    assert eases[0] == pytest.approx(9.525, abs=0.01)
    assert eases[1] > eases[0] + 12


def test_a_hem_that_is_not_square_to_its_fold_is_warned_of(svgfit, tmp_path):
    arm, front, back = garment()
    low = front.landmark("hem centre") + 15j
    dropped = {
        "fold": Curve.polyline([front.landmark("neck centre"), low]),
        "hem": Curve.polyline([low, front.landmark("hem side")]),
    }
    front = front.with_edges(tuple(replace(edge, curve=dropped.get(edge.name, edge.curve)) for edge in front.edges))
    done = svgfit("walk", write(tmp_path / "a.svg", (arm, front, back)))
    (row,) = [line for line in done.out.splitlines() if "Front: hem at the fold" in line]
    assert row.startswith("warn")
    assert "peak" in row
    assert done.status == 0


def test_a_sleeve_lining_without_its_armhole_is_only_warned_of(svgfit, tmp_path):
    lining = replace(garment()[0], name="Sleeve lining")
    done = svgfit("walk", write(tmp_path / "a.svg", (*garment(), lining)), "--json")
    found = json.loads(done.out)
    assert done.status == 0
    assert [walk["sleeve"] for walk in found["walks"]] == ["Sleeve"]
    (check,) = [check for check in found["checks"] if check["name"] == "walk of Sleeve lining"]
    assert check["status"] == "warn"


def test_a_yoke_between_front_and_back_is_part_of_the_armhole(svgfit, tmp_path):
    arm, front, back = garment()
    shape = Yoke(shoulder=110, armhole=60, slope=0.0)
    parts = shaped(shape)
    corners = [curve.start for curve in parts.values()]
    fold = Curve.polyline([corners[4] + 5j, corners[0] - 5j])
    ring = tuple(Edge(name, curve, fold=name == "centre") for name, curve in parts.items())
    middle = Piece(
        "a.svg", "Yoke", "yoke", ring, Affine(), marks=(Mark("fold line", (fold,)), Mark("grain line", (fold,)))
    )
    drawing = write(tmp_path / "a.svg", (arm, front, back, middle))
    found = json.loads(svgfit("walk", drawing, "--json").out)
    (walk,) = found["walks"]
    without = json.loads(svgfit("walk", write(tmp_path / "b.svg", (arm, front, back)), "--json").out)["walks"][0]
    length = parts["armhole"].length()
    for plain, zone, more in zip(without["zones"], walk["zones"], (0, length / 2, 0, length / 2), strict=True):
        assert zone["zone"] == plain["zone"]
        assert zone["cap"] == pytest.approx(plain["cap"], abs=1e-6)
        assert zone["armhole"] == pytest.approx(plain["armhole"] + more, abs=0.01)
    names = [verdict["name"] for verdict in walk["verdicts"]]
    assert "armhole at the seam of Front and Yoke" in names
    assert "shoulder on the armhole" in names


def test_a_piece_that_may_be_a_yoke_is_told_to_be_left_out(svgfit, tmp_path):
    grain = Mark("grain line", (Curve.polyline([50 - 5j, 50 - 35j]),))
    between = replace(yoke(40.0), marks=(grain,))
    done = svgfit("walk", write(tmp_path / "a.svg", (*garment(), between)))
    (row,) = [line for line in done.out.splitlines() if "piece Yoke" in line]
    assert row.startswith("warn")
    assert "left out" in row


# -- what can't be ----------------------------------------------------------------------------------------------------


def test_missing_pieces_are_one_line(refused, tmp_path):
    pieces = garment()
    cases = {
        (0, 1): "there is a front (Front) but no back",
        (0, 2): "there is a back (Back) but no front",
        (0,): "neither a front nor a back",
        (1, 2): "there is no sleeve among the pieces (Front, Back)",
    }
    for which, words in cases.items():
        assert words in refused("walk", write(tmp_path / "a.svg", [pieces[k] for k in which]))


def test_a_style_that_is_not_there_names_those_that_are(refused, here):
    line = refused("walk", "smock.svg", "--style", "cloak")
    assert "there is no style 'cloak'" in line
    assert "coat" in line
    (here / "odd.toml").write_text('unit = "in"\n\n[walk]\nstyle = "cloak"\n')
    assert "odd.toml line 4: walk.style: there is no style 'cloak'" in refused(
        "walk", "smock.svg", "--convention", "odd.toml"
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('careful = "1/4 in"', "careful work would be allowed more (1/4 in) than workable (1/8 in)"),
        ('workable = "-1 mm"', "less than nothing"),
        ("careful = 2", "has no unit"),
        ('gathered = "yes"', "should be true or false"),
        ('styel = "shirt"', "did you mean 'style'?"),
    ],
)
def test_a_walk_s_rules_are_read_carefully(refused, here, text, words):
    (here / "odd.toml").write_text(f"[walk]\n{text}\n")
    line = refused("walk", "smock.svg", "--convention", "odd.toml")
    assert "odd.toml line 2: walk." in line
    assert words in line


def test_half_an_armhole_in_the_seam_map_is_one_line(refused, here):
    (here / "odd.toml").write_text('[[seams]]\na = "Sleeve/cap"\nb = "Front/armhole"\n')
    line = refused("walk", "smock.svg", "--convention", "odd.toml")
    assert "its armhole has a front (Front) but no back" in line


def test_a_cap_ease_that_no_style_was_held_against_is_not_said_to_pass(svgfit, here):
    """In the JSON its status stays ``pass``, which others rely on; on the terminal and on the page it has a dash."""
    (walk,) = json.loads(svgfit("walk", "smock.svg", "--json", "--quiet").out)["walks"]
    (ease,) = [check for check in walk["verdicts"] if check["name"] == "cap ease"]
    assert ease["status"] == "pass"
    assert ease["message"].endswith("; not judged: no style is set")
    assert re.search(r"^ *– +cap ease ", svgfit("walk", "smock.svg").out, re.MULTILINE)
    told = svgfit("walk", "smock.svg", "--style", "shirt").out
    assert "not judged" not in told
    assert re.search(r"^ *pass +cap ease ", told, re.MULTILINE)
