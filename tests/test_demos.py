"""The demo drawings, measured without svgfit's own reader: lxml, svgelements and dense sampling.

What a pattern owes the person who sews it (equal seams, matching notches, corners that make a straight line when sewn)
is common practice, no source.
"""

import importlib
import sys
from pathlib import Path

import numpy as np
import pytest
from lxml import etree
from svgelements import Close, CubicBezier, Line, Matrix
from svgelements import Path as SvgPath

ROOT = Path(__file__).resolve().parent.parent
DEMOS = ROOT / "demo_svgs"
SVG = "{http://www.w3.org/2000/svg}"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
INCH = 25.4
T = np.linspace(0, 1, 2001)


def cubics(element, scale=1.0):
    """A path element's segments as an array (n, 4), its own group's transform applied, in mm."""
    path = SvgPath(element.get("d")) * Matrix(element.getparent().get("transform") or "")
    found = []
    for segment in path.reify():
        if isinstance(segment, CubicBezier):
            found.append([segment.start, segment.control1, segment.control2, segment.end])
        elif isinstance(segment, (Line, Close)) and abs(complex(segment.end) - complex(segment.start)) > 1e-9:
            a, b = complex(segment.start), complex(segment.end)
            found.append([a, (2 * a + b) / 3, (a + 2 * b) / 3, b])
    return np.array([[complex(point) for point in row] for row in found]) * scale


def drawn(file, layer, scale=1.0):
    root = etree.parse(DEMOS / file).getroot()
    (group,) = (g for g in root.iter(f"{SVG}g") if layer in (g.get(LABEL), g.get("id")))
    return [cubics(path, scale) for path in group.iter(f"{SVG}path")]


def sampled(segments):
    p0, p1, p2, p3 = (segments[:, k, None] for k in range(4))
    s = 1 - T
    points = s**3 * p0 + 3 * s * s * T * p1 + 3 * s * T * T * p2 + T**3 * p3
    return np.concatenate([points[:, :-1].ravel(), points[-1, -1:]])


def length(segments):
    return float(np.abs(np.diff(sampled(segments))).sum())


def along(segments, point):
    """Distance along to the nearest sampled point, and how far away that is."""
    points = sampled(segments)
    steps = np.concatenate([[0], np.cumsum(np.abs(np.diff(points)))])
    nearest = np.abs(points - point).argmin()
    return float(steps[nearest]), float(abs(points[nearest] - point))


def off(points, line):
    """The largest distance of points from a finely sampled line."""
    other = sampled(line)
    start, step = other[:-1], np.diff(other)
    furthest = 0.0
    for point in points:
        part = np.clip(((point - start) * step.conj()).real / np.abs(step) ** 2, 0, 1)
        furthest = max(furthest, float(np.abs(start + part * step - point).min()))
    return furthest


def turns(segments):
    """Degrees by which the outline turns at the start of each segment."""
    out = segments[:, 1] - segments[:, 0]
    into = np.roll(segments[:, 3] - segments[:, 2], 1)
    return np.degrees(np.angle(out / into))


def edges(segments, names):
    """The stretches between corners (the outline starts at one)."""
    corners = [k for k, turn in enumerate(turns(segments)) if abs(turn) > 20]
    assert corners[0] == 0
    assert len(corners) == len(names)
    return dict(zip(names, np.split(segments, corners[1:]), strict=True))


def corner(first, second):
    """Inside angle in degrees between an edge and the next, at their common corner."""
    return 180 - np.degrees(np.angle((second[0, 1] - second[0, 0]) / (first[-1, 3] - first[-1, 2])))


def square(cap_or_armhole, ticks):
    """Where notch ticks stand along an edge; each must point at it squarely."""
    found = []
    for tick in ticks:
        start, end = tick[0, 0], tick[0, 3]
        at, _ = along(cap_or_armhole, start)
        again, _ = along(cap_or_armhole, end)
        assert abs(at - again) < 0.1
        found.append(at)
    return sorted(found)


@pytest.fixture(scope="module")
def sleeve():
    (line,) = drawn("smock.svg", "Sleeve stitch line")
    return edges(line, ("cap", "underarm front", "hem", "underarm back"))


@pytest.fixture(scope="module")
def bodice():
    names = ("side seam", "hem", "fold", "neckline", "shoulder", "armhole")
    (front,) = drawn("smock.svg", "Front stitch line")
    (back,) = drawn("smock.svg", "Back stitch line")
    return edges(front, names), edges(-back.conj(), names)  # the back lies the other way round on the page


@pytest.mark.slow
def test_the_script_draws_them_again(tmp_path, monkeypatch):
    monkeypatch.syspath_prepend(str(ROOT / "docs"))
    script = importlib.import_module("draw_demos")
    script.main(tmp_path)
    for name in ("draw_demos", "smock_shapes"):
        sys.modules.pop(name)
    made = sorted(tmp_path.iterdir())
    assert [path.name for path in made] == [
        "smock-sizes.svg",
        "smock-sleeve-cut-line.svg",
        "smock.svg",
        "teaching-sleeve.svg",
    ]
    for path in made:
        assert path.read_bytes() == (DEMOS / path.name).read_bytes()


def test_the_sleeve_has_a_trade_sleeves_proportions(sleeve):
    cap = sleeve["cap"]
    back, front = cap[0, 0], cap[-1, 3]
    assert back.imag == pytest.approx(front.imag, abs=1e-4)
    top = cap[0, 3]
    assert (top - back).real == pytest.approx(178, abs=1e-3)
    assert (front - top).real == pytest.approx(170, abs=1e-3)
    assert back.imag - sampled(cap).imag.min() == pytest.approx(140, abs=1e-3)
    assert length(sleeve["underarm front"]) == pytest.approx(length(sleeve["underarm back"]), abs=1e-3)
    assert length(cap[:1]) != pytest.approx(length(cap[1:]), abs=2)


def test_the_cap_is_three_eighths_longer_than_the_armholes(sleeve, bodice):
    around = sum(length(piece["armhole"]) for piece in bodice)
    assert length(sleeve["cap"]) - around == pytest.approx(3 / 8 * INCH, abs=0.005)


def test_seams_that_are_sewn_together_are_equally_long(bodice):
    front, back = bodice
    for name in ("side seam", "shoulder"):
        assert length(front[name]) == pytest.approx(length(back[name]), abs=1e-3)


def test_below_the_notches_sleeve_and_armhole_are_equal(sleeve, bodice):
    cap = sleeve["cap"]
    at = square(cap, drawn("smock.svg", "Sleeve notches"))
    whole = length(cap)
    front, back = bodice
    on_front = square(front["armhole"], drawn("smock.svg", "Front notches"))
    ticks = [-tick.conj() for tick in drawn("smock.svg", "Back notches")]
    on_back = square(back["armhole"], ticks)
    assert (len(at), len(on_front), len(on_back)) == (4, 1, 2)
    assert whole - at[3] == pytest.approx(length(front["armhole"]) - on_front[0], abs=0.2)
    assert at[:2] == pytest.approx([length(back["armhole"]) - k for k in reversed(on_back)], abs=0.2)
    ease_front = whole - at[2] - length(front["armhole"])
    assert 0.25 < ease_front / (3 / 8 * INCH) < 0.5
    assert abs(at[2] - length(cap[:1])) > 1  # the shoulder notch is not at the cap top


def test_corners_are_straight_when_sewn(sleeve, bodice):
    front = corner(sleeve["cap"], sleeve["underarm front"])
    back = corner(sleeve["underarm back"], sleeve["cap"])
    assert front + back == pytest.approx(180, abs=0.05)
    assert abs(front - back) > 1
    assert sum(corner(piece["armhole"], piece["side seam"]) for piece in bodice) == pytest.approx(180, abs=0.05)
    assert sum(corner(piece["shoulder"], piece["armhole"]) for piece in bodice) == pytest.approx(180, abs=0.05)
    assert sum(corner(piece["neckline"], piece["shoulder"]) for piece in bodice) == pytest.approx(180, abs=0.05)


def test_edges_cross_a_fold_square(bodice):
    for piece in bodice:
        assert corner(piece["hem"], piece["fold"]) == pytest.approx(90, abs=0.01)
        assert corner(piece["fold"], piece["neckline"]) == pytest.approx(90, abs=0.01)


def test_curves_are_smooth_between_corners_and_have_few_nodes(sleeve, bodice):
    for piece in (sleeve, *bodice):
        for edge in piece.values():
            assert len(edge) <= 2
            assert np.abs(turns(edge)[1:]).max(initial=0) < 0.05


def outward(edge, distance):
    """Points beside an edge (which runs clockwise on the page), well inside its ends."""
    points = sampled(edge)
    middle = (points[1:] + points[:-1]) / 2
    step = np.diff(points)
    beside = middle - 1j * distance * step / np.abs(step)
    return beside[100:-100:50]


def test_cut_lines_lie_at_the_allowances(sleeve, bodice):
    (cut,) = drawn("smock.svg", "Sleeve cut line")
    for name in ("cap", "underarm front", "underarm back"):
        assert off(outward(sleeve[name], 5 / 8 * INCH), cut) < 0.04
    assert off(outward(sleeve["hem"], INCH), cut) < 0.04
    (cut,) = drawn("smock.svg", "Front cut line")
    for name in ("armhole", "shoulder", "neckline", "side seam"):
        assert off(outward(bodice[0][name], 5 / 8 * INCH), cut) < 0.04
    assert off(sampled(bodice[0]["fold"])[::100], cut) < 0.04


def test_underarm_allowances_lie_flush_when_pressed_open(sleeve):
    """Beyond the seam the cut line is the mirror image of what lies inside it."""
    (cut,) = drawn("smock.svg", "Sleeve cut line")
    points = sampled(cut)
    for name, upper in (("underarm front", 0), ("underarm back", -1)):
        seam = sleeve[name]
        corner_point = seam[0, 0] if upper == 0 else seam[-1, 3]
        way = seam[0, 3] - seam[0, 0]
        way = way / abs(way) * (1 if upper == 0 else -1)
        local = (points - corner_point) / way
        side = -1 if upper == 0 else 1
        beyond = points[(local.imag * side > 0.01) & (local.imag * side < 15) & (local.real < 3)]
        assert len(beyond) > 20
        image = corner_point + ((beyond - corner_point) / way).conj() * way
        assert off(image[::10], cut) < 0.04


def test_the_cut_only_drawing_is_the_same_sleeve():
    (whole,) = drawn("smock.svg", "Sleeve cut line")
    (alone,) = drawn("smock-sleeve-cut-line.svg", "Sleeve_cut_line", scale=INCH / 72)
    shift = whole[0, 0] - alone[0, 0]
    assert np.abs(whole - alone - shift).max() < 0.002
    root = etree.parse(DEMOS / "smock-sleeve-cut-line.svg").getroot()
    left, top, width, height = (float(word) for word in root.get("viewBox").split())
    assert (left, top) == (0, 0)
    assert root.get("width") == f"{width / 72:g}in"
    assert root.get("height") == f"{height / 72:g}in"
    points = sampled(alone * 72 / INCH)
    assert points.real.min() > 0
    assert points.real.max() < width
    assert points.imag.min() > 0
    assert points.imag.max() < height


def test_the_class_sleeve_is_half_as_large_by_its_square(sleeve):
    root = etree.parse(DEMOS / "teaching-sleeve.svg").getroot()
    assert root.get("width").isdigit()
    assert root.get("viewBox") is None
    (rect,) = root.iter(f"{SVG}rect")
    scale = 50 / float(rect.get("width"))
    assert scale != pytest.approx(INCH / 96, rel=0.05)
    (line,) = drawn("teaching-sleeve.svg", "class-sleeve-stitch-line", scale)
    mirrored = edges(-line.conj(), ("cap", "underarm front", "hem", "underarm back"))
    for name, edge in mirrored.items():
        assert length(edge) == pytest.approx(length(sleeve[name]) / 2, abs=0.01)
    (bicep,) = drawn("teaching-sleeve.svg", "class-sleeve-bicep-line", scale)
    assert length(bicep) == pytest.approx(174, abs=0.01)
    assert abs(bicep[0, 0].imag - bicep[0, 3].imag) > 50


def test_everything_lies_on_the_page():
    root = etree.parse(DEMOS / "smock.svg").getroot()
    _, _, width, height = (float(word) for word in root.get("viewBox").split())
    assert root.get("width") == f"{width:g}mm"
    for path in root.iter(f"{SVG}path"):
        if path.getparent().tag == f"{SVG}marker":
            continue
        points = sampled(cubics(path))
        assert points.real.min() > 10
        assert points.real.max() < width - 150  # room for tables at the right
        assert points.imag.min() > 10
        assert points.imag.max() < height - 100


def in_sizes(layer):
    """One outline a size, in the nest's order."""
    root = etree.parse(DEMOS / "smock-sizes.svg").getroot()
    groups = [group for group in root.iter(f"{SVG}g") if group.get(LABEL) == layer]
    return [cubics(path) for group in groups for path in group.iter(f"{SVG}path")]


def test_in_the_nest_the_middle_size_is_the_smock():
    for name in ("Sleeve", "Front", "Back"):
        (alone,) = drawn("smock.svg", f"{name} stitch line")
        nest = in_sizes(f"{name} stitch line")
        assert len(nest) == 5
        shift = nest[2][0, 0] - alone[0, 0]
        assert np.abs(nest[2] - alone - shift).max() < 0.001


def test_every_size_has_equal_seams_and_the_same_ease():
    parts = ("side seam", "hem", "fold", "neckline", "shoulder", "armhole")
    fronts = [edges(line, parts) for line in in_sizes("Front stitch line")]
    backs = [edges(-line.conj(), parts) for line in in_sizes("Back stitch line")]
    sleeves = [
        edges(line, ("cap", "underarm front", "hem", "underarm back")) for line in in_sizes("Sleeve stitch line")
    ]
    for front, back, arm in zip(fronts, backs, sleeves, strict=True):
        for name in ("side seam", "shoulder"):
            assert length(front[name]) == pytest.approx(length(back[name]), abs=1e-3)
        around = length(front["armhole"]) + length(back["armhole"])
        assert length(arm["cap"]) - around == pytest.approx(3 / 8 * INCH, abs=0.005)
        assert corner(arm["cap"], arm["underarm front"]) + corner(arm["underarm back"], arm["cap"]) == pytest.approx(
            180, abs=0.05
        )
    widths = [
        2 * (np.ptp(sampled(front["hem"]).real) + np.ptp(sampled(back["hem"]).real))
        for front, back in zip(fronts, backs, strict=True)
    ]
    assert np.diff(widths) == pytest.approx([2 * INCH] * 4, abs=0.01)
