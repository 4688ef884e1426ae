"""Runs svgfit on a file in a process of its own and says what that took."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
SECONDS, KILOBYTES = 10, 1_000_000
PATIENCE = 120
"""Seconds by the clock after which a run is ended."""
ENDLESS = 99
"""The status that one gets then."""


@dataclass(frozen=True)
class Ran:
    status: int
    out: str
    err: str
    seconds: float
    kilobytes: int


_CHILD = """
import resource, subprocess, sys
done = subprocess.run(sys.argv[1:], capture_output=True)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
sys.stdout.buffer.write(done.stdout[:100_000])
sys.stderr.buffer.write(done.stderr[-100_000:])
print(f"\\n@ {done.returncode} {used.ru_utime + used.ru_stime} {used.ru_maxrss}")
"""


def run(command: str, path: Path, *more: str) -> Ran:
    """``svgfit COMMAND PATH``; processor seconds, so that a busy machine does not count."""
    whole = [sys.executable, "-c", _CHILD, sys.executable, "-m", "svgfit", command, str(path), *more]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        whole, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment, start_new_session=True
    ) as process:
        try:
            said, err = process.communicate(timeout=PATIENCE)
        except subprocess.TimeoutExpired:
            if sys.platform != "win32":
                os.killpg(process.pid, signal.SIGKILL)
            process.kill()
            process.communicate()
            return Ran(ENDLESS, "", f"was ended after {PATIENCE} s", PATIENCE, 0)
    out, _, figures = said.rpartition("\n@ ")
    status, seconds, kilobytes = figures.split()
    per = 1024 if sys.platform == "darwin" else 1
    return Ran(int(status), out, err, float(seconds), int(kilobytes) // per)


def held(ran: Ran, within: float = SECONDS, *, listed: bool = False) -> bool:
    """Read or refused in one line, in time and memory; ``listed``: after the layers, which may have been told then."""
    assert ran.status in (0, 1, 2), ran
    assert "Traceback" not in ran.err
    assert ran.seconds < within
    assert ran.kilobytes < KILOBYTES
    if ran.status == 2:
        told = [line for line in ran.err.splitlines() if line.startswith("svgfit: ")]
        lines = [line for line in told if not line.startswith("svgfit: warning: ")]
        assert len(lines) == 1
        assert listed or not ran.out.strip()
    return True


__all__ = ["Ran", "held", "run"]
