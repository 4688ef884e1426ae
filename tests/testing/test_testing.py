"""What plug-ins' authors test with: ready garments are sound, and each assertion fails where it should."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from msgspec.structs import replace

from svgfit import testing
from svgfit.fitting.measure import measure_piece
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.model.piece import Dart, DrawnCut
from svgfit.pattern.cut_line import cut_line

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "docs" / "examples" / "plugins"

HEAD = "from svgfit.plugin import Measurement, Measurer, Operation, Outcome, Parameter, hookimpl, replace, swap\n"
OPERATIONS = HEAD + (
    "def run(job):\n    {body}\n\n"
    "@hookimpl\ndef svgfit_operations():\n"
    "    return [Operation({name!r}, 'Tries.', (Parameter('amount', 'length', 'how far'),), run, kinds=('sleeve',))]\n"
)
MEASURERS = HEAD + "@hookimpl\ndef svgfit_measurers():\n    return [Measurer('x', ('sleeve',), lambda piece: [{}])]\n"


@pytest.fixture
def plugin(tmp_path):
    def make(body: str, name: str = "hem-try", text: str = OPERATIONS) -> Path:
        path = tmp_path / f"{name.replace('-', '_')}.py"
        path.write_text(
            text.format(body=body, name=name) if text is OPERATIONS else text.format(body), encoding="utf-8"
        )
        return path

    return make


# -- garments --------------------------------------------------------------------------------------------------------


def everything():
    return [*testing.sleeves(), *testing.garment().pieces, *testing.smock().pieces]


@pytest.mark.parametrize("piece", everything(), ids=lambda piece: piece.title)
def test_ready_pieces_are_sound(piece):
    outline = piece.outline()
    assert self_crossing(outline) is None
    for edge, after in zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True):
        assert edge.curve.end == pytest.approx(after.curve.start, abs=1e-6)
    for mark in piece.marks:
        if mark.edge is not None:
            testing.assert_on_edge(piece, mark, mark.edge)
    assert len({one.name for one in measure_piece(piece)}) > 3
    testing.assert_at_allowance(piece, within=0.2)


def test_the_garment_can_be_sewn():
    done = testing.run("seam-check a=Sleeve/cap b=Front/armhole+Back/armhole min='0 mm' max='40 mm'", testing.garment())
    assert [check.status for check in done.checks] == ["pass"]
    for seam in ("side seam", "shoulder"):
        step = f"seam-check a='Front/{seam}' b='Back/{seam}'"
        assert [check.status for check in testing.run(step, testing.garment()).checks] == ["pass"]


def test_a_piece_is_put_in_anothers_place():
    whole = testing.garment()
    other = replace(whole.piece("Sleeve"), marks=())
    assert whole.with_piece(other).piece("Sleeve").marks == ()
    with pytest.raises(testing.running.Refusal, match="no piece 'Slave'; the pieces are: Sleeve, Front, Back"):
        whole.piece("Slave")


# -- running ---------------------------------------------------------------------------------------------------------


def test_a_step_is_run_and_measured():
    done = testing.run("cap-raise amount='10 mm'", testing.garment())
    assert done.gained("Sleeve", "cap height") == pytest.approx(10, abs=0.01)
    assert done.before("Sleeve", "cap height") == pytest.approx(140, abs=0.01)
    testing.assert_smooth(done.piece("Sleeve"), "cap", done.openings[0].first)
    testing.assert_unchanged(testing.garment().piece("Front"), done.piece("Front"))
    with pytest.raises(testing.running.Refusal, match="no measurement 'cap hight'"):
        done.measured("Sleeve", "cap hight")


def test_an_own_plug_in_is_run_from_its_folder_file_or_module():
    spec = importlib.util.spec_from_file_location("longer", EXAMPLES / "longer.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["longer"] = module
    try:
        spec.loader.exec_module(module)
        for one in (EXAMPLES, str(EXAMPLES), EXAMPLES / "longer.py", module):
            done = testing.run("longer amount='1 in'", testing.smock(), plugins=one)
            assert done.gained("Sleeve", "underarm seam front") == pytest.approx(25.4, abs=0.3)
    finally:
        del sys.modules["longer"]


def test_a_refusal_is_held_to_what_it_promises(plugin):
    line = testing.refused("cap-raise amount='-300 mm'", testing.smock())
    assert line.startswith("--do 1")
    with pytest.raises(AssertionError, match="was not refused"):
        testing.refused("cap-raise amount='1 mm'", testing.smock())
    with pytest.raises(AssertionError, match="'no wool' is not in"):
        testing.refused("cap-raise amount='-300 mm'", testing.smock(), "no wool")
    with pytest.raises(AssertionError, match=r"an exception, not a refusal: .*ZeroDivisionError"):
        testing.refused("hem-try amount='1 mm'", testing.smock(), plugins=plugin("1 / 0"))
    silent = plugin("raise job.refuse('it is too far')", "hem-far")
    with pytest.raises(AssertionError, match="does not say what to do"):
        testing.refused("hem-far amount='1 mm'", testing.smock(), plugins=silent)


# -- a whole plug-in -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["longer.py", "measure_wrist.py", "cuffs.py"])
def test_the_examples_are_sound(name):
    testing.check_plugin(EXAMPLES / name)


@pytest.mark.parametrize(
    ("body", "why"),
    [
        ("1 / 0", "ZeroDivisionError"),
        ("return job.pieces", "not an Outcome"),
        ("return Outcome(pieces=job.pieces[1:])", "run must give back all pieces"),
        (
            "import itertools; run.k = getattr(run, 'k', 0) + 1; import builtins; "
            "builtins._tries = getattr(builtins, '_tries', 0) + 1; "
            "return Outcome(pieces=job.pieces, got=(('x', float(builtins._tries)),))",
            "run twice, it does not give the same",
        ),
    ],
)
def test_a_plug_in_that_breaks_its_contract_is_told_all(plugin, body, why):
    with pytest.raises(AssertionError, match=why):
        testing.check_plugin(plugin(body), steps=["hem-try amount='1 mm'"], on=testing.garment())


def test_a_plug_in_that_does_not_load_or_refuses_what_it_must_do(plugin):
    with pytest.raises(AssertionError, match="hem-try: failed: SyntaxError"):
        testing.check_plugin(plugin("x("))
    far = plugin("raise job.refuse('it is too far', 'ask for less')", "hem-far")
    testing.check_plugin(far, on=testing.garment())
    with pytest.raises(AssertionError, match="it is too far"):
        testing.check_plugin(far, steps=["hem-far amount='1 mm'"], on=testing.garment())


@pytest.mark.parametrize(
    ("record", "why"),
    [
        ("Measurement('wrist', float('nan'))", "wrist of Sleeve|wrist"),
        ("Measurement('cloth', 3.0, 'cm2')", "cm2"),
        ("Measurement('wrist', 1 / 0)", "division by zero"),
    ],
)
def test_measurements_that_cannot_be(plugin, record, why):
    with pytest.raises(AssertionError, match=why):
        testing.check_plugin(plugin(record, "measure-it", MEASURERS), on=testing.garment())


@pytest.mark.parametrize(
    ("body", "why"),
    [
        (
            "job.values['amount']; return Outcome(pieces=job.pieces)",
            "hem-try: it changes nothing on any garment that it",
        ),
        (
            "job.values['amount']; return Outcome(swap(job.pieces, replace(job.piece, edges=tuple(job.piece.edges))))",
            "it changes nothing",
        ),
        (
            "return Outcome(swap(job.pieces, replace(job.piece, data=(('a', 'b'),))))",
            "hem-try: run never looks at the value of amount",
        ),
        (
            "job.refuse('no', 'yes') if job.values['amount'] > 900 else None\n    job.refuse('no', 'yes')\n"
            "    return Outcome(pieces=job.pieces)",
            r"job.refuse\(…\) does nothing by itself \(line 4 of hem_try.py\): write raise job.refuse",
        ),
    ],
)
def test_what_an_author_did_not_mean_is_told(plugin, body, why):
    with pytest.raises(AssertionError, match=why):
        testing.check_plugin(plugin(body), steps=["hem-try amount='1 mm'"])


@pytest.mark.parametrize(
    "body",
    [
        "dict(job.values)",
        "job.values.get('amount')",
        "[each for each in job.values.values()]",
        "'amount' in job.values",
        "(lambda amount: 0)(**job.values)",
    ],
)
def test_one_that_says_so_and_asks_in_whatever_way_is_sound(plugin, body):
    text = f"{body}; return Outcome(pieces=job.pieces, warnings=('Sleeve: left as it is',))"
    testing.check_plugin(plugin(text), steps=["hem-try amount='1 mm'"], on=testing.garment())


def test_an_operation_that_no_hook_gives_back_and_kinds_that_nobody_gives_are_told(plugin):
    more = "\nOTHER = Operation('hem-other', 'Tries.', (), run)\nOTHER = Operation('hem-more', 'Tries.', (), run)\n"
    path = plugin("return Outcome(pieces=job.pieces, warnings=(str(job.values['amount']),))")
    path.write_text(path.read_text().replace("kinds=('sleeve',)", "kinds=('sleeve', 'sleve')") + more)
    with pytest.raises(AssertionError) as told:
        testing.check_plugin(path, steps=["hem-try amount='1 mm'"], on=testing.garment())
    lines = str(told.value).splitlines()
    assert "operation hem-other is made (line 9 of hem_try.py), but svgfit_operations does not give it back" in lines
    assert "operation hem-more is made (line 10 of hem_try.py), but svgfit_operations does not give it back" in lines
    assert any(
        "hem-try is for pieces of kind 'sleve', which no recogniser gives; did you mean sleeve?" in one for one in lines
    )


# -- what does not come back -------------------------------------------------------------------------------------------


HANGS = ["while True:\n        pass", "import time; time.sleep(60)", "import re; re.match('(a+)+$', 'a' * 64 + 'b')"]


@pytest.mark.parametrize("body", HANGS, ids=["loops", "sleeps", "searches"])
def test_a_step_that_hangs_fails_its_test_with_the_line(plugin, body):
    path = plugin(
        f"\n    try:\n        {body.replace('        ', '            ')}\n    except Exception:\n        pass"
    )
    with pytest.raises(TimeoutError, match=r"--do 1: hem-try: plug-in hem-try .* within 0\.3 s \(line 5\)$"):
        testing.run("hem-try amount='1 mm'", testing.garment(), plugins=path, step_timeout=0.3)
    assert (
        testing.run("cap-raise amount='1 mm'", testing.garment(), step_timeout=30.0).gained("Sleeve", "cap height") > 0
    )


def test_one_that_hangs_in_a_thread_is_interrupted_there(plugin):
    found = []

    def work():
        try:
            testing.run("hem-try amount='1 mm'", testing.garment(), plugins=plugin(HANGS[0]), step_timeout=0.3)
        except TimeoutError as error:
            found.append(str(error))

    thread = threading.Thread(target=work)
    thread.start()
    thread.join(30)
    assert len(found) == 1
    assert "did not come back within 0.3 s" in found[0]


def test_under_pytest_the_other_tests_go_on(plugin, tmp_path):
    path = plugin(HANGS[0])
    (tmp_path / "test_it.py").write_text(
        "from svgfit.testing import run, sleeve\n\ndef test_a():\n"
        f"    run(\"hem-try amount='1 mm'\", sleeve(), plugins={str(path)!r}, step_timeout=0.3)\n\n"
        "def test_b():\n    pass\n"
    )
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", str(tmp_path)],
        capture_output=True, text=True, cwd=tmp_path, check=False, timeout=60,
    )  # fmt: skip
    assert "1 failed, 1 passed" in done.stdout, done.stdout + done.stderr
    assert "TimeoutError: --do 1: hem-try: plug-in hem-try" in done.stdout


# -- assertions ------------------------------------------------------------------------------------------------------


def with_edge(piece, name, curve):
    return piece.with_edges(tuple(replace(edge, curve=curve) if edge.name == name else edge for edge in piece.edges))


def test_a_kink_is_seen_and_where():
    piece = testing.sleeve()
    testing.assert_smooth(piece, "cap")
    hem = piece.edge("hem").curve
    middle = hem.point(0.5) + 5j
    bent = with_edge(piece, "hem", Curve.polyline([hem.start, middle, hem.end]))
    with pytest.raises(AssertionError, match=r"Sleeve: hem turns by 4\.\d+° at"):
        testing.assert_smooth(bent, "hem")
    testing.assert_smooth(bent, "hem", hem.start)
    with pytest.raises(AssertionError, match="turns by"):
        testing.assert_smooth(bent, "hem", middle)


def test_a_point_off_its_edge_and_a_length_that_is_not():
    piece = testing.sleeve()
    testing.assert_on_edge(piece, piece.notches("cap")[0], "cap")
    with pytest.raises(AssertionError, match="off its cap"):
        testing.assert_on_edge(piece, 10 + 10j, "cap")
    length = piece.edge("hem").curve.length()
    testing.assert_length(piece, "hem", length)
    with pytest.raises(AssertionError, match="its hem is"):
        testing.assert_length(piece, "hem", length + 1)


def test_an_allowance_that_is_not_there():
    piece = testing.sleeve()
    testing.assert_at_allowance(piece)
    bare = piece.with_edges(tuple(replace(edge, allowance=None) for edge in piece.edges))
    with pytest.raises(AssertionError, match="has no cut line"):
        testing.assert_at_allowance(bare)


def darted(tip: complex, mouth: float = 20.0):
    """A front with a dart cut out of its hem, upright in its middle."""
    front, _ = testing.bodices()
    hem = front.edge("hem").curve
    legs = [130 + mouth / 2 + 430j, tip, 130 - mouth / 2 + 430j]
    bent = with_edge(front, "hem", Curve.polyline([hem.start, *legs, hem.end]))
    return replace(bent, darts=(Dart("hem", *legs),))


def test_darts_are_neither_kinks_nor_off_their_allowance():
    piece = darted(130 + 100j)
    testing.assert_smooth(piece, "hem")
    testing.assert_at_allowance(piece)
    with pytest.raises(AssertionError, match="hem turns by"):
        testing.assert_smooth(replace(piece, darts=()), "hem")
    edges = tuple(replace(edge, allowance=22.0) if edge.name == "hem" else edge for edge in piece.edges)
    narrow = DrawnCut(line=cut_line(piece.with_edges(edges)), edges=piece.edges, darts=piece.darts)
    with pytest.raises(AssertionError, match=r"the cut line lies 22\.000 mm from its hem"):
        testing.assert_at_allowance(replace(piece, cut=narrow))


def test_what_changed_is_seen():
    piece = testing.sleeve()
    moved = with_edge(piece, "hem", piece.edge("hem").curve.transform(Affine.shift(0.01j)))
    testing.assert_unchanged(piece, moved, "cap", "underarm front")
    with pytest.raises(AssertionError, match="its hem is not as it was"):
        testing.assert_unchanged(piece, moved)
    with pytest.raises(AssertionError, match="marks changed"):
        testing.assert_unchanged(piece, replace(piece, marks=()))


# -- pytest ----------------------------------------------------------------------------------------------------------


def test_the_fixtures_work_where_they_are_asked_for(tmp_path):
    (tmp_path / "conftest.py").write_text('pytest_plugins = ["svgfit.testing.fixtures"]\n')
    (tmp_path / "test_it.py").write_text(
        "def test_a(smock, garment):\n    assert [p.name for p in garment.pieces] == ['Sleeve', 'Front', 'Back']\n"
        "    assert {p.name for p in smock.pieces} == {'Sleeve', 'Front', 'Back'}\n\n"
        "def test_b(any_sleeve):\n    assert any_sleeve.kind == 'sleeve'\n"
    )
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", str(tmp_path)],
        capture_output=True, text=True, cwd=tmp_path, check=False,
    )  # fmt: skip
    assert "6 passed" in done.stdout, done.stdout + done.stderr


def test_svgfit_brings_no_tests_along():
    code = (
        "import sys, svgfit.plugin, svgfit.cli; print([m for m in sys.modules if 'fit.testing' in m or m == 'pytest'])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    "call",
    ["check_plugin('mine')", "assert_length(sleeves()[0], 'hem', 1.0)", "refused('cap-raise amount=1mm', garment())"],
)
def test_what_fails_is_shown_at_the_authors_line_and_not_in_svgfits(call, tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "costume.py").write_text("x = 1\n")
    names = "assert_length, check_plugin, garment, refused, sleeves"
    text = f"from svgfit.testing import {names}\n\ndef test_it():\n    {call}\n"
    (tmp_path / "test_it.py").write_text(text)
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-n", "0", "test_it.py"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    lines = done.stdout.splitlines()
    assert done.returncode == 1
    assert f"    {call}" in done.stdout
    assert not any("svgfit/testing" in line for line in lines), done.stdout
    assert len(lines) < 25, done.stdout
