"""Output appears whole or not at all, and never over an input."""

import os

import pytest

from svgfit.model.refusal import Refusal
from svgfit.svg import check_output, write_output


def test_a_new_file(tmp_path):
    write_output(tmp_path / "out.svg", b"abc", inputs=(), force=False)
    assert (tmp_path / "out.svg").read_bytes() == b"abc"
    assert os.listdir(tmp_path) == ["out.svg"]


def test_an_existing_file_needs_force(tmp_path):
    out = tmp_path / "out.svg"
    out.write_bytes(b"old")
    out.chmod(0o640)
    with pytest.raises(Refusal, match="--force"):
        write_output(out, b"new", inputs=(), force=False)
    assert out.read_bytes() == b"old"
    write_output(out, b"new", inputs=(), force=True)
    assert out.read_bytes() == b"new"
    assert out.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("way", ["same", "relative", "symbolic link", "hard link", "link to the folder"])
def test_an_input_is_never_written(tmp_path, monkeypatch, way):
    drawing = tmp_path / "in.svg"
    drawing.write_bytes(b"old")
    out = tmp_path / "out.svg"
    if way == "same":
        out = drawing
    elif way == "relative":
        monkeypatch.chdir(tmp_path)
        out = "./in.svg"
    elif way == "symbolic link":
        out.symlink_to(drawing)
    elif way == "hard link":
        out.hardlink_to(drawing)
    else:
        (tmp_path / "folder").symlink_to(tmp_path)
        out = tmp_path / "folder" / "in.svg"
    with pytest.raises(Refusal, match="one of the drawings read"):
        write_output(out, b"new", inputs=(tmp_path / "other.svg", drawing), force=True)
    assert drawing.read_bytes() == b"old"


def test_a_link_to_another_file_keeps_being_a_link(tmp_path):
    (tmp_path / "real.svg").write_bytes(b"old")
    (tmp_path / "out.svg").symlink_to(tmp_path / "real.svg")
    write_output(tmp_path / "out.svg", b"new", inputs=(), force=True)
    assert (tmp_path / "out.svg").is_symlink()
    assert (tmp_path / "real.svg").read_bytes() == b"new"


@pytest.mark.parametrize("force", [False, True])
def test_where_nothing_can_be_written(tmp_path, force):
    with pytest.raises(Refusal, match="folder"):
        check_output(tmp_path, inputs=(), force=force)
    with pytest.raises(Refusal, match="no such folder"):
        check_output(tmp_path / "gone" / "out.svg", inputs=(), force=force)
    with pytest.raises(Refusal, match="no ordinary file"):
        check_output(os.devnull, inputs=(), force=force)


def test_a_fault_in_the_middle_leaves_nothing(tmp_path, monkeypatch):
    out = tmp_path / "out.svg"
    out.write_bytes(b"old")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refusal, match="No space left"):
        write_output(out, b"new", inputs=(), force=True)
    assert out.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["out.svg"]
