"""What an operation says fits both directions: widening and narrowing, raising and lowering, more ease and less."""

from __future__ import annotations

import re

import pytest

from svgfit.model.operation import Operation
from svgfit.plugin.abilities import ways_to
from svgfit.plugin.registry import Registry
from svgfit.plugin.sources import folder_sources, stock_folder

REGISTRY = Registry(folder_sources(stock_folder(), "stock"))
MORE = re.compile(r"\b(apart|opens?|out|outwards|wider|up|higher|fuller|longer|fan)\b")
LESS = re.compile(r"\b(towards|laps?|lapped|closes?|in|inwards|narrower|down|lower|higher|flatter|shorter|over)\b")


@pytest.mark.parametrize("operation", list(REGISTRY.operations()), ids=lambda one: one.name)
def test_words_that_fit_one_direction_have_others_for_the_other(operation: Operation) -> None:
    for reach in operation.reaches:
        if MORE.search(reach.does):
            assert reach.does_less, f"{operation.name}: {reach.does}"
            assert reach.does_less != reach.does
            assert LESS.search(reach.does_less), reach.does_less


def test_a_narrower_bicep_is_not_taught_as_a_wider_one() -> None:
    for way in ways_to(REGISTRY, "bicep width"):
        assert "apart" not in way.does(less=True)
        assert "open" not in way.does(less=True)
        assert way.does(less=True) != way.does(less=False)


@pytest.mark.parametrize("operation", list(REGISTRY.operations()), ids=lambda one: one.name)
def test_a_change_asked_below_nothing_is_said_as_what_it_is(operation: Operation) -> None:
    """A parameter that is a change has two forms of words: "widen … by {}", "narrow … by {}"."""
    changes = {reach.change for reach in operation.reaches if reach.change}
    changes |= {one.name for one in operation.parameters if one.kind == "length" and "negative" in one.meaning}
    for name in changes:
        asked = operation.instructions.asked.get(name)
        assert isinstance(asked, tuple), f"{operation.name} {name}: {asked}"
        assert asked[0] != asked[1]
