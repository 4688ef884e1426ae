"""Line styles by attribute, ``style``, style sheet, inheritance and ``use``, in millimetres."""

import pytest

from svgfit.model.drawing import LineStyle
from svgfit.svg import read_drawing

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 {box} {box}">'
RED = LineStyle("#ff0000", 0.5, (3.0, 1.5))
DRAWN = {
    "attributes": '<path d="M0,0 L9,0" stroke="red" stroke-width=".5" stroke-dasharray="3 1.5" fill="none"/>',
    "style": '<path d="M0,0 L9,0" style="stroke:#F00;stroke-width:.5;stroke-dasharray:3,1.5;fill:none"/>',
    "style before attribute": (
        '<path d="M0,0 L9,0" stroke="blue" style="stroke:rgb(255,0,0);stroke-width:.5" stroke-dasharray="3,1.5" '
        'stroke-width="7" fill="none"/>'
    ),
    "inherited": (
        '<g stroke="#f00" fill="none"><g stroke-width=".5" style="stroke-dasharray:3 1.5"><path d="M0,0 L9,0"/></g></g>'
    ),
    "sheet": (
        "<style>.a{fill:none;stroke:#FF0000}.b{stroke-width:.5;stroke-dasharray:3,1.5}</style>"
        '<path class="a b" d="M0,0 L9,0"/>'
    ),
    "current colour": (
        '<g color="red"><path d="M0,0 L9,0" stroke="currentColor" stroke-width=".5" stroke-dasharray="3 1.5" '
        'fill="none"/></g>'
    ),
    "scaled": (
        '<g transform="scale(.5)"><path d="M0,0 L9,0" stroke="red" stroke-width="1" stroke-dasharray="6 3" '
        'fill="none"/></g>'
    ),
    "used": (
        '<defs><path id="p" d="M0,0 L9,0"/></defs><use href="#p" stroke="red" stroke-width=".5" '
        'stroke-dasharray="3 1.5" fill="none"/>'
    ),
}


def style_of(tmp_path, content, box=100):
    path = tmp_path / "a.svg"
    path.write_text(HEAD.format(box=box) + content + "</svg>")
    (shape,) = (shape for layer in read_drawing(path, dialects=()).layers for shape in layer.shapes)
    return shape.style


@pytest.mark.parametrize("manner", DRAWN)
def test_the_same_line_however_it_is_said(tmp_path, manner):
    assert style_of(tmp_path, DRAWN[manner]) == RED


def test_user_units_are_taken_to_mm(tmp_path):
    assert style_of(tmp_path, DRAWN["style"], box=200) == LineStyle("#ff0000", 0.25, (1.5, 0.75))


def test_an_odd_row_of_dashes_is_gone_through_twice(tmp_path):
    line = '<path d="M0,0 L9,0" style="stroke:#000;stroke-dasharray:3;fill:none"/>'
    assert style_of(tmp_path, line).dash == (3.0, 3.0)


def test_what_is_only_filled_has_no_line(tmp_path):
    assert style_of(tmp_path, '<path d="M0,0 L9,0 L9,9 Z"/>') == LineStyle(filled=True)
    assert style_of(tmp_path, '<path d="M0,0 L9,0" fill="none" stroke="none"/>') == LineStyle()
