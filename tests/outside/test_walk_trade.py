"""Sleeve against armhole: what the trade knows the answer of, and every zone against quadrature from outside.

Each test names its kind of source: common practice, plane geometry, or scipy.
"""

from __future__ import annotations

import itertools
import json
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import scipy.integrate
import scipy.optimize
from msgspec.structs import replace

from svgfit.app.seam_checks import seam_checks
from svgfit.cli import main
from svgfit.fitting.slash import Slash
from svgfit.fitting.spread import spread
from svgfit.fitting.truing import true
from svgfit.fitting.walking import WalkLimits, walk_sleeve
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.offset import offset_curve
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.walk import Walk
from svgfit.pattern.cut_line import cut_line
from svgfit.rules.ease import find_style
from tests.fitting.garments import (
    INCH,
    SEAMS,
    bodice_of,
    notched,
    scooped,
    sleeve_of,
    straight_bodice,
    straight_sleeve,
    svg_of,
    verdicts,
    zones,
)
from tests.fitting.sleeves import Shape, cap_curve, sleeve, straight_cap


def walked(*pieces: Piece, **rules: object) -> Walk:
    return walk_sleeve(pieces[0], pieces, SEAMS, WalkLimits(**rules))  # type: ignore[arg-type]


def arc(radius: float, turn: float, start: complex, way: complex) -> Curve:
    """A circle's arc, turning counter-clockwise as seen on a page by ``turn`` radians; four cubics, right to 1e-6 mm.

    The handle length 4/3·tan(θ/4) is any textbook's; from memory.
    """
    segments = []
    step, point, way = turn / 4, start, way / abs(way)
    for _ in range(4):
        handle = 4 / 3 * math.tan(step / 4) * radius
        turned = way * np.exp(-1j * step)
        end = point + (way * math.sin(step) - 1j * way * (1 - math.cos(step))) * radius
        segments.append([point, point + handle * way, end - handle * turned, end])
        point, way = end, turned
    return Curve(np.array(segments))


# -- worked cases ----------------------------------------------------------------------------------------------------


def test_ease_is_measured_on_the_stitch_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Cut lines 24 3/4 and 22 3/8 in, stitch lines 24 and 23 in: 1 in of ease, not 2 3/8. Plane geometry.

    All edges are arcs and every allowance is 5/8 in: a cap that turns by 1.2 rad gains 0.75 in at its cut line, two
    armholes that turn by 0.5 rad each lose 0.3125 in. The drawing holds both lines, and is read as any other.
    """
    wide = 0.625 * INCH
    cap = arc(20 * INCH, 1.2, 0j, -np.exp(0.6j))
    arm = sleeve_of(cap.transform(Affine.shift(-cap.end / 2)))
    front = bodice_of("front", arc(23 * INCH, 0.5, 0j, np.exp(1j * (0.35 - math.pi / 2))), side=400)
    back = bodice_of("back", _mirrored(front.edge("armhole").curve), side=400)
    cap_cut = offset_curve(arm.edge("cap").curve, wide * (1 if arm.outline().area() < 0 else -1))
    hole_cut = offset_curve(front.edge("armhole").curve, wide * (1 if front.outline().area() < 0 else -1))
    assert cap_cut.length() == pytest.approx(24.75 * INCH, abs=0.01)
    assert 2 * hole_cut.length() == pytest.approx(22.375 * INCH, abs=0.01)
    assert cap_cut.length() - 2 * hole_cut.length() == pytest.approx(2.375 * INCH, abs=0.02)

    assert arm.edge("cap").curve.length() == pytest.approx(24 * INCH, abs=1e-4)
    front, back = notched(front, "armhole", 120), notched(back, "armhole", 120, 132)
    arm = notched(notched(arm, "cap", 120, 24 * INCH - 120, 24 * INCH - 132), "cap", 12 * INCH, kind="shoulder notch")
    pieces = tuple(
        replace(one, edges=tuple(replace(e, allowance=0.0 if e.fold else wide) for e in one.edges))
        for one in (arm, front, back)
    )
    motions = [Affine.shift(500 + 300j), Affine.shift(1100 + 700j), Affine.shift(1700 + 700j)]
    cuts = [cut_line(one) for one in pieces]
    assert all(cut is not None for cut in cuts)
    (tmp_path / "smock.svg").write_text(svg_of(pieces, motions, cuts))
    found = read([tmp_path / "smock.svg"], capsys)
    assert found["ease"] == pytest.approx(INCH, abs=0.01)


def _mirrored(curve: Curve) -> Curve:
    return curve.transform(Affine.scale(-1, 1))


def test_ease_of_one_and_a_half_with_an_eighth_to_spare() -> None:
    """Armhole 8.8 + 8.5 in, cap 18.9 in: ease 1.6, inside 1.5 ± 1/8. Arithmetic; the range is common practice."""
    pieces = (
        straight_sleeve(9.3 * INCH, 9.6 * INCH),
        straight_bodice("front", 8.5 * INCH),
        straight_bodice("back", 8.8 * INCH),
    )
    found = walked(*pieces, style=find_style("tailored jacket"))
    assert (found.cap / INCH, found.armhole / INCH) == pytest.approx((18.9, 17.3), abs=1e-6)
    assert found.ease / INCH == pytest.approx(1.6, abs=1e-6)
    assert abs(found.ease / INCH - 1.5) <= 1 / 8
    assert verdicts(found)["cap ease"] == "pass"


def moved_shoulder(piece: Piece, by: complex) -> Piece:
    """The shoulder line moved; the armhole's straight end is cut shorter or goes on straight."""
    tip, neck = piece.landmark("shoulder tip") + by, piece.landmark("neck point") + by
    armhole, neckline = piece.edge("armhole").curve, piece.edge("neckline").curve
    last = Curve.polyline([armhole.point(len(armhole) - 1.0), tip])
    new = {
        "armhole": Curve.chain([armhole.subcurve(0.0, len(armhole) - 1.0), last]),
        "shoulder": Curve.polyline([tip, neck]),
        "neckline": Curve.chain([Curve.polyline([neck, neckline.start]), neckline]),
    }
    return piece.with_edges(tuple(replace(e, curve=new.get(e.name, e.curve)) for e in piece.edges))


def test_a_shoulder_moved_forward_takes_from_the_front_what_it_gives_to_the_back() -> None:
    """2 cm forward where both armholes run along the shift: front −2, back +2, in all 0. Plane geometry.

    With the shoulder notch moved 2 cm forward on the cap as well, every zone has the ease that it had.
    """
    front, back = (notched(scooped(kind), "armhole", 80.0) for kind in ("front", "back"))
    length = front.edge("armhole").curve.length()
    arm = notched(straight_sleeve(length + 5, length + 7), "cap", 80.0, 2 * length + 12 - 80)
    before = notched(arm, "cap", length + 5, kind="shoulder notch")
    shifted = (moved_shoulder(front, 20j), moved_shoulder(back, -20j))
    old, new = walked(before, front, back), walked(before, *shifted)
    change = {name: zones(new)[name].armhole - zone.armhole for name, zone in zones(old).items()}
    assert change == pytest.approx(
        {
            "front underarm to notch": 0,
            "front notch to shoulder": -20,
            "back underarm to notch": 0,
            "back notch to shoulder": 20,
        },
        abs=1e-6,
    )
    assert new.armhole - old.armhole == pytest.approx(0, abs=1e-6)
    assert old.ease == pytest.approx(new.ease, abs=1e-6)
    assert verdicts(new)["share of the back"] == "warn"
    after = notched(arm, "cap", length + 5 - 20, kind="shoulder notch")
    matched = walked(after, *shifted)
    for name, zone in zones(old).items():
        assert zones(matched)[name].ease == pytest.approx(zone.ease, abs=1e-6)
    assert verdicts(matched) == verdicts(old)


def test_cut_edges_lie_apart_where_allowances_differ_and_stitch_lines_meet() -> None:
    """Allowances 7/8 and 3/8 in: cut edges 1/2 in apart when the stitch lines lie on one another. Arithmetic."""
    pieces = []
    for kind, width in (("front", 7 / 8), ("back", 3 / 8)):
        made = notched(straight_bodice(kind, 200.0), "armhole", 90)
        edges = tuple(replace(e, allowance=0.0 if e.fold else width * INCH) for e in made.edges)
        pieces.append(made.with_edges(edges))
    front, back = pieces
    arm = notched(straight_sleeve(205, 205), "cap", 90, 320)
    assert walked(arm, front, back).ease == pytest.approx(10, abs=1e-6)
    plain = tuple(one.with_edges(tuple(replace(e, allowance=0.0) for e in one.edges)) for one in pieces)
    assert [zone.armhole for zone in walked(arm, *plain).zones] == [
        zone.armhole for zone in walked(arm, front, back).zones
    ]
    # Right sides together: the back turned over and laid with its side seam on the front's.
    (check,) = seam_checks((front, back), SEAMS[1:2], Units())
    assert check.status == "pass"
    assert abs(check.values["difference"]) < 1e-9
    over = Affine.scale(-1, 1)
    cuts = cut_line(front), cut_line(back)
    assert cuts[0] is not None
    assert cuts[1] is not None
    lines = cuts[0], cuts[1].transform(over)
    middle = front.edge("side seam").curve.point(0.5)
    assert abs(back.edge("side seam").curve.transform(over).point(0.5) - middle) < 1e-9
    edges = [line.point(line.crossings(middle, middle - 200)[0]) for line in lines]
    assert abs(edges[0] - edges[1]) == pytest.approx(INCH / 2, abs=1e-6)


@pytest.mark.parametrize("limit", [1 / 16, 1 / 8])
def test_seams_a_quarter_inch_apart_fail(limit: float) -> None:
    """At 1/16 in (careful) and at 1/8 in (workable) alike. Common practice, no source."""
    front, back = straight_bodice("front", 200, side=300), straight_bodice("back", 200, side=300 + INCH / 4)
    rules = {"careful": limit * INCH, "workable": INCH / 8}
    (check,) = seam_checks((front, back), SEAMS[1:2], Units(), tolerance=limit * INCH, workable=INCH / 8)
    assert check.values["difference"] == pytest.approx(-INCH / 4, abs=1e-6)
    assert check.status == "fail"
    front, back = notched(front, "armhole", 90), notched(back, "armhole", 90)
    arm = notched(straight_sleeve(205, 205), "cap", 90 + INCH / 4, 320)
    found = verdicts(walked(arm, front, back, **rules))
    assert found["front underarm to notch"] == "fail"
    assert found["back underarm to notch"] == "pass"


def folded_out(piece: Piece, level: float, by: float) -> Piece:
    """A level fold of ``by`` mm taken out of a piece ``level`` mm over its underarm point, with the slash engine."""
    slash = Slash((-1000 - 1j * level, 1000 - 1j * level), moves=piece.landmark("shoulder tip"))
    return true(spread(piece, slash, Affine.shift(1j * by)))[0]


def test_folds_across_a_straight_armhole_shorten_it_by_what_they_take() -> None:
    """1/4 + 1/2 in folded out of front and back, the armhole straight and square to the folds. Plane geometry.

    Each armhole is 3/4 in shorter, both together 1 1/2 in, and the cap has so much more ease.
    """
    front, back = (notched(scooped(kind, height=220, straight=140), "armhole", 60.0) for kind in ("front", "back"))
    length = front.edge("armhole").curve.length()
    arm = notched(straight_sleeve(length + 5, length + 5), "cap", 60, 2 * length + 10 - 60)
    new = [folded_out(folded_out(piece, 110, INCH / 4), 160, INCH / 2) for piece in (front, back)]
    for old, short in zip((front, back), new, strict=True):
        gone = old.edge("armhole").curve.length() - short.edge("armhole").curve.length()
        assert gone == pytest.approx(0.75 * INCH, abs=5e-3)
    before, after = walked(arm, front, back), walked(arm, *new)
    assert after.armhole - before.armhole == pytest.approx(-1.5 * INCH, abs=5e-3)
    assert after.ease - before.ease == pytest.approx(1.5 * INCH, abs=5e-3)
    for side in ("front", "back"):
        assert zones(after)[f"{side} underarm to notch"].armhole == pytest.approx(60, abs=5e-3)


def test_a_cap_three_quarters_short_lengthened_by_one_and_a_half() -> None:
    """Ease −3/4 in, then +3/4 in, 3/8 in a side. Arithmetic; the cap is redrawn fuller, front and back alike."""
    flat = Shape(front=175, back=175, crown=0.5)
    arm = sleeve(flat)
    half = arm.edge("cap").curve.length() / 2 + 0.375 * INCH
    front, back = (notched(straight_bodice(kind, half), "armhole", 70.0) for kind in ("front", "back"))
    before = walked(arm, front, back)
    assert before.ease == pytest.approx(-0.75 * INCH, abs=1e-6)
    assert verdicts(before)["cap ease"] == "warn"

    def fuller(crown: float) -> Piece:
        return sleeve(replace(flat, crown=crown))

    crown = scipy.optimize.brentq(
        lambda full: fuller(full).edge("cap").curve.length() - before.cap - 1.5 * INCH, 0.5, 1.5, xtol=1e-12
    )
    after = walked(fuller(crown), front, back)
    assert after.cap - before.cap == pytest.approx(1.5 * INCH, abs=1e-6)
    assert after.ease == pytest.approx(0.75 * INCH, abs=1e-6)
    for side in ("front", "back"):
        eases = [zone.ease for zone in after.zones if zone.zone.startswith(side)]
        assert sum(eases) == pytest.approx(0.375 * INCH, abs=1e-6)
    assert after.share_back == pytest.approx(0.5, abs=1e-6)
    assert verdicts(after)["cap ease"] == "pass"
    assert verdicts(after)["share of the back"] == "pass"


def test_straight_lines_walk_as_pythagoras_says() -> None:
    """A straight cap of half width 7 in, height 6 in against straight armholes. Plane geometry."""
    arm = sleeve(Shape(front=7 * INCH, back=7 * INCH, height=6 * INCH), straight_cap(7 * INCH, 6 * INCH), notches=False)
    side = math.hypot(7, 6) * INCH
    found = walked(arm, straight_bodice("front", side - 10), straight_bodice("back", side - 12))
    assert [zone.ease for zone in found.zones] == pytest.approx([10, 12], abs=1e-6)


# -- every zone against quadrature -----------------------------------------------------------------------------------


def quad_length(curve: Curve, t0: float, t1: float) -> float:
    """scipy.integrate.quad (QUADPACK) of the speed, written out here from the Bernstein form.

    https://docs.scipy.org/doc/scipy/reference/generated/scipy.integrate.quad.html
    """
    total = 0.0
    for k, (p0, p1, p2, p3) in enumerate(curve.segments.tolist()):
        low, high = max(t0 - k, 0.0), min(t1 - k, 1.0)
        if low < high:

            def speed(t: float, a: complex = p1 - p0, b: complex = p2 - p1, c: complex = p3 - p2) -> float:
                return 3 * abs((1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c)

            total += scipy.integrate.quad(speed, low, high, epsabs=1e-9, epsrel=1e-11, limit=200)[0]
    return total


def tick(piece: Piece, edge: str, t: float, kind: str = "notch") -> Piece:
    """The piece with a notch at a parameter of an edge's curve."""
    from svgfit.model.piece import Landmark, Mark

    curve = piece.edge(edge).curve
    point, way = curve.point(t), curve.tangent(t)
    mark = Mark(kind, (Curve.polyline([point - 4j * way, point + 4j * way]),), edge, point)
    more = (Landmark(kind, point),) if kind == "shoulder notch" else ()
    return replace(piece, marks=(*piece.marks, mark), landmarks=(*piece.landmarks, *more))


def family(seed: int) -> tuple[tuple[Piece, ...], dict[str, tuple[float, float]], list[Affine]]:
    """A sleeve, a front and a back of some shape, what quadrature says of their zones, and where each lies."""
    rng = np.random.default_rng(seed)

    def some(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    shape = Shape(
        front=some(130, 220),
        back=some(130, 220),
        height=some(90, 180),
        scoop=some(0.35, 0.65),
        crown=some(0.45, 0.7),
        length=some(200, 480),
        wrist=some(0.55, 0.9),
    )
    arm = sleeve_of(cap_curve(shape), top=-1j * shape.height)
    # Nodes of the cap: 0 front underarm, 1 on the front, 2 the top, 3 on the back, 4 back underarm.
    front_notch, back_notch, shoulder = some(0.7, 1.2), some(2.8, 3.2), 2 + some(-0.12, 0.12)
    arm = tick(tick(arm, "cap", front_notch), "cap", back_notch)
    arm = tick(tick(arm, "cap", back_notch - some(0.07, 0.12)), "cap", shoulder, "shoulder notch")
    cap = arm.edge("cap").curve
    whole = float(len(cap))
    places = {
        "front underarm to notch": (0.0, front_notch),
        "front notch to shoulder": (front_notch, shoulder),
        "back underarm to notch": (back_notch, whole),
        "back notch to shoulder": (shoulder, back_notch),
    }
    lengths = {name: quad_length(cap, *between) for name, between in places.items()}
    pieces, zone_lengths = [arm], {}
    for kind, count in (("front", 1), ("back", 2)):
        sign = 1 if kind == "front" else -1
        across, height = some(35, 60), some(170, 230)
        end = complex(sign * (across + some(-8, 8)), -height)
        curve = Curve(np.array([[0j, sign * across * some(0.8, 1.1), end + complex(0, some(0.4, 0.6) * height), end]]))
        if rng.random() < 0.5:
            cut = some(0.3, 0.7)
            curve = Curve.chain([curve.subcurve(0, cut), curve.subcurve(cut, 1)])
        made, at = bodice_of(kind, curve, drop=some(25, 50)), float(len(curve)) * some(0.3, 0.5)
        for k in range(count):
            made = tick(made, "armhole", at + k * 0.06 * len(curve))
        zone_lengths[f"{kind} underarm to notch"] = quad_length(curve, 0.0, at)
        zone_lengths[f"{kind} notch to shoulder"] = quad_length(curve, at, float(len(curve)))
        pieces.append(made)
    motions = []
    for k in range(3):
        mirrored = Affine.scale(-1, 1) if rng.random() < 0.5 else Affine()
        turned = Affine.turn(some(-math.pi, math.pi))
        motions.append(mirrored.then(turned).then(Affine.shift(complex(700 + 1500 * k, 900))))
    return tuple(pieces), {name: (lengths[name], zone_lengths[name]) for name in places}, motions


def read(files: list[Path], capsys: pytest.CaptureFixture[str]) -> dict:
    capsys.readouterr()
    status = main(["walk", *(str(file) for file in files), "--json", "--quiet"])
    told = capsys.readouterr()
    assert status in (0, 1), told.err
    (walk,) = json.loads(told.out)["walks"]
    return walk


def in_one(folder: Path, pieces: tuple[Piece, ...], motions: list[Affine]) -> list[Path]:
    (folder / "all.svg").write_text(svg_of(pieces, motions))
    return [folder / "all.svg"]


def in_three(folder: Path, pieces: tuple[Piece, ...], motions: list[Affine]) -> list[Path]:
    files = [folder / f"{piece.name}.svg" for piece in pieces]
    for file, piece, motion in zip(files, pieces, motions, strict=True):
        file.write_text(svg_of([piece], [motion]))
    return files[::-1]


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("written", [in_one, in_three])
@pytest.mark.parametrize("start", range(0, 120, 20))
def test_every_zone_by_quadrature(
    start: int,
    written: Callable[[Path, tuple[Piece, ...], list[Affine]], list[Path]],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """120 garments of many shapes, each piece turned and perhaps mirrored on the page, within 0.01 mm."""
    for seed in range(start, start + 20):
        pieces, expected, motions = family(seed)
        found = read(written(tmp_path, pieces, motions), capsys)
        assert [zone["zone"] for zone in found["zones"]] == list(expected), seed
        for zone in found["zones"]:
            cap, armhole = expected[zone["zone"]]
            assert abs(zone["cap"] - cap) < 0.01, (seed, zone)
            assert abs(zone["armhole"] - armhole) < 0.01, (seed, zone)
            assert zone["ease"] == zone["cap"] - zone["armhole"]
        total = sum(cap - armhole for cap, armhole in expected.values())
        assert abs(found["ease"] - total) < 0.01, seed


def test_the_family_is_not_of_one_kind() -> None:
    """Half of the pieces are mirrored, caps and armholes differ by inches: so that the test above means something."""
    made = [family(seed) for seed in range(120)]
    mirrored = [motion.mirrors for _, _, motions in made for motion in motions]
    assert 0.4 < np.mean(mirrored) < 0.6
    caps = [sum(cap for cap, _ in expected.values()) for _, expected, _ in made]
    assert np.ptp(caps) > 100
    eases = [one - other for _, expected, _ in made for one, other in expected.values()]
    assert min(eases) < -20
    assert max(eases) > 20
    assert len({tuple(itertools.chain(*expected.values())) for _, expected, _ in made}) == 120
