"""The table of layers shows the raw id beside the name that a person sees."""

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
