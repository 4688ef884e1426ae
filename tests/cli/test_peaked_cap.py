"""A cap drawn as two straight lines to a peak, through the whole program: half width 7 in, height 6 in.

The lengths are those of right-angled triangles (common practice, no source).
"""

from __future__ import annotations

import json
import math

import pytest

PEAK = """<svg xmlns="http://www.w3.org/2000/svg" width="20in" height="30in" viewBox="0 0 20 30">
<g id="Sleeve_stitch_line"><path d="M 3,8 L 10,2 L 17,8 L 15,26 L 5,26 Z"/></g>
<g id="Sleeve_grain"><path d="M10 6V20"/></g></svg>"""
INCH = 25.4


def test_a_level_slash_keeps_straight_sides_straight_and_gains_less_than_twice_the_raise(svgfit, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "peak.svg").write_text(PEAK)
    (tmp_path / "svgfit.toml").write_text('[pieces.Sleeve]\nfront = "right"\n')
    step = "cap-raise amount='1/2 in' at='3 in'"
    done = svgfit("adjust", "peak.svg", "--do", step, "-o", "out.svg", "--report", "r.json")
    assert done.status == 0, done.err
    report = json.loads((tmp_path / "r.json").read_text())
    rows = {row["name"]: row for row in report["pieces"][0]["measurements"]}
    assert rows["cap height"]["before"] == pytest.approx(6 * INCH, abs=1e-6)
    assert rows["cap height"]["after"] == pytest.approx(6.5 * INCH, abs=1e-6)
    before, after = rows["cap length"]["before"], rows["cap length"]["after"]
    assert before == pytest.approx(2 * math.hypot(7, 6) * INCH, abs=1e-6)
    assert after == pytest.approx(2 * math.hypot(7, 6.5) * INCH, abs=1e-6)
    assert after < before + INCH
