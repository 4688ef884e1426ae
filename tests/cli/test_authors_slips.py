"""What an author of a plug-in gets wrong though it runs: told at once, with the step, the plug-in and what to write."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.plugin.border_plugins import OPERATION, changed, hem, measurer, operation

AMOUNT = "Parameter('amount', 'length', 'x', '5 mm'),"
LONGER = """
old = piece.edge("hem").curve
way = {way}
corner = {corner}
curves = {{"hem": Curve.polyline([corner, old.end])}}
seam = piece.edge("underarm back").curve
curves["underarm back"] = Curve.polyline([seam.start, corner])
edges = tuple(replace(edge, curve=curves.get(edge.name, edge.curve)) for edge in piece.edges)
return Outcome(swap(job.pieces, piece.with_edges(edges)){got})
"""


def longer(corner: str = "old.start + job.values['amount'] * way", way: str = "1j", got: str = "") -> str:
    """A sleeve's back corner moved by the amount, in some direction."""
    return LONGER.format(corner=corner, way=way, got=got)


@pytest.fixture
def add(here: Path):
    def put(body: str, name: str = "hem-try", *, parameters: str = AMOUNT, kind: str = "sleeve") -> None:
        (here / "mine").mkdir(exist_ok=True)
        text = operation(name, body, parameters=parameters, kind=kind)
        (here / "mine" / f"{name.replace('-', '_')}.py").write_text(text, encoding="utf-8")

    return put


DIVIDED = """
def divided(curve):
    return Curve.chain(part for k in range(len(curve)) for part in curve.subcurve(k, k + 1).split(0.37))
"""

ADJUST = ("adjust", "smock.svg", "--plugins", "mine", "--dry-run", "--do")


def warned(svgfit, *more: str, do: str = "hem-try piece=Sleeve") -> list[str]:
    done = svgfit(*ADJUST, do, *more)
    assert done.status in (0, 1), done.err
    return [line.removeprefix("svgfit: warning: ") for line in done.err.splitlines() if "hem-try" in line]


# -- what was changed ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "body",
    [
        "return Outcome(job.pieces)",
        "return Outcome(job.pieces, got=(('cap height', piece.landmark('cap top').imag * 0 + 152.4),))",
        changed("edges=tuple(replace(edge) for edge in piece.edges)"),
        changed("edges=tuple(replace(edge, curve=edge.curve.transform(Affine.shift(0j))) for edge in piece.edges)"),
        f"{DIVIDED}{changed('edges=tuple(replace(edge, curve=divided(edge.curve)) for edge in piece.edges)')}",
    ],
)
def test_a_step_that_changes_nothing_says_so(body, add, svgfit):
    add(body)
    assert "hem-try: Sleeve: nothing changed" in warned(svgfit)


@pytest.mark.parametrize(
    "do", ["hem-drop piece=Sleeve amount='0 in'", "slash piece=Sleeve from='hem middle' to='cap top' amount=0mm"]
)
def test_an_amount_of_nothing_changes_nothing_and_says_so(do, here, svgfit):
    assert svgfit("new-plugin", "hem-drop").status == 0
    done = svgfit("adjust", "smock.svg", "--plugins", "svgfit-hem-drop", "--dry-run", "--do", do)
    assert ": nothing changed" in done.err, done


def test_a_thousandth_of_a_millimetre_is_a_change(add, svgfit):
    move = "Affine.shift(1e-3j if e.name == 'hem' else 0j)"
    add(DIVIDED + changed(f"edges=tuple(replace(e, curve=divided(e.curve).transform({move})) for e in piece.edges)"))
    assert not [line for line in warned(svgfit) if "nothing changed" in line]


@pytest.mark.parametrize(
    "more",
    [
        "warnings=('Sleeve: its hem is long enough',)",
        "checks=(Check('hem', 'pass', 'it is long enough'),)",
        "annotations=(Annotation('hinge', piece.title, point=0j),)",
    ],
)
def test_one_that_says_so_itself_or_looks_only_does_not(more, add, svgfit):
    add(f"return Outcome(job.pieces, {more})")
    assert not [line for line in warned(svgfit) if "nothing changed" in line]


def test_one_that_compares_changes_nothing_and_need_not_say_so(here, svgfit):
    done = svgfit("adjust", "smock.svg", "--do", "seam-check a=Front/shoulder b=Back/shoulder", "--dry-run")
    assert "nothing changed" not in done.err


def test_another_piece_than_the_one_asked_for_is_named(add, svgfit):
    other = "other = next(one for one in job.pieces if one.name == 'Front')\nother = replace(other, landmarks=())\n"
    add(f"{other}return Outcome(swap(job.pieces, other))")
    assert warned(svgfit) == ["hem-try: Sleeve was asked for and is as it was; Front changed instead"]
    add(f"{other}{longer().replace('swap(job.pieces', 'swap(swap(job.pieces, other)')}")
    assert "hem-try: Sleeve was asked for, and Front changed too" in warned(svgfit)
    add(f"{other}return Outcome(swap(job.pieces, other))", parameters="Parameter('to', 'pieces', 'x'),")
    assert warned(svgfit, do="hem-try piece=Sleeve to=Front") == []
    said = "warnings=('Front: its landmarks are gone',)"
    add(f"{other}return Outcome(swap(job.pieces, other), {said})")
    assert not any("changed instead" in line for line in warned(svgfit))


@pytest.mark.parametrize("name", ["underarm seam back", "hem"])
def test_an_amount_under_the_name_of_what_can_be_measured_is_noticed(name, add, svgfit):
    add(longer(got=f", got=(Measurement({name!r}, job.values['amount']),)"))
    (line,) = warned(svgfit, "--unit", "mm")
    assert f"hem-try: it says that it got {name} 5.0 mm, but on Sleeve that measures " in line
    assert line.endswith("what is got is measured, never copied from what was asked")
    add(longer(got=", got=(Measurement('hem', abs(old.end - corner)), Measurement('drop', job.values['amount']))"))
    assert warned(svgfit) == []


# -- what can't be drawn -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("corner", ["5.0 + 0j", "old.start + 22860 * way"])
def test_what_can_not_be_drawn_after_a_step_names_it_and_its_plug_in(corner, add, here, refused):
    add(
        longer(corner, way="seam.tangent(float(len(seam)))").replace(
            "way =", "seam = piece.edge('underarm back').curve\nway ="
        )
    )
    line = refused("adjust", "smock.svg", "--plugins", "mine", "--do", "hem-try piece=Sleeve", "-o", "out.svg")
    assert line.startswith("svgfit: --do 1: hem-try: plug-in hem-try (mine"), line
    assert "ask for less there, or " in line or "crosses itself" in line
    assert not (here / "out.svg").exists()


def test_the_first_of_several_steps_after_which_it_can_not_be_drawn_is_the_one(add, refused):
    add(longer("5.0 + 0j"))
    before, after = "cap-raise piece=Sleeve amount='1/8 in'", "hem-try piece=Sleeve"
    line = refused("adjust", "smock.svg", "--plugins", "mine", "--do", before, "--do", after, "--dry-run")
    assert line.startswith("svgfit: --do 2: hem-try: plug-in hem-try (mine"), line


def test_a_crossing_is_placed_in_the_persons_unit(add, refused):
    add(hem("Curve.polyline([old.start, old.end - 200j, old.start - 300j, old.end])"))
    for unit, other in (("mm", " in,"), ("in", " mm")):
        line = refused(*ADJUST, "hem-try piece=Sleeve", "--unit", unit)
        assert "its outline crosses itself" in line
        assert other not in line, line


# -- what is broken ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "why"),
    [
        ("x = 1", "run gives back nothing, not an Outcome: perhaps a return is missing (run, line "),
        ("return job.refuse('no', 'yes')", "a refusal, which does nothing: write raise job.refuse(…) (run, line "),
        ("return Outcome(swap(piece, job.pieces))", "swap takes the pieces first, then the new piece: swap(job"),
        ("job.values['amont']", "there is no value 'amont'; the parameters are: amount, by (line "),
        ("job.values['by']", "'by' was left out in this step, and has no default: job.values.get('by') (line "),
        ("return Outcome(job.pieces, got=(Measurement('x', 1.0, 'cm2'),))", "deg, number, share: an area goes in mm2"),
        ("return Outcome(job.pieces, got=(Measurement('x', 1.0, 'sq in'),))", "an area goes in mm2"),
        ("return Outcome(job.pieces, got=(Measurement('x', 1.0, 'inches'),))", "a length goes in mm"),
        ("return Outcome(job.pieces, got=(Measurement('x', 1.0, '%'),))", "goes in share, 1 for all of it"),
    ],
)  # fmt: skip
def test_a_slip_is_told_with_what_to_write(body, why, add, refused):
    add(body, parameters=f"{AMOUNT} Parameter('by', 'length', 'x')")
    assert why in refused(*ADJUST, "hem-try piece=Sleeve")


@pytest.mark.parametrize(
    "body", ["x = 1", "return piece", "return Outcome(job.pieces[1:])", "return piece.edge('wrist')"]
)
@pytest.mark.parametrize("first", [True, False])
def test_debug_shows_the_plug_ins_own_code_and_nothing_before_it(body, first, add, svgfit):
    add(body)
    command = (*ADJUST, "hem-try piece=Sleeve")
    done = svgfit("--debug", *command) if first else svgfit(*command, "--debug")
    assert done.status == 2
    lines = done.err.splitlines()
    assert lines[0].startswith("in hem-try (mine") or "wrist" in body, lines
    assert any("hem_try.py" in line and "in run" in line for line in lines[:-1]), lines
    assert (
        not any(f"svgfit{part}" in line for line in lines[:2] for part in ("/app/", "/plugin/guard")) or "wrist" in body
    )


def test_kinds_that_no_recogniser_gives_are_told(add, svgfit):
    add("return Outcome(job.pieces)", kind="sleve")
    done = svgfit("plugins", "--plugins", "mine")
    assert (
        "operation hem-try is for pieces of kind 'sleve', which no recogniser gives; did you mean sleeve?" in done.err
    )
    add("return Outcome(job.pieces)", kind="front")
    assert svgfit("plugins", "--plugins", "mine").err == ""


def test_a_figure_given_twice_names_both_files_and_what_without_takes(here, svgfit, refused):
    (here / "mine").mkdir()
    for name in ("measure_area", "measure_cloth"):
        text = measurer(name.removeprefix("measure_"), 'yield Measurement("cloth area", 1.0, "mm2")')
        (here / "mine" / f"{name}.py").write_text(text)
    line = refused("measure", "smock.svg", "--plugins", "mine")
    assert "measure_area.py" in line
    assert "measure_cloth.py" in line
    switch = line.rpartition("--without ")[2]
    assert svgfit("measure", "smock.svg", "--plugins", "mine", "--without", switch).status == 0


def test_the_text_of_the_operations_is_what_these_tests_think():
    assert "def run(job):\n    piece = job.piece" in OPERATION
