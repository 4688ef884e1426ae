from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

DEMOS = Path(__file__).parents[2] / "demo_svgs"


class Done(NamedTuple):
    status: int
    out: str
    err: str


@pytest.fixture
def svgfit(capsys) -> Callable[..., Done]:
    """Runs the command line in this process."""
    from svgfit.cli import main

    def run(*arguments: str) -> Done:
        capsys.readouterr()
        status = main([str(argument) for argument in arguments])
        return Done(status, *capsys.readouterr())

    return run


@pytest.fixture
def refused(svgfit) -> Callable[..., str]:
    """Runs the command line, and holds the promise of a refusal: one line on stderr, status 2, nothing on stdout."""

    def run(*arguments: str) -> str:
        done = svgfit(*arguments)
        lines = [line for line in done.err.splitlines() if not line.startswith("svgfit: warning:")]
        assert done.status == 2, done
        assert done.out == ""
        assert len(lines) == 1
        assert lines[0].startswith("svgfit: ")
        return lines[0]

    return run


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    """A folder with the demo's drawings, made the current one."""
    for name in os.listdir(DEMOS):
        if name.endswith((".svg", ".toml")):
            shutil.copy(DEMOS / name, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    return tmp_path
