"""A short run of ``whole_runs``: each kind of mutation once, and every command on it."""

import pytest

from tests.fuzz.whole_runs import KINDS, drawings, made, try_one


@pytest.fixture(scope="module")
def plain():
    return drawings()


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_mutation_is_survived(plain, kind):
    for command, (ran, broken) in try_one(kind, 1, plain).items():
        assert not broken, (command, ran)


def test_a_kind_and_a_seed_make_one_drawing(plain):
    assert len(KINDS) == 19
    assert made("numbers", 1, plain) == made("numbers", 1, plain) != made("numbers", 2, plain)
