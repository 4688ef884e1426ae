"""Hypothesis draws the same examples on every run, so that a run says the same everywhere.

To look for new ones: ``python -m pytest --hypothesis-profile=look``; what it finds becomes a test of its own.

Tests stand in two tiers. ``python -m pytest`` leaves out what takes more than a second or so: tests marked ``slow``,
and of those marked ``slow_after(n)`` all cases but the first n. The rest is ``-m slow``, everything ``-m ""``.
"""

from __future__ import annotations

import pytest
from hypothesis import settings

settings.register_profile("fixed", derandomize=True, database=None)
settings.register_profile("look", derandomize=False, print_blob=True, max_examples=1000)
settings.load_profile("fixed")

collect_ignore = ["fuzz/fuzz_reader.py"]
"""Run by hand: it needs atheris."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Marks the cases behind the first n of each test marked ``slow_after(n)`` as slow."""
    seen: dict[str, int] = {}
    for item in items:
        if (mark := item.get_closest_marker("slow_after")) is not None:
            test = item.nodeid.partition("[")[0]
            seen[test] = seen.get(test, 0) + 1
            if seen[test] > mark.args[0]:
                item.add_marker(pytest.mark.slow)
