"""A target for atheris: whatever bytes come in, the reader reads them or refuses them, and nothing else.

What is read must also keep the promises of ``tests/hostile/promises.py``: numbers that can be, bytes left alone.

atheris is no dependency of the package or of its tests: ``pip install atheris`` into an environment of its own, then
``python tests/fuzz/fuzz_reader.py CORPUS_FOLDER -max_total_time=300 -rss_limit_mb=1024 -timeout=10 -max_len=8192``,
with some drawings in the folder to begin with. What it finds goes, made small, into ``tests/hostile/inputs``, where the
tests read it ever after.
"""

from __future__ import annotations

import importlib
import os
import sys
import tempfile
from pathlib import Path
from random import Random

import atheris

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

with atheris.instrument_imports(include=["svgfit", "plugins"]):
    for each in sorted((ROOT / "svgfit" / "svg").glob("[a-z]*.py")):  # also what is imported only when needed
        importlib.import_module(f"svgfit.svg.{each.stem}")
    DIALECTS = tuple(
        dialect
        for each in sorted((ROOT / "plugins" / "dialects").glob("*.py"))
        for dialect in importlib.import_module(f"plugins.dialects.{each.stem}").svgfit_dialects()
    )

from tests.fuzz.mutating import mutated  # noqa: E402
from tests.hostile.promises import hold  # noqa: E402

FILE = Path(tempfile.mkdtemp()) / f"{os.getpid()}.svg"


def one_input(data: bytes) -> None:
    """One file, by its own scale or else by one given; anything but a drawing or a refusal in one line is a fault."""
    if not hold(data, FILE, DIALECTS, scale=None):
        hold(data, FILE, DIALECTS)


def change(data: bytes, longest: int, seed: int) -> bytes:
    """Another input made of one."""
    return mutated(data, longest, Random(seed), atheris.Mutate)[:longest]


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input, custom_mutator=change)
    atheris.Fuzz()
