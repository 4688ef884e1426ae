"""What a black-and-white printer would lose, printed darker and wider: measured in the PDF."""

from __future__ import annotations

import colorsys

import pytest

from tests.render.pdf.printed import luminance
from tests.render.pdf.reading import MM

LIMIT, THINNEST = 0.3, 0.2  # judgement, no source; docs/handout.md says so


def drawn(page) -> list[dict]:
    """What is painted within the page's part of the drawing, in order; not what stands round it."""
    return [
        one for one in page.get_drawings(extended=True) if one.get("level", 0) > 0 and one["type"] in ("s", "f", "fs")
    ]


def seen(colour, alpha: float) -> float:
    return luminance([1 - (1 - part) * alpha for part in colour])


STROKES = {
    "pale yellow": 'stroke="#ffff99" stroke-width="1"',
    "named, by style": 'style="stroke:khaki;stroke-width:1"',
    "grey of a sheet": 'class="pale"',
    "faint": 'stroke="black" stroke-width="1" stroke-opacity="0.1"',
    "faint and coloured": 'stroke="rgb(0,200,255)" stroke-width="1" stroke-opacity="50%"',
    "currentColor": 'stroke="currentColor" color="lime" stroke-width="1"',
    "hair line": 'stroke="#000" stroke-width="0.02"',
    "hair line, pale": 'stroke="#ddd" stroke-width="0.05"',
    "hair line in a group made small": 'stroke="#222" stroke-width="0.4" transform="scale(0.25)"',
}


@pytest.mark.slow
@pytest.mark.parametrize("name", STROKES)
def test_a_pale_or_thin_line_is_printed_dark_and_wide_enough(name, drawing, handout) -> None:
    sheet = "<style>.pale{stroke:#cccccc;stroke-width:1} g > .pale{stroke-width:0.01}</style>"
    made = handout(drawing(f'{sheet}<g><path fill="none" d="M20 20 150 130" {STROKES[name]}/></g>'))
    page = next(page for page in made if page.get_label() == "A1")
    (line,) = drawn(page)
    assert seen(line["color"], line["stroke_opacity"]) <= LIMIT + 0.003
    assert line["width"] * MM >= THINNEST - 1e-3
    assert "1 of its lines and texts, too pale or too thin for a laser printer" in made.warned
    as_drawn = handout(
        drawing(f'{sheet}<g><path fill="none" d="M20 20 150 130" {STROKES[name]}/></g>'), "--colours", "as-drawn"
    )
    (line,) = drawn(next(page for page in as_drawn if page.get_label() == "A1"))
    assert seen(line["color"], line["stroke_opacity"]) > LIMIT + 0.05 or line["width"] * MM < THINNEST / 1.5
    assert "too pale" not in as_drawn.warned


@pytest.mark.parametrize("colour", ["#ffff00", "#ffd0d0", "#00ffff", "#7fffd4", "#e0c0ff"])
def test_the_hue_is_kept(colour, drawing, handout) -> None:
    made = handout(drawing(f'<path fill="none" stroke="{colour}" d="M20 20 150 130"/>'))
    (line,) = drawn(next(page for page in made if page.get_label() == "A1"))
    was = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]

    def hue(parts) -> float:
        return colorsys.rgb_to_hsv(
            *(((part + 0.055) / 1.055) ** 2.4 if part > 0.04045 else part / 12.92 for part in parts)
        )[0]

    assert hue(line["color"]) == pytest.approx(hue(was), abs=0.02)
    assert luminance(line["color"]) == pytest.approx(LIMIT, abs=0.01)  # no darker than it must be


def test_what_is_dark_and_wide_enough_white_or_a_highlighter_stays_as_drawn(drawing, handout) -> None:
    lines = {
        "#ff0000": ("#ff0000", 0.5),
        "#1b1b1b": ("#1b1b1b", 0.3),
        "#ffffff": ("#ffffff", 4.0),
        "#ffff00": ("#ffff00", 8.0),
    }
    inside = "".join(
        f'<path fill="none" stroke="{colour}" stroke-width="{width}" d="M20 {20 + 20 * k}H150"'
        f' stroke-opacity="{0.4 if width > 5 else 1}"/>'
        for k, (colour, width) in enumerate(lines.values())
    )
    pink = '<path d="M20 100h120v60h-120z" fill="#ffe0e0"/>'
    made = handout(drawing(inside + pink))
    assert "too pale" not in made.warned
    painted = drawn(next(page for page in made if page.get_label() == "A1"))
    assert len(painted) == 5
    for (colour, width), one in zip(lines.values(), painted, strict=False):
        assert one["color"] == pytest.approx([int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)], abs=0.01)
        assert one["width"] * MM == pytest.approx(width, abs=0.01)
    assert painted[-1]["fill"] == pytest.approx([1, 224 / 255, 224 / 255], abs=0.01)  # an area, not a line


def test_pale_writing_marks_and_arrowheads_are_printed_dark_too(drawing, handout) -> None:
    made = handout(
        drawing(
            '<defs><marker id="tip" markerWidth="4" markerHeight="4" refX="2" refY="2" orient="auto">'
            '<path d="M0 0 4 2 0 4z" fill="#ffcccc"/></marker></defs>'
            '<path d="M20 60H120" stroke="#ffcccc" stroke-width="1" fill="none" marker-end="url(#tip)"/>'
            '<circle cx="60" cy="90" r="1.5" fill="#dddddd"/>'
            '<g fill="#cccc00"><text x="20" y="30" font-size="9">pale <tspan fill="#cfe8ff">paler</tspan></text></g>'
        )
    )
    page = next(page for page in made if page.get_label() == "A1")
    paints = [paint for one in drawn(page) for paint in (one.get("color"), one.get("fill")) if paint]
    assert len(paints) == 3
    assert max(map(luminance, paints)) <= LIMIT + 0.003
    writing = {span["color"] for span in page.get_texttrace() if span["size"] > 20}
    assert len(writing) == 2
    assert max(map(luminance, writing)) <= LIMIT + 0.003


def test_a_line_shown_by_use_is_printed_dark_with_the_colour_of_where_it_is_used(drawing, handout) -> None:
    made = handout(
        drawing(
            '<defs><path id="a" fill="none" d="M20 20 150 130"/></defs><use href="#a" stroke="#ff0" stroke-width="1"/>'
        )
    )
    (line,) = drawn(next(page for page in made if page.get_label() == "A1"))
    assert luminance(line["color"]) <= LIMIT + 0.003
