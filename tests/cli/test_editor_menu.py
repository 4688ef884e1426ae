"""The command, and its launcher called as the vector program calls it: values, then a passing file; stdout is taken."""

from __future__ import annotations

import ast
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import DEMOS, Done

LAUNCHER = "svgfit_launcher.py"
PLUGIN = """
from svgfit.plugin import Job, Operation, Outcome, Parameter, hookimpl

def run(job):
    return Outcome(job.pieces)

@hookimpl
def svgfit_operations():
    return [Operation("look-on", "Does nothing.", (Parameter("how-long", "length", "no matter"),), run)]
"""


@pytest.fixture(scope="module")
def menu(tmp_path_factory) -> Path:
    """The menu's folder, written by the command."""
    from svgfit.cli import main

    extensions = tmp_path_factory.mktemp("extensions")
    assert main(["editor-menu", "--to", str(extensions), "--quiet"]) == 0
    return extensions / "svgfit"


@pytest.fixture
def use(menu, tmp_path) -> Callable[..., Done]:
    """A dialog used: with the real drawing's path, and each value that was filled in."""

    def run(real: Path | str, *values: str, drawing: Path | None = None, launcher: Path | None = None) -> Done:
        passing = tmp_path / "ink_ext_XXXXXX.svgA1B2C3"
        shutil.copy(drawing or real or DEMOS / "smock.svg", passing)
        around = {**os.environ, "DOCUMENT_PATH": str(real), "PYTHONPATH": str(menu)}  # as Inkscape does
        done = subprocess.run(
            [sys.executable, launcher or menu / LAUNCHER, "--id=path1", "--svgfit-page=step", *values, passing],
            env=around,
            cwd=menu,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=60,
            check=False,
        )
        return Done(done.returncode, done.stdout.decode(), done.stderr.decode())

    return run


def refusal(done: Done) -> str:
    """The one line, and nothing to take."""
    assert done.status == 2, done
    assert done.out == ""
    assert done.err.startswith("svgfit: ")
    assert done.err.count("\n") == 1
    return done.err.removesuffix("\n")


def heights(svgfit, drawing: str, folder: Path) -> dict[str, float]:
    """The sleeve's figures, of the adjusted outlines in the text of a drawing."""
    path = folder / "taken.svg"
    path.write_text(drawing, encoding="utf-8")
    report = json.loads(svgfit("measure", path, "--from", "adjusted", "--json").out)
    sleeve = next(piece for piece in report["pieces"] if piece["kind"] == "sleeve")
    return {row["name"]: row["before"] for row in sleeve["measurements"]}


# -- the command -----------------------------------------------------------------------------------------------------


def test_it_says_where_the_menu_is_and_twice_gives_the_same_bytes(svgfit, tmp_path):
    done = svgfit("editor-menu", "--to", tmp_path)
    assert done.status == 0
    assert f"written to {tmp_path / 'svgfit'}" in done.out
    before = {path.name: path.read_bytes() for path in (tmp_path / "svgfit").iterdir()}
    assert svgfit("editor-menu", "--to", tmp_path).status == 0
    assert {path.name: path.read_bytes() for path in (tmp_path / "svgfit").iterdir()} == before


def test_it_is_taken_out_and_what_is_not_ours_stays_and_is_told(svgfit, tmp_path):
    svgfit("editor-menu", "--to", tmp_path)
    mine = tmp_path / "svgfit" / "mine.inx"
    mine.write_text("<mine/>")
    done = svgfit("editor-menu", "--to", tmp_path, "--remove")
    assert done.status == 0
    assert done.err == f"svgfit: warning: {mine}: stays, svgfit did not write it\n"
    assert [path.name for path in (tmp_path / "svgfit").iterdir()] == ["mine.inx"]
    mine.unlink()
    assert "there is no menu" in svgfit("editor-menu", "--to", tmp_path, "--remove").out


def test_as_json(svgfit, tmp_path):
    written = json.loads(svgfit("editor-menu", "--to", tmp_path, "--json").out)
    assert written["folder"] == str(tmp_path / "svgfit")
    assert sorted(written["written"]) == sorted(path.name for path in (tmp_path / "svgfit").iterdir())
    removed = json.loads(svgfit("editor-menu", "--to", tmp_path, "--remove", "--json").out)
    assert sorted(removed["removed"]) == sorted(written["written"])
    assert (removed["written"], removed["kept"], removed["warnings"]) == ([], [], [])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--to", "nowhere"), "there is no such folder"),
        (("--remove", "--to", "nowhere"), "there is no such folder"),
        (("--to", ""), "--to: there is no such folder"),
        (("here",), "'here' is one word too many"),
        (("--to", ".", "--without", "cap-rise"), "did you mean cap-raise"),
        (("--call",), "no drawing came with the call"),
    ],
)
def test_what_can_not_be_is_refused_in_one_line(refused, here, words, said):
    assert said in refused("editor-menu", *words)
    assert not (here / "svgfit").exists()


@pytest.mark.slow
def test_a_plug_in_given_to_the_command_is_in_the_menu_and_known_when_its_dialog_is_used(svgfit, use, here, tmp_path):
    (here / "mine").mkdir()
    (here / "mine" / "look_on.py").write_text(PLUGIN)
    extensions = tmp_path / "others"
    extensions.mkdir()
    assert svgfit("editor-menu", "--to", extensions, "--plugins", "mine").status == 0
    launcher = extensions / "svgfit" / LAUNCHER
    done = use(here / "smock.svg", "--svgfit-ask=do-look-on", "--step-how-long=1 in", launcher=launcher)
    assert (done.status, done.err) == (0, "")
    assert "data-svgfit-layer" in done.out
    assert "there is no operation" in refusal(use(here / "smock.svg", "--svgfit-ask=do-look-on"))


def test_its_dialogs_load_what_was_said_and_give_it_as_long(svgfit, refused, here, tmp_path):
    (here / "mine").mkdir()
    (here / "mine" / "look_on.py").write_text(PLUGIN)

    def options(*words: str) -> list[str]:
        assert svgfit("editor-menu", "--to", tmp_path, *words).status == 0
        (line,) = [
            line for line in (tmp_path / "svgfit" / LAUNCHER).read_text().splitlines() if line.startswith("OPTIONS")
        ]
        return ast.literal_eval(line.partition(" = ")[2])

    assert options() == []
    assert options("--step-timeout", "5") == ["--step-timeout", "5"]
    assert options("--step-timeout", "0") == ["--step-timeout", "0"]
    assert options("--no-plugins", "--without", "cap-raise") == ["--without", "cap-raise", "--no-plugins"]
    assert options("--plugins", "mine") == ["--plugins", str(here / "mine")]
    assert "exclude each other" in refused("editor-menu", "--to", tmp_path, "--plugins", "mine", "--no-plugins")


@pytest.mark.slow
def test_a_step_that_hangs_ends_its_dialog_in_time(svgfit, use, here, tmp_path):
    (here / "mine").mkdir()
    (here / "mine" / "look_on.py").write_text(PLUGIN.replace("return Outcome", "while True: pass\n    return Outcome"))
    extensions = tmp_path / "others"
    extensions.mkdir()
    words = ("--plugins", "mine", "--step-timeout", "1")
    assert svgfit("editor-menu", "--to", extensions, *words).status == 0
    launcher = extensions / "svgfit" / LAUNCHER
    line = refusal(use(here / "smock.svg", "--svgfit-ask=do-look-on", "--step-how-long=1 in", launcher=launcher))
    assert "plug-in look-on (" in line
    assert "did not come back within 1 s" in line


# -- its dialogs -----------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_an_operation_gives_the_same_drawing_as_on_the_command_line(svgfit, use, here):
    svgfit("adjust", "smock.svg", "--do", "cap-raise height='6 in' piece=Sleeve", "-o", "out.svg")
    values = ("--svgfit-ask=do-cap-raise", "--svgfit-piece=Sleeve", "--step-amount=", "--step-height=6 in")
    done = use(here / "smock.svg", *values, "--svgfit-tell=true")
    assert (done.status, done.err) == (0, "")
    assert done.out == (here / "out.svg").read_text(encoding="utf-8")


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("step", ["amount=1/4", "amount=x", "height=90in", "amout=1in", ""])
def test_a_refusal_is_the_same_one_line_as_on_the_command_line(refused, use, here, step):
    line = refused("adjust", "smock.svg", "--do", f"cap-raise {step}", "-o", "out.svg")
    values = [f"--step-{step}"] if step else []
    assert refusal(use(here / "smock.svg", "--svgfit-ask=do-cap-raise", *values)) == line


@pytest.mark.slow
def test_the_convention_beside_the_real_drawing_counts_and_no_other(svgfit, use, here):
    folder = here / "Größe 40, zwei Wörter"
    folder.mkdir()
    real = folder / "Ärmel 'eins' & zwei.svg"
    shutil.copy(here / "smock.svg", real)
    ask = ("--svgfit-ask=do-cap-raise", "--step-amount=6 mm", "--svgfit-tell=true")
    without = use(real, *ask)
    (folder / "svgfit.toml").write_text("unit = 'cm'")
    done = use(real, *ask)
    svgfit("adjust", real, "--do", "cap-raise amount='6 mm'", "-o", here / "out.svg")
    assert (done.status, done.err, without.err) == (0, "", "")
    assert done.out == (here / "out.svg").read_text(encoding="utf-8")
    assert done.out != without.out
    (folder / "svgfit.toml").write_text("unit = 'ell'")
    assert refusal(use(real, *ask)).startswith("svgfit: svgfit.toml line 1: ")


def test_a_drawing_that_was_never_saved_is_adjusted_without_a_convention(use):
    done = use("", "--svgfit-ask=do-cap-raise", "--step-amount=6 mm")
    assert (done.status, done.err) == (0, "")
    assert 'data-svgfit-layer="adjusted"' in done.out


@pytest.mark.slow
def test_values_come_through_as_typed(use, here):
    """Inches as a mark, feet and inches, both kinds of quotes: no shell and no quoting lies between."""
    assert use(here / "smock.svg", "--svgfit-ask=do-cap-raise", '--step-amount=3/8"').status == 0
    line = refusal(use(here / "smock.svg", "--svgfit-ask=do-cap-raise", "--step-amount=1' 6\" $HOME `x` ü"))
    assert "$HOME `x` ü" in line


@pytest.mark.slow
def test_a_second_dialog_goes_on_from_the_first_and_both_steps_stand_in_the_drawing(svgfit, use, here, tmp_path):
    first = tmp_path / "first.svg"
    raised = use(here / "smock.svg", "--svgfit-ask=do-cap-raise", "--step-height=5 3/4 in", "--svgfit-start=on")
    first.write_text(raised.out, encoding="utf-8")
    ask = ("--svgfit-ask=do-cap-redraw", "--step-ease=1 in")
    done = use(here / "smock.svg", *ask, "--svgfit-start=on", drawing=first)
    assert (done.status, done.err) == (0, "")
    found = heights(svgfit, done.out, here)
    assert found["cap height"] == pytest.approx(5.75 * 25.4, abs=0.01)
    assert found["cap ease"] == pytest.approx(25.4, abs=0.01)
    assert done.out.count("&quot;do&quot;") == 2
    ask = ("--svgfit-ask=do-cap-raise", "--step-amount=1 mm", "--svgfit-start=drawn")
    alone = use(here / "smock.svg", *ask, drawing=first)
    assert heights(svgfit, alone.out, here)["cap height"] == pytest.approx(141.0, abs=0.01)


@pytest.mark.slow
def test_ends_go_on_from_steps_before(svgfit, use, here, tmp_path):
    first = tmp_path / "first.svg"
    raised = use(here / "smock.svg", "--svgfit-ask=do-cap-raise", "--step-height=5 3/4 in")
    first.write_text(raised.out, encoding="utf-8")
    done = use(here / "smock.svg", "--svgfit-ask=ends", "--end-cap-ease=1 in", "--svgfit-start=on", drawing=first)
    assert (done.status, done.err) == (0, "")
    found = heights(svgfit, done.out, here)
    assert found["cap height"] == pytest.approx(5.75 * 25.4, abs=0.01)
    assert found["cap ease"] == pytest.approx(25.4, abs=0.01)
    assert done.out.count("&quot;do&quot;:&quot;cap-raise") == 1


@pytest.mark.slow
def test_where_the_outlines_were_edited_by_hand_it_goes_on_from_them(svgfit, use, here, tmp_path):
    first = tmp_path / "first.svg"
    raised = use(here / "smock.svg", "--svgfit-ask=do-cap-raise", "--step-height=5 3/4 in")
    at = raised.out.index('data-svgfit-layer="adjusted"')
    edited = raised.out[:at] + raised.out[at:].replace("stroke-width:", "stroke-width:1", 1)
    first.write_text(edited, encoding="utf-8")
    ask = ("--svgfit-ask=do-cap-raise", "--step-amount=1/8 in", "--svgfit-start=on")
    done = use(here / "smock.svg", *ask, "--svgfit-tell=true", "--svgfit-discard-edits=true", drawing=first)
    assert done.status == 0
    assert heights(svgfit, done.out, here)["cap height"] == pytest.approx(5.875 * 25.4, abs=0.01)


@pytest.mark.slow
def test_a_plan_is_done_and_one_that_is_not_there_refused(svgfit, use, here):
    plan = here / "Mein Plan.toml"
    shutil.copy(here / "smock.plan.toml", plan)
    svgfit("adjust", "smock.svg", "--plan", plan, "-o", "out.svg")
    done = use(here / "smock.svg", "--svgfit-ask=plan", f"--svgfit-plan={plan}")
    assert (done.status, done.err) == (0, "")
    assert done.out == (here / "out.svg").read_text(encoding="utf-8")
    assert "no plan is chosen" in refusal(use(here / "smock.svg", "--svgfit-ask=plan", "--svgfit-plan="))
    line = refusal(use(here / "smock.svg", "--svgfit-ask=plan", f"--svgfit-plan={here / 'no.toml'}"))
    assert "no.toml: can't be read" in line


@pytest.mark.slow
def test_ends_are_reached(svgfit, use, here):
    done = use(here / "smock.svg", "--svgfit-ask=ends", "--end-cap-height=5 3/4 in", "--end-cap-ease=1 in")
    assert (done.status, done.err) == (0, "")
    found = heights(svgfit, done.out, here)
    assert found["cap height"] == pytest.approx(5.75 * 25.4, abs=0.01)
    assert found["cap ease"] == pytest.approx(25.4, abs=0.01)
    assert "asks for nothing" in refusal(use(here / "smock.svg", "--svgfit-ask=ends"))


@pytest.mark.slow
def test_warnings_and_failed_checks_are_told_unless_asked_not_to(use, here):
    ask = ("--svgfit-ask=do-seam-check", "--step-a=Sleeve/cap", "--step-b=Front/armhole")
    told = use(here / "smock.svg", *ask, "--svgfit-tell=true")
    assert told.status == 0
    assert "svgfit: warning: " in told.err
    assert "failed" in told.err
    quiet = use(here / "smock.svg", *ask, "--svgfit-tell=false")
    assert (quiet.status, quiet.err, quiet.out) == (0, "", told.out)


@pytest.mark.slow
def test_a_handout_lies_beside_the_drawing_and_the_drawing_stays(use, here):
    before = (here / "smock.svg").read_bytes()
    ask = ("--svgfit-ask=handout", "--svgfit-own-paper=914mmx1400mm", "--svgfit-tell=true")
    done = use(here / "smock.svg", *ask)
    assert (done.status, done.out) == (0, "")
    assert "written:" in done.err
    assert (here / "smock.pdf").read_bytes().startswith(b"%PDF")
    assert "exists already" in refusal(use(here / "smock.svg", *ask))
    assert use(here / "smock.svg", *ask, "--svgfit-force=true").status == 0
    other = here / "class.pdf"
    assert use(here / "smock.svg", *ask, f"--svgfit-output={other}", "--svgfit-layer-original=true").status == 0
    assert other.is_file()
    assert (here / "smock.svg").read_bytes() == before


@pytest.mark.slow
def test_a_handout_that_can_not_be_is_one_line(refused, use, here):
    ask = ("--svgfit-ask=handout", "--svgfit-paper=a4")
    assert "was never saved" in refusal(use("", *ask))
    line = refused("handout", "smock.svg", "-o", here / "smock.pdf", "--layers", "adjusted")
    assert refusal(use(here / "smock.svg", *ask, "--svgfit-layer-adjusted=true")) == line
    assert use(here / "smock.svg", *ask, f"--svgfit-output={here / 'smock.svg'}", "--svgfit-force=true").status == 0
    assert (here / "smock.svg").read_bytes().startswith(b"<?xml")
    assert (here / "smock.svg.pdf").is_file()


def test_a_pdf_that_was_opened_as_a_drawing_is_not_written_over(use, here):
    opened = here / "opened.pdf"
    opened.write_bytes(b"%PDF-1.7")
    ask = ("--svgfit-ask=handout", "--svgfit-paper=a4", "--svgfit-force=true")
    assert "is one of the files read" in refusal(use(opened, *ask, drawing=here / "smock.svg"))
    assert opened.read_bytes() == b"%PDF-1.7"


def test_a_menu_that_is_older_than_svgfit_or_whose_python_is_gone_says_what_to_do(use, menu, here, tmp_path):
    assert "run svgfit editor-menu again" in refusal(use(here / "smock.svg", "--svgfit-ask=a-later-thing"))
    text = (menu / LAUNCHER).read_text(encoding="utf-8")
    for was, becomes, said in (
        (ascii(sys.executable), "'/gone/bin/python'", "is not there any more"),
        ("from svgfit.cli import main", "from svgfit_gone import main", "can't run svgfit (ModuleNotFoundError"),
    ):
        moved = tmp_path / LAUNCHER
        moved.write_text(text.replace(was, becomes), encoding="utf-8")
        line = refusal(use(here / "smock.svg", "--svgfit-ask=do-cap-raise", launcher=moved))
        assert said in line
        assert line.endswith("run svgfit editor-menu again")


def test_a_damaged_drawing_is_one_line(use, here, tmp_path):
    broken = tmp_path / "broken.svg"
    broken.write_text("<svg><g></svg>")
    line = refusal(use(here / "smock.svg", "--svgfit-ask=do-cap-raise", "--step-amount=1 in", drawing=broken))
    assert line.startswith("svgfit: smock.svg")
