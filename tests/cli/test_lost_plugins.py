"""What a plug-in has that is not used: said by every command that would use it, with the line and what to write."""

from __future__ import annotations

from pathlib import Path

import pytest

from svgfit.testing import check_plugin

HEAD = "from svgfit.plugin import Checker, Measurement, Measurer, Operation, Outcome, Parameter, hookimpl\n"
RUN = "def run(job):\n    return Outcome(pieces=job.pieces)\n"
MEASURES = "    return [Measurer('depth', ({kind!r},), lambda piece: (Measurement('hem depth', 5.0),))]\n"
AMOUNT = "(Parameter('amount', 'length', 'x'),), run, kinds=('sleeve',)"
OPERATES = "@hookimpl\ndef svgfit_operations():\n    return [{made}]\n"
POINT = f"{HEAD}{RUN}OPERATION = Operation('hem-point', 'Points.', {AMOUNT})\n"
DROP = f"{HEAD}from .point import OPERATION\n{RUN}" + OPERATES.format(
    made=f"OPERATION, Operation('hem-drop', 'Drops.', {AMOUNT})"
)
COMMANDS = (
    ("measure", "smock.svg"),
    ("check", "smock.svg"),
    ("adjust", "smock.svg", "--do", "cap-raise piece=Sleeve amount='1/8 in'", "--dry-run"),
    ("plugins",),
    ("operations",),
)


@pytest.fixture
def put(here: Path):
    """Write files of a folder of plug-ins; names with a slash are in a package."""

    def write(**files: str) -> str:
        for stem, text in files.items():
            path = here / "mine" / f"{stem.replace('__', '/', 1) if '__' in stem else stem}.py"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return str(here / "mine")

    return write


def package(put, init: str = DROP, point: str = POINT) -> str:
    return put(**{"svgfit_hem____init__": init, "svgfit_hem__point": point})


# -- hooks that are none -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ("def svgfit_measurers():\n", "function svgfit_measurers (line 7 of figures.py) is passed over, since it"),
        ("def svgfit_measurer():\n", "@hookimpl, and there is no hook of that name: did you mean svgfit_measurers?"),
        ("@hookimpl\ndef svgfit_measurer():\n", "no hook svgfit_measurer (line 7 of figures.py); did you mean "),
    ],
)  # fmt: skip
@pytest.mark.parametrize(
    ("command", "beside"), [(COMMANDS[0], False), (COMMANDS[0], True), (COMMANDS[2], True), (COMMANDS[3], True)]
)
def test_a_function_that_is_no_hook_is_told_once_by_every_command(command, head, said, beside, put, svgfit):
    hook = OPERATES.format(made=f"Operation('hem-drop', 'Drops.', {AMOUNT})") if beside else "\n\n\n"
    put(figures=f"{HEAD}{RUN}{hook}{head}{MEASURES.format(kind='sleeve')}")
    done = svgfit(*command, "--plugins", "mine")
    assert done.status in (0, 1), done.err
    told = [line for line in (done.err + done.out).splitlines() if "figures.py" in line]
    if command[0] in ("measure", "check", "adjust"):
        assert len(told) == 1, done.err
        assert said in told[0]
    assert said in " ".join((done.err + done.out).split()), done.err


def test_a_hook_in_another_file_of_a_package_is_told_too(put, svgfit):
    figures = f"{HEAD}def svgfit_measurers():\n{MEASURES.format(kind='sleeve')}"
    put(svgfit_hem__figures=figures)
    package(put, f"from .figures import svgfit_measurers\n{DROP}")
    done = svgfit("measure", "smock.svg", "--plugins", "mine")
    assert "function svgfit_measurers (line 2 of figures.py) is passed over" in done.err


def test_check_plugin_says_it(put):
    mine = package(put, f"{DROP}def svgfit_checks():\n    return []\n")
    with pytest.raises(AssertionError, match=r"svgfit_checks \(line 8 of __init__\.py\) is passed over"):
        check_plugin(mine)


def test_what_is_a_hook_or_no_function_of_the_kind_is_not_told(put, svgfit):
    marked = "import svgfit_tools\n@hookimpl(trylast=True)\n\n# beside\ndef svgfit_measurers():\n"
    put(svgfit_tools="x = 1")
    put(figures=f"{HEAD}{marked.partition(chr(10))[2]}{MEASURES.format(kind='sleeve')}svgfit_name = 'x'\n")
    done = svgfit("measure", "smock.svg", "--plugins", "mine")
    assert "passed over" not in done.err
    assert "hem depth" in done.out


# -- operations that are not there -------------------------------------------------------------------------------------


def asked(refused, name: str = "hem-point") -> str:
    return refused("adjust", "smock.svg", "--plugins", "mine", "--do", f"{name} piece=Sleeve amount=1in", "--dry-run")


@pytest.mark.parametrize(
    ("init", "point", "why"),
    [
        (DROP, POINT.replace("OPERATION =", "OPERATION = ="), "SyntaxError: invalid syntax (line 4 of point.py)"),
        (DROP.replace("import OPERATION", "import OPERATON"), POINT, "ImportError: cannot import name 'OPERATON'"),
        (DROP.replace("svgfit_operations", "svgfit_operation"), POINT, "there is no hook svgfit_operation (line "),
        (DROP.replace("@hookimpl\n", ""), POINT, "function svgfit_operations (line 5 of __init__.py) is passed over"),
        (DROP.replace("OPERATION, ", "OPERATION, OPERATION, "), POINT, "operation hem-point is there twice (line 4 of"),
        (DROP, POINT.replace("'hem-point'", "'Hem point'"), "operation Hem point (line 4 of point.py): the opera"),
    ],
)  # fmt: skip
def test_what_went_wrong_comes_first_and_nothing_else_is_guessed(init, point, why, put, refused):
    package(put, init, point)
    line = asked(refused)
    assert line.startswith("svgfit: --do 1: plug-in svgfit-hem (mine"), line
    assert why in line
    for guess in ("did you mean cap", "does not give it back", "The operations are", "the operations are", "cap-raise"):
        assert guess not in line


def test_one_that_the_hook_leaves_out_is_still_told(put, refused):
    package(put, DROP.replace("OPERATION, ", ""))
    assert "one is made at line 4 of point.py, but svgfit_operations does not give it back" in asked(refused)


def test_one_whose_hook_is_not_marked_beside_others_is_told_so(put, refused):
    measures = f"@hookimpl\ndef svgfit_measurers():\n{MEASURES.format(kind='sleeve')}"
    package(put, DROP.replace("@hookimpl\n", "") + measures)
    line = asked(refused)
    assert "one is made at line 4 of point.py, but function svgfit_operations (line 5 of __init__.py) is passed" in line
    assert "does not give it back" not in line


def test_another_operation_is_looked_for_as_ever_beside_a_plug_in_that_fails(put, refused):
    package(put, DROP, POINT + "1 / 0\n")
    assert "there is no operation 'cap-rais'; perhaps it is in what can't be loaded: " in asked(refused, "cap-rais")
    assert "did you mean cap-raise?" in asked(refused, "cap-rais")


@pytest.mark.parametrize("name", ["hem-corner", "Hem"])
def test_an_unusable_name_is_told_where_it_is_asked_for(name, put, refused):
    put(costume=HEAD + RUN + OPERATES.format(made=f"Operation('Hem corner', 'x', {AMOUNT})"))
    line = asked(refused, name)
    assert "costume.py) failed: the operation's name is 'Hem corner': small letters" in line
    assert "(line 6 of costume.py)" in line


def test_two_of_one_name_leave_the_others(put, svgfit):
    twice = DROP.replace("'hem-drop'", "'hem-point'").replace(")]\n", f"), Operation('hem-up', 'Ups.', {AMOUNT})]\n")
    package(put, twice)
    done = svgfit("operations", "--plugins", "mine")
    assert "hem-up" in done.out
    said = "operation hem-point is there twice (line 7 of __init__.py and line 4 of point.py)"
    assert said in " ".join((done.out + done.err).split())
    assert svgfit("adjust", "smock.svg", "--plugins", "mine", "--do", "hem-up amount=1in", "--dry-run").status == 0


# -- kinds of piece ----------------------------------------------------------------------------------------------------


OWN = ("adjust", "smock.svg", "--do", "hem-drop amount=1in", "--dry-run")


@pytest.mark.parametrize(
    ("command", "hook"),
    [
        (COMMANDS[0], "measurers"),
        (COMMANDS[1], "checks"),
        (COMMANDS[3], "checks"),
        (COMMANDS[3], "operations"),
        (COMMANDS[4], "operations"),
        (OWN, "operations"),
    ],
)
def test_a_kind_that_no_piece_has_is_told_once_by_every_command_that_would_use_it(command, hook, put, svgfit):
    made = {
        "measurers": "Measurer('depth', ('sleve',), lambda piece: ())",
        "checks": "Checker(name='depth', of='piece', kinds=('sleve',), check=lambda subject: ())",
        "operations": f"Operation('hem-drop', 'Drops.', {AMOUNT})".replace("sleeve", "sleve"),
    }
    put(hem_drop=f"{HEAD}{RUN}@hookimpl\ndef svgfit_{hook}():\n    return [{made[hook]}]\n")
    done = svgfit(*command, "--plugins", "mine")
    told = "is for pieces of kind 'sleve', which no recogniser gives; did you mean sleeve?"
    assert done.err.count(told) == 1, done.err


# -- functions that can't be called, and names that are not there ------------------------------------------------------


@pytest.mark.parametrize("debug", [(), ("--debug",)])
def test_a_run_that_takes_more_than_the_job_is_told_so_with_its_line(debug, put, svgfit):
    package(put, DROP, POINT.replace("def run(job)", "def run(job, piece)"))
    do = "hem-point piece=Sleeve amount=1in"
    done = svgfit(*debug, "adjust", "smock.svg", "--plugins", "mine", "--do", do, "--dry-run")
    assert done.status == 2
    line = done.err.splitlines()[-1]
    assert "operation hem-point (line 4 of point.py): run takes one argument: def run(job) (run, line 2 of poi" in line
    assert "TypeError" not in done.err
    assert bool(debug) == any("point.py" in each and "in run" in each for each in done.err.splitlines()[:-1])
    told = " ".join(svgfit("plugins", "--plugins", "mine").out.split())
    assert "run takes one argument: def run(job) (run, line 2 of point.py)" in told


@pytest.mark.parametrize(
    ("hook", "record", "said"),
    [
        ("measurers", "Measurer('depth', ('sleeve',), lambda: ())", "def <lambda>(piece)"),
        ("checks", "Checker(name='depth', of='piece', check=look)", "def look(subject) (look, line 2"),
        ("seams", "SeamFinder(name='mine', find=look)", "def look(pieces) (look, line 2"),
        ("writers", "formats.Writer(name='mine', suffix='.x', write=look)", "def look(drawing) (look, line 2"),
    ],
)  # fmt: skip
def test_so_is_every_other_function_that_a_plug_in_gives(hook, record, said, put, svgfit):
    look = "from svgfit.plugin import *\ndef look(piece, more):\n    return ()\n"
    put(mine=f"{look}@hookimpl\ndef svgfit_{hook}():\n    return [{record}]\n".replace("*", NAMES))
    assert f"takes one argument: {said}" in " ".join(svgfit("plugins", "--plugins", "mine").out.split())


NAMES = "Checker, Measurer, SeamFinder, formats, hookimpl"


@pytest.mark.parametrize(
    ("call", "said"),
    [
        ("job.piece.edge('hemm')", "smock.svg: Sleeve: no edge 'hemm' (line 3 of point.py); its edges are: cap"),
        ("job.piece.landmark('cap tip')", "Sleeve: no landmark 'cap tip' (line 3 of point.py); its landmarks are: "),
        ("sewing.sewn_length(job.piece, 'hemm')", "no edge 'hemm' (line 3 of point.py); its edges are: "),
    ],
)
def test_a_name_that_a_piece_does_not_have_is_told_with_the_line_that_asks(call, said, put, refused):
    point = POINT.replace("    return", f"    {call}\n    return", 1).replace("hookimpl\n", "hookimpl, sewing\n", 1)
    package(put, DROP, point)
    line = asked(refused)
    assert line.startswith("svgfit: --do 1: hem-point: plug-in svgfit-hem (mine"), line
    assert said in line


def test_so_it_is_where_a_measurer_asks(put, svgfit):
    measures = MEASURES.format(kind="sleeve").replace("lambda piece: (", "lambda piece: (piece.edge('hemm'), ")
    put(figures=f"{HEAD}@hookimpl\ndef svgfit_measurers():\n{measures}")
    done = svgfit("measure", "smock.svg", "--plugins", "mine")
    assert "plug-in figures (mine" in done.err
    assert "no edge 'hemm' (line 4)" in done.err


# -- what is said of what stands elsewhere -----------------------------------------------------------------------------


def test_a_record_that_is_written_to_says_what_to_write(put, refused):
    point = POINT.replace("    return", "    job.piece.edge('hem').name = 'x'\n    return", 1)
    package(put, DROP, point)
    line = asked(refused)
    assert "immutable type: 'Edge': nothing is changed in place, replace(record, name=value) gives a new one" in line
    assert "(line 3 of point.py)" in line


def test_a_landmark_left_behind_says_what_to_write(put, svgfit):
    text = f"""{HEAD}from svgfit.plugin import Curve, replace, swap
from svgfit.plugin import Landmark

def run(job):
    piece = job.piece
    hem = piece.edge("hem").curve
    corner = (hem.start + hem.end) / 2 + 60j
    middle = Landmark("hem middle", (hem.start + hem.end) / 2)
    edges = tuple(
        replace(edge, curve=Curve.polyline([hem.start, corner, hem.end])) if edge.name == "hem" else edge
        for edge in piece.edges
    )
    marked = replace(piece, landmarks=(*piece.landmarks, middle))
    return Outcome(pieces=swap(job.pieces, marked if job.values.get("amount", 0) < 1 else marked.with_edges(edges)))
"""
    put(hem_drop=text + OPERATES.format(made=f"Operation('hem-drop', 'Drops.', {AMOUNT})"))
    steps = ("--do", "hem-drop amount=0mm", "--do", "hem-drop amount=1in")
    done = svgfit("adjust", "smock.svg", "--plugins", "mine", *steps, "--dry-run")
    assert "its landmark hem middle stood on the outline and lies" in done.err
    assert "(the operation gives the new piece its place: replace(piece, landmarks=…))" in done.err


def test_an_operation_of_a_package_is_from_the_file_in_which_it_is_made(put, svgfit):
    package(put)
    assert "from      mine/svgfit_hem/point.py" in svgfit("operations", "hem-point", "--plugins", "mine").out
    assert "from      mine/svgfit_hem/__init__.py" in svgfit("operations", "hem-drop", "--plugins", "mine").out


def test_a_plan_in_a_drawing_names_the_plug_in_that_is_not_there(put, svgfit):
    body = "job.pieces, annotations=(Annotation('hinge', job.piece.title, point=0j),))"
    text = (HEAD + RUN).replace("import", "import Annotation,", 1).replace("pieces=job.pieces)", body)
    put(hem_drop=text + OPERATES.format(made=f"Operation('hem-drop', 'Drops.', {AMOUNT})"))
    steps = ("--do", "cap-raise amount='1/4 in'", "--do", "hem-drop amount=1in")
    assert svgfit("adjust", "smock.svg", "--plugins", "mine", *steps, "-o", "one.svg").status == 0
    said = "step 2: hem-drop was done by the plug-in hem_drop.py sha256 "
    todo = ", which is not here; name the folder that it lies in with --plugins, or install it"
    done = svgfit("handout", "one.svg", "-o", "one.pdf")
    assert said in done.err
    assert todo in done.err
    assert "there is no operation" not in done.err
