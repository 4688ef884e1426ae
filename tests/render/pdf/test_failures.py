"""What failed stands where nobody can miss it; and what a small paper or margin does to the first pages."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from svgfit.cli import main
from svgfit.render.pdf.first_page import cut_short, first_page, heading
from svgfit.render.pdf.papers import read_paper
from svgfit.render.pdf.tiling import print_areas
from tests.render.pdf.reading import closed, collisions, first_pages, lengths, opened, outside, sizes

DEMOS = Path(__file__).parents[3] / "demo_svgs"
CHECK = ["--do", "seam-check a=Sleeve/cap b=Front/armhole+Back/armhole min='1/4 in' max='1 in'"]
LONG = (
    "Sleeve/cap against Front/armhole+Back/armhole (size 12): 19 13/16 in (502.6 mm) against 17 13/16 in (452.5 mm): "
    "2 in (50.1 mm) longer; should be longer by at least 1/4 in (6.3 mm) and at most 1 in (25.4 mm)"
)


def text_of(made) -> str:
    return " ".join(" ".join(page.get_text() for page in made).split())


@pytest.fixture(scope="module")
def failing(tmp_path_factory) -> Path:
    """A smock whose cap got more ease than its plan allows."""
    folder = tmp_path_factory.mktemp("failing")
    (folder / "svgfit.toml").write_bytes((DEMOS / "svgfit.toml").read_bytes())
    out = folder / "failing.svg"
    raised = ["--do", "cap-raise piece=Sleeve amount='1 in'", *CHECK]
    assert main(["adjust", str(DEMOS / "smock.svg"), *raised, "-o", str(out), "--quiet"]) == 1
    return out


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("sheet", ["--teaching", "--no-teaching"])
def test_the_terminal_the_first_page_and_the_map_tell_of_a_failed_check(failing, handout, sheet) -> None:
    made = handout(failing, sheet)
    (line,) = [line for line in made.warned.splitlines() if "don't cut yet" in line]
    assert line.startswith("svgfit: warning: A check failed; don't cut yet: Sleeve/cap against Front/armhole+")
    first = " ".join(made[0].get_text().split())
    assert "A check failed; don't cut yet Sleeve/cap" in first
    told = line.partition("don't cut yet: ")[2]
    assert " longer; should be longer by at least 1/4 in" in told
    assert told in first, "with the figures that the terminal has"
    assert "A check failed; don't cut yet: see the first page." in " ".join(made[1].get_text().split())
    heavy = [drawn for drawn in made[0].get_drawings() if (drawn["width"] or 0) >= 2.5]
    assert len(heavy) == 1, "one frame, heavier than any other line"


@pytest.mark.slow
def test_where_all_is_well_nothing_is_said(fitted, handout) -> None:
    made = handout(fitted, "--teaching")
    assert "don't cut" not in made.warned + text_of(made)


def test_the_sheet_does_not_pass_what_the_plan_s_check_failed(failing, handout) -> None:
    made = handout(failing, "--teaching")
    text = text_of(made)
    figures = made.warned.partition("Sleeve/cap against Front/armhole+Back/armhole: ")[2].partition(";")[0]
    assert figures.endswith(" longer")
    assert f"FAIL Sleeve's cap against the armholes of Front and Back: {figures}" in text
    assert "PASS front underarm to notch" in text
    assert not re.search(r"(PASS|–) cap ease", text)


def test_a_seam_walked_beyond_the_workable_limit_counts_when_a_step_changed_it(tmp_path, handout, capsys) -> None:
    """The notches moved on the cap only: underarm to notch no longer matches, and no check was in the plan."""
    out = tmp_path / "lowered.svg"
    step = "armhole-adjust lower='1 in'"
    assert main(["adjust", str(DEMOS / "smock.svg"), "--do", step, "-o", str(out), "--quiet"]) == 0
    warned = handout(out).warned
    assert "failed; don't cut yet: walk of Sleeve, front underarm to notch: " in warned


def test_so_many_are_listed_and_the_rest_counted() -> None:
    assert cut_short(["a", "b", "c", "d", "e"]) == ("a", "b", "c", "and 2 more")
    assert heading(["a"]) == "A check failed; don't cut yet"
    assert heading(["a", "b"]) == "2 checks failed; don't cut yet"


@pytest.mark.slow_after(20)
@pytest.mark.parametrize("orientation", ["portrait", "landscape"])
@pytest.mark.parametrize(
    ("paper", "margin"),
    [("a4", 12.7), ("letter", 12.7), ("legal", 12.7), ("a3", 12.7), ("arch-e", 12.7), ("a4+letter", 12.7),
     ("a4", 30.0), ("a4", 60.0), ("100mmx150mm", 12.7), ("60mmx400mm", 5.0)],
)  # fmt: skip
@pytest.mark.parametrize("count", [1, 5])
def test_the_box_keeps_off_everything_on_any_paper(paper, margin, orientation, count) -> None:
    (area,) = print_areas(read_paper(paper), orientation, margin, 12.0)
    failed = [LONG] * count
    made = first_pages(first_page(area, "Smock", "A4 paper", failed))
    text = text_of(made)
    assert heading(failed) in " ".join(made[0].get_text().split())
    assert text.replace(" ", "").count("2in(50.1mm)longer") == min(count, 3)
    assert ("and 2 more" in text) == (count == 5)
    for page in made:
        assert collisions(page) == []
        inset = margin - 0.7  # tails of letters hang a little beneath the last line
        assert outside(page, inset, inset, area.paper.width - inset, area.paper.height - inset) == []


# -- several drawings ----------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_independent_drawings_need_no_seams_between_them(fitted, tmp_path, capsys) -> None:
    """A class sleeve beside a smock: two sleeves, so nobody guesses which is sewn in; the sheet is the smock's."""
    out = tmp_path / "both.pdf"
    capsys.readouterr()
    assert main(["handout", str(fitted.parent / "teaching-sleeve.svg"), str(fitted), "-o", str(out)]) == 0
    said = capsys.readouterr()
    assert "which seams meet" not in said.err
    text = text_of(opened(out.read_bytes()))
    assert "Teaching sheet: smock-fitted.svg" in text
    assert "Walk the seams" in text


def test_a_plan_that_can_not_be_done_again_leaves_out_its_sheet_with_a_line(failing, tmp_path, handout) -> None:
    text = failing.read_text(encoding="utf-8")
    file = tmp_path / "alone.svg"
    file.write_text(text.replace("Front stitch line", "Old stitch line"), encoding="utf-8")
    made = handout(file, "--teaching")
    assert "the teaching sheet is left out, since its plan can't be done again: " in made.warned
    assert "A check failed; don't cut yet: alone.svg: a check failed when svgfit adjusted" in made.warned
    assert "Teaching sheet" not in text_of(made)


def test_two_sleeves_are_named_as_the_cause(capsys) -> None:
    files = [str(DEMOS / "teaching-sleeve.svg"), str(DEMOS / "smock.svg")]
    assert main(["adjust", *files, "--do", "ease-spread piece=Sleeve ease='1/2 in'", "--dry-run", "--quiet"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "which seams meet is not known, since there are 2 sleeves (Class sleeve, Sleeve); say it with" in line
    assert "not both here" not in line


# -- a small paper -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("paper", "margin", "overlap"),
    [("a4", 60.0, 12.0), ("100mmx150mm", 12.7, 12.0), ("50mmx50mm", 12.7, 0.0), ("60mmx60mm", 15.0, 0.0)],
)
def test_the_instructions_come_first_and_only_what_fits_whole_is_drawn(paper, margin, overlap) -> None:
    area = print_areas(read_paper(paper), "portrait", margin, overlap)[0]
    made = first_pages(first_page(area, "Smock", "A4 paper"))
    text = text_of(made)
    assert "actual size" in " ".join(made[0].get_text().split())
    for told in ("97.27 %", "94.07 %", "93.75 %", "Sew a test garment before you cut good cloth."):
        assert told in text
    shapes = [pair for page in made for pair in closed(page)]
    assert any(abs(wide - high) < 0.01 for wide, high in shapes)
    room = area.paper.width - 2 * margin, area.paper.height - 2 * margin
    for page in made:
        assert page.get_text().strip(), "no page without words"
        assert collisions(page) == []
        inset = margin - 0.7  # tails of letters hang a little beneath the last line
        assert outside(page, inset, inset, area.paper.width - inset, area.paper.height - inset) == []
        assert max(lengths(page, level=True), default=0) <= room[0] + 0.02
        assert max(lengths(page, level=False), default=0) <= room[1] + 0.02
        assert min(sizes(page)) >= 7.99


def test_what_has_no_room_is_left_out_and_said_to_be() -> None:
    area = print_areas(read_paper("60mmx60mm"), "portrait", 19.5, 0.0)[0]  # 21 mm each way
    made = first_pages(first_page(area, "Smock", "A4 paper"))
    text = text_of(made)
    assert "Left out, since there is no room for them: 1 in across, the bar of inches down." in text
    assert "0 in down" not in text


def test_the_table_speaks_of_the_squares_that_are_there() -> None:
    area = print_areas(read_paper("a4"), "portrait", 60.0, 12.0)[0]
    text = text_of(first_pages(first_page(area, "Smock", "A4 paper")))
    assert "50 mm is 2 in is" in text
    assert "48.6 mm" in text  # 97.27 % of 50 mm
    assert "what the 50 mm square measures in mm, 2 times, is the percentage" in text


# -- what is told ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("margin", "warned"), [("0mm", True), ("4.9mm", True), ("5mm", False), ("1/2 in", False)])
def test_a_margin_that_most_printers_can_not_keep_is_warned_of(margin, warned, drawing, handout) -> None:
    made = handout(drawing('<path d="M10 10h90" stroke="#000"/>'), "--margin", margin)
    assert ("most printers can't print within about 1/4 in of the paper's edge" in made.warned) == warned


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (("-o", "out.svg"), "out.svg does not end in .pdf"),
        (("-o", "out.pdf", "--pieces", ""), "--pieces: names no piece"),
        (("-o", "out.pdf", "--pieces", " , "), "--pieces: names no piece"),
        (("-o", "out.pdf", "--pieces", "sleve"), "there is no piece sleve; did you mean Sleeve?"),
    ],
)
def test_what_is_asked_amiss_is_one_line(options, line, tmp_path, capsys, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["handout", str(DEMOS / "smock.svg"), *options]) == 2
    said = capsys.readouterr().err
    assert len(said.splitlines()) == 1
    assert line in said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
def test_on_paper_the_squares_to_measure_are_the_first_page_s(fitted, handout) -> None:
    text = text_of(handout(fitted, "--teaching"))
    assert "measure the squares on the handout’s first page" in text
    assert "such as the test square" not in text
