from __future__ import annotations

import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import svgfit as package
from svgfit.cli.app import COMMANDS


def python(code, **more):
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, **more)


@pytest.mark.parametrize("name", COMMANDS)
def test_the_overview_says_what_the_command_says(name):
    command = import_module(f"svgfit.cli.{name.replace('-', '_')}").command
    assert command.get_short_help_str(200) == COMMANDS[name]
    assert command.name in (name, "command")


def test_help_lists_every_command_and_imports_none():
    code = (
        "import sys\nfrom svgfit.cli import main\nstatus = main([{option!r}])\n"
        "heavy = ('numpy', 'lxml', 'msgspec', 'pluggy', 'svgfit.cli.adjust', 'svgfit.plugin.registry')\n"
        "print([name for name in heavy if name in sys.modules], status)"
    )
    done = python(code.format(option="--help"))
    assert done.stdout.splitlines()[-1] == "[] 0"
    for name in COMMANDS:
        assert f"\n  {name} " in done.stdout
    done = python(code.format(option="--version"))
    assert done.stdout == f"svgfit {package.__version__}\n[] 0\n"


@pytest.mark.parametrize("step", ["ease-spread amount='1/2 in'", "cap-raise piece=Sleeve amount='1/4 in'"])
def test_adjusting_a_drawing_imports_nothing_heavy_that_it_can_do_without(step):
    """numpy.ma comes with np.median and np.unique and takes as long as a sixth of numpy; hashlib loads OpenSSL."""
    code = (
        "import sys, numpy\nhad = set(sys.modules)\nfrom svgfit.cli import main\n"  # numpy 1 brings all of itself
        f"status = main(['adjust', {str(Path(package.__file__).parents[1] / 'demo_svgs' / 'smock.svg')!r}, '--do', "
        f"{step!r}, '--dry-run', '--quiet'])\n"
        "heavy = ('numpy.ma', 'numpy.random', 'numpy.fft', 'hashlib', 'typst', 'pikepdf', 'cssselect2', 'fractions')\n"
        "print([name for name in heavy if name in sys.modules and name not in had], status)"
    )
    done = python(code)
    assert done.stdout.splitlines()[-1:] == ["[] 0"], done.stderr


@pytest.mark.parametrize("step", ["ease-spread amount='1/2 in'", "cap-raise piece=Sleeve amount='1/4 in'"])
def test_adjusting_a_drawing_imports_the_operation_that_a_step_names_and_no_other(step):
    """The smock's cap comes to a dip at the underarm after ease-spread; a verdict on it could name an operation."""
    code = (
        "import sys\nfrom pathlib import Path\nfrom svgfit.cli import main\n"
        f"main(['adjust', {str(Path(package.__file__).parents[1] / 'demo_svgs' / 'smock.svg')!r}, '--do', "
        f"{step!r}, '--dry-run', '--quiet'])\n"
        "paths = [Path(name.partition(':')[2]) for name in sys.modules if name.startswith('svgfit_plugin:')]\n"
        "print([path.stem for path in paths if path.parent.name == 'operations'])"
    )
    done = python(code)
    assert done.stdout.splitlines()[-1:] == [str([step.split()[0].replace("-", "_")])], done.stderr


def test_bare_svgfit_shows_the_overview(svgfit):
    done = svgfit()
    assert done.status == 0
    assert "Commands:" in done.out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["frobnicate"], "there is no command 'frobnicate'; the commands are inspect, measure"),
        (["mesure"], "there is no command 'mesure'; did you mean measure?"),
        (["measure"], "measure: no drawing is given; name one: svgfit measure sleeve.svg"),
        (["sleeve.svg"], "sleeve.svg is a drawing; begin with a command: svgfit inspect sleeve.svg"),
        (["measure", "a.svg", "--jsn"], "--json"),
        (["measure", "a.svg", "--unit", "ell"], "'in', 'mm', 'cm'"),
        (["measure", "a.svg", "--scale", "0"], "--scale 0 is not a number of units of the drawing in an inch"),
        (["measure", "a.svg", "--scale", "x"], "--scale x is not a number"),
        (["measure", "a.svg", "--json", "--csv"], "--json and --csv exclude each other"),
        (["adjust", "a.svg", "-o", "b.svg"], "there is nothing to do; give --plan PLAN"),
        (["adjust", "a.svg", "--do", "x"], "there is no place to write to; give -o OUT"),
        (["adjust", "a.svg", "--do", "x", "--plan", "y", "-o", "b.svg"], "--plan and --do exclude each other"),
        (["--frob"], "--frob"),
        (["walk"], "walk: no drawing is given; name one: svgfit walk sleeve.svg"),
    ],
)
def test_bad_use_is_one_line_and_status_2(refused, arguments, said):
    line = refused(*arguments)
    assert said in line
    assert ";" in line or "?" in line


def test_a_fault_of_svgfit_is_status_3_with_a_way_to_the_traceback(svgfit, monkeypatch):
    from svgfit.cli import plugins

    def broken(**options):
        raise KeyError("lost")

    monkeypatch.setattr(plugins.command, "callback", broken)
    done = svgfit("plugins")
    assert done.status == 3
    assert done.err.count("\n") == 1
    assert "a fault of svgfit (KeyError: 'lost')" in done.err
    assert "--debug" in done.err
    done = svgfit("plugins", "--debug")
    assert done.status == 3
    assert "Traceback" in done.err


def test_an_interruption_is_status_130(svgfit, monkeypatch):
    from svgfit.cli import plugins

    def interrupted(**options):
        raise KeyboardInterrupt

    monkeypatch.setattr(plugins.command, "callback", interrupted)
    done = svgfit("plugins")
    assert done.status == 130
    assert "Traceback" not in done.err


@pytest.mark.skipif(os.name != "posix", reason="needs a shell with pipes")
def test_a_reader_that_goes_away_is_no_error(here):
    code = "import sys; from svgfit.cli import main; sys.exit(main(['measure', 'smock.svg', '--json']))"
    root = os.path.dirname(os.path.dirname(package.__file__))
    command, more = [sys.executable, "-c", code], {"env": {**os.environ, "PYTHONPATH": root}}
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, **more) as running:
        running.stdout.close()
        err = running.stderr.read()
    assert running.returncode == 0
    assert b"Traceback" not in err
    assert b"Broken" not in err


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_says_how(svgfit, shell):
    assert f"_SVGFIT_COMPLETE={shell}_source" in svgfit("completion", shell).out
    assert shell in svgfit("completion").out


def test_completion_completes(monkeypatch):
    code = "from svgfit.cli import main; main([])"
    for words, index, wanted in (("svgfit ad", 1, "plain,adjust"), ("svgfit adjust --dr", 2, "plain,--dry-run")):
        more = {"_SVGFIT_COMPLETE": "bash_complete", "COMP_WORDS": words, "COMP_CWORD": str(index)}
        assert wanted in python(code, env={**os.environ, **more}).stdout.split()


def test_python_m_svgfit_is_the_same():
    done = subprocess.run([sys.executable, "-m", "svgfit", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout == f"svgfit {package.__version__}\n"
