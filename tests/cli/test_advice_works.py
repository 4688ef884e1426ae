"""Every line for svgfit.toml that a message gives is tried: put in as printed, the complaint is gone."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

DEMOS = Path(__file__).parents[2] / "demo_svgs"
LINE = re.compile(r'\b((?:pieces\.|seams = ).*?)(?= \(or |;|, or | or "| in svgfit|\)|$)', re.MULTILINE)


def smock(demo: str = "smock.svg", **renamed: str) -> str:
    """A demo's drawing with words in the names of its layers changed."""
    text = (DEMOS / demo).read_text("utf-8")

    def name(found: re.Match[str]) -> str:
        label = found[1]
        for old, new in renamed.items():
            label = label.replace(old.replace("_", " "), new)
        return f'inkscape:label="{label}"'

    return re.sub(r'inkscape:label="([^"]*)"', name, text)


def drawing(name: str, folder: Path, text: str) -> Path:
    path = folder / name
    path.write_text(text, "utf-8")
    return path


NO_NOTCHES = {"Sleeve_notches": "nothing", "Sleeve_text": "no text"}
CASES: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "a cut line alone": (
        smock(stitch_line="nothing"),
        "its seam allowance is not known",
        ("inspect",),
    ),
    "cut lines of a nest": (
        smock("smock-sizes.svg", stitch_line="cut line"),
        "its seam allowance is not known",
        ("inspect",),
    ),
    "a name with a blank": (
        smock(stitch_line="nothing", Sleeve="Left sleeve"),
        "its seam allowance is not known",
        ("inspect",),
    ),
    "which side is the front": (
        smock(**NO_NOTCHES),
        "front and back of the sleeve can't be told apart",
        ("inspect",),
    ),
    "which seams meet": (
        smock(Back="Second front"),
        "which seams meet is not guessed",
        ("inspect",),
    ),
    "a raglan by its name": (
        smock(Sleeve="Raglan sleeve"),
        "a raglan sleeve has no cap of its own",
        ("inspect",),
    ),
    "no cut line without an allowance": (
        smock(cut_line="nothing"),
        "no cut line is drawn, since its seam allowance is not known",
        ("adjust", "--do", "cap-raise amount='1/8 in'", "-o", "out.svg", "--force"),
    ),
    "no cut line of a size": (
        smock("smock-sizes.svg"),
        "no cut line is drawn, since its seam allowance is not known",
        ("adjust", "--do", "cap-raise amount='1/8 in'", "-o", "out.svg", "--force"),
    ),
}


def complaints(text: str, what: str) -> list[str]:
    return [line for line in text.splitlines() if what in line]


@pytest.mark.parametrize("case", CASES)
def test_a_printed_line_is_enough(svgfit: Callable, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, case: str):
    monkeypatch.chdir(tmp_path)
    text, what, (command, *more) = CASES[case]
    drawing("drawing.svg", tmp_path, text)
    done = svgfit(command, "drawing.svg", *more)
    found = complaints(done.out + done.err, what)
    assert found
    lines = [match[1] for line in found if (match := LINE.search(line[line.index(what) :]))]
    assert len(lines) == len(found), found
    (tmp_path / "svgfit.toml").write_text("\n".join(dict.fromkeys(lines)) + "\n", "utf-8")
    done = svgfit(command, "drawing.svg", *more)
    assert done.status == 0, done
    assert not complaints(done.out + done.err, what)
    assert "svgfit.toml speaks of" not in done.err


@pytest.mark.parametrize("case", ["a cut line alone", "cut lines of a nest", "no cut line of a size"])
def test_the_same_line_for_every_piece_is_enough(svgfit, tmp_path, monkeypatch, case):
    monkeypatch.chdir(tmp_path)
    text, what, (command, *more) = CASES[case]
    drawing("drawing.svg", tmp_path, text)
    (tmp_path / "svgfit.toml").write_text('pieces."*"."seam allowance" = { all = "5/8 in", hem = "1 in" }\n', "utf-8")
    done = svgfit(command, "drawing.svg", *more)
    assert done.status == 0, done
    assert not complaints(done.out + done.err, what)


SVG = 'xmlns="http://www.w3.org/2000/svg" width="900mm" height="400mm" viewBox="0 0 900 400"'
NARROW = "M500 80H520V300H500Z"
"""A cut line narrower than the allowances of both its sides."""


def with_a_narrow_piece(folder: Path) -> None:
    gusset = '<g id="Gusset cut line"><path d="M50 50H350V300H50Z"/></g>'
    narrow = f'<g id="Placket cut line"><path d="{NARROW}"/></g>'
    drawing("drawing.svg", folder, f"<svg {SVG}>{gusset}{narrow}</svg>")
    (folder / "svgfit.toml").write_text('pieces."*"."seam allowance" = "5/8 in"\n', "utf-8")


def test_a_piece_without_room_for_its_allowance_refuses_no_other(svgfit, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with_a_narrow_piece(tmp_path)
    for command in ("inspect", "measure"):
        done = svgfit(command, "drawing.svg")
        assert done.status == 0, done
        (told,) = complaints(done.out + done.err, "stitch line: taken to be the cut line, since")
        assert "don't meet inside the cut line" in told
        assert "Gusset" in done.out


@pytest.mark.parametrize("stated", ["", 'pieces.Front.kind = "front"\n'])
def test_a_front_without_room_is_refused_where_it_is_needed_and_the_others_are_measured(
    svgfit, tmp_path, monkeypatch, stated
):
    monkeypatch.chdir(tmp_path)
    drawing("drawing.svg", tmp_path, smock(Front_stitch_line="old one"))
    (tmp_path / "svgfit.toml").write_text(f'{stated}pieces.Front."seam allowance" = "9 in"\n', "utf-8")
    done = svgfit("measure", "drawing.svg")
    assert done.status == 0
    told = complaints(done.err, "don't meet inside the cut line")
    assert any("Front: is left out" in line if stated else "looks like a front or back" in line for line in told)
    assert "Back (back)" in done.out
    for command, *words in (("walk",), ("adjust", "--do", "edge-blend piece=Front edge=armhole", "--dry-run")):
        done = svgfit(command, "drawing.svg", *words)
        assert done.status == 2
        assert complaints(done.err, "check the seam allowances in svgfit.toml, or draw the stitch line")


def with_grain(slanted: str) -> str:
    """The smock, its sleeve's grain line drawn otherwise."""
    text = smock()
    layer = text.index('"Sleeve grain line"')
    return text[:layer] + re.sub(r' d="[^"]*"', f' d="{slanted}"', text[layer:], count=1)


def test_who_has_drawn_a_grain_line_is_not_told_to_draw_one(svgfit, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    drawing("drawing.svg", tmp_path, with_grain("M900 400L990 600"))
    (told,) = complaints(svgfit("inspect", "drawing.svg").out, "so up is not known")
    assert "the grain line runs" in told
    assert "draw the grain line" not in told
    assert 'check that line, or mark "underarm front" and "underarm back"' in told
