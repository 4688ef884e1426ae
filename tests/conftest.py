"""Hypothesis draws the same examples on every run, so that a run says the same everywhere.

To look for new ones: ``python -m pytest --hypothesis-profile=look``; what it finds becomes a test of its own.
"""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("fixed", derandomize=True, database=None)
settings.register_profile("look", derandomize=False, print_blob=True, max_examples=1000)
settings.load_profile("fixed")

collect_ignore = ["fuzz/fuzz_reader.py"]
"""Run by hand: it needs atheris."""
