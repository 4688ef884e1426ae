"""Lengths as programs write them are read as what they are."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from svgfit.model.length import parse_length


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("8.254999999999999 mm", 8.254999999999999),
        ("1e1 mm", 10.0),
        ("1E-3 mm", 0.001),
        ("-2.5e+1 in", -635.0),
        ("0.30000000000000004 cm", 3.0000000000000004),
        ("1e-05mm", 1e-05),
    ],
)
def test_numbers_as_programs_write_them(text: str, mm: float) -> None:
    assert parse_length(text) == pytest.approx(mm, rel=1e-15)


@given(st.floats(-1e6, 1e6).filter(lambda mm: mm == 0 or abs(mm) > 1e-12))
def test_every_number_that_python_writes_is_read_back(mm: float) -> None:
    assert parse_length(f"{mm!r} mm") == pytest.approx(mm, rel=1e-15, abs=0)


@pytest.mark.parametrize(
    "text", ["1e mm", "e1 mm", "1e1.5 mm", "1e100 mm", "1 1/8e1 in", "12.5", "1e1", "nan mm", "inf mm"]
)
def test_other_texts_are_still_no_length(text: str) -> None:
    with pytest.raises(ValueError, match=r"is not a length|has no unit"):
        parse_length(text)
