"""A refusal for want of a scale offers what can be right; what the drawing says is held against the scale given."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import svgfit
from svgfit.app.scale_evidence import Clues, PieceExtent, doubts
from svgfit.geometry.affine import Affine
from svgfit.model.drawing import Canvas
from svgfit.model.vocabulary import PieceKind

DEMOS = Path(__file__).parents[2] / "demo_svgs"


def unstated(folder: Path, demo: str, units: float, root: str = "", leave_out: str = "") -> Path:
    """A demo's drawing in so many units an inch, its root without a real size and its program's name, and no square."""
    text = (DEMOS / demo).read_text("utf-8")
    found = re.search(r"<svg[^>]*>", text)
    assert found is not None
    box = re.search(r'viewBox="([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+)"', found[0])
    assert box is not None
    left, top, width, height = map(float, box.groups())
    k = units / 25.4
    spaces = " ".join(re.findall(r'xmlns(?::\w+)?="[^"]*"', found[0]))
    size = root or f'width="{width * k:.3f}" height="{height * k:.3f}"'
    head = f'<svg {spaces} {size} viewBox="0 0 {width * k:.3f} {height * k:.3f}">'
    body = text[found.end() :].replace('"test square"', '"no place"')
    if leave_out:
        body = re.sub(rf'"\w+ {leave_out}"', '"nothing"', body)
    group = f'<g transform="scale({k}) translate({-left} {-top})">'
    path = folder / "drawing.svg"
    path.write_text(f"{head}{group}{body.replace('</svg>', '')}</g></svg>", "utf-8")
    return path


def refused(path: Path) -> str:
    with pytest.raises(svgfit.Refusal, match="says no real size") as caught:
        _ = svgfit.open_drawings(path, unit="mm").pieces
    return caught.value.line()


def warned(path: Path, scale: float | None) -> list[str]:
    return [each for each in svgfit.open_drawings(path, scale=scale, unit="mm").warnings if "with " in each]


def offered(line: str) -> list[float]:
    return [float(each) for each in re.findall(r"--scale ([\d.]+)", line)]


@pytest.mark.parametrize("units", [96, 72, 90, 300, 25.4])
def test_allowances_tell_the_scale_that_is_offered(tmp_path, units):
    line = refused(unstated(tmp_path, "smock.svg", units))
    assert offered(line) == [units]
    assert "for its seam allowances are then 15.9 mm and 25.4 mm (page 1300.0 mm x 914.0 mm, Sleeve" in line


@pytest.mark.parametrize(("units", "numbers"), [(96, [96, 72]), (72, [96, 72]), (25.4, [72, 25.4])])
def test_without_allowances_each_number_says_what_it_makes(tmp_path, units, numbers):
    line = refused(unstated(tmp_path, "smock.svg", units, leave_out="cut line"))
    assert offered(line) == numbers
    assert line.count("page ") == line.count("Sleeve ") == len(numbers)
    assert re.search(
        rf"--scale {units:g} \(page 1300.0 mm x 914.0 mm, Sleeve \d+.\d mm wide and \d+.\d mm high\)", line
    )


@pytest.mark.parametrize(
    ("size", "units", "sheet"),
    [("1123 794", 96, "a4"), ("2384 3370", 72, "a0"), ("612 792", 72, "letter"), ("816 1056", 96, "letter")],
)
def test_a_page_that_is_a_paper_tells(tmp_path, size, units, sheet):
    path = tmp_path / "drawing.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}"><g id="Gusset stitch line">'
        f'<path d="M9 9H{0.9 * float(size.split()[0])}V300H9Z"/></g></svg>',
        "utf-8",
    )
    line = refused(path)
    assert offered(line) == [units]
    assert f"for its page is then {sheet} " in line
    other = {96: 72, 72: 96}[units]
    assert any(f"with --scale {units} it would be {sheet}" in each for each in warned(path, other))
    assert not warned(path, units)


@pytest.mark.parametrize(("units", "wrong"), [(96, 72), (96, 90), (72, 96), (72, 90), (90, 96), (90, 72)])
def test_a_scale_against_the_allowances_is_told(tmp_path, units, wrong):
    path = unstated(tmp_path, "smock.svg", units)
    (warning,) = warned(path, wrong)
    assert "the seam allowances have no usual width" in warning
    assert re.search(rf"they would be .*with --scale {units} 15.9 mm and 25.4 mm", warning)
    assert not warned(path, units)


def test_a_scale_that_makes_no_garment_is_told_with_those_that_do(tmp_path):
    path = unstated(tmp_path, "smock.svg", 72, leave_out="cut line")
    (warning,) = warned(path, 300)
    assert "which no garment is; possible: --scale 96 (page" in warning
    assert offered(warning)[1:] == [96, 72]


def test_a_sleeve_longer_than_an_arm_is_told(tmp_path):
    """A PDF's points, which an editor drew as 96 an inch, taken for points: all is 4/3 too large."""
    path = unstated(tmp_path, "smock.svg", 96, leave_out="cut line")
    (warning,) = warned(path, 72)
    assert "Sleeve is 464.0 mm wide and 760.0 mm high, longer than an arm; possible: --scale 96 (page" in warning
    assert offered(warning)[1:] == [96]
    assert not warned(path, 96)
    assert "high, longer than an arm)" in refused(path)


def test_a_page_of_half_its_size_is_told(tmp_path):
    """As converters leave it that know nothing of a PDF's UserUnit 2."""
    half = 'width="650mm" height="457mm"'
    (warning,) = warned(unstated(tmp_path, "smock.svg", 72, half), None)
    assert "with its scale (width and height in mm) the seam allowances have no usual width" in warning
    assert "with --scale 72 15.9 mm and 25.4 mm" in warning
    (warning,) = warned(unstated(tmp_path, "smock.svg", 72, half, leave_out="cut line"), None)
    assert "as for a small child; if it is for someone larger, the drawing came at a part of its size" in warning


def test_a_page_of_its_own_size_is_not_doubted(tmp_path):
    assert not warned(unstated(tmp_path, "smock.svg", 72, 'width="1300mm" height="914mm"'), None)
    assert not warned(DEMOS / "smock.svg", None)
    assert not warned(DEMOS / "teaching-sleeve.svg", None)


def canvas(scale_from: str = "--scale 96") -> Canvas:
    return Canvas("a.svg", 25.4 / 96, scale_from, Affine(1, 0, 0, 1, 0, 0), 0, 0)


@pytest.mark.parametrize("widths", [(8.0, 16.0), (10.0,), (15.0, 40.0), (9.525, 31.75), (9.0, 11.0)])
def test_allowances_that_fit_nothing_better_are_not_doubted(widths):
    found = Clues((0, 0), (PieceExtent("Front", PieceKind.FRONT, 300, 700),), widths)
    assert doubts(canvas(), found, firm=False) == ()
    assert doubts(canvas("width and height in mm"), found, firm=True) == ()


def test_one_odd_allowance_is_no_reason_to_doubt_a_page_in_real_units():
    found = Clues((0, 0), (PieceExtent("Front", PieceKind.FRONT, 300, 700),), (7.9375,))
    assert doubts(canvas("width and height in mm"), found, firm=True) == ()
