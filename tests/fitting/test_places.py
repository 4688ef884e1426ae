"""Places as a person writes them. Lengths by plain trigonometry; the words are svgfit's own."""

from __future__ import annotations

import pytest

from svgfit.fitting.places import edge_at, find_place, on_outline
from svgfit.fitting.sewn import sewn_length
from svgfit.geometry.affine import Affine
from svgfit.model.operation import replace
from svgfit.testing.garments import bodices, sleeve


def test_a_place_is_found_by_landmark_edge_notch_point_and_steps_from_there() -> None:
    piece = sleeve()
    underarm = piece.landmark("underarm front")
    assert find_place(piece, "Underarm front").at == underarm
    along = find_place(piece, "underarm front 4 in").at
    assert abs(along - underarm) == pytest.approx(101.6, abs=1e-6)
    whole = sewn_length(piece, "underarm front")
    assert find_place(piece, f"underarm front {whole} mm").at == pytest.approx(piece.landmark("hem front"))
    assert abs(find_place(piece, "underarm front 1 in from hem front").at - piece.landmark("hem front")) == (
        pytest.approx(25.4)
    )
    middle = find_place(piece, "hem middle")
    assert (middle.at, middle.edge) == (find_place(piece, "hem 50 %").at, "hem")
    assert find_place(piece, "cap top, 8 in down, 1 in left").at == piece.landmark("cap top") - 25.4 + 203.2j
    one, two = (find_place(piece, text).at for text in ("cap notch 1", "cap notch 2"))
    assert next(mark.at for mark in piece.notches("cap")) in (one, two)
    assert one.real > two.real  # counted from the front
    page = piece.placement.apply(underarm)
    assert find_place(piece, f"point {page.real} mm, {page.imag} mm").at == pytest.approx(underarm)
    assert edge_at(piece, along) == ("underarm front", pytest.approx(101.6))
    assert piece.outline().point(on_outline(piece, find_place(piece, "hem middle"))) == pytest.approx(middle.at)


def test_left_is_left_as_the_drawing_is_looked_at() -> None:
    piece = sleeve()
    mirrored = replace(piece, placement=Affine.scale(-1.0, 1.0).then(piece.placement))
    for one in (piece, mirrored):
        step = find_place(one, "cap top, 1 in left").at - one.landmark("cap top")
        assert one.placement.apply_vector(step).real == pytest.approx(-25.4)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("side seem 4 in", "did you mean side seam"),
        ("side seam", "where along it"),
        ("side seam 90 in", "is no place on it"),
        ("side seam 4 in from neck point", "its ends are"),
        ("side seam notch 3", "notch"),
        ("side seam dart", "no dart"),
        ("underarm, 8 in", "which way"),
        ("underarm, 8 down", "write"),
        ("point 3", "has no"),
        ("", "has no"),
        ("side seam x %", "x %"),
    ],
)
def test_what_can_not_be_found_is_said_with_what_to_write(text: str, said: str) -> None:
    front, _ = bodices()
    with pytest.raises(ValueError, match=said):
        find_place(front, text)


def test_a_place_off_the_outline_is_none_to_cut_at() -> None:
    front, _ = bodices()
    with pytest.raises(ValueError, match="off the stitch line"):
        on_outline(front, find_place(front, "underarm, 1 in right, 1 in down"))
