from __future__ import annotations

import hashlib
import json
import os

import jsonschema
import pytest

from svgfit.render.text.report import schema_text


def test_the_demo_runs_and_says_what_to_open(svgfit, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = svgfit("demo", "out")
    assert done.status == 0, done.err
    assert {"smock.svg", "smock.plan.toml", "smock-fitted.svg", "smock-fitted.json"} <= set(os.listdir("out"))
    assert os.path.join("out", "smock-fitted.svg") in done.out
    assert "cap-raise" in done.out
    report = json.loads((tmp_path / "out" / "smock-fitted.json").read_text())
    jsonschema.validate(report, json.loads(schema_text()))
    assert {check["status"] for check in report["checks"]} == {"pass"}


@pytest.mark.slow
def test_the_line_that_the_demo_prints_works(svgfit, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    line = svgfit("demo", "out").out.strip().splitlines()[-1].split()
    assert line[0] == "svgfit"
    assert svgfit(*line[1:]).status == 0
    assert (tmp_path / "out" / "my-smock.svg").read_bytes() == (tmp_path / "out" / "smock-fitted.svg").read_bytes()


@pytest.mark.slow
def test_the_demo_replaces_its_own_files_and_no_others(svgfit, refused, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert svgfit("demo", "out").status == 0
    out = tmp_path / "out"
    first = {name: (out / name).read_bytes() for name in os.listdir(out)}
    (out / "mine.svg").write_text("mine")
    assert svgfit("demo", "out").status == 0
    (out / "mine.svg").unlink()
    assert {name: (out / name).read_bytes() for name in os.listdir(out)} == first
    (out / "smock-fitted.svg").write_text("changed by hand")
    assert "was not written by the demo, or was changed since" in refused("demo", "out")
    assert (out / "smock-fitted.svg").read_text() == "changed by hand"
    other = tmp_path / "other"
    other.mkdir()
    (other / "smock.svg").write_text("mine")
    assert "smock.svg: was not written by the demo" in refused("demo", "other")
    assert os.listdir(other) == ["smock.svg"]
    (tmp_path / "file").write_text("")
    assert "is a file, and the demo needs a folder" in refused("demo", "file")


def test_the_demos_list_can_be_checked_with_common_tools(svgfit, tmp_path, monkeypatch):
    # The form of sha256sum's lists (GNU coreutils manual, "sha2 utilities"): digest, two blanks, name.
    monkeypatch.chdir(tmp_path)
    svgfit("demo", "out")
    lines = (tmp_path / "out" / "demo-files.sha256").read_text().splitlines()
    assert len(lines) >= 5
    for line in lines:
        digest, name = line.split("  ")
        assert hashlib.sha256((tmp_path / "out" / name).read_bytes()).hexdigest() == digest


@pytest.mark.slow
def test_layers_of_the_demos_are_unedited_by_their_digests(svgfit, tmp_path, monkeypatch):
    """Digested from records when they are written, from the file when it is read."""
    from svgfit.svg.source import load_source
    from svgfit.svg.svgfit_layers import is_edited
    from svgfit.svg.tree import parse

    monkeypatch.chdir(tmp_path)
    assert svgfit("demo", "out").status == 0
    made = (
        ("smock.svg", "--plan", "out/smock.plan.toml"),
        ("smock-sizes.svg", "--plan", "out/smock-sizes.plan.toml", "--unit", "mm"),
        ("teaching-sleeve.svg", "--do", "cap-raise amount=5mm"),
        ("smock-sleeve-cut-line.svg", "--do", "cap-raise amount='1/4 in'"),
    )
    for file, *options in made:
        done = svgfit("adjust", f"out/{file}", *options, "-o", f"new-{file}")
        assert done.status == 0, done.err
        root = parse(load_source(f"new-{file}"))
        own = [each for each in root if each.get("data-svgfit-layer")]
        assert [(each.get("data-svgfit-layer"), is_edited(each)) for each in own] == [
            ("working-lines", False),
            ("adjusted", False),
            ("measurements", False),
        ]
