"""A target for atheris: whatever bytes come in, the reader reads them or refuses them, and nothing else.

atheris is no dependency of the package or of its tests: ``pip install atheris`` into an environment of its own, then
``python tests/fuzz/fuzz_reader.py CORPUS_FOLDER -max_total_time=300``, with some drawings in the folder to begin with.
What it finds goes, made small, into ``tests/hostile/inputs``, where the tests read it ever after.
"""

from __future__ import annotations

import importlib.util
import os
import sys
import tempfile
from pathlib import Path

import atheris

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

with atheris.instrument_imports(include=["svgfit"]):
    from svgfit.drawing.reader import read_drawing
    from svgfit.drawing.splicing import splice
    from svgfit.model.refusal import Refusal


def _dialects():
    found = []
    for path in sorted((ROOT / "plugins").glob("dialect_*.py")):
        spec = importlib.util.spec_from_file_location(path.stem, path)
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        found += module.svgfit_dialects()
    return tuple(found)


DIALECTS = _dialects()
FILE = Path(tempfile.mkdtemp()) / f"{os.getpid()}.svg"


def one_input(data: bytes) -> None:
    """Read one file; anything but a drawing or a refusal of one line is a fault."""
    FILE.write_bytes(data)
    for scale in (None, 96.0):
        try:
            drawing = read_drawing(FILE, scale=scale, dialects=DIALECTS)
        except Refusal as refusal:
            assert "\n" not in refusal.line()  # noqa: PT017
            continue
        if not drawing.own and not drawing.source.gz:
            assert splice(drawing, []) == data


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
