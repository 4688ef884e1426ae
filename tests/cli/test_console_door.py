"""What reaches the terminal: no sign that commands it, whoever wrote it; and what happens where nothing can be said."""

from __future__ import annotations

import builtins
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import svgfit
from svgfit.cli import main
from svgfit.cli.console import say
from svgfit.model.wording import harmless
from svgfit.render.text.table import Table, Terminal, format_tables

ROOT = Path(__file__).parents[2]
EVIL = "\x9b31m\u202eRED\x85\u2066\u200f"  # XML lets these through; C0 but tab and line ends it does not
WORSE = f"\x1b]0;PWNED\x07\x1b[31m\x1b[2J\x7f\x08{EVIL}"
CONTROLS = {*map(chr, range(0x20)), *map(chr, range(0x7F, 0xA0)), *"\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e"}
CONTROLS |= {*"\u2066\u2067\u2068\u2069"}
CONTROLS -= {"\n", "\t"}
PANEL = '<path d="M10 90L10 40L50 10L90 40L90 90Z" fill="none" stroke="#000"/>'
SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'


def drawing(path: Path, layer: str = "Panel stitch line", inner: str = "") -> Path:
    path.write_text(
        f'<svg {SPACES} width="100mm" height="100mm" viewBox="0 0 100 100"><g id="a" inkscape:groupmode="layer" '
        f'inkscape:label="{layer}">{PANEL}</g>{inner}</svg>'
    )
    return path


def clean(done) -> str:
    said = done.out + done.err
    assert not CONTROLS & set(said), sorted(map(hex, map(ord, CONTROLS & set(said))))
    return said


def test_names_in_a_drawing(svgfit, tmp_path):
    path = drawing(tmp_path / "d.svg", f"Panel{EVIL} stitch line", f'<g id="_x1B_[2J{EVIL}">{PANEL}</g>')
    for command in ("inspect", "measure"):
        assert "RED" in clean(svgfit(command, path)), command
    found = svgfit("inspect", path, "--json")
    clean(found)
    assert any(EVIL in layer["name"] for layer in json.loads(found.out)["layers"])
    found = svgfit("measure", path, "--json")
    clean(found)
    assert "\u202e" in json.loads(found.out)["pieces"][0]["name"]


def test_names_in_a_refusal(svgfit, tmp_path):
    path = drawing(tmp_path / "d.svg", inner=f'<path id="{EVIL}" d="M0 0L1e300 1"/><path id="{EVIL}b" d="M0 0 X"/>')
    done = svgfit("inspect", path)
    assert done.status == 2
    assert "RED" in clean(done)
    assert "RED" in clean(svgfit("inspect", path, "--debug"))


def test_a_plan(svgfit, here):
    (here / "p.toml").write_text(f'[[step]]\ndo = "cap-raise"\n"{json.dumps(WORSE)[1:-1]}" = 1\n')
    assert "RED" in clean(svgfit("adjust", "smock.svg", "--plan", "p.toml", "-o", "o.svg"))
    assert "RED" in clean(svgfit("adjust", "smock.svg", "--do", f"cap-raise {WORSE}=1", "-o", "o.svg"))
    assert "RED" in clean(svgfit("adjust", "smock.svg", "--do", f"{WORSE}", "-o", "o.svg"))


def test_a_convention(svgfit, here):
    (here / "c.toml").write_text(f'"{json.dumps(WORSE)[1:-1]}" = 1\n')
    assert "RED" in clean(svgfit("inspect", "smock.svg", "--convention", "c.toml"))


@pytest.mark.slow
def test_people(svgfit, here):
    sheet = (here / "players.toml").read_text().replace("Ines Marlow", "Ines " + json.dumps(WORSE)[1:-1])
    (here / "b.toml").write_text(sheet)
    assert "RED" in clean(svgfit("advise", "smock.svg", "--body", "b.toml"))
    assert "RED" in clean(svgfit("advise", "smock.svg", "--body", "b.toml", "--person", "nobody"))
    assert "RED" in clean(svgfit("advise", "smock.svg", "--body", "b.toml", "--json"))


@pytest.mark.skipif(sys.platform == "win32", reason="no such names there")
def test_names_of_files(svgfit, here):
    name = WORSE.replace("/", "") + ".svg"
    os.rename(here / "smock.svg", here / name)
    for words in (("inspect", name), ("measure", name), ("measure", f"{name}x"), (name,)):
        assert "RED" in clean(svgfit(*words)), words
    made = f"{WORSE}.png"
    assert "RED" in clean(svgfit("picture", name, "-o", made, "--width", "50"))


def test_harmless_leaves_everything_else():
    plain = "Ärmel 袖 ½ in – “cap”\n\t🧵 e\u0301 \u00a0"
    assert harmless(plain) == plain
    assert json.loads(f'"{harmless(WORSE)}"') == WORSE


def test_a_complaint_is_not_endless(svgfit, here):
    done = svgfit("adjust", "smock.svg", "--do", f"cap-raise amount='{'9' * 100_000} in'", "--dry-run")
    assert done.status == 2
    assert len(done.err) < 3200
    assert "is not a length; write for example" in done.err


@pytest.mark.parametrize("words", [("--width", "9" * 400), ("--dpi", "1e300"), ("--width", "1000000")])
def test_a_picture_of_far_too_many_pixels(svgfit, here, words):
    done = svgfit("picture", "smock.svg", "-o", "x.png", *words)
    assert done.status == 2
    assert "more than a picture may have; ask for less" in done.err
    assert len(done.err) < 200


class Screen(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_our_own_colours_pass_on_a_terminal_that_shows_them(monkeypatch):
    monkeypatch.delenv("NO_COLOR", raising=False)
    table = Table(f"t{WORSE}", ("a", "b"), (("pass", f"x\x1b[32m{WORSE}"), ("fail", "y")), notes=(WORSE,))
    screen = Screen()
    monkeypatch.setattr(sys, "stdout", screen)
    say(format_tables([table], Terminal(200, True)), painted=True)
    shown = screen.getvalue()
    assert "\x1b[32mpass" in shown
    assert "\x1b[1;31mfail" in shown
    for code in ("\x1b[1m", "\x1b[2m", "\x1b[32m", "\x1b[1;31m", "\x1b[0m"):
        shown = shown.replace(code, "")
    assert not CONTROLS & set(shown)
    say("pass \x1b[32mnot ours")
    assert "\x1b[32mnot ours" not in screen.getvalue()


def test_a_cell_is_not_endless():
    text = format_tables([Table("x" * 100_000, ("a",), (("y" * 100_000,),))])
    assert len(text) < 2000


# -- where nothing can be said -----------------------------------------------------------------------------------------


def run(words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    line = f'exec "{sys.executable}" -m svgfit {words}'
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        ["sh", "-c", line], capture_output=True, text=True, cwd=cwd, env=environment, check=False, timeout=120
    )


ADJUST = "adjust smock.svg --do \"ease-spread piece=Sleeve amount='1/4 in'\" -o out.svg"


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="there is no /dev/full")
@pytest.mark.parametrize("words", ["inspect smock.svg", ADJUST, "--help", "inspect --help"])
def test_a_full_disk_behind_stdout(here, words):
    done = run(f"{words} >/dev/full", here)
    assert done.returncode == 1
    assert [line for line in done.stderr.splitlines() if "warning" not in line] == [
        "svgfit: what there is to say can't be written (No space left on device); "
        "files named behind -o are written all the same"
    ]
    assert (here / "out.svg").exists() == (words == ADJUST)


@pytest.mark.slow_after(1)
@pytest.mark.skipif(sys.platform == "win32", reason="a shell closes them there otherwise")
@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_closed_streams(here, closed):
    done = run(f"{ADJUST} --force {closed}", here)
    assert done.returncode == 0
    assert "fault" not in done.stderr
    assert (here / "out.svg").exists()
    assert run(f"inspect none.svg {closed}", here).returncode == 2


def test_an_interruption_during_imports_is_one_line(monkeypatch, capsys):
    real = builtins.__import__

    def interrupted(name, *more, **others):
        if name == "svgfit.cli.app":
            raise KeyboardInterrupt
        return real(name, *more, **others)

    monkeypatch.setattr(builtins, "__import__", interrupted)
    monkeypatch.setattr(sys, "argv", ["svgfit", "--version"])
    assert main() == 130
    assert capsys.readouterr().err == "svgfit: interrupted\n"


@pytest.mark.skipif(sys.platform == "win32", reason="a folder in use can't be deleted there")
@pytest.mark.parametrize("command", ["inspect", "walk"])
def test_a_working_folder_that_was_deleted_is_one_line(tmp_path, command):
    gone, drawing = tmp_path / "gone", Path(svgfit.__file__).parents[1] / "demo_svgs" / "smock.svg"
    gone.mkdir()
    code = (
        f"import os, sys\nos.chdir({str(gone)!r})\nos.rmdir({str(gone)!r})\n"
        f"from svgfit.cli import main\nsys.exit(main([{command!r}, {str(drawing)!r}]))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr == "svgfit: the folder that you are in is there no longer; go to another one (cd)\n"
