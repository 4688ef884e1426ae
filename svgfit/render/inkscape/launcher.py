"""The one script that every dialog calls: it starts the Python in which svgfit is installed.

The vector program runs it with a Python of its own, whichever that is, so it is written for any Python 3 and uses
nothing but the standard library; and it hides its surroundings (``-E -P``) from svgfit's Python, since the program puts
folders of its own into PYTHONPATH.
"""

from __future__ import annotations

from msgspec import Struct

from svgfit.render.inkscape.inx import MARK

LAUNCHER = "svgfit_launcher.py"


class Start(Struct, frozen=True):
    """How svgfit is started."""

    python: str
    """Path of the Python in which it is installed."""
    folder: str
    """The folder that holds the package."""
    options: tuple[str, ...] = ()
    """What every call is given beside: which plug-ins, and how long they may take."""


def launcher(start: Start) -> str:
    """Write the script's text, ASCII, for the given Python."""
    return (
        _TEXT.replace("@MARK@", MARK)
        .replace("@PYTHON@", ascii(start.python))
        .replace("@FOLDER@", ascii(start.folder))
        .replace("@OPTIONS@", ascii(list(start.options)))
    )


_TEXT = '''# @MARK@, which writes it again each time; its option --remove takes it out again
"""Starts svgfit for a dialog: the new drawing goes to stdout, and what was refused as one line to stderr."""

import os
import subprocess
import sys

PYTHON = @PYTHON@
FOLDER = @FOLDER@
OPTIONS = @OPTIONS@
CALL = (
    "import sys; folder = sys.argv.pop(1); folder in sys.path or sys.path.insert(0, folder); "
    "from svgfit.cli import main; sys.argv.insert(1, 'editor-menu'); sys.exit(main())"
)


def call():
    if not os.path.isfile(PYTHON):
        return 2, b"", "is not there any more"
    command = [PYTHON, "-E", "-P", "-X", "utf8", "-W", "ignore", "-c", CALL, FOLDER]
    command += OPTIONS + ["--call", "--"] + sys.argv[1:]
    hidden = getattr(subprocess, "CREATE_NO_WINDOW", 0)
    try:
        started = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, creationflags=hidden
        )
    except OSError as fault:
        return 2, b"", "can't be started (%s)" % (fault.strerror or fault)
    drawing, told = started.communicate()
    if started.returncode and not told.startswith(b"svgfit: "):
        lines = told.decode("utf-8", "replace").strip().splitlines()
        return 2, b"", "can't run svgfit (%s)" % (lines[-1] if lines else "it ended by itself")
    sys.stderr.buffer.write(told)
    return started.returncode, drawing, ""


status, drawing, fault = call()
if fault:
    line = "svgfit: %s: %s; run svgfit editor-menu again\\n" % (PYTHON, fault)
    sys.stderr.buffer.write(line.encode("utf-8", "replace"))
sys.stdout.buffer.write(drawing)
sys.stdout.flush()
sys.exit(status)
'''
