"""Steps that cut nothing: what a person is told to draw on new paper, with the amounts of the run itself."""

from __future__ import annotations

from functools import lru_cache

import pytest
import shapely

from svgfit.app.session import open_drawings
from svgfit.app.teaching import teaching_pdf
from svgfit.model.length import Units
from svgfit.model.plan import Plan
from svgfit.plugin.registry import open_registry
from svgfit.render.pdf.lesson import changed_pieces
from svgfit.render.pdf.step_geometry import aside, change_of
from svgfit.render.pdf.steps import show_step
from tests.render.pdf.reading import collisions, opened, outside, sizes
from tests.render.pdf.test_teaching import A4, DEMOS, text_of

REDRAWN = {
    "cap-redraw piece=Sleeve ease='1/2 in'": (
        "1/8 in longer than this one",
        "outside the old (dotted): 1/8 in from it",
        "it must show 18 5/16 in",
        "lies 1/8 in outside the old",
    ),
    "cap-redraw piece=Sleeve ease='1/4 in'": (
        "1/8 in shorter than this one",
        "inside the old (dotted): 3/16 in from it",
    ),
    "bicep-widen piece=Sleeve amount=1in": ("mark each underarm point again, 1/2 in out", "The cap top stays"),
    "bicep-widen piece=Sleeve amount='-1/2 in'": ("Narrow the bicep", "mark each underarm point again, 1/4 in in"),
    "bicep-widen piece=Sleeve amount=1in how=cap-length": ("1/2 in out", "Mark the cap top 5/8 in further down"),
    "bicep-widen piece=Sleeve amount=1in how=underarm": ("1/2 in out", "Draw the cap below the notches"),
    "bicep-widen piece=Sleeve amount=1in how=hem": ("about the hinge at the hem", "open 1 5/16 in"),
    "armhole-adjust lower='1/2 in'": ("mark the new underarm point on the side seam, 1/2 in down along it",),
    "armhole-adjust lower='-1/4 in'": ("mark the new underarm point on the side seam, 1/4 in up along it",),
    "armhole-adjust scoop='1/4 in'": ("mark a point 1/4 in into the piece",),
    "notch-match share-back=0.4": ("3 5/8 in in the front and 3 3/4 in in the back", "moves 1/16 in towards the back"),
    "seam-allowance piece=Sleeve width='2 in' edge=hem": (
        "mark 2 in outwards from it, all along the hem",
        "Hem: 2 in from the stitch line",
        "hem allowance 2 in",
    ),
}


@lru_cache
def run_of(do: str):
    file = str(DEMOS / "smock.svg")
    return open_drawings(file).run(Plan.from_steps(do))


@lru_cache
def sheet(do: str):
    return opened(teaching_pdf(run_of(do), A4, Units()))


def shown(do: str):
    (run,) = run_of(do).sizes
    (stage,) = run.stages
    for old, new in changed_pieces(run):
        change = change_of(old, new, stage, Units(), open_registry().operation(stage.row.do).instructions)
        yield change, show_step(change, "", 78.0, 50.0)


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("do", REDRAWN)
def test_the_person_is_told_what_to_draw_with_the_amounts_of_the_run(do):
    made = text_of(sheet(do)).replace("- ", "-")
    for words in REDRAWN[do]:
        assert words in made
    assert "None" not in made


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("do", REDRAWN)
def test_words_keep_off_lines_and_off_each_other(do):
    for page in sheet(do):
        assert collisions(page) == []
        assert min(sizes(page)) >= 7.99
        assert outside(page, 12.5, 12.5, A4[0] - 12.5, A4[1] - 12.5) == []


@pytest.mark.slow_after(6)
@pytest.mark.parametrize("do", REDRAWN)
def test_in_the_last_large_picture_and_in_every_close_up_the_change_is_seen(do):
    """The new line stands at least a pen's width beside the old, or a notch or an arrow shows it."""
    for change, step in shown(do):
        seen = {"new", "old", "arrow", "dimension", "detail"}
        for each in step.shown[1:] if not change.parts else ():
            assert seen & set(each.picture.used), each.caption
        if not change.parts and change.drawn_new:
            factor = max(each.picture.factor for each in step.shown)
            assert max(aside(change.before, spot)[1] for spot in points_of(change)) * factor > 0.7


def points_of(change) -> list[complex]:
    return [curve.point(len(curve) * part) for curve in change.drawn_new for part in (0.25, 0.5, 0.75)]


def test_on_which_side_a_point_lies_is_told_alike_by_shapely():
    (run,) = run_of("bicep-widen piece=Sleeve amount=1in").sizes
    for piece in run.before:
        outline = piece.outline()
        ring = shapely.Polygon(
            [(at.real, at.imag) for at in outline.points([n / 20 for n in range(20 * len(outline))])]
        )
        left, top, right, bottom = outline.bounds()
        for across in (0.1, 0.3, 0.5, 0.7, 0.9):
            for down in (0.02, 0.2, 0.5, 0.98):
                at = complex(left + across * (right - left), top + down * (bottom - top))
                if abs(ring.exterior.distance(shapely.Point(at.real, at.imag))) > 1:
                    inside = ring.contains(shapely.Point(at.real, at.imag))
                    assert aside(piece, at)[2] == ("inside" if inside else "outside")


def test_where_nothing_moved_one_picture_says_so():
    ((_, step),) = shown("notch-match")
    (only,) = step.shown
    assert "nothing moves" in only.caption


def test_a_changed_allowance_is_seen_before_and_after():
    made = text_of(sheet("seam-allowance piece=Sleeve width='2 in' edge=hem"))
    assert made.index("hem allowance") < made.index("hem allowance 2 in")
