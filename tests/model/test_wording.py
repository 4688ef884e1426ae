"""Wording: the nearest name is the one that difflib would give."""

from __future__ import annotations

from difflib import get_close_matches

from hypothesis import given
from hypothesis import strategies as st

from svgfit.model.wording import closest

words = st.text("slevhm ", max_size=7)


@given(words, st.lists(words, max_size=6), st.sampled_from([0.5, 0.6, 0.8, 1.0]))
def test_the_closest_name_is_difflibs(text: str, names: list[str], cutoff: float) -> None:
    assert closest(text, names, cutoff) == next(iter(get_close_matches(text, names, n=1, cutoff=cutoff)), None)
