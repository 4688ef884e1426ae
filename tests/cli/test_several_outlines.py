"""Ten sizes on one layer, told apart only by their dashes: what measures or alters refuses, with a list."""

from __future__ import annotations

import pytest

from tests.pattern import nests


@pytest.fixture
def flat(tmp_path):
    pieces = nests.nest(names=("Sleeve",))
    lines = [nests.path(one.outline, nests.dashed(k)) for k, one in enumerate(pieces)]
    path = tmp_path / "flat.svg"
    path.write_text(nests.sheet(nests.layer("Sleeve stitch line", lines)))
    return path


COMMANDS = {
    "measure": ("measure",),
    "check": ("check",),
    "walk": ("walk",),
    "adjust": ("adjust", "--do", "cap-raise amount=10mm"),
}


@pytest.mark.parametrize("name", COMMANDS)
def test_no_command_takes_one_of_ten_sizes(refused, flat, tmp_path, name):
    command, *more = COMMANDS[name]
    output = () if command in ("measure", "check", "walk") else ("-o", str(tmp_path / "out.svg"))
    line = refused(command, str(flat), *more, *output)
    assert "10 outlines of like size" in line
    assert "dash 9 2 1 1 1 2" in line
    assert list(tmp_path.iterdir()) == [flat]


def test_inspect_lists_the_lines_as_a_convention_has_them(svgfit, flat):
    done = svgfit("inspect", str(flat))
    assert done.status == 2
    assert "outlines on Sleeve stitch line, the smallest first" in done.out
    for dash in nests.DASHES:
        assert f"\n{dash.replace(',', ' ') or 'solid'} " in done.out
    samples = ", ".join(
        f'{size} = "{dash.replace(",", " ") or "solid"}"' for size, dash in zip(nests.SIZES, nests.DASHES, strict=True)
    )
    (flat.parent / "svgfit.toml").write_text(f'[sizes]\nby = "dash"\nsamples = {{ {samples} }}\n')
    done = svgfit("inspect", str(flat))
    assert done.status == 0
    assert "not told" not in done.out
    assert "Sleeve (24) (" in done.out
