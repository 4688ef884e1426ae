"""The table of layers shows the raw id beside the name that a person sees."""

import json

import pytest
from click.testing import CliRunner

from tests.plugins.test_dialects import FILES


def test_inspect_shows_name_id_and_state():
    from svgfit.cli.inspect import command

    found = CliRunner().invoke(command, [str(FILES / "illustrator_save.svg"), "--scale", "25.4"])
    line = next(line for line in found.output.splitlines() if "a/b_c" in line)
    assert "a_x2F_b_x5F_c" in line
    assert "hidden" in line
    locked = next(line for line in found.output.splitlines() if "test_square" in line)
    assert "locked" in locked
    assert "hidden" not in locked


def test_inspect_shows_how_wide_and_high_a_layer_is(tmp_path):
    """The bow's handles are 40 mm up and the curve three quarters of that (a cubic's middle: p0/8 + 3p1/8 + …)."""
    from svgfit.cli.inspect import command

    layers = {
        "bow": '<path d="M10 50 C10 10 70 10 70 50"/>',
        "two": '<path d="M0 0 H20"/><rect x="90" y="70" width="10" height="5"/>',
        "words": '<text x="5" y="5">none</text>',
    }
    body = "".join(f'<g id="{name}">{lines}</g>' for name, lines in layers.items())
    file = tmp_path / "a.svg"
    root = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">'
    outline = '<g id="Square stitch line"><rect x="20" y="20" width="50.8" height="25.4"/></g>'
    file.write_text(f"{root}{body}{outline}</svg>", encoding="utf-8")
    found = json.loads(CliRunner().invoke(command, [str(file), "--json"]).output)
    extents = {layer["name"]: layer["extent"] for layer in found["layers"]}
    assert extents["bow"] == pytest.approx({"left": 10, "top": 20, "width": 60, "height": 30}, abs=1e-6)
    assert extents["two"] == pytest.approx({"left": 0, "top": 0, "width": 100, "height": 75}, abs=1e-6)
    assert extents["words"] is None
    told = CliRunner().invoke(command, [str(file), "--unit", "in"]).output
    assert any(line.endswith("  2 x 1 in") for line in told.splitlines())
    assert "2 x 1 in (wide x high)" in told
    assert "50.8 x 25.4 mm" in CliRunner().invoke(command, [str(file), "--unit", "mm"]).output
