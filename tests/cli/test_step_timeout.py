"""A plug-in that does not come back ends the program, which says which and where; and svgfit without plug-ins."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.plugin.border_plugins import measurer, operation

LOOPS = "while True:\n    pass"
SLEEPS = "import time\ntime.sleep(60)"
SEARCHES = "import re\nre.match('(a+)+$', 'a' * 64 + 'b')"


def run(here: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "svgfit", *arguments]
    return subprocess.run(command, cwd=here, capture_output=True, text=True, timeout=50, check=False)


def add(here: Path, name: str, text: str) -> None:
    (here / "mine").mkdir(exist_ok=True)
    (here / "mine" / f"{name}.py").write_text(text, encoding="utf-8")


@pytest.mark.parametrize("body", [LOOPS, SLEEPS, SEARCHES], ids=["loops", "sleeps", "searches"])
def test_a_step_that_hangs_ends_the_program_and_is_named(body: str, here: Path) -> None:
    add(here, "hang", operation("hang", body))
    place = ("--plugins", "mine", "--do", "hang", "-o", "out.svg", "--step-timeout", "0.5")
    done = run(here, "adjust", "smock.svg", *place)
    assert done.returncode == 2
    assert done.stdout == ""
    (line,) = done.stderr.splitlines()
    assert line.startswith("svgfit: --do 1: hang: plug-in hang (mine")
    assert "did not come back within 0.5 s (line " in line
    assert not (here / "out.svg").exists()


@pytest.mark.skipif(not hasattr(os, "posix_spawn"), reason="there no other process watches")
@pytest.mark.parametrize(
    "body",
    [
        "import itertools\nsum(itertools.repeat(1))",
        pytest.param("import numpy\nnumpy.ones(10**7, dtype=object).cumprod().repeat(50)", marks=pytest.mark.slow),
    ],
    ids=["sums", "numpy objects"],
)
def test_a_step_that_hangs_in_c_code_that_never_gives_way_is_ended_and_named_too(body: str, here: Path) -> None:
    add(here, "hang", operation("hang", body))
    place = ("--plugins", "mine", "--do", "hang", "-o", "out.svg", "--step-timeout", "0.5")
    done = run(here, "adjust", "smock.svg", *place)
    # Where it gives way now and then the watchdog in the process may come first.
    inside = done.returncode == 2
    assert inside or done.returncode == -signal.SIGKILL
    assert done.stdout == ""
    (line,) = done.stderr.splitlines()
    assert line.startswith("svgfit: --do 1: hang: plug-in hang (mine")
    assert f"did not come back within 0.5 s{' (line' if inside else '; nothing is written'}" in line
    assert not list(here.glob("out.svg*"))


def test_the_second_clock_ends_with_the_program(here: Path) -> None:
    """Its own end of stdout is closed, so that a reader behind a pipe waits for nothing; and it is gone soon."""
    add(here, "fine", operation("fine", "return Outcome(job.pieces)"))
    done = run(here, "adjust", "smock.svg", "--plugins", "mine", "--do", "fine", "-o", "out.svg")
    assert done.returncode == 0


@pytest.mark.slow
def test_a_step_that_hangs_in_one_of_several_processes_ends_all(here: Path) -> None:
    add(here, "hang", operation("hang", LOOPS))
    place = ("--plugins", "mine", "--do", "hang piece=Sleeve", "-o", "out.svg", "--step-timeout", "1")
    done = run(here, "adjust", "smock-sizes.svg", *place)
    assert done.returncode == 2
    assert all("plug-in hang (mine" in line for line in done.stderr.splitlines())
    assert not (here / "out.svg").exists()


def test_a_measurer_and_a_file_that_hang_are_named_too(here: Path) -> None:
    add(here, "measure_wear", measurer("wear", LOOPS))
    done = run(here, "measure", "smock.svg", "--plugins", "mine", "--step-timeout", "0.5")
    assert done.returncode == 2
    assert "svgfit: plug-in measure-wear (mine" in done.stderr
    add(here, "measure_wear", "while True: pass")
    done = run(here, "measure", "smock.svg", "--plugins", "mine", "--step-timeout", "0.5")
    assert done.returncode == 2
    assert "svgfit: plug-in measure-wear (mine" in done.stderr


def test_a_step_in_time_leaves_no_clock_behind(here: Path, svgfit) -> None:
    import signal
    import threading

    before = signal.getsignal(signal.SIGALRM) if hasattr(signal, "SIGALRM") else None
    assert svgfit("adjust", "smock.svg", "--do", "cap-raise amount='1/4 in'", "--dry-run").status == 0
    assert threading.active_count() == 1
    if hasattr(signal, "SIGALRM"):
        assert signal.getsignal(signal.SIGALRM) == before
        assert signal.getitimer(signal.ITIMER_REAL)[0] == 0


@pytest.mark.parametrize("given", ["soon", "-1", "nan", "1e9"])
def test_what_is_no_time_is_refused(given: str, here: Path, refused) -> None:
    line = refused("measure", "smock.svg", "--step-timeout", given)
    assert "is not a number of seconds" in line


def test_no_plugins_leaves_only_svgfits_own(here: Path, svgfit, refused) -> None:
    add(here, "measure_wear", measurer("wear", 'yield Measurement("wear", 1.0)'))
    toml = (here / "svgfit.toml").read_text(encoding="utf-8")
    (here / "mine.toml").write_text(f'plugins = "mine"\n{toml}', encoding="utf-8")
    assert "wear" in svgfit("measure", "smock.svg", "--convention", "mine.toml").out
    done = svgfit("measure", "smock.svg", "--convention", "mine.toml", "--no-plugins")
    assert done.status == 0
    assert "wear" not in done.out
    assert "cap height" in done.out
    assert "exclude each other" in refused("measure", "smock.svg", "--plugins", "mine", "--no-plugins")
