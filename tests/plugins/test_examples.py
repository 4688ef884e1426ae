"""The example plug-ins of the documentation, tested as their authors would: with ``svgfit.testing`` and the library."""

from __future__ import annotations

import importlib
import json
import subprocess
import sys
from pathlib import Path

import pytest
from lxml import etree  # pyright: ignore[reportAttributeAccessIssue]

import svgfit
from svgfit.plugin import Affine, CapTurn, Landmark, Piece, Subject, replace, sewing
from svgfit.testing import (
    Garment,
    assert_at_allowance,
    assert_on_edge,
    assert_smooth,
    assert_unchanged,
    bodices,
    check_plugin,
    garment,
    refused,
    run,
    sleeve,
    smock,
)

ROOT = Path(__file__).parents[2]
SMOCK, EXAMPLES = ROOT / "demo_svgs" / "smock.svg", ROOT / "docs" / "examples" / "plugins"
SVG, INKSCAPE = "{http://www.w3.org/2000/svg}", "{http://www.inkscape.org/namespaces/inkscape}"
GARMENTS = [pytest.param(smock, id="smock"), pytest.param(garment, id="plain")]


def with_bust_point(whole: Garment) -> Garment:
    front = whole.piece("Front")
    return whole.with_piece(replace(front, landmarks=(*front.landmarks, Landmark("bust point", 150 + 60j))))


STEPS = {
    "forward_shoulder": ["forward-shoulder amount='1/2 in'", "forward-shoulder amount='-8 mm'"],
    "gape_close": [
        "gape-close piece=Front amount='8 mm' into-at='90 mm'",
        "gape-close piece=Front amount='8 mm' how=hinge into=hem",
    ],
    "level_line": ["level-line piece=Front from=underarm below='2 in'"],
    "pitch": ["pitch amount='1/2 in'", "pitch to='-1/4 in'"],
}


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.py")), ids=lambda path: path.stem)
def test_an_example_keeps_to_its_contract_and_is_short(path):
    steps = STEPS.get(path.stem, ())
    check_plugin(path, steps=steps, on=with_bust_point(garment()))
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 140
    assert f"`{path.name}`" in (ROOT / "docs" / "plugins.md").read_text(encoding="utf-8"), "the page lists each"


# -- forward shoulder: three pieces in one step ----------------------------------------------------------------------


@pytest.mark.parametrize("amount", [12.7, -8.0])
@pytest.mark.parametrize("whole", GARMENTS)
def test_what_one_armhole_loses_the_other_gains_and_the_notch_goes_along(whole, amount):
    before = whole()
    done = run(f"forward-shoulder amount='{amount} mm'", before, plugins=EXAMPLES)
    gained = {
        name: sewing.sewn_length(done.piece(name), "armhole") - sewing.sewn_length(before.piece(name), "armhole")
        for name in ("Front", "Back")
    }
    assert gained == pytest.approx({"Front": -amount, "Back": amount}, abs=1e-3)
    shoulders = [sewing.sewn_length(done.piece(name), "shoulder") for name in ("Front", "Back")]
    assert shoulders[0] == pytest.approx(shoulders[1], abs=0.1)
    for name in ("Front", "Back"):
        assert_unchanged(before.piece(name), done.piece(name), "neckline", "hem", "side seam")
        assert done.piece(name).landmark("neck point") == before.piece(name).landmark("neck point")
        assert_at_allowance(done.piece(name))
    along = [
        sewing.sewn_distance(one, "cap", one.landmark("shoulder notch"))
        for one in (before.piece("Sleeve"), done.piece("Sleeve"))
    ]
    assert along[0] - along[1] == pytest.approx(amount, abs=1e-6)
    assert_unchanged(before.piece("Sleeve"), done.piece("Sleeve"), "cap", "hem", "underarm front", "underarm back")
    for ease in ("cap ease", "cap ease front", "cap ease back"):
        assert done.gained("Sleeve", ease) == pytest.approx(0, abs=1e-3)


@pytest.mark.parametrize("whole", GARMENTS)
def test_a_shoulder_moved_and_moved_back_is_where_it_was(whole):
    there_and_back = ["forward-shoulder amount='10 mm'", "forward-shoulder amount='-10 mm'"]
    done = run(there_and_back, whole(), plugins=EXAMPLES)
    for name in ("Front", "Back"):
        for edge in ("armhole", "shoulder"):
            gained = sewing.sewn_length(done.piece(name), edge) - sewing.sewn_length(whole().piece(name), edge)
            assert gained == pytest.approx(0, abs=0.05)


def test_the_walk_finds_cap_and_armhole_as_they_were(tmp_path):
    """Each zone of the walk has the ease that it had, though its lengths are others."""
    drawn = svgfit.open_drawings(SMOCK, plugins=[EXAMPLES])
    drawn.run(svgfit.Plan.from_steps("forward-shoulder amount='1/2 in'")).write(tmp_path / "moved.svg")
    moved = svgfit.open_drawings(tmp_path / "moved.svg", plugins=[EXAMPLES], from_adjusted=True)
    (before,), (after,) = drawn.walk().walks, moved.walk().walks
    zones = {zone.zone: zone for zone in after.zones}
    assert len(zones) >= 4
    for zone in before.zones:
        assert zones[zone.zone].ease == pytest.approx(zone.ease, abs=0.01)
    assert zones["front notch to shoulder"].armhole == pytest.approx(128.8 - 12.7, abs=0.01)
    assert not moved.walk().failed
    assert [(one.name, one.status) for one in moved.check()] == [(one.name, one.status) for one in drawn.check()]


def test_a_corner_of_the_armhole_at_the_old_seam_is_told():
    """The plain bodices make a peak at the shoulder, the smock's armhole runs smoothly over it."""
    step = "forward-shoulder amount='10 mm'"
    assert any("has a corner" in one for one in run(step, garment(), plugins=EXAMPLES).warnings)
    assert not any("has a corner" in one for one in run(step, smock(), plugins=EXAMPLES).warnings)


def test_a_shoulder_that_can_not_be_moved_is_refused():
    refused("forward-shoulder amount='0 mm'", garment(), "name an amount", plugins=EXAMPLES)
    refused("forward-shoulder amount='200 mm'", garment(), "has a notch", plugins=EXAMPLES)
    refused("forward-shoulder amount='10 mm'", sleeve(), "it needs the armhole", plugins=EXAMPLES)


# -- pitch: nothing is cut, and it is remembered ---------------------------------------------------------------------


def test_all_notches_turn_alike_and_the_outline_stays():
    before = smock().piece("Sleeve")
    done = run("pitch amount='10 mm'", before, plugins=EXAMPLES)
    after = done.piece("Sleeve")
    assert_unchanged(before, after, *(edge.name for edge in before.edges), within=0.0)
    pairs = [(old, new) for old, new in zip(before.marks, after.marks, strict=True) if old.edge == "cap"]
    assert len(pairs) == 4
    for old, new in pairs:
        assert_on_edge(after, new, "cap")
        assert old.at is not None
        assert new.at is not None
        along = [sewing.sewn_distance(after, "cap", point) for point in (old.at, new.at)]
        assert along[0] - along[1] == pytest.approx(10, abs=1e-4)
    assert done.got["turned to the front in all"] == pytest.approx(10, abs=1e-4)


def spelt(amount: float) -> str:
    return f"shoulder {amount} mm%2C notches {amount} mm%2C underarm {amount} mm"


def again(path: Path) -> svgfit.Session:
    return svgfit.open_drawings(path, plugins=[EXAMPLES], from_adjusted=True)


def test_a_later_run_knows_how_far_the_sleeve_is_turned(tmp_path):
    first = svgfit.open_drawings(SMOCK, plugins=[EXAMPLES]).run(svgfit.Plan.from_steps("pitch amount='10 mm'"))
    first.write(tmp_path / "turned.svg")
    found = again(tmp_path / "turned.svg")
    kept = next(row for row in found.measurements() if row.name == "Sleeve").find("turned to the front on purpose")
    assert kept is not None
    assert kept.before == pytest.approx(10, abs=1e-3)
    whole = Garment(tuple(found.pieces), tuple(found.seams))
    done = run("pitch to='4 mm'", whole, plugins=EXAMPLES)
    drawn, now = smock().piece("Sleeve"), done.piece("Sleeve")
    along = [sewing.sewn_distance(one, "cap", one.landmark("shoulder notch")) for one in (drawn, now)]
    assert along[0] - along[1] == pytest.approx(4, abs=0.01)


@pytest.mark.parametrize("amount", ["1/2 in", "-3/4 in"])
def test_a_turned_sleeve_passes_its_walk_and_its_checks(amount, tmp_path):
    drawn = svgfit.open_drawings(SMOCK, plugins=[EXAMPLES])
    done = drawn.run(svgfit.Plan.from_steps(f"pitch amount='{amount}'"))
    assert not any("to notch" in text for text in done.warnings)
    done.write(tmp_path / "turned.svg")
    found = again(tmp_path / "turned.svg")
    (before,), (after,) = drawn.walk().walks, found.walk().walks
    assert [zone.ease for zone in after.zones] == pytest.approx([zone.ease for zone in before.zones], abs=0.01)
    assert {one.status for one in after.verdicts} == {"pass"}
    assert {one.status for one in found.check() if "plug-in" not in one.name} == {"pass"}
    way = "front" if amount[0] != "-" else "back"
    assert sum(f"{amount.strip('-')} to the {way} on purpose" in one.message for one in after.verdicts) == 3


@pytest.mark.parametrize("stated", [0.0, 5.0, -12.7])
def test_a_sleeve_turned_by_another_amount_than_it_says_fails_its_walk(stated, tmp_path):
    drawn = svgfit.open_drawings(SMOCK, plugins=[EXAMPLES])
    drawn.run(svgfit.Plan.from_steps("pitch amount='1/2 in'")).write(tmp_path / "turned.svg")
    text = (tmp_path / "turned.svg").read_text(encoding="utf-8")
    (kept,) = {pair[1] for one in again(tmp_path / "turned.svg").pieces for pair in one.data}
    written = kept.replace(",", "%2C")
    assert written in text
    text = text.replace(written, spelt(stated))
    (tmp_path / "other.svg").write_text(text, encoding="utf-8")
    (walk,) = again(tmp_path / "other.svg").walk().walks
    assert {one.name for one in walk.verdicts if one.status == "fail"} == {
        "front underarm to notch",
        "back underarm to notch",
    }


def test_turned_back_nothing_is_kept():
    done = run(["pitch amount='10 mm'", "pitch to='0 mm'"], smock(), plugins=EXAMPLES)
    assert done.piece("Sleeve").data == ()


def test_notch_match_leaves_a_turned_sleeve_turned():
    """The armhole's notches stand where a turned cap's are to meet them."""
    turned = run("pitch amount='1/2 in'", smock(), plugins=EXAMPLES)
    done = run(["pitch amount='1/2 in'", "notch-match piece=Sleeve"], smock(), plugins=EXAMPLES)
    for one, other in zip(turned.piece("Sleeve").marks, done.piece("Sleeve").marks, strict=True):
        assert one.at is None or abs(one.at - (other.at or 0)) < 0.05


def test_a_pitch_that_can_not_be_is_refused():
    refused("pitch amount='200 mm'", smock(), plugins=EXAMPLES)
    bare = replace(sleeve(), marks=())
    refused("pitch amount='5 mm'", bare, "no notch", plugins=EXAMPLES)
    name = CapTurn.whole(1.0).kept_on(sleeve()).data[0][0]
    refused("pitch amount='5 mm'", sleeve().with_fact(name, "far"), "can't be read", plugins=EXAMPLES)
    refused("pitch amount='5 mm'", CapTurn(shoulder=5.0).kept_on(sleeve()), "in parts", plugins=EXAMPLES)


# -- a gape closed ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("whole", GARMENTS)
@pytest.mark.parametrize(
    ("gape", "into"),
    [
        ("edge=armhole at='70 mm'", "into='side seam' into-at='90 mm'"),
        ("at='70 mm'", "into='side seam' into-at='90 mm'"),
        ("at='70 mm'", "into=hem into-at='110 mm'"),
    ],
)
def test_the_wedge_becomes_a_dart_and_the_seam_as_sewn_stays(whole, gape, into):
    before = with_bust_point(whole())
    done = run(f"gape-close piece=Front amount='8 mm' {gape} {into}", before, plugins=EXAMPLES)
    front = done.piece("Front")
    edge, seam = ("armhole" if "armhole" in gape else "neckline"), ("hem" if "hem" in into else "side seam")
    (dart,) = front.darts
    assert dart.edge == seam
    assert dart.apex == 150 + 60j
    assert abs(dart.start - dart.apex) == pytest.approx(abs(dart.end - dart.apex), abs=1e-9)
    assert done.got["dart mouth"] == pytest.approx(abs(dart.start - dart.end))
    assert sewing.sewn_length(front, seam) == pytest.approx(sewing.sewn_length(before.piece("Front"), seam), abs=0.01)
    lost = sewing.sewn_length(before.piece("Front"), edge) - sewing.sewn_length(front, edge)
    told = any(f"the {edge} lost" in one for one in done.warnings)
    assert 0.5 * 8 < lost < 1.2 * 8
    assert told == (abs(lost - 8) > 0.8)
    assert_smooth(front, edge)
    assert_at_allowance(front)
    centre = "fold" if front.has_edge("fold") else "centre"
    assert_unchanged(before.piece("Front"), front, centre)
    assert_unchanged(before.piece("Back"), done.piece("Back"))


def test_the_dart_is_read_back_from_the_drawing(tmp_path):
    """A bust point is drawn as any landmark is: a small named shape on the piece's layer for landmarks."""
    tree = etree.parse(SMOCK)
    layer = etree.SubElement(
        tree.getroot(), f"{SVG}g", {f"{INKSCAPE}groupmode": "layer", f"{INKSCAPE}label": "Front landmarks"}
    )
    etree.SubElement(layer, f"{SVG}circle", {"cx": "160", "cy": "360", "r": "1", f"{INKSCAPE}label": "bust point"})
    tree.write(tmp_path / "smock.svg")
    drawn = svgfit.open_drawings(tmp_path / "smock.svg", plugins=[EXAMPLES])
    step = "gape-close piece=Front edge=armhole at='70 mm' into-at='90 mm' amount='8 mm'"
    drawn.run(svgfit.Plan.from_steps(step)).write(tmp_path / "darted.svg")
    again = svgfit.open_drawings(tmp_path / "darted.svg", plugins=[EXAMPLES], from_adjusted=True)
    front = next(piece for piece in again.pieces if piece.name == "Front")
    assert [dart.edge for dart in front.darts] == ["side seam"]
    assert front.darts[0].apex == pytest.approx(150 + 60j, abs=0.01)
    side = next(one for one in again.check() if "side seam" in one.name)
    assert side.status == "pass"


def test_a_gape_closed_to_a_hinge_leaves_no_dart():
    done = run("gape-close piece=Front amount='8 mm' into=hem how=hinge", garment(), plugins=EXAMPLES)
    front = done.piece("Front")
    assert front.darts == ()
    assert sewing.sewn_length(front, "neckline") < sewing.sewn_length(garment().piece("Front"), "neckline") - 4
    assert sewing.sewn_length(front, "hem") == pytest.approx(260, abs=0.1)
    assert_smooth(front, "neckline")


def test_a_gape_is_refused_with_what_is_wrong():
    whole = with_bust_point(garment())
    for asked, why in [
        ("amount='8 mm' into=neckline", "into the neckline itself"),
        ("amount='200 mm' into-at='90 mm'", "wider than a quarter"),
        ("amount='8 mm' tip='bust'", "bust"),
        ("amount='8 mm' into=Back/hem", "names an edge of Back"),
    ]:
        refused(f"gape-close piece=Front {asked}", whole, why, plugins=EXAMPLES)


# -- own lines, measurements, dialect, writer ------------------------------------------------------------------------


def test_a_level_is_drawn_and_measured_and_nothing_changes():
    done = run("level-line piece=Front from=underarm below='50 mm' label=chest", garment(), plugins=EXAMPLES)
    assert done.got["width at the level"] == pytest.approx(260)
    (line,) = done.annotations
    assert line.line is not None
    assert (line.kind, line.line.layer) == ("level", "levels")
    assert line.curve is not None
    assert line.label == "chest 10 1/4 in"
    assert [point.imag for point in (line.curve.start, line.curve.end)] == pytest.approx([50, 50])
    assert_unchanged(garment().piece("Front"), done.piece("Front"))
    refused("level-line piece=Front from=underarm below='2 m'", garment(), "misses it", plugins=EXAMPLES)


def test_cloth_is_measured_in_its_own_units():
    front, _ = bodices()
    done = run([], Garment((front,)), plugins=EXAMPLES)
    plain = done.measured("Front", "cloth area")
    assert abs(front.outline().area()) < plain < abs(front.outline().area()) * 1.3
    assert 0 < done.measured("Front", "share of its strip of cloth") < 1
    folded = replace(front, edges=tuple(_folded(edge) if edge.name == "centre" else edge for edge in front.edges))
    halved = run([], Garment((folded,)), plugins=EXAMPLES).measured("Front", "cloth area")
    assert halved == pytest.approx(2 * (plain - 15 * 670), rel=0.02)  # the fold has no allowance


def _folded(edge):
    return replace(edge, fold=True, allowance=0.0)


def test_a_neckline_is_measured_across_pieces_and_checked():
    """The smock's neckline is too narrow for a head."""
    drawn = svgfit.open_drawings(SMOCK, plugins=[EXAMPLES])
    length = 2 * sum(sewing.sewn_length(smock().piece(name), "neckline") for name in ("Front", "Back"))
    found = [one for one in drawn.check() if "over the head" in one.name]
    assert [(one.status, one.values) for one in found] == [("warn", {"neckline round": pytest.approx(length)})]
    asked = [sys.executable, "-m", "svgfit", "measure", str(SMOCK), "--plugins", str(EXAMPLES), "--json"]
    said = subprocess.run(asked, check=True, capture_output=True, text=True).stdout
    (row,) = json.loads(said)["garment"][0]["measurements"]
    assert (row["name"], row["before"]) == ("neckline round", pytest.approx(length))


@pytest.mark.parametrize(("scale", "status"), [(1.0, "warn"), (1.5, "pass")])
def test_a_wide_neckline_goes_over_the_head(scale, status, monkeypatch):
    monkeypatch.syspath_prepend(EXAMPLES)
    module = importlib.import_module("over_the_head")
    pieces = tuple(
        replace(one, edges=tuple(replace(edge, curve=edge.curve.transform(Affine.scale(scale))) for edge in one.edges))
        for one in bodices()
    )
    (verdict,) = module.check(Subject(pieces=pieces))
    assert verdict.status == status
    assert module.check(Subject(pieces=pieces[:1])) == []


def test_a_drawing_of_the_own_program_is_read_as_the_others_are(tmp_path):
    """The smock, its layers written as the tracing script would."""
    tree = etree.parse(SMOCK)
    tracer = "{urn:workshop:tracer}"
    root = etree.Element(tree.getroot().tag, tree.getroot().attrib, nsmap={None: SVG[1:-1], "t": tracer[1:-1]})
    root.extend(tree.getroot())
    for element in root.iter("{*}g"):
        name = element.get(f"{INKSCAPE}label")
        if name:
            element.set(f"{tracer}sheet", name)
        for key in [key for key in element.attrib if key.startswith(INKSCAPE) or key == "id"]:
            del element.attrib[key]
    root.append(etree.Element(f"{SVG}rect", {"width": "9", "height": "9", f"{tracer}frame": "yes"}))
    etree.cleanup_namespaces(root, keep_ns_prefixes=["t"])
    (tmp_path / "traced.svg").write_bytes(etree.tostring(root))
    traced, drawn = (svgfit.open_drawings(path, plugins=[EXAMPLES]) for path in (tmp_path / "traced.svg", SMOCK))
    assert [figures(row) for row in traced.measurements()] == [figures(row) for row in drawn.measurements()]
    assert len(traced.pieces) == 3


def figures(row):
    return row.name, [(one.name, one.before) for one in row.measurements]


def test_every_edge_is_written_with_its_length(tmp_path):
    out = tmp_path / "smock.seams"
    asked = [sys.executable, "-m", "svgfit", "convert", str(SMOCK), "--plugins", str(EXAMPLES), "-o", str(out)]
    subprocess.run(asked, check=True, capture_output=True)
    head, *rows = [line.split("\t") for line in out.read_text(encoding="utf-8").splitlines()]
    assert head == ["piece", "size", "edge", "length mm", "allowance mm"]
    found = {(row[0], row[2]): (float(row[3]), row[4]) for row in rows}
    pieces: tuple[Piece, ...] = smock().pieces
    assert len(found) == sum(len(piece.edges) for piece in pieces)
    for piece in pieces:
        for edge in piece.edges:
            length, allowance = found[piece.name, edge.name]
            assert length == pytest.approx(sewing.sewn_length(piece, edge.name), abs=0.006)
            assert float(allowance) == pytest.approx(edge.allowance, abs=0.006)
