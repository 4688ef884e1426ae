"""``svgfit convention``: proposed, tried, kept by a maker's name, found again."""

from __future__ import annotations

import struct

import pytest

LABEL = 'inkscape:groupmode="layer" inkscape:label'
HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    'width="1300mm" height="914mm" viewBox="0 0 1300 914">'
)


@pytest.fixture
def home(monkeypatch, tmp_path, here):
    """Be somebody with an empty configuration directory, and no convention beside the drawings."""
    (here / "svgfit.toml").unlink()
    for name in ("HOME", "XDG_CONFIG_HOME", "APPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def unnamed(here, home):
    """Draw the smock with layers whose names say nothing."""
    text = (here / "smock.svg").read_text(encoding="utf-8")
    for old, new in (("cut line", "one"), ("stitch line", "two"), ("notches", "three")):
        text = text.replace(f'label="Front {old}"', f'label="Front {new}"')
    path = here / "unnamed.svg"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_proposal_reads_what_it_was_made_from(svgfit, here, unnamed):
    status, out, _ = svgfit("convention", "unnamed.svg", "-o", "made.toml", "--picture", "lines.png")
    assert status == 0
    assert "with it 3 pieces are read" in out
    assert "guessed from the shape of their lines: 3 of 19 layers" in out
    data = (here / "lines.png").read_bytes()
    assert struct.unpack(">I", data[16:20])[0] == 1600
    status, seen, _ = svgfit("inspect", "unnamed.svg", "--convention", "made.toml")
    assert status == 0
    assert "Front (front)" in seen


def test_without_an_output_the_proposal_is_a_file_that_can_be_piped(svgfit, here, unnamed):
    status, out, _ = svgfit("convention", "unnamed.svg")
    assert status == 0
    (here / "piped.toml").write_text(out, encoding="utf-8")
    assert svgfit("inspect", "unnamed.svg", "--convention", "piped.toml")[0] == 0


def test_a_maker_is_kept_and_found_again(svgfit, here, home, unnamed):
    status, out, _ = svgfit("convention", "unnamed.svg", "--keep", "Hill & Dale", "-o", "made.toml")
    assert status == 0
    assert "Hill & Dale" in out
    (here / "again.svg").write_bytes(unnamed.read_bytes().replace(b"<svg", b"<!-- again --><svg", 1))
    status, out, _ = svgfit("convention", "again.svg")
    assert "the layers are those of Hill & Dale" in out
    assert (
        svgfit("inspect", "again.svg", "--maker", "hill & dale")[:2]
        == svgfit("inspect", "again.svg", "--convention", "made.toml")[:2]
    )
    status, out, _ = svgfit("convention", "smock.svg")
    assert "Hill & Dale" not in out


def test_a_kept_one_is_not_replaced_unasked(refused, svgfit, here, home, unnamed):
    svgfit("convention", "unnamed.svg", "--keep", "Hill")
    assert "exists already" in refused("convention", "unnamed.svg", "--keep", "Hill")
    assert svgfit("convention", "unnamed.svg", "--keep", "Hill", "--force")[0] == 0


def test_where_it_cannot_be_kept_nothing_is_written(refused, here, home, unnamed):
    home.parent.mkdir(exist_ok=True)
    home.write_text("no folder")
    assert "can't be made" in refused("convention", "unnamed.svg", "--keep", "Hill", "-o", "made.toml")
    assert not (here / "made.toml").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--maker", "Hil"), "no convention is kept for 'Hil'; svgfit convention FILE --keep"),
        (("--keep", "../x"), "is no name"),
        (("--keep", ".hidden"), "is no name"),
        (("-o", "unnamed.svg"), "is one of the files read"),
        (("--picture", "x.jpg"), "pictures are PNG"),
        (("--maker", "Hill", "--convention", "x.toml"), "exclude each other"),
    ],
)
def test_slips(refused, here, home, unnamed, words, said):
    assert said in refused("convention", "unnamed.svg", *words)


def test_a_near_name_of_a_maker_is_told(refused, svgfit, here, home, unnamed):
    svgfit("convention", "unnamed.svg", "--keep", "Hill & Dale")
    assert "did you mean Hill & Dale?" in refused("measure", "smock.svg", "--maker", "Hill & Dal")


def test_what_is_read_once_an_allowance_is_stated_is_said(svgfit, here, home):
    sizes = "".join(
        f'<g {LABEL}="Size {k}"><path style="fill:none;stroke:#000" d="M100 100h{300 + k}v{500 + k}h-{300 + k}z"/></g>'
        for k in (10, 12)
    )
    text = '<text x="200" y="300" font-size="20">Pocket bag</text>'
    (here / "nest.svg").write_text(f'{HEAD}{sizes}<g {LABEL}="names">{text}</g></svg>', encoding="utf-8")
    status, out, _ = svgfit("convention", "nest.svg", "-o", "nest.toml")
    assert status == 1
    assert "with a seam allowance 1 piece is read in 2 sizes (10, 12): Pocket bag" in out
    stated = (here / "nest.toml").read_text(encoding="utf-8").replace("# pieces.", "pieces.")
    (here / "nest.toml").write_text(stated, encoding="utf-8")
    assert svgfit("inspect", "nest.svg", "--convention", "nest.toml")[0] == 0


def test_what_cannot_be_read_yet_is_said_and_the_proposal_written(svgfit, here, home):
    outlines = "".join(
        f'<path style="fill:none;stroke:#000;stroke-dasharray:{dash}" d="M100 100h{300 + k}v{500 + k}h-{300 + k}z"/>'
        for k, dash in ((0, "none"), (9, "3,2"), (18, "8,2"))
    )
    (here / "nest.svg").write_text(f'{HEAD}<g {LABEL}="Front cut line">{outlines}</g></svg>', encoding="utf-8")
    status, out, _ = svgfit("convention", "nest.svg", "-o", "nest.toml")
    assert status == 1
    assert "can't be read yet" in out
    assert 'sizes = { by = "dash"' in (here / "nest.toml").read_text(encoding="utf-8")
