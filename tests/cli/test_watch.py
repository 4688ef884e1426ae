"""``svgfit watch`` as it is used: a process of its own, files saved as editors save them, Ctrl-C at the end."""

from __future__ import annotations

import os
import queue
import re
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PATIENCE = 30.0
"""Seconds that a line may take on a busy machine; on an idle one it is there in less than one."""


def _heeds_ctrl_c() -> None:
    """Heed Ctrl-C again: a shell that starts the tests in the background ignores it, and children inherit that."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


class Watching:
    """A running watch and the lines it says, stdout and stderr in one."""

    def __init__(self, *arguments: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "svgfit", "watch", *arguments],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            preexec_fn=_heeds_ctrl_c if os.name == "posix" else None,
        )
        self._lines: queue.Queue[str] = queue.Queue()
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._lines.put(line.rstrip("\n"))

    def line(self, within: float = PATIENCE) -> str:
        return self._lines.get(timeout=within)

    def silent(self, seconds: float) -> bool:
        try:
            self._lines.get(timeout=seconds)
        except queue.Empty:
            return True
        return False

    def interrupt(self) -> int:
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(PATIENCE)


@pytest.fixture
def watching(here) -> Iterator[Watching]:
    """The demo's smock, watched with its plan; the first run is done."""
    found = Watching("smock.svg", "--plan", "smock.plan.toml", "-o", "out.svg")
    try:
        assert found.line().startswith("watching smock.svg, smock.plan.toml; each time")
        assert re.match(r"\d\d:\d\d:\d\d cap-raise Sleeve: cap height 5 7/8 in; .*; written: out\.svg$", found.line())
        yield found
    finally:
        found.process.kill()
        found.process.wait(PATIENCE)


def by_rename(path: Path, text: str) -> None:
    """As most editors save: a new file beside it, put in its place."""
    beside = path.with_name(f".{path.name}.new")
    beside.write_text(text, encoding="utf-8")
    os.replace(beside, path)


def with_name(text: str, name: str) -> str:
    """The drawing with another comment in its head: a change that shows in the output."""
    return text.replace("<!-- Work smock", f"<!-- {name}", 1)


@pytest.mark.slow
def test_each_saving_is_followed_however_it_is_done(watching, here) -> None:
    drawing, text = here / "smock.svg", (here / "smock.svg").read_text(encoding="utf-8")
    by_rename(drawing, with_name(text, "first"))
    assert "written: out.svg" in watching.line()
    assert "<!-- first" in (here / "out.svg").read_text(encoding="utf-8")
    drawing.write_text(with_name(text, "second"), encoding="utf-8")  # in place, as some do
    assert "written: out.svg" in watching.line()
    assert "<!-- second" in (here / "out.svg").read_text(encoding="utf-8")
    drawing.unlink()  # as a few do: away first, then anew
    time.sleep(0.1)
    drawing.write_text(with_name(text, "third"), encoding="utf-8")
    assert "written: out.svg" in watching.line()
    assert "<!-- third" in (here / "out.svg").read_text(encoding="utf-8")
    assert drawing.read_text(encoding="utf-8") == with_name(text, "third"), "the drawing itself was written to"


@pytest.mark.slow
def test_the_plan_is_watched_too_and_so_is_a_convention_that_comes_later(watching, here) -> None:
    plan = here / "smock.plan.toml"
    by_rename(plan, plan.read_text(encoding="utf-8").replace('"3/8 in"', '"1/4 in"'))
    assert "cap height 5 3/4 in" in watching.line()
    by_rename(here / "svgfit.toml", 'unit = "mm"\n' + (here / "svgfit.toml").read_text(encoding="utf-8"))
    watching.line()


@pytest.mark.slow
def test_plans_that_a_plan_includes_are_watched_too_and_so_are_those_that_come_later(here) -> None:
    step = '[[step]]\ndo = "cap-raise"\npiece = "Sleeve"\namount = "{}"\n'
    (here / "more").mkdir()
    (here / "more" / "base.toml").write_text(step.format("1/4 in"), encoding="utf-8")
    (here / "plan.toml").write_text('include = "more/base.toml"\n', encoding="utf-8")
    found = Watching("smock.svg", "--plan", "plan.toml", "-o", "out.svg")
    try:
        assert found.line().startswith("watching smock.svg, plan.toml; each time")
        assert "cap height 5 3/4 in" in found.line()
        by_rename(here / "more" / "base.toml", step.format("3/8 in"))
        assert "cap height 5 7/8 in" in found.line()
        by_rename(here / "plan.toml", 'include = ["more/base.toml", "later.toml"]\n')
        assert "plan.toml line 1: include[2]: there is no file later.toml" in found.line()
        (here / "later.toml").write_text(step.format("1/8 in"), encoding="utf-8")
        assert "cap height 6 in" in found.line()
        by_rename(here / "plan.toml", 'include = "later.toml"\n')
        assert "cap height 5 5/8 in" in found.line()
        by_rename(here / "more" / "base.toml", step.format("1/2 in"))
        assert found.silent(2.0), "a plan that is included no longer is no reason to run"
    finally:
        found.process.kill()
        found.process.wait(PATIENCE)


@pytest.mark.slow
def test_a_refusal_is_one_line_and_the_watch_goes_on(watching, here) -> None:
    drawing = here / "smock.svg"
    text, before = drawing.read_text(encoding="utf-8"), (here / "out.svg").read_bytes()
    by_rename(drawing, text[: len(text) // 2])
    line = watching.line()
    assert re.match(r"svgfit: \d\d:\d\d:\d\d smock\.svg: line ", line), "a line says when it was said"
    assert "cut off" in line
    assert line.endswith("; out.svg is still as written before")
    assert (here / "out.svg").read_bytes() == before
    by_rename(drawing, text)
    assert "written: out.svg" in watching.line()
    assert watching.process.poll() is None


@pytest.mark.slow
def test_its_own_writing_and_other_files_are_no_reason_to_run(watching, here) -> None:
    (here / "other.svg").write_text("<svg/>", encoding="utf-8")
    (here / "out2.svg").write_text("<svg/>", encoding="utf-8")
    assert watching.silent(2.5)


@pytest.mark.slow
def test_what_a_person_changed_in_the_output_is_left_alone(watching, here) -> None:
    out = here / "out.svg"
    out.write_text(out.read_text(encoding="utf-8") + "<!-- mine -->", encoding="utf-8")
    os.utime(here / "smock.svg")
    line = watching.line()
    assert re.match(r"svgfit: \d\d:\d\d:\d\d out\.svg: was changed since svgfit wrote it", line)
    assert "still as written" not in line
    assert out.read_text(encoding="utf-8").endswith("<!-- mine -->")


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="Ctrl-C can be sent to a process on POSIX only")
def test_ctrl_c_ends_it(watching) -> None:
    assert watching.interrupt() == 130
    assert [line for line in (watching.line(), watching.line()) if line] == ["svgfit: interrupted"]


@pytest.mark.slow
def test_the_output_of_an_earlier_watch_is_replaced(watching, here) -> None:
    watching.process.kill()
    watching.process.wait(PATIENCE)
    by_rename(here / "smock.svg", with_name((here / "smock.svg").read_text(encoding="utf-8"), "later"))
    again = Watching("smock.svg", "--plan", "smock.plan.toml", "-o", "out.svg")
    try:
        again.line()
        assert "written: out.svg" in again.line()
    finally:
        again.process.kill()
        again.process.wait(PATIENCE)
    assert "<!-- later" in (here / "out.svg").read_text(encoding="utf-8")


@pytest.mark.slow
def test_ends_are_reached_at_each_saving_and_one_that_is_not_met_is_told(here) -> None:
    ends = ("--ends", "cap-height='6 in' cap-ease='1 in'", "--ends", "bicep-width='5 in'")
    found = Watching("smock.svg", *ends[:2], "-o", "out.svg")
    try:
        found.line()
        assert "cap-raise Sleeve: cap height 6 in" in found.line()
        by_rename(here / "smock.svg", with_name((here / "smock.svg").read_text(encoding="utf-8"), "later"))
        assert "cap-raise Sleeve: cap height 6 in" in found.line()
    finally:
        found.process.kill()
        found.process.wait(PATIENCE)
    missed = Watching("smock.svg", *ends[2:], "-o", "missed.svg")
    try:
        missed.line()
        assert "FAILED: asked: bicep width" in missed.line()
    finally:
        missed.process.kill()
        missed.process.wait(PATIENCE)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["smock.svg"], "nothing to do"),
        (["smock.svg", "--plan", "smock.plan.toml"], "no place to write to"),
        (["smock.svg", "--plan", "smock.plan.toml", "--do", "x", "-o", "o.svg"], "exclude each other"),
        (["none.svg", "--plan", "smock.plan.toml", "-o", "o.svg"], "none.svg: there is no such file"),
        (["smock.svg", "--plan", "none.toml", "-o", "o.svg"], "none.toml: there is no such file"),
        (["smock.svg", "--plan", "smock.plan.toml", "-o", "smock.svg", "--force"], "is one of the files read"),
        (["smock.svg", "--plan", "smock.plan.toml", "-o", "smock.plan.toml", "--force"], "is one of the files read"),
        (["smock.svg", "--plan", "smock.plan.toml", "-o", "link.svg", "--force"], "is one of the files read"),
        (["smock.svg", "--plan", "smock.plan.toml", "-o", "no/o.svg"], "no such folder"),
        (["smock.svg", "--plan", "smock.plan.toml", "-o", "mine.svg"], "not as svgfit wrote it"),
        (["smock.svg", "smock.svg", "--plan", "smock.plan.toml", "-o", "d"], "given twice"),
        (["smock.svg", "--do", "cap-rise amount=1", "-o", "o.svg"], "no operation 'cap-rise'"),
        (["smock.svg", "--plan", "smock.plan.toml", "--ends", "x", "-o", "o.svg"], "--ends too"),
        (["smock.svg", "--ends", "cap-hight='6 in'", "-o", "o.svg"], "cap-hight"),
    ],
)
def test_what_can_never_work_is_refused_at_once(svgfit, here, arguments, words) -> None:
    shutil.copy("smock.svg", "mine.svg")
    os.symlink("smock.svg", "link.svg")
    before = (here / "smock.svg").read_bytes()
    done = svgfit("watch", *arguments)
    assert done.status == 2
    assert words in done.err
    assert len(done.err.splitlines()) == 1
    assert (here / "smock.svg").read_bytes() == (here / "mine.svg").read_bytes() == before


OWN = """
from svgfit.plugin import Measurement, Operation, Outcome, hookimpl, swap
from .shared import GOT


def run(job):
    piece = job.piece.with_fact("hem-tell: hem", "told")
    return Outcome(pieces=swap(job.pieces, piece), got=(Measurement("told", GOT),))


@hookimpl
def svgfit_operations():
    return [Operation("hem-tell", "Tells.", (), run, kinds=("sleeve",))]
"""


@pytest.mark.slow
def test_plug_ins_are_watched_and_loaded_again_with_the_files_that_they_share(here) -> None:
    package = here / "own" / "hems"
    package.mkdir(parents=True)
    (package / "__init__.py").write_text(OWN, encoding="utf-8")
    (package / "shared.py").write_text("GOT = 25.4\n", encoding="utf-8")
    found = Watching("smock.svg", "--plugins", "own", "--do", "hem-tell", "-o", "out.svg")
    try:
        found.line()
        assert "hem-tell Sleeve: told 1 in" in found.line()
        (package / "shared.py").write_text("GOT = 50.8\n", encoding="utf-8")
        assert "hem-tell Sleeve: told 2 in" in found.line()
        (package / "shared.py").write_text("GOT = 50.8(\n", encoding="utf-8")
        line = found.line()
        assert "plug-in hems" in line
        assert "line 1 of shared.py" in line
        (package / "shared.py").write_text("GOT = 76.2\n", encoding="utf-8")
        assert "hem-tell Sleeve: told 3 in" in found.line()
    finally:
        found.process.kill()
        found.process.wait(PATIENCE)


TELLS = """
from svgfit.plugin import Measurement, Operation, Outcome, hookimpl, swap


def run(job):
    piece = job.piece.with_fact("hem-tell: hem", "told")
    return Outcome(pieces=swap(job.pieces, piece), got=(Measurement("told", 25.4),))


@hookimpl
def svgfit_operations():
    return [Operation("hem-tell", "Tells.", (), run, kinds=("sleeve",))]
"""


@pytest.mark.slow
@pytest.mark.parametrize("inside", ["", "measurers"])
def test_a_plug_in_that_comes_or_goes_while_it_runs_is_noticed(here, inside: str) -> None:
    (here / "own").mkdir()
    found = Watching("smock.svg", "--plugins", "own", "--do", "cap-raise amount='1/4 in'", "-o", "out.svg")
    try:
        found.line()
        assert "written: out.svg" in found.line()
        (here / "own" / inside).mkdir(exist_ok=True)
        if inside:  # an empty folder for plug-ins is one more place where one may come
            assert "written: out.svg" in found.line()
        broken = here / "own" / inside / "measure_wear.py"
        broken.write_text("def broken(:\n", encoding="utf-8")
        assert "written: out.svg" in found.line()
        assert "plug-in measure-wear" in found.line()
        broken.unlink()
        assert re.search(r"cap height [^;]*; written: out\.svg$", found.line())
        (here / "own" / "notes.txt").write_text("no plug-in", encoding="utf-8")
        assert found.silent(2.0)
    finally:
        found.process.kill()
        found.process.wait(PATIENCE)


@pytest.mark.slow
def test_a_step_waits_for_the_plug_in_that_does_it(here) -> None:
    (here / "own").mkdir()
    (here / "plan.toml").write_text('[[step]]\ndo = "hem-tell"\n', encoding="utf-8")
    found = Watching("smock.svg", "--plugins", "own", "--plan", "plan.toml", "-o", "out.svg")
    try:
        found.line()
        assert "there is no operation 'hem-tell'" in found.line()
        (here / "own" / "hem_tell.py").write_text(TELLS, encoding="utf-8")
        assert "hem-tell Sleeve: told 1 in" in found.line()
        (here / "own" / "hem_tell.py").unlink()
        assert "there is no operation 'hem-tell'" in found.line()
    finally:
        found.process.kill()
        found.process.wait(PATIENCE)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "watching smock.svg; each time it is saved out.svg is written again"),
        (
            ("--plugins", "mine"),
            "watching smock.svg, the plug-ins in mine; each time one is saved out.svg is written again",
        ),
    ],
)
def test_it_says_what_is_watched(words, said, here):
    (here / "mine").mkdir()
    found = Watching("smock.svg", "--do", "cap-raise amount='1/4 in'", *words, "-o", "out.svg")
    try:
        assert found.line().strip() == said
    finally:
        found.process.kill()
        found.process.wait(PATIENCE)
