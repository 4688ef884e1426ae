"""A maker's cut line after each operation: its own points where nothing changed, its width and its corners elsewhere.

Distances are measured by shapely on lines flattened here, not by what draws the cut lines. The forms of corners and the
roof of a dart: common practice, no source.
"""

from __future__ import annotations

import itertools
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace
from shapely.geometry import LineString, Point, Polygon

import svgfit
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways_text
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.pattern.convention import parse_convention
from svgfit.pattern.cut_line import cut_line, tell_cut
from tests.fitting.sleeves import Shape, sleeve

from .bodices import Bodice, bodice
from .makers import HEM, SEAM, Maker, garment, mirrored, nest, unit

MAKERS = {
    "mirrored": Maker(hem="mirrored", neck="square", facing=12),
    "plain": Maker(hem="plain", neck="plain", facing=0, taper=12.7),
    "square": Maker(hem="square", neck="mirrored", facing=8, taper=6),
}
STEPS = (
    "armhole-adjust lower='3/8 in'",
    "bicep-widen amount='1/2 in' how=hem",
    "seam-allowance piece=Front edge='side seam' width='1 in'",
    "armhole-adjust lower='-1/4 in'",
    "armhole-adjust scoop='1/4 in'",
    "cap-raise amount='1/2 in'",
    "cap-redraw amount='1/8 in'",
    "ease-spread amount='3/8 in'",
    "bicep-widen amount='1/2 in'",
    "bicep-widen amount='1/4 in' how=underarm",
    "bicep-widen amount='1/4 in' how=cap-length",
    "notch-match",
    "seam-allowance piece=Front edge=hem width='2 in'",
    "seam-allowance piece=Front edge=neckline width='1/2 in'",
)
CORNER = 45.0
"""How far from an edge's end its neighbour's allowance may reach, mm."""


@lru_cache
def drawn(maker: str, folder: str) -> tuple[str, dict[str, np.ndarray]]:
    text, cuts = garment(MAKERS[maker])
    path = Path(folder) / f"{maker}.svg"
    path.write_text(text)
    return str(path), cuts


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> str:
    return str(tmp_path_factory.mktemp("makers"))


def run_of(path: str, *steps: str, **more: object) -> svgfit.Run:
    return svgfit.open_drawings(path, **more).run(svgfit.Plan.from_steps(*steps))  # type: ignore[arg-type]


def line_of(curve: Curve, piece: Piece, chords: int = 40) -> LineString:
    points = curve.transform(piece.placement).points(np.linspace(0, len(curve), chords * len(curve) + 1))
    return LineString([(z.real, z.imag) for z in points])


def on_page(piece: Piece) -> Curve:
    line = cut_line(piece)
    assert line is not None
    return line.transform(piece.placement)


def unchanged(before: Piece, after: Piece) -> list[bool]:
    return [
        one.allowance == two.allowance
        and len(one.curve) == len(two.curve)
        and bool(np.abs(one.curve.segments - two.curve.segments).max() < 1e-9)
        for one, two in zip(before.edges, after.edges, strict=True)
    ]


def assert_points_kept(before: Piece, after: Piece, points: np.ndarray) -> int:
    """Find the maker's points beside what stayed, and at corners between edges that stayed, to 1e-6 mm; how many."""
    same = unchanged(before, after)
    edges = [line_of(edge.curve, before) for edge in before.edges]
    nodes = on_page(after).segments[:, 3]
    looked_at = 0
    for point in points:
        there = Point(point.real, point.imag)
        k = int(np.argmin([edge.distance(there) for edge in edges]))
        along = edges[k].project(there)
        if not same[k] or (not same[k - 1] and along < CORNER):
            continue
        if not same[(k + 1) % len(same)] and along > edges[k].length - CORNER:
            continue
        looked_at += 1
        assert np.abs(nodes - point).min() < 1e-6, (before.edges[k].name, point)
    return looked_at


def assert_sound(piece: Piece, wide: dict[str, tuple[float, float]]) -> None:
    """One closed line without crossings round the stitch line, at each edge's width away from corners and darts."""
    line = line_of(cut_line(piece), piece)  # type: ignore[arg-type]
    ring = Polygon(line.coords)
    assert ring.is_valid
    assert ring.buffer(1e-6).contains(Polygon(line_of(piece.outline(), piece).coords))
    for edge in piece.edges:
        if edge.fold or edge.name not in wide:
            continue
        curve = edge.curve.transform(piece.placement)
        size = curve.length()
        if size < 180:
            continue
        places = np.linspace(85, size - 85, 60)
        points = curve.points(np.array(curve.at_lengths(places.tolist())))
        mouths = [piece.placement.apply((dart.start + dart.end) / 2) for dart in piece.darts if dart.edge == edge.name]
        for point in points:
            if all(abs(point - mouth) > 35 for mouth in mouths):
                least, most = wide[edge.name]
                assert least - 0.2 < line.distance(Point(point.real, point.imag)) < most + 0.2, edge.name


def widths_of(maker: Maker, run: svgfit.Run, piece: Piece) -> dict[str, tuple[float, float]]:
    asked = {
        name.removesuffix(" seam allowance"): value
        for step in run.sizes[0].steps
        for name, value in step.got.items()
        if name.endswith(" seam allowance") and step.piece == piece.name
    }
    wide = {edge.name: (SEAM, SEAM) for edge in piece.edges}
    wide["hem"] = (HEM, HEM + maker.taper)
    if piece.kind == "front":
        wide["neckline"] = (SEAM - 2, SEAM + maker.facing)
    return {name: (asked[name], asked[name]) if name in asked else both for name, both in wide.items()}


@pytest.mark.slow_after(3)
@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("maker", MAKERS)
def test_what_stayed_has_its_makers_points_and_what_is_new_its_width(maker: str, step: str, folder: str) -> None:
    path, cuts = drawn(maker, folder)
    run = run_of(path, step)
    kept = 0
    for before, after in zip(run.sizes[0].before, run.sizes[0].after, strict=True):
        kept += assert_points_kept(before, after, cuts[before.name])
        assert_sound(after, widths_of(MAKERS[maker], run, after))
        told = tell_cut(after).redrawn
        line = cut_line(after)
        assert line is not None
        assert bool(told) == (len(line) != len(cuts[before.name]) or not all(unchanged(before, after)))
    assert kept > 150


def test_what_moved_as_a_whole_takes_its_cut_line_along(folder: str) -> None:
    """Slashed to the hem both halves turn: their underarm seams keep the maker's line, only turned with them."""
    path, cuts = drawn("mirrored", folder)
    run = run_of(path, "bicep-widen amount='1 in' how=hem")
    (before, after) = next(
        (old, new) for old, new in zip(run.sizes[0].before, run.sizes[0].after, strict=True) if old.name == "Sleeve"
    )
    nodes = on_page(after).segments[:, 3]
    for name in ("underarm front", "underarm back"):
        old, new = before.edge(name).curve, after.edge(name).curve
        assert abs(new.start - old.start) + abs(new.end - old.end) > 1
        turn = Affine.turn(float(np.angle((new.end - new.start) / (old.end - old.start))))
        motion = Affine.shift(-old.start).then(turn).then(Affine.shift(new.start))
        motion = before.placement.inverse().then(motion).then(after.placement)
        hem_end = before.placement.apply(min(old.start, old.end, key=lambda at: -at.imag))
        # The maker's point at which the hem's end leaves the seam's cut line lies level with the hem's corner.
        level = [p for p in cuts["Sleeve"] if abs(p.imag - hem_end.imag) < 0.5 and abs(p - hem_end) < 2 * SEAM]
        assert len(level) == 1
        assert np.abs(nodes - motion.apply(complex(level[0]))).min() < 0.5


@pytest.mark.slow
def test_chains_in_one_plan_and_from_file_to_file_draw_the_same(folder: str, tmp_path: Path) -> None:
    path, cuts = drawn("mirrored", folder)
    steps = ("armhole-adjust lower='3/8 in'", "seam-allowance piece=Front edge='side seam' width='1 in'")
    once = run_of(path, *steps)
    first = run_of(path, steps[0])
    (tmp_path / "a.svg").write_bytes(next(iter(first.drawings.values())))
    again = run_of(str(tmp_path / "a.svg"), steps[1], from_adjusted=True)
    for one, two in zip(once.sizes[0].after, again.sizes[0].after, strict=True):
        assert line_of(cut_line(one), one).hausdorff_distance(line_of(cut_line(two), two)) < 1e-3  # type: ignore[arg-type]
        old = next(piece for piece in once.sizes[0].before if piece.name == one.name)
        assert assert_points_kept(old, one, cuts[one.name]) > 30
    assert run_of(path, *steps).drawings == once.drawings


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("amount", ["1/8", "1/4", "3/8", "1/2", "3/4", "1", "-1/4"])
def test_of_a_drawing_with_the_cut_line_alone_its_points_stay_too(amount: str, tmp_path: Path) -> None:
    text, cuts = garment(Maker(hem="plain", neck="plain", facing=0, roof=False), lines=("cut",))
    (tmp_path / "cut.svg").write_text(text)
    words = '"seam allowance" = { all = "5/8 in", hem = "1 1/2 in" }'
    (tmp_path / "svgfit.toml").write_text("".join(f"[pieces.{name}]\n{words}\n" for name in cuts))
    run = run_of(str(tmp_path / "cut.svg"), f"armhole-adjust lower='{amount} in'")
    kept = 0
    for before, after in zip(run.sizes[0].before, run.sizes[0].after, strict=True):
        kept += assert_points_kept(before, after, cuts[before.name])
        assert_sound(after, {edge.name: (SEAM, SEAM) for edge in after.edges if edge.name != "hem"})
    assert kept > 100


def test_every_size_of_a_nest_keeps_its_own(tmp_path: Path) -> None:
    text, cuts = nest(Maker(), {"10": 1, "12": 2})
    (tmp_path / "nest.svg").write_text(text)
    run = run_of(str(tmp_path / "nest.svg"), "armhole-adjust lower='3/8 in'")
    assert [size.size for size in run.sizes] == ["10", "12"]
    for size in run.sizes:
        for before, after in zip(size.before, size.after, strict=True):
            assert assert_points_kept(before, after, cuts[str(size.size)][before.name]) > 30
            assert_sound(after, {edge.name: (SEAM, SEAM) for edge in after.edges if edge.name in ("armhole", "cap")})


def test_a_stitch_line_moved_by_hand_beside_a_kept_cut_line_is_told(folder: str, tmp_path: Path) -> None:
    path, _ = drawn("plain", folder)
    first = run_of(path, "armhole-adjust lower='1/8 in'")
    (old,) = (piece for piece in first.pieces if piece.name == "Front")
    seam = old.edge("side seam")
    bent = Curve.chain([Curve(seam.curve.subcurve(0, 0.5).segments), Curve(seam.curve.subcurve(0.5, 1).segments)])
    segments = bent.segments.copy()
    segments[0, 3] += 9
    segments[0, 2] += 9
    segments[1, :2] += 9
    edges = tuple(replace(edge, curve=Curve(segments)) if edge is seam else edge for edge in old.edges)
    assert old.cut is not None
    moved = replace(old, edges=edges, cut=replace(old.cut, line=cut_line(old), edges=edges, steps=()))
    notes = tell_cut(moved).notes
    assert any("side seam: the drawn cut line lies" in note and "kept as drawn" in note for note in notes)


def test_there_and_back_leaves_the_rest_of_the_line(folder: str) -> None:
    path, cuts = drawn("mirrored", folder)
    run = run_of(path, "armhole-adjust lower='1/2 in'", "armhole-adjust lower='-1/2 in'")
    for before, after in zip(run.sizes[0].before, run.sizes[0].after, strict=True):
        nodes = on_page(after).segments[:, 3]
        armhole = line_of(before.edge("armhole").curve, before) if before.has_edge("armhole") else None
        for point in cuts[before.name]:
            if armhole is None or armhole.distance(Point(point.real, point.imag)) > CORNER:
                assert np.abs(nodes - point).min() < 1e-6


# -- corners ----------------------------------------------------------------------------------------------------------


@pytest.mark.slow_after(4)
@pytest.mark.parametrize("word", ["plain", "mirrored", "square", "as drawn"])
@pytest.mark.parametrize("maker", MAKERS)
def test_corners_drawn_anew_have_the_form_that_the_convention_says(
    maker: str, word: str, folder: str, tmp_path: Path
) -> None:
    """The hem of a sleeve two inches wide: where its cut line ends, seen from its corner with the seam."""
    path, _ = drawn(maker, folder)
    (tmp_path / "svgfit.toml").write_text(f'"cut line corners" = "{word}"\n')
    step = "seam-allowance piece=Sleeve edge=hem width='2 in'"
    run = run_of(path, step, convention=str(tmp_path / "svgfit.toml"))
    (arm,) = (piece for piece in run.pieces if piece.name == "Sleeve")
    seam = arm.edge("underarm back").curve
    corner, down = seam.end, seam.tangent(1.0, before=True)
    assert corner == arm.edge("hem").curve.start
    line = cut_line(arm)
    assert line is not None
    nodes = line.segments[:, 3]
    low = nodes[np.abs(nodes.imag - corner.imag - 50.8) < 1e-6]
    end = complex(low[int(np.argmin(np.abs(low - corner)))])
    # The seam's cut line, run on, and where it crosses the hem's level.
    on_seam = corner + SEAM * 1j * down
    level = on_seam + down * (corner - on_seam).imag / down.imag
    form = MAKERS[maker].hem if word == "as drawn" else word
    meant = {
        "plain": on_seam + down * (corner + 50.8j - on_seam).imag / down.imag,
        "square": complex(level.real, corner.imag + 50.8),
        "mirrored": level - (down * 50.8 / down.imag).conjugate() + 0j,
    }
    assert abs(end - meant[form]) < 0.01, (end, meant)


def test_a_word_that_is_no_form_is_refused_with_the_nearest() -> None:
    with pytest.raises(Refusal) as refused:
        parse_convention('"cut line corners" = "mirored"')
    assert "did you mean mirrored" in refused.value.line().casefold()
    assert "plain, mirrored, square, as drawn" in refused.value.line()
    assert parse_convention('"cut line corners" = "Square"').corners == "square"


# -- darts ------------------------------------------------------------------------------------------------------------


def dart_front(kind: str = "front") -> Piece:
    from svgfit.model.piece import Dart

    piece = bodice(Bodice(kind=kind, length=380))
    piece = piece.with_edges(tuple(replace(edge, allowance=0.0 if edge.fold else SEAM) for edge in piece.edges))
    seam = piece.edge("side seam").curve
    low, high = (seam.point(seam.at_length(seam.length() - down)) for down in (120.0, 80.0))
    inwards = 1 if kind == "front" else -1
    return replace(piece, darts=(Dart("side seam", low, (low + high) / 2 + inwards * 110 + 3j, high),))


@pytest.mark.parametrize("kind", ["front", "back"])
def test_a_roof_meets_the_cut_edge_when_the_dart_is_pressed(kind: str) -> None:
    """Folded down about its lower leg, the roof's lower half lies on the seam's cut line; its upper half likewise."""
    piece = dart_front(kind)
    (dart,) = piece.darts
    line = line_of(cut_line(piece), piece)  # type: ignore[arg-type]
    low, high = sorted((dart.start, dart.end), key=lambda at: -at.imag)
    middle = unit(low - dart.apex) + unit(high - dart.apex)
    tip = max(
        (complex(*p) for p in line.coords if abs(complex(*p) - (low + high) / 2) < 40),
        key=lambda at: abs(at - dart.apex),
    )
    assert abs(np.angle((tip - dart.apex) / middle)) < 1e-3
    near = [complex(*p) for p in line.coords if abs(complex(*p) - (low + high) / 2) < 45]
    lower = [p for p in near if between(p - dart.apex, low - dart.apex, middle)]
    upper = [p for p in near if between(p - dart.apex, middle, high - dart.apex)]
    assert len(lower) > 5
    assert len(upper) > 5
    for points, at in ((lower, low - dart.apex), (upper, middle)):
        for point in points:
            image = mirrored(point, dart.apex, unit(at))
            assert line.distance(Point(image.real, image.imag)) < 0.05


def between(way: complex, one: complex, other: complex) -> bool:
    """Whether a direction lies between two others, seen from a dart's apex."""
    first, last = float(np.angle(way / one)), float(np.angle(other / way))
    return first * last > 0 and abs(first) + abs(last) < 1


def test_where_a_dart_is_pressed_to_can_not_always_be_told() -> None:
    from svgfit.model.piece import Dart

    arm = sleeve(Shape())
    arm = arm.with_edges(tuple(replace(edge, allowance=SEAM) for edge in arm.edges))
    hem = arm.edge("hem").curve
    one, two = hem.point(0.4), hem.point(0.45)
    arm = replace(arm, darts=(Dart("hem", one, (one + two) / 2 - 80j, two),))
    assert any("pressed can't be told" in note and "draw the dart's roof" in note for note in tell_cut(arm).notes)
    assert not tell_cut(dart_front()).notes


# -- held against its allowance ---------------------------------------------------------------------------------------


def test_a_hollow_tighter_than_its_allowance_is_clean_and_told() -> None:
    piece = hollowed()
    line = line_of(cut_line(piece), piece)  # type: ignore[arg-type]
    assert Polygon(line.coords).is_valid
    edge = line_of(piece.edges[0].curve, piece)
    beside = [p for p in map(Point, line.coords) if p.y < 100 and 20 < p.x < 280]
    assert min(edge.distance(p) for p in beside) > SEAM - 0.06
    (note,) = tell_cut(piece).notes
    assert "bends more tightly than its seam allowance" in note
    assert "at x 150.0 mm (5 7/8 in), y 40.0 mm (1 9/16 in) of the page" in both_ways_text(note)


def hollowed() -> Piece:
    """A square piece whose upper edge dips in a hollow of about 5 mm radius, 40 mm deep."""
    from svgfit.model.piece import Edge

    dip = Curve(
        np.array(
            [
                [120 + 0j, 135 + 0j, 138 + 40j, 150 + 40j],
                [150 + 40j, 162 + 40j, 165 + 0j, 180 + 0j],
            ]
        )
    )
    top = Curve.chain([Curve.polyline([0j, 120 + 0j]), dip, Curve.polyline([180 + 0j, 300 + 0j])])
    corners = [300 + 0j, 300 + 300j, 300j, 0j]
    sides = [Curve.polyline(list(pair)) for pair in itertools.pairwise(corners)]
    edges = tuple(Edge(f"edge {k}", curve, SEAM) for k, curve in enumerate([top, *sides], 1))
    return Piece("page.svg", "Panel", "other", edges, Affine())


def test_a_cut_line_that_does_not_hold_its_width_is_refused_with_figure_and_place(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from svgfit.pattern import cut_line as module

    piece = dart_front()
    offset = module.offset_curve

    def wrong(curve: Curve, distance: float) -> Curve:
        return offset(curve, 0.7 * distance)

    monkeypatch.setattr(module, "offset_curve", wrong)
    with pytest.raises(Refusal) as refused:
        cut_line(piece)
    assert "11.1 mm" in refused.value.line()
    assert " of the page" in refused.value.line()
