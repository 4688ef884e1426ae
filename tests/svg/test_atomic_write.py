"""Output appears whole or not at all, and never over an input."""

import errno
import os
import subprocess
import sys

import pytest

from svgfit.model.refusal import Refusal
from svgfit.svg import Output, atomic_write, check_output, write_output, write_outputs


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
    with pytest.raises(Refusal, match="one of the files read"):
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


@pytest.mark.parametrize("mode", [0o444, 0o400])
def test_a_write_protected_file_is_not_replaced(tmp_path, mode):
    out = tmp_path / "out.svg"
    out.write_bytes(b"old")
    out.chmod(mode)
    with pytest.raises(Refusal, match="write-protected"):
        write_output(out, b"new", inputs=(), force=True)
    assert out.read_bytes() == b"old"


def several(folder):
    return [Output(folder / name, name.encode()) for name in ("a.svg", "b.svg", "report.json")]


def test_several_appear_together(tmp_path):
    write_outputs(several(tmp_path), inputs=(), force=False)
    assert sorted(os.listdir(tmp_path)) == ["a.svg", "b.svg", "report.json"]
    write_outputs([Output(tmp_path / "b.svg", b"2"), Output(tmp_path / "c.svg", b"3")], inputs=(), force=True)
    assert [(tmp_path / name).read_bytes() for name in ("a.svg", "b.svg", "c.svg")] == [b"a.svg", b"2", b"3"]
    assert len(os.listdir(tmp_path)) == 4


@pytest.mark.parametrize("fails", [0, 1, 2])
@pytest.mark.parametrize("where", ["fsync", "replace"])
@pytest.mark.parametrize("there", [(), ("a.svg",), ("b.svg", "report.json")])
def test_where_one_fails_none_is_written(tmp_path, monkeypatch, fails, where, there):
    for name in there:
        (tmp_path / name).write_bytes(b"old")
    before = {name: (tmp_path / name).read_bytes() for name in os.listdir(tmp_path)}
    real, calls = getattr(os, where), []

    def at_times(*given):
        calls.append(given)
        if len(calls) == fails + 1:
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(*given)

    monkeypatch.setattr(os, where, at_times)
    with pytest.raises(Refusal, match=r"No space left on device.*; make room on the disk"):
        write_outputs(several(tmp_path), inputs=(), force=True)
    assert {name: (tmp_path / name).read_bytes() for name in os.listdir(tmp_path)} == before


def test_where_a_place_is_taken_none_is_written(tmp_path):
    (tmp_path / "b.svg").write_bytes(b"old")
    with pytest.raises(Refusal, match="exists already"):
        write_outputs(several(tmp_path), inputs=(), force=False)
    assert os.listdir(tmp_path) == ["b.svg"]
    with pytest.raises(Refusal, match="one of the files read"):
        write_outputs([*several(tmp_path), Output(tmp_path / "." / "a.svg", b"")], inputs=(), force=True)
    assert os.listdir(tmp_path) == ["b.svg"]


def test_a_folder_is_made_and_not_left_where_nothing_is_written(tmp_path, monkeypatch):
    new = tmp_path / "new"
    write_outputs(several(new), inputs=(), force=False, folder=new)
    assert len(os.listdir(new)) == 3
    monkeypatch.setattr(atomic_write, "_put", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
    with pytest.raises(KeyboardInterrupt):
        write_outputs(several(tmp_path / "other"), inputs=(), force=False, folder=tmp_path / "other")
    assert os.listdir(tmp_path) == ["new"]


KILLED = """
import os, signal, sys
from svgfit.svg import atomic_write
atomic_write._put = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
atomic_write.write_output(sys.argv[1], b"new", inputs=(), force=False)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="processes are asked otherwise there")
def test_what_a_killed_run_left_is_swept_by_the_next(tmp_path):
    subprocess.run([sys.executable, "-c", KILLED, str(tmp_path / "out.svg")], check=False)
    (left,) = os.listdir(tmp_path)
    assert left.endswith(".tmp")
    running = left.replace(left.split("-")[2], str(os.getppid()))
    (tmp_path / running).write_bytes(b"of one that runs")
    (tmp_path / ".svgfit-other.tmp").write_bytes(b"of someone else")
    write_output(tmp_path / "other.svg", b"new", inputs=(), force=False)
    assert sorted(os.listdir(tmp_path)) == sorted([running, ".svgfit-other.tmp", "other.svg"])


def test_a_name_as_long_as_there_is(tmp_path):
    out = tmp_path / ("袖" * 83 + ".svg")
    write_output(out, b"new", inputs=(), force=False)
    assert out.read_bytes() == b"new"
    with pytest.raises(Refusal, match="give a shorter name"):
        write_output(tmp_path / ("袖" * 90 + ".svg"), b"new", inputs=(), force=False)
