"""``svgfit new-plugin``: what it makes works as it is, and replaces nothing."""

from __future__ import annotations

import subprocess
import sys
import tomllib

import pytest

FILES = ["README.md", "pyproject.toml", "svgfit_hem_drop/__init__.py", "tests/test_hem_drop.py"]


@pytest.fixture
def made(svgfit, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = svgfit("new-plugin", "hem-drop")
    assert done.status == 0, done.err
    return tmp_path / "svgfit-hem-drop"


def test_it_writes_a_package_with_its_entry_point(made):
    assert sorted(path.relative_to(made).as_posix() for path in made.rglob("*") if path.is_file()) == FILES
    project = tomllib.loads((made / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["project"]["entry-points"]["svgfit"] == {"hem-drop": "svgfit_hem_drop"}
    for file in FILES:
        assert "@" not in (made / file).read_text(encoding="utf-8").replace("@hookimpl", "").replace("@pytest", "")


def test_its_operation_runs_from_the_folder(made, svgfit):
    assert svgfit("demo", "out", "--quiet").status == 0
    step = "hem-drop amount='1 in'"
    done = svgfit("adjust", "out/smock.svg", "--plugins", "svgfit-hem-drop", "--do", step, "-o", "out/mine.svg")
    assert done.status == 0
    assert "+1 in" in done.out


def test_its_tests_pass_and_one_that_is_broken_fails(made):
    def tests(*where: str, cwd=made) -> str:
        """Run them as a bare ``pytest`` does, with the current folder not on Python's path."""
        command = [sys.executable, "-P", "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *where]
        return subprocess.run(command, cwd=cwd, capture_output=True, text=True, check=False).stdout

    assert "11 passed" in tests()
    assert "11 passed" in tests("svgfit-hem-drop", cwd=made.parent)
    source = made / "svgfit_hem_drop" / "__init__.py"
    source.write_text(source.read_text(encoding="utf-8").replace("complex(0, amount)", "complex(0, amount / 2)"))
    assert " failed" in tests()


def test_no_file_is_replaced(made, svgfit):
    before = {file: (made / file).read_bytes() for file in FILES}
    (made / "README.md").write_text("mine")
    (made / "pyproject.toml").unlink()
    done = svgfit("new-plugin", "hem-drop")
    assert done.status == 2
    assert "README.md: is there already" in done.err
    assert (made / "README.md").read_text() == "mine"
    assert not (made / "pyproject.toml").exists()
    assert (made / FILES[2]).read_bytes() == before[FILES[2]]


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("Hem_Drop", "can't be an operation's name; use small letters"),
        ("../x", "can't be an operation's name"),
        ("cap-raise", "there is an operation cap-raise already"),
        ("dialect-ids", "there is a plug-in dialect-ids already"),
        ("ends", "'ends' is a word of the plan"),
        ("hem drop", "can't be an operation's name; use small letters"),
        ("ärmel", "can't be an operation's name; use small letters"),
        ("", "can't be an operation's name; use small letters"),
        ("hem.drop", "can't be an operation's name; use small letters"),
        ("2-tucks", "can't be an operation's name; use small letters"),
        ("a" * 300, "can't be made (File name too long); give another folder with -o"),
    ],
)
def test_a_name_that_cannot_be(svgfit, tmp_path, monkeypatch, name, why):
    monkeypatch.chdir(tmp_path)
    done = svgfit("new-plugin", name)
    assert done.status == 2
    assert why in done.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["class", "import"])
def test_a_word_of_python_is_a_name_like_any_other(svgfit, tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    assert svgfit("new-plugin", name).status == 0
    assert svgfit("demo", "out", "--quiet").status == 0
    done = svgfit(
        "adjust", "out/smock.svg", "--plugins", f"svgfit-{name}", "--do", f"{name} amount='1 in'", "--dry-run"
    )
    assert done.status == 0, done.err


def test_what_is_to_be_typed_next_can_be_typed(svgfit, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "file").write_text("mine")
    done = svgfit("new-plugin", "hem-drop", "-o", "my own/ü")
    assert done.status == 0
    assert "--plugins 'my own/ü' --do" in done.out
    assert "  python -m pytest 'my own/ü'" in done.out
    for place in ("file", "file/x"):
        refused = svgfit("new-plugin", "hem-drop", "-o", place)
        assert refused.status == 2
        assert "give another folder with -o" in refused.err
    assert (tmp_path / "file").read_text() == "mine"


def test_debug_shows_where_in_a_plug_in_its_exception_came_from(made, svgfit):
    source = made / "svgfit_hem_drop" / "__init__.py"
    source.write_text(source.read_text(encoding="utf-8").replace("    piece = job.piece\n", "    piece = job.pice\n"))
    assert svgfit("demo", "out", "--quiet").status == 0
    step = "hem-drop amount='1 in'"
    done = svgfit("adjust", "out/smock.svg", "--plugins", "svgfit-hem-drop", "--do", step, "--dry-run", "--debug")
    assert done.status == 2
    assert "piece = job.pice" in done.err
    assert "plug-in svgfit-hem-drop" in done.err.splitlines()[-1]
