"""Our three layers as other programs and a later run see them."""

from __future__ import annotations

import itertools
import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from msgspec.structs import replace

from svgfit.fitting.ride_along import move_piece
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.raster import sample
from svgfit.model import adjusted_attributes
from svgfit.model.drawing import Text
from svgfit.model.line_kind import KINDS, WHITE
from svgfit.model.piece import Mark, Piece
from svgfit.model.report import Annotation
from svgfit.render.annotate.dimensions import _offset_outwards
from svgfit.render.annotate.layers import draw_layers
from svgfit.render.annotate.scene import LAYERS, Scene
from svgfit.render.text_metrics import text_box
from svgfit.svg.markup import path_data, serialise
from svgfit.svg.svgfit_layers import digest

from . import scenes

SVG = "{http://www.w3.org/2000/svg}"
INKSCAPE = "{http://www.inkscape.org/namespaces/inkscape}"


def layers(scene: Scene) -> dict[str, etree._Element]:
    root = etree.fromstring(f'<svg xmlns="http://www.w3.org/2000/svg">{draw_layers(scene).text}</svg>')
    return {group.get("data-svgfit-layer"): group for group in root}


def control_points(d: str) -> list[complex]:
    """An own small reader of M, L, C and Z with absolute numbers: every segment as four control points, flat."""
    found: list[complex] = []
    at = 0j
    for verb, numbers in re.findall(r"([MLCZ])([^MLCZ]*)", d):
        values = [float(x) for x in re.findall(r"-?[\d.]+", numbers)]
        points = [complex(values[k], values[k + 1]) for k in range(0, len(values), 2)]
        if verb == "L":
            third = (points[0] - at) / 3
            points = [at + third, points[0] - third, points[0]]
        if verb in "LC":
            found += [at, *points]
        at = points[-1] if points else at
    return found


def texts(group: etree._Element) -> list[Text]:
    found = []
    for node in group.iter(f"{SVG}text"):
        style = dict(part.split(":") for part in node.get("style").split(";"))
        if style["stroke"] != "none":  # a halo
            continue
        turn = re.match(r"rotate\((\S+)", node.get("transform") or "rotate(0")
        way = complex(math.cos(math.radians(float(turn[1]))), math.sin(math.radians(float(turn[1]))))
        at = complex(float(node.get("x")), float(node.get("y")))
        found.append(Text(node.text, at, way, float(style["font-size"][:-2]), style["text-anchor"]))
    return found


@pytest.mark.parametrize("name", scenes.SCENES)
def test_three_layers_in_order_each_complete_in_itself(name: str) -> None:
    scene = scenes.SCENES[name]()
    drawn = draw_layers(scene)
    assert len(drawn.layers) == 3
    for kind, layer in zip(LAYERS, drawn.layers, strict=True):
        text = serialise(layer)
        group = etree.fromstring(text)  # needs no namespace from outside
        assert digest(layer) == digest(group)
        assert text.isascii()
        assert group.tag == f"{SVG}g"
        assert group.get("data-svgfit-layer") == kind
        assert group.get(f"{INKSCAPE}groupmode") == "layer"
        assert group.get(f"{INKSCAPE}label") == kind.replace("-", " ")
        assert re.fullmatch(r"[A-Za-z_][\w.-]*", group.get("id"))
        assert not {"style", "defs", "marker", "use", "image"} & {etree.QName(node).localname for node in group.iter()}
        assert all(node.get("class") is None for node in group.iter())
    assert drawn == draw_layers(scene)


def test_matrix_names_and_ids() -> None:
    scene = replace(
        scenes.sleeve_scene(
            sheet=scenes.canvas(to_root=Affine(3.7795275590551185, 0, 0, 3.7795275590551185, -10, 1e-7))
        ),
        names={"working-lines": "Arbeits <linien>", "adjusted": "3 neu", "measurements": "measurements"},
        taken_ids=frozenset({"measurements", "measurements_2"}),
    )
    found = layers(scene)
    numbers = re.findall(r"[-\d.]+", found["adjusted"].get("transform"))
    assert [float(x) for x in numbers] == pytest.approx(
        [3.7795275590551185, 0, 0, 3.7795275590551185, -10, 1e-7], abs=1e-11
    )
    assert found["working-lines"].get(f"{INKSCAPE}label") == "Arbeits <linien>"
    assert found["adjusted"].get("id") == "_3_neu"
    assert found["measurements"].get("id") == "measurements_3"


@pytest.mark.parametrize("name", ["sleeve", "turned", "smock"])
def test_adjusted_layer_reads_back(name: str) -> None:
    scene = scenes.SCENES[name]()
    group = layers(scene)["adjusted"]
    paths = list(group.iter(f"{SVG}path"))
    for piece, cut in zip(scene.after, scene.cut_after, strict=True):
        own = [path for path in paths if path.get("data-svgfit-piece") == piece.name]
        for line, curve in (("stitch", piece.outline()), ("cut", cut)):
            (path,) = [path for path in own if path.get("data-svgfit-line") == line]
            meant = curve.transform(piece.placement).segments.ravel()
            assert np.abs(np.array(control_points(path.get("d"))) - meant).max() < 1e-7
            assert path.get("d").endswith("Z")
        (stitch,) = [path for path in own if path.get("data-svgfit-line") == "stitch"]
        data = {key.removeprefix("data-svgfit-"): value for key, value in stitch.attrib.items()}
        assert adjusted_attributes.parse_attributes(data) == adjusted_attributes.attributes_of(piece)
        notches = [path for path in own if path.get("data-svgfit-role") in ("notch", "shoulder-notch")]
        marks = [mark for mark in piece.marks if mark.kind in ("notch", "shoulder notch")]
        assert len(notches) == len(marks)
        for path, mark in zip(notches, marks, strict=True):
            assert path.get("data-svgfit-edge") == mark.edge
            at = adjusted_attributes.parse_point(path.get("data-svgfit-at"))
            assert abs(at - piece.placement.apply(mark.at)) < 1e-9
    for node in group.iter(f"{SVG}path", f"{SVG}text"):
        data = {key for key in node.attrib if key.startswith("data-")}
        data -= {"data-svgfit-for", "data-svgfit-for-size"}  # what ornament belongs to
        assert not data or {"data-svgfit-piece"} < data & {f"data-svgfit-{key}" for key in ("piece", "line", "role")}


def test_size_of_a_nest_is_carried() -> None:
    scene = scenes.sleeve_scene()
    scene = replace(scene, after=tuple(replace(piece, size="M") for piece in scene.after))
    found = [n for n in layers(scene)["adjusted"].iter(f"{SVG}path") if n.get("data-svgfit-piece")]
    assert found
    assert all(node.get("data-svgfit-size") == "M" for node in found)


def test_a_line_is_written_only_for_a_cubic_in_thirds() -> None:
    straight = Curve.polyline([0j, 30 + 7j])
    assert "L" in path_data(straight).text
    uneven = Curve(np.array([[0j, 10 + 0j, 20 + 1e-8j, 30 + 0j]]))
    assert "L" not in path_data(uneven).text


def test_a_notch_nobody_drew_runs_outwards_as_far_as_the_allowance() -> None:
    scene = scenes.sleeve_scene()
    piece = scene.after[0]
    cap = piece.edge("cap").curve
    bare = replace(piece, marks=(Mark("notch", edge="cap", at=cap.point(1.5)),))
    group = layers(replace(scene, after=(bare,)))["adjusted"]
    (path,) = [node for node in group.iter() if node.get("data-svgfit-role") == "notch"]
    points = control_points(path.get("d"))
    start, end = points[0], points[-1]
    assert abs(start - piece.placement.apply(cap.point(1.5))) < 1e-9
    assert abs(abs(end - start) - 15.875) < 1e-6
    assert end.real < start.real  # back half of the cap: outwards is to the left
    assert end.imag < start.imag


def assert_nothing_overlaps(scene: Scene) -> None:
    found = layers(scene)
    boxes = [text_box(text) for kind in ("working-lines", "measurements") for text in texts(found[kind])]
    for one, two in itertools.combinations(boxes, 2):
        apart = one[2] <= two[0] + 1e-6 or two[2] <= one[0] + 1e-6 or one[3] <= two[1] + 0.1 or two[3] <= one[1] + 0.1
        assert apart, (one, two)
    for piece, cut in zip(scene.after, scene.cut_after, strict=True):
        for curve in (piece.outline(), cut):
            points = sample(curve.transform(piece.placement).segments, 0.5)
            for left, top, right, bottom in boxes:
                inside = (points.real > left) & (points.real < right) & (points.imag > top) & (points.imag < bottom)
                assert not inside.any(), (left, top, right, bottom)


@pytest.mark.parametrize("name", scenes.SCENES)
def test_no_writing_lies_on_another_or_on_a_seam(name: str) -> None:
    assert_nothing_overlaps(scenes.SCENES[name]())


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(st.floats(-180, 180), st.booleans(), st.sampled_from(["in", "mm", "cm"]))
def test_however_the_piece_lies(degrees: float, mirror: bool, unit: str) -> None:
    place = scenes.turned(degrees, mirror=mirror, at=600 + 600j)
    scene = scenes.sleeve_scene(place, unit=unit, sheet=scenes.canvas(1200, 1200))
    assert_nothing_overlaps(scene)
    for kind in LAYERS:
        for text in texts(layers(scene)[kind]):
            assert text.direction.real > -1e-6  # within ± 90°: nothing on its head; no matrix, so nothing mirrored


def test_text_turned_the_right_way_up_stays_where_it_was() -> None:
    upright, turned = (scenes.sleeve_scene(place) for place in (Affine.shift(300 + 210j), scenes.turned(180)))
    for scene in (upright, turned):
        piece = scene.after[0]
        (mark,) = [mark for mark in piece.marks if mark.kind == "text"]
        (text,) = texts(layers(scene)["adjusted"])
        assert text.direction.real == pytest.approx(1)
        meant = replace(mark.text, at=piece.placement.apply(mark.text.at))
        meant = replace(meant, direction=piece.placement.apply_vector(mark.text.direction))
        assert text_box(text) == pytest.approx(text_box(meant), abs=0.3 * mark.text.size)


def test_letters_of_no_size_get_no_backing() -> None:
    scene = scenes.sleeve_scene()
    piece = scene.after[0]
    marks = tuple(replace(mark, text=mark.text and replace(mark.text, size=0.0)) for mark in piece.marks)
    unseen = replace(scene, after=(replace(piece, marks=marks), *scene.after[1:]))
    backings, fewer = (draw_layers(one).text.count(f"fill:{WHITE}") for one in (scene, unseen))
    assert fewer == backings - 1


def test_tables_and_labels_say_what_was_measured() -> None:
    scene = scenes.sleeve_scene()
    found = [text.content for text in texts(layers(scene)["measurements"])]
    joined = "\n".join(found)
    for words in (
        "cap height 5 13/16 in",
        "was 5 1/2 in",
        "cap gains 1/8 in",
        "+1/2 in",
    ):
        assert words in joined
    assert {"PASS", "WARN", "163.2°", "the same"} <= set(found)
    assert any(text.startswith("Sew a test garment") for text in found)
    assert "After printing, measure a line of known length, such as the test square." in " ".join(found)
    assert "not on a body" in " ".join(found)
    assert any("cap-raise, Sleeve. Asked: amount 5/16 in." in text for text in found)


def test_legend_explains_every_kind_used_and_no_other() -> None:
    scene = scenes.sleeve_scene()
    found = {text.content for text in texts(layers(scene)["measurements"])}
    assert {kind.name for kind in KINDS if kind.legend in found} == {kind.name for kind in KINDS} - {"guide"}
    plain = replace(scene, annotations=(), openings=())
    found = {text.content for text in texts(layers(plain)["measurements"])}
    named = {kind.name for kind in KINDS if kind.legend in found}
    assert not {"slash", "hinge", "arrow", "old edge", "cut end"} & named
    assert "construction" in named


def test_kinds_differ_without_colour() -> None:
    looks = [(kind.dash, kind.symbol, round(kind.width, 2)) for kind in KINDS]
    assert len({(dash, symbol) if dash else (symbol, width) for dash, symbol, width in looks}) == len(KINDS)
    solid = sorted(kind.width for kind in KINDS if not kind.dash and kind.symbol == "line")
    assert all(b / a > 2 for a, b in itertools.pairwise(solid))


def test_construction_lines_only_where_the_drawing_lacks_them() -> None:
    scene = scenes.sleeve_scene()
    words = {text.content for text in texts(layers(scene)["working-lines"])}
    assert {"bicep line", "centre line", "slash", "raised 5/16 in"} == words
    piece = scene.after[0]
    mark = Mark("bicep line", (Curve.polyline([-170 + 0j, 178 + 0j]),))
    drawn = replace(scene, after=(replace(piece, marks=(*piece.marks, mark)),))
    assert "bicep line" not in {text.content for text in texts(layers(drawn)["working-lines"])}


def test_the_bicep_line_stands_where_the_underarm_points_are() -> None:
    """A sleeve whose points were moved up its frame is drawn as one that lies there by its frame."""
    scene = replace(scenes.sleeve_scene(), annotations=(), openings=())
    piece = scene.after[0]
    moved = move_piece(piece, Affine.shift(-20j))
    back = replace(moved, placement=Affine.shift(20j).then(piece.placement))
    one, two = (
        [
            text.at
            for text in texts(layers(replace(scene, after=(each,)))["working-lines"])
            if text.content == "bicep line"
        ]
        for each in (piece, back)
    )
    off = [back.placement.inverse().apply(at).imag - back.landmark("underarm front").imag for at in (*one, *two)]
    assert len(off) == 2
    assert off[1] == pytest.approx(off[0], abs=1e-4)


def test_an_arrow_without_words_does_not_repeat_an_opening() -> None:
    scene = scenes.sleeve_scene()
    silent = tuple(replace(note, label="") if note.kind == "arrow" else note for note in scene.annotations)

    def amounts(one: Scene) -> int:
        return sum(text.content == "5/16 in" for text in texts(layers(one)["working-lines"]))

    assert amounts(replace(scene, annotations=silent)) == 0
    assert amounts(replace(scene, annotations=silent, openings=())) == 1


def places(scene: Scene, words: str) -> list[complex]:
    return [text.at for text in texts(layers(scene)["measurements"]) if text.content == words]


def is_inside(piece: Piece, at: complex) -> bool:
    around = piece.outline().transform(piece.placement).segments[:, 0]
    turns = np.angle(np.roll(around, -1) - at) - np.angle(around - at)
    return bool(abs(((turns + np.pi) % (2 * np.pi) - np.pi).sum()) > 1)


def test_without_room_on_the_page_the_changed_pieces_table_stands_in_it_and_the_rest_outside() -> None:
    full = scenes.SCENES["small page"]()
    (warning,) = draw_layers(full).warnings
    assert warning.startswith("sleeve.svg: ")
    assert '"Before you cut"' in warning
    assert '"Sleeve"' not in warning
    assert "to the right of the page" in warning
    (piece,) = full.after
    for words in ("before", "change", "Lines"):
        (at,) = places(full, words)
        assert is_inside(piece, at)
        assert (piece.placement.inverse().apply(at)).imag > 0  # below the bicep line
    (at,) = places(full, "Before you cut")
    assert at.real > 420
    beside = Curve.polyline([450 + 10j, 600 + 10j, 600 + 500j])
    (warning,) = draw_layers(replace(full, occupied=(*full.occupied, beside))).warnings
    assert "below the page" in warning


def test_writing_is_made_smaller_before_it_leaves_the_page_but_not_too_small() -> None:
    roomy = texts(layers(scenes.SCENES["sleeve"]())["measurements"])
    tight = texts(layers(scenes.SCENES["small page"]())["measurements"])
    (large,) = [text.size for text in roomy if text.content == "before"]
    (small,) = [text.size for text in tight if text.content == "before"]
    assert 3.0 <= small < large


def test_an_unchanged_piece_gets_a_line_and_no_table() -> None:
    scene = scenes.smock_scene()
    found = [text.content for text in texts(layers(scene)["measurements"])]
    assert found.count("before") == 1
    assert "Front: unchanged" in found
    (row, other) = scene.rows
    moved = replace(other, measurements=tuple(replace(one, after=one.after + 1.0) for one in other.measurements))
    found = [text.content for text in texts(layers(replace(scene, rows=(row, moved)))["measurements"])]
    assert found.count("before") == 2
    assert not any("unchanged" in text for text in found)
    none = replace(scene, before=scene.after, steps=(), openings=(), annotations=())
    still = tuple(
        replace(one, measurements=tuple(replace(f, after=f.before) for f in one.measurements)) for one in none.rows
    )
    found = [text.content for text in texts(layers(replace(none, rows=still))["measurements"])]
    assert "Sleeve, Front: unchanged" in found
    assert "before" not in found


def test_the_edge_as_it_was_and_the_drawing_beneath_are_explained() -> None:
    scene = scenes.sleeve_scene()
    old = scene.before[0].edge("cap").curve
    noted = replace(scene, annotations=(Annotation("old edge", "Sleeve", old),))
    found = layers(noted)
    meant = old.transform(scene.before[0].placement).segments.ravel()
    drawn = [np.array(control_points(n.get("d"))) for n in found["working-lines"].iter(f"{SVG}path")]
    assert any(points.shape == meant.shape and np.abs(points - meant).max() < 2e-3 for points in drawn)
    words = {text.content for text in texts(found["measurements"])}
    assert {"edge as it was", "beneath", "stitch line and cut line as drawn"} <= words
    words = {text.content for text in texts(layers(replace(scene, before=scene.after))["measurements"])}
    assert "beneath" not in words


def test_an_adjusted_notch_is_heavier_and_longer_than_the_one_it_replaces() -> None:
    group = layers(scenes.sleeve_scene())["adjusted"]
    nodes = list(group.iter(f"{SVG}path"))
    notches = [n for n in nodes if n.get("data-svgfit-role") in ("notch", "shoulder-notch")]
    style = notches[0].get("style")
    more = [n for n in nodes if n.get("style") == style and n.get("data-svgfit-role") is None]
    assert len(more) == 2 * len(notches)  # a little more at each end, and nothing that is read back
    width = float(re.search(r"stroke-width:([\d.]+)", style)[1])
    assert width >= 2 * 0.5  # mm: twice a usual drawn line
    assert all({key for key in n.attrib if key.startswith("data-")} == {"data-svgfit-for"} for n in more)


def test_a_tight_hollow_keeps_its_curved_dimension() -> None:
    stretch = Curve.chain(scenes.cap(320.0)).subcurve(0, 2)
    piece = scenes.sleeve(320.0)
    page = (-1000.0, -1000.0, 2000.0, 2000.0)
    for away in (15.0, 40.0):
        around = _offset_outwards(stretch, piece, away, page)
        assert around is not None
        points = stretch.points(np.linspace(0, len(stretch), 400))
        gaps = np.abs(around[:, None] - points[None, :]).min(axis=1)
        assert gaps.min() > 0.98 * away
        assert abs(gaps.max() - away) < 0.5
    assert _offset_outwards(stretch, piece, 15.0, (0.0, 0.0, 100.0, 100.0)) is None


def test_labels_keep_half_a_line_apart() -> None:
    for name in ("sleeve", "mirrored", "smock"):
        found = layers(scenes.SCENES[name]())
        boxes = [
            text_box(text) for text in texts(found["measurements"]) if text.content.startswith(("opening", "cap len"))
        ]
        size = next(text.size for text in texts(found["measurements"]) if text.content.startswith("opening"))
        below = [text_box(t) for t in texts(found["measurements"]) if t.content.startswith(("cap gains", "was"))]
        for one, two in itertools.product(below, boxes):
            if one[0] < two[2] and two[0] < one[2] and two[1] >= one[3] - 1e-6:
                assert two[1] - one[3] >= 0.64 * size


def test_no_table_stands_between_two_armholes() -> None:
    left = scenes.bodice_front(Affine.scale(-1, 1).then(Affine.shift(330 + 400j)))
    right = scenes.bodice_front(Affine.shift(400 + 400j))
    scene = replace(
        scenes.sleeve_scene(Affine.shift(950 + 200j), sheet=scenes.canvas(1200, 860)),
        occupied=tuple(piece.outline().transform(piece.placement) for piece in (left, right)),
    )
    lefts = [text.at for text in texts(layers(scene)["measurements"]) if text.content in ("before", "Steps", "Lines")]
    assert len(lefts) == 3
    assert not any(300 < at.real < 470 and at.imag < 400 for at in lefts)


def test_no_table_lies_inside_a_piece_where_the_page_has_room() -> None:
    scene = scenes.smock_scene()
    heads = [at for words in ("before", "Lines", "Checks") for at in places(scene, words)]
    assert len(heads) == 3
    assert not any(is_inside(piece, at) for piece in scene.after for at in heads)


def test_odd_scenes_are_drawn_all_the_same() -> None:
    scene = scenes.sleeve_scene()
    piece = scene.after[0]
    other = replace(piece, kind="other", landmarks=(), marks=(), name='Bow & "tie" <x>\x07')
    none = dict.fromkeys(("rows", "openings", "annotations", "checks", "steps", "occupied"), ())
    bare = replace(scene, canvas=scenes.canvas(0, 0), before=(other,), after=(other,), **none)
    bare = replace(bare, cut_after=(None,))
    found = layers(bare)
    (stitch,) = [node for node in found["adjusted"].iter() if node.get("data-svgfit-line")]
    assert stitch.get("data-svgfit-piece") == 'Bow & "tie" <x>\ufffd'
    nothing = replace(bare, before=(), after=(), cut_after=())
    assert len(layers(nothing)) == 3
    unclosed = replace(other, edges=piece.edges[:2])
    d = next(n for n in layers(replace(bare, after=(unclosed,)))["adjusted"].iter() if n.get("data-svgfit-line")).get(
        "d"
    )
    assert not d.endswith("Z")
