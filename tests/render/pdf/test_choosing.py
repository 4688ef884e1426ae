"""What of a drawing is printed, seen by its strokes and words in the PDF; and what is refused."""

from __future__ import annotations

import gzip
import re

import pytest

from svgfit.cli import main
from tests.render.pdf.reading import MM, lengths

PIECES = """
<g inkscape:groupmode="layer" inkscape:label="Front stitch line"><path id="f" d="M50 50h111v200h-111z" {s}/></g>
<g inkscape:groupmode="layer" inkscape:label="Front text"><text x="60" y="100" font-size="9">Vorne</text></g>
<g inkscape:groupmode="layer" inkscape:label="Back stitch line"><path d="M250 50h122v200h-122z" {s}/></g>
<g inkscape:groupmode="layer" inkscape:label="Notes"><path d="M400 300h133" {s}/></g>
<g inkscape:groupmode="layer" inkscape:label="Spare front"><path d="M400 320h66" {s}/></g>
""".replace("{s}", 'fill="none" stroke="#000"')


def across(made) -> set[int]:
    """Lengths of level strokes on the true-to-size pages, in whole mm."""
    pages = [page for page in made if page.get_label()[:1].isupper()]
    return {round(one) for page in pages for one in lengths(page, level=True)}


def text(made) -> str:
    return " ".join(page.get_text() for page in made if page.get_label()[:1].isupper())


ONE_PAGE = ("--paper", "900mmx1200mm")


def test_all_that_is_drawn_but_what_is_to_be_ignored(drawing, handout) -> None:
    file = drawing(PIECES)
    assert {111, 122, 133, 66} <= across(handout(file, *ONE_PAGE))
    file.with_name("svgfit.toml").write_text('[layers]\nignore = ["spare *"]\n')
    found = across(handout(file, *ONE_PAGE))
    assert {111, 122, 133} <= found
    assert 66 not in found


def test_some_pieces_only(drawing, handout) -> None:
    made = handout(drawing(PIECES), *ONE_PAGE, "--pieces", "front")
    assert 111 in across(made)
    assert not across(made) & {122, 133}
    assert "Vorne" in text(made)


def test_some_sizes_only(fitted, handout) -> None:
    file = fitted.parent / "smock-sizes.svg"
    every, one = handout(file, *ONE_PAGE), handout(file, *ONE_PAGE, "--size", "12")
    pages = [next(page for page in made if page.get_label() == "A1") for made in (every, one)]
    assert len(pages[1].get_drawings()) < len(pages[0].get_drawings()) / 2


@pytest.mark.slow
def test_words_that_all_sizes_share_are_there_once(fitted, handout, tmp_path, capsys) -> None:
    nest, out = fitted.parent / "smock-sizes.svg", tmp_path / "sizes.svg"
    plan = str(nest.with_name("smock-sizes.plan.toml"))
    assert main(["adjust", str(nest), "--plan", plan, "-o", str(out), "--quiet"]) in (0, 1)
    words = text(handout(out, "--paper", "a1")).split()
    assert words.count("Sleeve") == 1
    assert words.count("(12)") > 1  # the names of the sizes stand where they belong


def test_a_size_that_is_not_there_is_refused(fitted, tmp_path, capsys) -> None:
    assert main(["handout", str(fitted.parent / "smock-sizes.svg"), "-o", str(tmp_path / "x.pdf"), "--size", "99"]) == 2
    assert "there is no size 99; the sizes here are " in capsys.readouterr().err


@pytest.mark.slow
def test_ours_by_default_and_named(fitted, handout) -> None:
    made = handout(fitted, *ONE_PAGE)
    assert "adjusted, measurements on 1 page" in made.said
    assert "bicep width" in text(made)
    assert "pocket" not in text(made)
    assert 'changed them: Front, Back; --pieces "Sleeve,Front,Back" prints them as drawn' in made.warned
    named = handout(fitted, *ONE_PAGE[:1], "1400mmx1000mm", "--pieces", "Front,Back,Sleeve")
    assert "adjusted, measurements, Front as drawn, Back as drawn on 1 page" in named.said
    assert "not printed" not in named.warned
    assert {"Front", "Back", "bicep"} <= set(text(named).split())
    both = handout(fitted, *ONE_PAGE[:1], "1400mmx1000mm", "--layers", "original,adjusted")
    assert "Front" in text(both)
    assert "bicep width" not in text(both)


def test_a_page_of_the_walk_alone_comes_with_the_pieces(fitted, handout, tmp_path, capsys) -> None:
    walked = tmp_path / "walked.svg"
    assert main(["walk", str(fitted.parent / "smock.svg"), "-o", str(walked), "--quiet"]) == 0
    assert "original, measurements on" in handout(walked).said


def test_tables_that_stand_apart_take_no_pages_of_their_own(fitted, handout) -> None:
    made = handout(fitted)
    assert "Before you cut" not in text(made)
    assert "cap height" in text(made)


def test_our_measurements_of_some_pieces(fitted, handout) -> None:
    assert "bicep width" in text(handout(fitted, "--pieces", "Sleeve", "--layers", "measurements"))


def test_a_layer_that_is_hidden_is_printed_only_where_it_is_named(drawing, handout, fitted, tmp_path) -> None:
    hidden = PIECES.replace('label="Notes"', 'label="Notes" style="display:none"')
    assert 133 not in across(handout(drawing(hidden), *ONE_PAGE))
    ours = tmp_path / "hidden.svg"
    ours.write_text(fitted.read_text().replace('style="display:inline;opacity:1"', 'style="display:none"'))
    assert "working-lines on" in handout(ours, "--layers", "working-lines").said


def test_a_hidden_layer_that_holds_part_of_a_piece_is_told_in_one_line(drawing, handout) -> None:
    hidden = PIECES.replace('label="Front text"', 'label="Front text" style="display:none"')
    made = handout(drawing(hidden), *ONE_PAGE)
    assert "Vorne" not in text(made)
    assert 'not printed, since hidden in the drawing: "Front text"; show them' in made.warned
    assert made.warned.count("not printed") == 1
    assert "hidden in the drawing" not in handout(drawing(hidden.replace("Front text", "Remarks")), *ONE_PAGE).warned


def test_notes_without_their_hidden_outline_are_told(drawing, handout) -> None:
    hidden = PIECES.replace('label="Front stitch line"', 'label="Front stitch line" style="display:none"')
    made = handout(drawing(hidden), *ONE_PAGE)
    assert 111 not in across(made)
    assert '"Front stitch line", so that no outline of Front is printed' in made.warned


def test_what_is_left_out_still_shows_where_it_is_used(drawing, handout) -> None:
    inside = PIECES + (
        '<g inkscape:groupmode="layer" inkscape:label="Sleeve stitch line"><use xlink:href="#f" x="20" y="300"/></g>'
    )
    made = handout(drawing(inside), *ONE_PAGE, "--pieces", "Sleeve")
    assert 111 in across(made)
    assert 122 not in across(made)


def test_styles_stay_as_drawn(drawing, handout) -> None:
    style = "<style>path { stroke-dasharray: 7 3; fill: none; stroke: #000080; stroke-width: 1.4 }</style>"
    made = handout(drawing(style + '<path d="M100 100h150"/>'), *ONE_PAGE)
    page = next(page for page in made if page.get_label() == "A1")
    line = next(one for one in page.get_drawings() if one["rect"].width * MM == pytest.approx(150, abs=0.01))
    assert line["width"] * MM == pytest.approx(1.4, abs=1e-3)
    assert [float(part) * MM for part in line["dashes"].strip("[] 0").replace("]", "").split()[:2]] == pytest.approx(
        [7, 3], abs=1e-2
    )
    assert line["color"] == pytest.approx((0, 0, 128 / 255), abs=0.01)


def test_nothing_from_elsewhere_is_fetched_and_a_picture_is_told(drawing, handout, tmp_path) -> None:
    (tmp_path / "other.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg" id="x"><path d="M0 0h99"/></svg>')
    inside = (
        f'<path d="M10 10h150" stroke="#000"/><image href="file://{tmp_path}/other.svg" width="300" height="300"/>'
        '<image xlink:href="http://localhost:1/x.png" width="9" height="9"/><use href="other.svg#x"/>'
    )
    made = handout(drawing(inside), *ONE_PAGE)
    assert "2 of its pictures" in made.warned
    assert {150} <= across(made)
    assert 99 not in across(made)


def test_lines_beyond_the_page_and_a_page_without_size_are_printed(tmp_path, handout) -> None:
    file = tmp_path / "odd.svg"
    file.write_text('<svg xmlns="http://www.w3.org/2000/svg"><g stroke="#000"><path d="M-96-96h480v1"/></g></svg>')
    assert 127 in across(handout(file, "--scale", "96"))


def test_an_old_pixel_and_a_moved_view_box_keep_their_size(tmp_path, handout) -> None:
    file = tmp_path / "old.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="4in" viewBox="1000 2000 360 360" '
        'preserveAspectRatio="xMaxYMin meet"><path d="M1045 2045h270" stroke="#000"/></svg>'
    )
    assert any(abs(one - 76.2) < 0.01 for page in handout(file, "--unit", "mm") for one in lengths(page, level=True))


def test_lengths_with_units_and_in_parts_of_the_page_keep_their_size(tmp_path, handout) -> None:
    # 96 px to the inch: CSS Values and Units 3, section 6.2
    file = tmp_path / "units.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm"><g fill="none" stroke="#000">'
        '<rect x="10mm" y="10mm" width="100mm" height="2in" stroke-width="1mm"/>'
        '<line x1="5%" x2="50%" y1="50%" y2="50%"/>'
        '<svg x="10mm" y="120mm" width="80mm" height="40mm" viewBox="0 0 40 20"><path d="M0 1h33"/></svg></g></svg>'
    )
    made = handout(file, *ONE_PAGE)
    page = next(page for page in made if page.get_label() == "A1")
    found = lengths(page, level=True)
    for wanted in (100, 90, 66):
        assert any(abs(one - wanted) < 0.01 for one in found)
    assert any(abs(one - 50.8) < 0.01 for one in lengths(page, level=False))
    assert any(abs((one["width"] or 0) * MM - 1) < 1e-3 for one in page.get_drawings())


def test_numbers_too_large_to_be_exact_are_told(tmp_path, handout) -> None:
    for start, told in ((10_000, False), (1_000_000, True)):
        file = tmp_path / "far.svg"
        file.write_text(
            f'<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="{start} 0 200 200">'
            f'<path fill="none" stroke="#000" d="M{start + 20} 30h100"/></svg>'
        )
        assert ("the print may be off by 0.12 mm" in handout(file).warned) is told


def test_a_compressed_drawing(drawing, handout, tmp_path) -> None:
    packed = tmp_path / "packed.svgz"
    packed.write_bytes(gzip.compress(drawing(PIECES).read_bytes()))
    made = handout(packed, *ONE_PAGE)
    assert 111 in across(made)
    assert made.metadata["title"] == "packed"


def test_several_drawings_each_have_their_pages(drawing, tmp_path, capsys) -> None:
    one, two = drawing(PIECES, "one.svg"), drawing('<path d="M10 10h90" stroke="#000"/>', "two.svg")
    out = tmp_path / "both.pdf"
    assert main(["handout", str(one), str(two), "-o", str(out), "--orientation", "portrait"]) == 0
    import pymupdf

    made = pymupdf.open(out)
    labels = [page.get_label() for page in made]
    assert labels.count("A1") == 2
    last = made[len(made) - 1]
    assert any(abs(length - 90) < 0.01 for length in lengths(last, level=True))
    assert "two: row A" in last.get_text()


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (
            ("--layers", "adjusted"),
            "has no layer of svgfit's that is called adjusted; choose by --layers among original",
        ),
        (("--layers", "original,measurement"), "there is no layer 'measurement'; did you mean measurements?"),
        (("--layers", "orginal"), "--layers: there is no layer 'orginal'; did you mean original?"),
        (("--layers", ","), "--layers: names no layer"),
        (("--pieces", "Yoke"), "there is no piece Yoke; the pieces here are Front, Back"),
        (("--size", "14"), "there is no size 14; the sizes here are none"),
        (("--paper", "lettre"), "--paper: there is no paper 'lettre'; did you mean letter?"),
        (("--paper", "5cmx5cm"), "50 x 50 mm is too small: within margins of 1/2 in"),
        (("--overlap", "18 cm"), "a4, 210 x 297 mm is too small"),
        (("--overlap", "12"), "--overlap: '12' has no unit"),
        (("--margin", "wide"), "--margin: 'wide' is not a length"),
        (("--margin", "-3 mm"), "--margin: -1/8 in is not possible"),
    ],
)
def test_refusals_are_one_line(options, line, drawing, tmp_path, capsys) -> None:
    out = tmp_path / "out.pdf"
    status = main(["handout", str(drawing(PIECES)), "-o", str(out), *options])
    said = capsys.readouterr()
    assert (status, said.out) == (2, "")
    assert len(said.err.splitlines()) == 1
    assert line in said.err
    assert not out.exists()


def test_many_pages_only_where_asked_for(drawing, handout, tmp_path, capsys) -> None:
    file = drawing('<path d="M0 0h600v800h-600z" fill="#ccc"/>')
    small = ("--paper", "100mmx100mm")
    assert main(["handout", str(file), "-o", str(tmp_path / "many.pdf"), *small]) == 2
    said = capsys.readouterr().err
    assert "it would take 130 pages of 100 x 100 mm; choose with --pieces" in said
    assert "or give --many" in said
    assert sum(page.get_label()[:1].isupper() for page in handout(file, *small, "--many")) == 130


@pytest.mark.parametrize(
    ("content", "line"),
    [
        ("no drawing", "is not an SVG drawing"),
        ("", "is empty"),
        (None, "there is no such file"),
        (
            '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"/>',
            "there is nothing on its layers original",
        ),
        (
            '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><path d="M1 1h5" stroke="#fff" '
            'fill="none"/></svg>',
            "white on white",
        ),
    ],
)
def test_what_is_no_drawing_is_one_line(content, line, tmp_path, capsys) -> None:
    file, out = tmp_path / "d.svg", tmp_path / "out.pdf"
    if content is not None:
        file.write_text(content)
    assert main(["handout", str(file), "-o", str(out)]) == 2
    said = capsys.readouterr().err
    assert len(said.splitlines()) == 1
    assert line in said


def test_a_broken_output_path_is_one_line(drawing, tmp_path, capsys) -> None:
    file, odd = drawing(PIECES), drawing(PIECES, "odd.pdf")
    there = tmp_path / "there.pdf"
    there.write_text("mine")
    for out, line in (
        (tmp_path / "no" / "out.pdf", "there is no such folder"),
        (tmp_path, "is a folder"),
        (there, "exists already"),
        (file, "does not end in .pdf"),
        (odd, "is one of the files read"),
    ):
        assert main(["handout", str(odd), "-o", str(out)]) == 2
        said = capsys.readouterr().err
        assert len(said.splitlines()) == 1
        assert line in said
    assert there.read_text() == "mine"


@pytest.mark.slow
@pytest.mark.parametrize("piece", ["Sleeve", "Sleeve,Front"])
def test_with_a_piece_all_of_its_figures_are_printed_however_long(piece, fitted, handout) -> None:
    """A leader may be long and its words longer: what they stand beside tells whose they are, not their middle."""
    whole, some = handout(fitted, "--paper", "a0"), handout(fitted, "--paper", "a0", "--pieces", piece)
    figures = {line for line in whole[-1].get_text().splitlines() if re.search(r" [a-z]+ [\d /]+ in$", line)}
    assert "underarm seam front 17 in" in figures
    assert figures <= set(some[-1].get_text().splitlines())
