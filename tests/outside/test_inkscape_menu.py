"""The menu in a real Inkscape: its files by Inkscape's own schema, and its dialogs used, with the drawing exported.

Dialogs need a window, so Inkscape runs under a virtual display (Debian's xvfb and xauth). Skipped where Inkscape or the
display is absent, unless SVGFIT_NEED_INKSCAPE is set. What a dialog was filled in with lies in Inkscape's preferences,
as it does after a person has used it; INKSCAPE_PROFILE_DIR keeps all of that in a folder of the test's own.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
from collections.abc import Callable
from pathlib import Path
from xml.sax.saxutils import quoteattr

import pytest
from lxml import etree

from svgfit.cli import main

DEMOS = Path(__file__).parents[2] / "demo_svgs"
INKSCAPE, DISPLAY = shutil.which("inkscape"), shutil.which("xvfb-run") and shutil.which("xauth")
NEEDED = bool(os.environ.get("SVGFIT_NEED_INKSCAPE"))
PATIENCE = 60
"""Seconds; Inkscape waits for ever where a message window opens, since nobody is there to close it."""
SVG = "{http://www.w3.org/2000/svg}"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
LAYERS = ["working lines", "adjusted", "measurements"]

pytestmark = pytest.mark.skipif(
    (INKSCAPE is None or DISPLAY is None) and not NEEDED, reason="Inkscape or a virtual display is not installed"
)


def called(*command: str | Path, around: dict[str, str] | None = None) -> str:
    """What a command printed; one that hangs is ended with all it has started."""
    started = subprocess.Popen(
        list(map(str, command)),
        env={**os.environ, **(around or {})},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        out, err = started.communicate(timeout=PATIENCE)
    except subprocess.TimeoutExpired:
        os.killpg(started.pid, signal.SIGKILL)
        out, err = started.communicate()
        pytest.fail(f"{command[0]} hung: {out} {err}")
    assert started.returncode == 0, err
    return out


@pytest.fixture
def profile(tmp_path) -> Path:
    """A profile of Inkscape's with the menu in it, put there by the command, which asks Inkscape where."""
    assert INKSCAPE is not None, "SVGFIT_NEED_INKSCAPE is set, and Inkscape is not installed"
    assert DISPLAY is not None, "SVGFIT_NEED_INKSCAPE is set, and xvfb or xauth is not installed"
    folder = tmp_path / "profile"
    folder.mkdir()
    assert main(["editor-menu", "--to", str(folder), "--quiet"]) == 0
    (folder / "extensions").mkdir()
    (folder / "svgfit").rename(folder / "extensions" / "svgfit")
    return folder


@pytest.fixture
def use(profile, tmp_path) -> Callable[..., Path]:
    """Dialogs used one after another, each with its values, on a copy of the demo's smock; what Inkscape exports."""
    folder = tmp_path / "Größe 40"
    folder.mkdir()
    shutil.copy(DEMOS / "svgfit.toml", folder)
    shutil.copy(DEMOS / "smock.svg", folder / "Kittel eins.svg")

    def run(**dialogs: dict[str, str]) -> Path:
        values = " ".join(
            f"svgfit.{dialog.replace('_', '-')}.{name}={quoteattr(value)}"
            for dialog, filled in dialogs.items()
            for name, value in filled.items()
        )
        (profile / "preferences.xml").write_text(
            f'<inkscape version="1"><group id="extensions" {values}/></inkscape>', encoding="utf-8"
        )
        out = folder / "exported.svg"
        steps = [f"svgfit.{dialog.replace('_', '-')}.noprefs" for dialog in dialogs]
        actions = ";".join([*steps, f"export-filename:{out}", "export-do"])
        words = ("--with-gui", "--batch-process", f"--actions={actions}", folder / "Kittel eins.svg")
        called("xvfb-run", "-a", "inkscape", *words, around={"INKSCAPE_PROFILE_DIR": str(profile)})
        return out

    return run


def layers(drawing: Path) -> list[str]:
    return [str(group.get(LABEL)) for group in etree.parse(drawing).getroot().iterfind(f"{SVG}g[@data-svgfit-layer]")]


def sleeve(drawing: Path, capsys) -> dict[str, float]:
    """The figures of the adjusted sleeve, measured in what Inkscape exported."""
    capsys.readouterr()
    assert main(["measure", str(drawing), "--from", "adjusted", "--json"]) == 0
    pieces = json.loads(capsys.readouterr().out)["pieces"]
    rows = next(piece for piece in pieces if piece["kind"] == "sleeve")["measurements"]
    return {row["name"]: row["before"] for row in rows}


def test_every_dialog_is_as_inkscape_s_own_schema_wants_it(profile):
    data = called("inkscape", "--system-data-directory").strip().splitlines()[-1]
    schema = Path(data) / "extensions" / "inkscape.extension.rng"
    assert schema.is_file()
    rules = etree.RelaxNG(etree.parse(schema))
    files = sorted((profile / "extensions" / "svgfit").glob("*.inx"))
    assert len(files) >= 12
    for file in files:
        assert rules.validate(etree.parse(file)), f"{file.name}: {rules.error_log}"


def test_the_command_finds_the_folder_that_inkscape_reads(profile, monkeypatch, capsys):
    monkeypatch.setenv("INKSCAPE_PROFILE_DIR", str(profile))
    assert main(["editor-menu", "--remove", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["folder"] == str(profile / "extensions" / "svgfit")
    assert len(told["removed"]) >= 13
    assert list((profile / "extensions").iterdir()) == []


@pytest.mark.slow
def test_dialogs_used_one_after_another_adjust_the_drawing_and_print_it(use, capsys):
    """Cap height and ease as asked, within 0.01 mm; the handout beside the drawing."""
    out = use(
        do_cap_raise={"step-height": "5 3/4 in"},
        do_cap_redraw={"step-ease": "7/8 in"},
        handout={"svgfit-tell": "0", "svgfit-own-paper": "914mmx1400mm"},
    )
    assert layers(out) == LAYERS
    found = sleeve(out, capsys)
    assert found["cap height"] == pytest.approx(5.75 * 25.4, abs=0.01)
    assert found["cap ease"] == pytest.approx(0.875 * 25.4, abs=0.01)
    assert (out.parent / "Kittel eins.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.slow
def test_the_dialog_for_a_plan_does_the_plan(use, tmp_path, capsys):
    plan = tmp_path / "Höher & weiter.toml"
    plan.write_text('[[step]]\ndo = "cap-raise"\npiece = "Sleeve"\nheight = "150 mm"\n', encoding="utf-8")
    out = use(plan={"svgfit-plan": str(plan)})
    assert layers(out) == LAYERS
    assert sleeve(out, capsys)["cap height"] == pytest.approx(150.0, abs=0.01)
