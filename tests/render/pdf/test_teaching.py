"""The teaching sheet and the minis: true to the run, in black and white, legible; read back by pymupdf."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
import pymupdf
import pytest

from svgfit.app.replay import replay
from svgfit.app.session import open_drawings
from svgfit.app.teaching import mini_pdf, teaching_pdf
from svgfit.geometry.affine import Affine
from svgfit.model.length import Units
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import Unit
from svgfit.render.pdf.lesson import changed_pieces
from svgfit.render.pdf.mini import read_mini
from svgfit.render.pdf.parts import parts
from svgfit.render.pdf.picture import Picture
from svgfit.render.pdf.typesetting import FullSize, typeset
from tests.render.pdf.reading import collisions, opened, outside, point, sizes, words

DEMOS = Path(__file__).parents[3] / "demo_svgs"
A4, LETTER, A3, A3_LYING = (210.0, 297.0), (215.9, 279.4), (297.0, 420.0), (420.0, 297.0)
EVERY = (
    "bicep-widen piece=Sleeve amount=1in how=hem",
    "bicep-widen piece=Sleeve amount=1in",
    "notch-match",
    "armhole-adjust lower='1/2 in'",
    "seam-allowance piece=Sleeve width=2in edge=hem",
    "ease-spread amount='1/2 in' drop=30mm",
    "cap-raise amount='-1/2 in'",
)
"""One of each kind of step that the two demo plans have not."""


@lru_cache
def run_of(name: str):
    file, plan = {
        "smock": ("smock.svg", Plan.read(str(DEMOS / "smock.plan.toml"))),
        "nest": ("smock-sizes.svg", Plan.read(str(DEMOS / "smock-sizes.plan.toml"))),
        "every step": ("smock.svg", Plan.from_steps(*EVERY)),
        "nothing": ("smock.svg", Plan.from_steps()),
    }[name]
    return open_drawings(str(DEMOS / file)).run(plan)


@lru_cache
def sheet(name: str, paper: tuple[float, float] = A4, unit: str = "in"):
    return opened(teaching_pdf(run_of(name), paper, Units(Unit(unit))))


@lru_cache
def mini(name: str, scale: str, paper: tuple[float, float] = A4):
    return opened(mini_pdf(run_of(name), paper, Units(), scale))


def text_of(made) -> str:
    return " ".join(" ".join(page.get_text() for page in made).split())


def colours(page) -> set[tuple[float, ...]]:
    return {
        tuple(round(part, 3) for part in drawing[key])
        for drawing in page.get_drawings()
        for key in ("color", "fill")
        if drawing.get(key)
    }


def drawn(page, width: float) -> np.ndarray:
    """The points of all strokes of that width (mm)."""
    found = [
        point(at)
        for drawing in page.get_drawings()
        if drawing["width"] and abs(drawing["width"] * 25.4 / 72 - width) < 1e-3
        for item in drawing["items"]
        for at in item[1:]
        if isinstance(at, pymupdf.Point)
    ]
    return np.array(found)


# -- made for print ---------------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize(("paper", "unit"), [(A4, "in"), (A4, "mm"), (LETTER, "in"), (A3_LYING, "in")])
@pytest.mark.parametrize("name", ["smock", "nest", "every step"])
def test_words_keep_off_lines_and_off_each_other_and_are_large_enough(name, paper, unit):
    for page in sheet(name, paper, unit):
        assert collisions(page) == []
        assert min(sizes(page), default=8) >= 7.99
        assert outside(page, 12.5, 12.5, paper[0] - 12.5, paper[1] - 12.5) == []


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(
    ("name", "scale", "paper"),
    [
        ("smock", "1/4", A4),
        ("smock", "1/3", A4),
        ("smock", "1/8", A4),
        ("smock", "1/2", A3),
        ("nest", "1/4", A4),
    ],
)
def test_a_minis_words_keep_off_lines_and_are_not_shrunk(name, scale, paper):
    for page in mini(name, scale, paper):
        assert collisions(page) == []
        assert min(sizes(page), default=8) >= 7.99
        assert outside(page, 12.5, 12.5, paper[0] - 12.5, paper[1] - 12.5) == []


@pytest.mark.parametrize(("scale", "paper"), [("1/8", (100.0, 140.0)), ("1/4", (148.0, 210.0))])
def test_on_small_paper_heading_maps_and_legend_of_minis_have_room(scale, paper):
    pages = [page for page in mini("smock", scale, paper) if "Minis" in page.get_text()]
    assert any("grain line" in page.get_text() for page in pages)
    for page in pages:
        assert collisions(page) == []
        assert outside(page, 12.5, 12.5, paper[0] - 12.5, paper[1] - 12.5) == []


def test_words_that_reach_beyond_a_picture_make_it_larger():
    picture = Picture(Affine(), 20.0, 20.0).line("paper", 1 + 10j, 19 + 10j)
    wide = picture.label(("a word that is far too long for it",), 18 + 10j, 1 + 0j).drawn()
    assert picture.drawn().width == 20.0
    assert wide.width > 40
    assert picture.label(("a word that is far too long for it",), 2 + 10j, -1 + 0j).drawn().shift.real > 20


def test_no_word_of_a_small_mini_is_cut_off():
    page = mini("smock", "1/8")[0]
    (image,) = [page.search_for("overlap 1/4 in")]
    assert len(image) == 2
    seen = [box for box in image if (page.get_pixmap(clip=box, dpi=150).samples).count(b"\x00") > 50]
    assert len(seen) == 2


def test_a_word_on_a_line_would_be_found():
    word = '<text x="5" y="20" font-size="6">hinge</text>'
    for y, found in ((18, True), (30, False)):
        line = f'<path d="M0 {y}h50" stroke="#000"/>'
        page = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 50 50">{word}{line}</svg>'
        made = opened(typeset("drawing", FullSize(50.0, 50.0), {"page.svg": page.encode()}))
        assert bool(collisions(made[0])) is found


@pytest.mark.slow
def test_nothing_is_coloured():
    for made in (sheet("smock"), sheet("nest"), sheet("every step"), mini("smock", "1/4")):
        for page in made:
            assert all(len(set(colour)) == 1 for colour in colours(page))


@pytest.mark.slow
def test_fonts_are_embedded_words_can_be_found_and_the_same_run_gives_the_same_bytes():
    made = sheet("smock")
    assert {font[3].split("+")[-1] for page in made for font in page.get_fonts()} <= {"DejaVuSans", "DejaVuSans-Bold"}
    assert all(font[1] == "ttf" for page in made for font in page.get_fonts())
    assert made[0].search_for("before and after")
    assert made.metadata["title"] == "Teaching sheet: smock.svg"
    done = run_of("smock")
    assert teaching_pdf(done, A4, Units()) == teaching_pdf(done, A4, Units())


# -- true to the run --------------------------------------------------------------------------------------------------


def test_asked_and_got_are_both_told():
    made = text_of(sheet("smock"))
    (run,) = run_of("smock").sizes
    for words_of_a_plan in (
        "Asked: raise the cap by 3/8 in.",
        "Asked: bring the cap to 7/8 in more than its armhole, cutting down from 83 % of the way",
        "Asked: compare Sleeve's cap with the armholes of Front and Back, the first is to be longer by at least "
        "1/2 in, but by at most 1 in.",
    ):
        assert words_of_a_plan in made
    assert run.steps[2].asked["b"] == "Front/armhole+Back/armhole"
    assert run.steps[1].got["cap ease"] == pytest.approx(7 / 8 * 25.4, abs=0.8)
    assert "cap ease 7/8 in" in made
    for words_of_a_step in ("Raise the cap", "Take ease out of the cap", "open 3/8 in", "overlap 1/4 in", "hinge"):
        assert words_of_a_step in made
    assert "3 3/4 in above the bicep line" in made
    slash = run.stages[0].annotations[0].curve
    assert abs(-slash.start.imag - 3.75 * 25.4) < 25.4 / 32


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("number", range(len(EVERY)))
def test_each_kind_of_step_has_its_title(number):
    titles = (
        "Widen the bicep (Sleeve)",
        "Widen the bicep (Sleeve)",
        "Match the notches (Sleeve)",
        "Adjust the armhole (Front and Back)",
        "Change the seam allowance (Sleeve)",
        "Add ease to the cap (Sleeve)",
        "Lower the cap (Sleeve)",
    )
    assert f"Step {number + 1} of 7: {titles[number]}" in text_of(sheet("every step"))


def away(points: np.ndarray, piece) -> np.ndarray:
    outline = piece.outline()
    return np.array([outline.nearest(complex(at))[1] for at in points])


@pytest.mark.parametrize(("name", "stages"), [("smock", (0, 1)), ("every step", (0, 6))])
def test_the_parts_are_those_that_were_cut_and_lie_where_the_step_left_them(name, stages):
    (run, *_) = run_of(name).sizes
    for number in stages:
        stage = run.stages[number]
        before = run.stages[number - 1].pieces if number else run.before
        pairs = [(old, new) for old, new in zip(before, stage.pieces, strict=True) if new is not old]
        ((old, new),) = pairs
        found = parts(stage.moved)
        assert sum(part.motion is not None for part in found) >= 1
        assert abs(sum(abs(part.around.area()) for part in found) - abs(old.outline().area())) < 30
        for part in found:
            edge = np.concatenate([one.points(np.arange(0, len(one), 5.0)) for one in part.edges_now])
            assert np.quantile(away(edge, new), 0.4) < 0.08
        for note in stage.annotations:
            if note.kind == "arrow" and name == "smock":
                assert any(
                    part.motion is not None and abs(part.motion.apply(note.curve.start) - note.curve.end) < 1e-6
                    for part in found
                )


def test_a_step_that_cuts_nothing_has_no_parts():
    (run,) = run_of("every step").sizes
    for number in (1, 2, 4):
        before, stage = run.stages[number - 1].pieces, run.stages[number]
        for old, new in zip(before, stage.pieces, strict=True):
            if new is not old:
                assert parts(stage.moved) == ()


def test_figures_before_and_after_are_those_measured():
    made = text_of(sheet("smock", A4, "mm"))
    (run,) = run_of("smock").sizes
    for figure in ("cap height", "cap length", "cap ease"):
        values = [
            next(item.value for item in found["Sleeve"] if item.name == figure)
            for found in (run.measured_before, run.measured_after)
        ]
        assert f"{figure} {values[0]:.1f} mm {values[1]:.1f} mm" in made


def test_one_size_speaks_and_the_table_tells_all():
    made = text_of(sheet("nest"))
    assert "show size 12, the middle one by its area. The same is done for 8, 10, 14 and 16" in made
    assert "--size 8 makes the sheet of that size" in made
    assert "size 8 10 12 14 16" in made
    assert "size 8: raise the cap by 1/4 in; size 10: raise the cap by 5/16 in" in made


def test_the_walk_the_legend_and_the_cautions_are_there():
    made = text_of(sheet("smock"))
    for told in ("walked along its armhole", "ease 7/8 in", "line to draw and to cut along", "Sew a test garment"):
        assert told in made


def test_where_nothing_changed_it_says_so():
    assert "No step changed a piece" in text_of(sheet("nothing"))


# -- minis ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("scale", "paper"), [("1/4", A4), ("1/3", A4), ("1/2", A3)])
def test_a_mini_is_as_small_as_it_says_and_its_figures_are_of_the_full_size(scale, paper):
    made = mini("smock", scale, paper)
    (run,) = run_of("smock").sizes
    ((_, sleeve),) = changed_pieces(run)
    left, top, right, bottom = sleeve.outline().bounds()
    factor = read_mini(scale).factor
    (last,) = [page for page in made if "after all steps" in page.get_text()]
    spots = drawn(last, 0.8)
    page = text_of(made)
    legend = spots[spots.imag > spots.imag.min() + (bottom - top) * factor + 1]
    spots = spots[~np.isin(spots, legend)]
    assert abs(np.ptp(spots.real) - (right - left) * factor) < 0.01
    assert abs(np.ptp(spots.imag) - (bottom - top) * factor) < 0.02
    assert "18 11/16 in" in page
    assert "was 5 1/2 in" in page


@pytest.mark.parametrize(
    ("scale", "told", "long"), [("1/4", "8 in", 50.8), ("1/2", "4 in", 50.8), ("1/3", "6 in", 50.8)]
)
def test_the_scale_bar_is_true(scale, told, long):
    page = mini("smock", scale, A3)[0]
    assert f"{told} at full size; on this paper the bar is 2 in long" in " ".join(page.get_text().split())
    bars = drawn(page, 0.55)
    bars = bars[bars.imag > 420 - 30]
    assert abs(np.ptp(bars.real) - long) < 0.01


@pytest.mark.parametrize("text", ["", "2", "1", "0", "1/0", "-1/2", "1/100", "half", "1/2/3", "nan"])
def test_what_is_no_scale_is_refused(text):
    with pytest.raises(Refusal, match=r"1/2 or 1/4"):
        read_mini(text)


# -- the plan again ---------------------------------------------------------------------------------------------------


@pytest.fixture
def again(tmp_path, capsys):
    """again(name of the file to read, *commands): runs the commands, then the plan in the file."""
    from svgfit.cli import main

    def run(name: str, *commands: list[str]):
        for command in commands:
            assert main([*command, "--quiet"]) == 0, capsys.readouterr().err
        file = str(tmp_path / name)
        return replay(open_drawings(file))

    return run


@pytest.fixture
def adjusted(tmp_path):
    convention = tmp_path / "svgfit.toml"
    convention.write_bytes((DEMOS / "svgfit.toml").read_bytes())
    plan = ["--plan", str(DEMOS / "smock.plan.toml")]
    return ["adjust", str(DEMOS / "smock.svg"), *plan, "-o", str(tmp_path / "one.svg")]


@pytest.mark.slow
def test_a_drawing_that_svgfit_adjusted_tells_its_steps_again(again, adjusted):
    found = again("one.svg", adjusted)
    (run,) = run_of("smock").sizes
    assert found.warnings == ()
    assert [stage.row for stage in found.run.sizes[0].stages] == [stage.row for stage in run.stages]
    for old, new in zip(run.after, found.run.sizes[0].after, strict=True):
        assert np.array_equal(old.outline().segments, new.outline().segments)


def lengths_of(piece) -> list[float]:
    return [edge.curve.length() for edge in piece.edges]


@pytest.mark.slow
def test_a_plan_that_went_on_from_adjusted_outlines_is_run_on_those(again, adjusted, tmp_path):
    on = [
        "adjust", str(tmp_path / "one.svg"), "--from", "adjusted", "--do", "cap-raise amount='1/8 in'", "-o",
        str(tmp_path / "two.svg"),
    ]  # fmt: skip
    found = again("two.svg", adjusted, on)
    assert [stage.row.asked for stage in found.run.sizes[0].stages] == [{"amount": "1/8 in"}]
    assert [step.do for plan in found.earlier for step in plan.steps] == ["cap-raise", "ease-spread", "seam-check"]
    (sleeve,) = [piece for piece in found.run.sizes[0].before if piece.kind == "sleeve"]
    (run,) = run_of("smock").sizes
    assert lengths_of(sleeve) == pytest.approx(lengths_of(next(p for p in run.after if p.kind == "sleeve")), abs=1e-3)
    assert lengths_of(found.run.sizes[0].after[run.after.index(next(p for p in run.after if p.kind == "sleeve"))]) != (
        pytest.approx(lengths_of(sleeve), abs=1.0)
    )


def went_on(tmp_path) -> list[str]:
    return [
        "adjust", str(tmp_path / "one.svg"), "--from", "adjusted", "--do", "cap-raise amount='1/8 in'", "-o",
        str(tmp_path / "two.svg"),
    ]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("how", ["edited in between", "other than it was"])
def test_where_it_cannot_be_run_on_those_the_sheet_says_why_and_shows_before_and_after(how, again, adjusted, tmp_path):
    again("one.svg", adjusted)
    one, two = tmp_path / "one.svg", tmp_path / "two.svg"
    if how == "edited in between":
        text = one.read_text()
        at = text.index('data-svgfit-layer="adjusted"')
        one.write_text(text[:at] + text[at:].replace("C", "C0.001", 1).replace("C0.0010", "C0"))
        again("two.svg", went_on(tmp_path))
        assert "before" not in two.read_text().split("data-svgfit-plan=")[1][:900]
        told = "how those were made does not stand in the drawing"
    else:
        again("two.svg", went_on(tmp_path))
        two.write_text(two.read_text().replace("&quot;amount&quot;,&quot;1/8 in", "&quot;amount&quot;,&quot;3/16 in"))
        told = "made again they differ from those in the drawing"
    found = again("two.svg")
    assert told in found.no_steps
    assert found.run.sizes[0].stages == ()
    ((old, new),) = changed_pieces(found.run.sizes[0])
    assert new.edge("cap").curve.length() > old.edge("cap").curve.length() + 5
    made = text_of(opened(teaching_pdf(found.run, A4, Units(), found.no_steps)))
    assert told in made
    assert "Sleeve: before and after" in made
    assert "cap height 5 1/2 in" in made
    assert "Step 1" not in made


@pytest.mark.slow
def test_a_walk_written_into_the_drawing_keeps_the_plan(again, adjusted, tmp_path):
    walk = ["walk", str(tmp_path / "one.svg"), "-o", str(tmp_path / "walked.svg")]
    assert len(again("walked.svg", adjusted, walk).run.sizes[0].stages) == 3


@pytest.mark.slow
def test_an_edit_since_is_told(again, adjusted, tmp_path):
    again("one.svg", adjusted)
    text = (tmp_path / "one.svg").read_text()
    at = text.index('data-svgfit-layer="adjusted"')
    (tmp_path / "edited.svg").write_text(text[:at] + text[at:].replace(' d="M', ' d="M1,1L', 1))
    assert any("what was edited since" in told for told in again("edited.svg").warnings)


def test_words_are_read_where_they_stand():
    """The reader itself: a word of the sheet is where the page shows it."""
    ((_, box), *_) = [found for found in words(sheet("smock")[0]) if found[0] == "Teaching"]
    assert box.bounds[0] == pytest.approx(15.0, abs=0.6)


# -- behind the true-to-size pages ------------------------------------------------------------------------------------


@pytest.mark.slow
def test_the_handout_ends_with_minis_and_the_sheet(handout, fitted):
    bare, sheet_only, both = (
        handout(fitted, *options) for options in ((), ("--teaching",), ("--teaching", "--mini", "1/4"))
    )
    assert 3 <= len(both) - len(sheet_only) <= 4  # before each of two steps, after, and maybe the legend
    assert len(sheet_only) > len(bare)
    assert "Step 1 of 3: Raise the cap (Sleeve)" in text_of(sheet_only)
    assert "Minis 1/4: smock-fitted.svg" in text_of(both)
    assert "Teaching sheet" not in text_of(bare)


@pytest.mark.slow
@pytest.mark.parametrize("sizes", ["14", "8,10,12"])
def test_the_sheet_of_a_nest_teaches_the_size_asked_for(sizes, tmp_path, handout):
    from svgfit.cli import main

    (tmp_path / "svgfit.toml").write_bytes((DEMOS / "svgfit.toml").read_bytes())
    nest = str(tmp_path / "nest.svg")
    plan = ["--plan", str(DEMOS / "smock-sizes.plan.toml")]
    assert main(["adjust", str(DEMOS / "smock-sizes.svg"), *plan, "-o", nest, "--quiet"]) == 0
    made = text_of(handout(nest, "--teaching", "--size" if sizes == "14" else "--sizes", sizes, "--mini", "1/8"))
    if sizes == "14":
        assert "The pictures, the steps and the figures are those of size 14." in made
        assert "Sleeve (14): before and after" in made
        assert "Sleeve (12)" not in made
    else:
        assert "show size 10, the middle one by its area. The same is done for 8 and 12" in made
        assert "size 8 10 12" in made


def test_a_drawing_without_a_plan_has_no_sheet_but_may_have_minis(handout):
    assert "Teaching sheet" not in text_of(handout(DEMOS / "smock.svg", "--teaching"))
    made = text_of(handout(DEMOS / "smock.svg", "--teaching", "--mini", "1/4"))
    assert "Minis 1/4: smock.svg" in made


def test_the_sheet_is_typeset_once(monkeypatch):
    import typst

    done: list[str] = []
    real = typst.compile

    def counted(sources, **options):
        done.append(options["sys_inputs"]["template"])
        return real(sources, **options)

    monkeypatch.setattr(typst, "compile", counted)
    teaching_pdf(run_of("smock"), A4, Units())
    assert done == ["teaching.typ"]


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("name", ["smock", "nest", "every step", "nothing"])
def test_where_legend_and_cautions_stand_is_settled(name, monkeypatch):
    """Typst warns where a layout that depends on itself does not come to rest."""
    import typst

    told: list[object] = []

    def warned(sources, **options):
        made, warnings = typst.compile_with_warnings(sources, **options)
        told.extend(warnings)
        return made

    monkeypatch.setattr(typst, "compile", warned)
    for paper in (A4, LETTER, A3):
        teaching_pdf(run_of(name), paper, Units())
    assert told == []


def test_the_demos_sheet_has_no_page_for_the_legend_alone():
    made = sheet("smock")
    assert len(made) == 4
    last = made[-1].get_text()
    assert "Step 3 of 3" in last
    assert "The lines" in last
    assert "Before you cut" in text_of(made)
