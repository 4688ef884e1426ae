"""A short run of ``whole_runs``: each kind of mutation once, and every command on it."""

import os
import signal

import pytest

from tests.fuzz import forked
from tests.fuzz.whole_runs import KINDS, ROOT, drawings, faults, made, try_one
from tests.hostile.running import run


@pytest.fixture(scope="module")
def plain():
    return drawings()


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_mutation_is_survived(plain, kind):
    for command, (ran, broken) in try_one(kind, 1, plain).items():
        assert not broken, (command, ran)


def test_a_kind_and_a_seed_make_one_drawing(plain):
    assert len(KINDS) == 19
    assert made("numbers", 1, plain) == made("numbers", 1, plain) != made("numbers", 2, plain)


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no forks")
@pytest.mark.parametrize("words", [("inspect", "smock.svg"), ("inspect", "none.svg"), ("walk", "smock.svg", "--slyle")])
def test_a_fork_says_what_a_process_of_its_own_says(words):
    command, name, *more = words
    path = ROOT / "demo_svgs" / name
    whole, fork = run(command, path, *more), forked.run(command, path, *more)
    assert (whole.status, whole.out, whole.err) == (fork.status, fork.out, fork.err)
    assert whole.err or whole.out


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no forks")
def test_a_fork_that_dies_is_told(monkeypatch):
    monkeypatch.setattr("svgfit.cli.main", lambda: os.kill(os.getpid(), signal.SIGKILL))
    ran = forked.run("inspect", ROOT / "demo_svgs" / "smock.svg")
    assert "status -9" in faults(ran, ROOT)  # a fork has all memory of the tests before it
