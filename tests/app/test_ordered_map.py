"""Side by side, warnings and refusals come as they come in turn."""

import pytest

from svgfit.app.ordered_map import for_each
from svgfit.model.refusal import Refusal
from svgfit.plugin.registry import Registry


@pytest.fixture
def heard():
    """What the action gives for 0 … 7, the registry's warnings then, and the refusal, with so many processes."""

    def run(action, workers):
        registry = Registry(())
        registry.warn("said before")
        try:
            done = for_each(lambda k: action(k, registry), range(8), registry, workers=workers)
        except Refusal as refusal:
            return None, registry.warnings, refusal.line()
        return done, registry.warnings, None

    return run


def speaks(k, registry):
    registry.warn("of all")
    if k % 3 != 1:
        registry.warn(f"of {k}")
    registry.warn(f"of {k // 4} half")
    return k * k


def refuses(k, registry):
    registry.warn(f"of {k}")
    if k in (3, 5, 6):
        raise Refusal(f"piece {k}", "can't be told", "say it")
    return k


@pytest.mark.parametrize("workers", [2, 3])
@pytest.mark.parametrize("action", [speaks, refuses])
def test_as_in_turn(heard, action, workers):
    assert heard(action, workers) == heard(action, 1)


@pytest.mark.parametrize("workers", [1, 2])
def test_warnings_and_refusals(heard, workers):
    done, warnings, _ = heard(speaks, workers)
    assert [result for result, _ in done] == [k * k for k in range(8)]
    assert done[2][1] == ("of all", "of 2", "of 0 half")
    assert warnings[:5] == ("said before", "of all", "of 0", "of 0 half", "of 2")
    assert len(warnings) == len(set(warnings)) == 1 + 1 + 5 + 2
    _, warnings, refusal = heard(refuses, workers)
    assert refusal == "piece 3: can't be told; say it"
    assert warnings == ("said before", "of 0", "of 1", "of 2", "of 3")


@pytest.mark.parametrize("workers", [1, 2])
def test_a_refusal_keeps_its_cause(workers):
    def breaks(k):
        try:
            return 1 / (k - 5)
        except ZeroDivisionError as error:
            raise Refusal("here", "it broke") from error

    with pytest.raises(Refusal) as caught:
        for_each(breaks, range(8), Registry(()), workers=workers)
    assert isinstance(caught.value.__cause__, ZeroDivisionError)
