"""What the tests of advice share: a body that the smock fits, and what to look for in a finding."""

from __future__ import annotations

from pathlib import Path

import pytest

from svgfit.model.advice import Advice, Finding
from svgfit.model.plan import Plan

IN = 25.4
SMOCK = str(Path(__file__).parents[2] / "demo_svgs" / "smock.svg")
ORDER = ["armhole depth", "shoulder", "bicep", "cap height", "cap ease", "pitch"]
FITS = {
    "shoulder length": 138.0,
    "armhole depth": 201.3 - 25.0,
    "upper arm girth": 348.0 - 60.0,
    "shoulder tip to bicep line": 140.0 - 8.0,
}
"""A body that the smock fits: its own figures (shoulder 138, armhole 201.3, bicep 348, cap 140), less ease."""


def of(advice: Advice, topic: str) -> Finding:
    return next(finding for finding in advice.findings if finding.topic == topic)


def statuses(advice: Advice) -> dict[str, str]:
    return {finding.topic: finding.status for finding in advice.findings}


def loaded(session, *names):
    if not set(names) <= set(session.registry.operation_names()):
        pytest.skip(f"needs {', '.join(names)}")


def write(tmp_path, text) -> Plan:
    path = tmp_path / "plan.toml"
    path.write_text(text, encoding="utf-8")
    return Plan.read(str(path))
