"""svgfit in forks of a process that has it loaded: as ``tests.hostile.running.run``, but Python starts only once."""

from __future__ import annotations

import gc
import os
import pkgutil
import signal
import sys
import tempfile
import time
from importlib import import_module
from pathlib import Path

import svgfit
from tests.hostile.running import ENDLESS, PATIENCE, Ran

_MOST = 100_000
"""Bytes of an answer that are kept."""


def load() -> None:
    """Import all of svgfit, so that every fork has it."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for module in pkgutil.walk_packages(svgfit.__path__, "svgfit."):
        if not module.name.endswith("__main__"):
            import_module(module.name)
    gc.freeze()


def run(command: str, path: Path, *more: str) -> Ran:
    """``svgfit COMMAND PATH`` in a fork; its seconds and bytes are those of the fork and of what it started."""
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        sys.stdout.flush()
        child = os.fork()
        if not child:
            _as_whole_process([command, str(path), *more], out.fileno(), err.fileno())
        status, seconds, kilobytes = _ended(child)
        said, complained = (os.pread(each.fileno(), _MOST, 0).decode(errors="replace") for each in (out, err))
    return Ran(status, said, complained, seconds, kilobytes)


def _as_whole_process(arguments: list[str], out: int, err: int) -> None:
    """Be ``python -m svgfit`` in all but the imports, and end."""
    from svgfit.cli import main

    status = 70  # what is left where the fork ends in another way
    try:
        os.setsid()
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        os.dup2(out, 1)
        os.dup2(err, 2)
        sys.stdout = os.fdopen(1, "w", encoding="utf-8", closefd=False)
        sys.stderr = os.fdopen(2, "w", encoding="utf-8", errors="backslashreplace", closefd=False)
        sys.argv = ["svgfit", *arguments]
        status = main()
        sys.stdout.flush()
    finally:
        fault = sys.exc_info()
        if fault[0] is not None:
            sys.excepthook(*fault)
        sys.stderr.flush()
        os._exit(status)


def _ended(child: int) -> tuple[int, float, int]:
    """Wait for a fork: its status, seconds and kilobytes. One that goes on too long is ended with all it started."""
    last = time.monotonic() + PATIENCE
    pause = 0.002
    while time.monotonic() < last:
        found, status, used = os.wait4(child, os.WNOHANG)
        if found:
            per = 1024 if sys.platform == "darwin" else 1
            return os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime, used.ru_maxrss // per
        time.sleep(pause)
        pause = min(0.05, pause * 1.5)
    os.killpg(child, signal.SIGKILL)
    os.wait4(child, 0)
    return ENDLESS, PATIENCE, 0
