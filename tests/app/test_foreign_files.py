"""Files that are no SVG: a plug-in's reader turns them into a drawing, and all commands work on that."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

import svgfit
from svgfit.app.foreign_files import drawing_name
from svgfit.cli import main
from tests.cli.conftest import DEMOS

READER = """
from svgfit.plugin import Refusal, hookimpl
from svgfit.plugin.formats import Converted, Reader

def suits(head):
    return head.startswith(b"PLAIN ")

def read(file, data, wishes):
    if data == b"PLAIN broken":
        raise Refusal(file, "holds no drawing", "give another")
    if data == b"PLAIN fault":
        raise KeyError("x")
    if data == b"PLAIN wrong":
        return b"<svg/>"
    return Converted(data[6:], warnings=(f"scale {wishes.scale} pages {wishes.pages} overlap {wishes.overlap}",),
                     notes=("one sheet",), scale_from="its own unit")

@hookimpl
def svgfit_readers():
    return [Reader("plain", (".plain",), suits, read)]
"""
WRITER = """
from svgfit.plugin import hookimpl
from svgfit.plugin.formats import Needs, Writer

def write(drawing):
    names = [piece.title for piece in drawing.pieces]
    return f"{drawing.file} {len(drawing.layers)} {len(drawing.drawn)} {' '.join(names)} {drawing.unit}".encode()

@hookimpl
def svgfit_writers():
    return [Writer("list", ".list", write, needs=Needs.PIECES), Writer("count", ".count", write)]
"""


@pytest.fixture
def work(tmp_path, monkeypatch) -> Path:
    for name, text in (("readers/plain.py", READER), ("writers/list.py", WRITER)):
        path = tmp_path / "plugins" / name
        path.parent.mkdir(parents=True)
        path.write_text(text)
    (tmp_path / "smock.plain").write_bytes(b"PLAIN " + (DEMOS / "smock.svg").read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(capsys, *words):
    status = main([*words, "--plugins", "plugins"])
    said = capsys.readouterr()
    return status, said.out, said.err


def test_it_is_measured_as_the_svg_would_be(work, capsys):
    status, out, err = run(capsys, "measure", "smock.plain", "--csv")
    assert status == 0
    assert "smock.plain: scale None pages None overlap None" in err
    assert main(["measure", str(DEMOS / "smock.svg"), "--csv"]) == 0
    plain = capsys.readouterr().out.replace(str(DEMOS / "smock.svg"), "smock.plain")
    assert out == plain


def test_inspect_says_how_it_was_read_and_names_the_file(work, capsys):
    status, out, _ = run(capsys, "inspect", "smock.plain")
    assert status == 0
    assert out.startswith("smock.plain: one sheet\n")
    assert "from its own unit" in out


def test_wishes_reach_the_reader_in_mm(work, capsys):
    words = ("--pages", "4x8", "--page-overlap", "1 cm", "--scale", "300")
    status, _, err = run(capsys, "measure", "smock.plain", *words)
    assert status == 0
    assert "scale 300.0 pages (4, 8) overlap 10.0" in err


@pytest.mark.parametrize(
    "words", [("--pages", "4"), ("--pages", "0x8"), ("--page-overlap", "10"), ("--page-overlap", "-1 mm")]
)
def test_wishes_that_cannot_be_read(work, capsys, words):
    status, _, err = run(capsys, "measure", "smock.plain", *words)
    assert status == 2
    assert "write for example" in err


def test_a_scale_given_for_it_is_not_used_twice(work, capsys):
    step = ("--do", "cap-raise piece=Sleeve amount='1/4 in'")
    assert run(capsys, "adjust", "smock.plain", "--scale", "96", *step, "-o", "out.svg", "--quiet")[0] == 0
    assert run(capsys, "adjust", str(DEMOS / "smock.svg"), *step, "-o", "plain.svg", "--quiet")[0] == 0
    out, plain = (Path(name).read_text() for name in ("out.svg", "plain.svg"))
    assert out.replace("smock.plain", "smock.svg") == plain.replace(str(DEMOS / "smock.svg"), "smock.svg")
    assert '"scale"' not in out


def test_one_scale_is_not_taken_for_both_kinds(work, capsys):
    Path("other.svg").write_bytes((DEMOS / "teaching-sleeve.svg").read_bytes())
    status, _, err = run(capsys, "measure", "smock.plain", "other.svg", "--scale", "96")
    assert status == 2
    assert "smock.plain is no SVG" in err


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"PLAIN broken", "one.plain: holds no drawing; give another"),
        (b"PLAIN fault", "plug-in reader-plain"),
        (b"PLAIN wrong", "read gives back a bytes, not Converted"),
        (b"something else", "is not what its ending .plain says"),
        (b"PLAIN <svg", "the drawing is cut off here"),
        (b"", "is empty"),
    ],
)
def test_what_cannot_be_read_is_one_line(work, capsys, data, said):
    Path("one.plain").write_bytes(data)
    status, _, err = run(capsys, "measure", "one.plain")
    assert status == 2
    assert said in err
    assert err.count("\n") == 1


def test_the_file_itself_is_never_replaced(work, capsys):
    before = Path("smock.plain").read_bytes()
    for words in (
        ("adjust", "smock.plain", "--do", "cap-raise amount='1/4 in'", "-o", "smock.plain", "--force"),
        ("convert", "smock.plain", "-o", "smock.plain", "--force"),
    ):
        assert run(capsys, *words)[0] == 2
    assert Path("smock.plain").read_bytes() == before


def test_several_are_written_to_a_folder_as_svg(work, capsys):
    Path("sleeve.plain").write_bytes(b"PLAIN " + (DEMOS / "teaching-sleeve.svg").read_bytes())
    words = ("--do", "cap-raise piece=Sleeve amount='1/8 in'", "-o", "out")
    Path("front.svg").write_bytes((DEMOS / "smock.svg").read_bytes())
    assert drawing_name("sleeve.plain") == "sleeve.svg"
    assert drawing_name("front.svg") == "front.svg"
    status, _, err = run(capsys, "adjust", "sleeve.plain", "sub/sleeve.svg", *words)
    assert status == 2
    assert "has the same name as sleeve.plain" in err


def test_an_adjusted_drawing_is_not_written_under_another_kinds_ending(work, capsys):
    status, _, err = run(capsys, "adjust", "smock.plain", "--do", "cap-raise amount='1/4 in'", "-o", "out.pdf")
    assert status == 2
    assert "svgfit convert out.svg -o out.pdf" in err
    assert not Path("out.pdf").exists()


def test_convert_writes_what_the_ending_says(work, capsys):
    status, out, _ = run(capsys, "convert", "smock.plain", "-o", "smock.svg")
    assert status == 0
    assert Path("smock.svg").read_bytes() == (DEMOS / "smock.svg").read_bytes()
    assert out == "smock.plain: one sheet\nwritten: smock.svg\n"
    assert run(capsys, "convert", "smock.plain", "-o", "smock.list", "--unit", "cm")[0] == 0
    assert Path("smock.list").read_text() == "smock.plain 19 3 Front Back Sleeve cm"
    assert run(capsys, "convert", "smock.plain", "-o", "smock.count")[0] == 0
    assert Path("smock.count").read_text() == "smock.plain 19 0  in"


def test_convert_names_the_endings_that_there_are(work, capsys):
    status, _, err = run(capsys, "convert", "smock.plain", "-o", "smock.doc")
    assert status == 2
    assert ".list" in err
    assert ".svg" in err
    assert not Path("smock.doc").exists()


def test_no_reader_is_imported_for_svg(work):
    before = set(sys.modules)
    svgfit.open_drawings(DEMOS / "smock.svg", plugins="plugins")
    assert not [name for name in set(sys.modules) - before if "/readers/" in name or "/writers/" in name]
