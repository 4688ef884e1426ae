from __future__ import annotations

import pytest

from svgfit.app.reporting import make_report
from svgfit.app.run_plan import run_plan
from svgfit.app.seam_checks import seam_checks
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.operation import replace
from svgfit.model.piece import Dart
from svgfit.model.plan import Plan, Seam
from svgfit.model.refusal import Refusal
from svgfit.model.run import measurement_rows
from svgfit.model.vocabulary import Unit
from svgfit.plugin.registry import open_registry

SEAMS = (Seam((("Left sleeve", "cap"),), (("Front", "armhole"), ("Back", "armhole"))),)
STRETCH = """
from svgfit.plugin import Affine, Check, Measurement, Operation, Outcome, Parameter, hookimpl, replace, swap

def run(job):
    piece = job.piece
    factor = job.values["factor"]
    if factor == 13:
        raise job.refuse("thirteen brings bad luck", "take twelve")
    if factor == 0:
        1 / 0
    if factor == -1:
        return None
    if factor == -2:
        return Outcome(pieces=())
    if factor == -3:
        torn = (piece.edges[0], replace(piece.edges[1], curve=piece.edges[1].curve.transform(Affine.shift(1 + 0j))))
        return Outcome(pieces=swap(job.pieces, replace(piece, edges=(*torn, *piece.edges[2:]))))
    if factor == -4:
        return Outcome(pieces=job.pieces, checks=(Check("x", "good", "y"),))
    print("stretching")
    scale = Affine.scale(1, factor)
    edges = tuple(replace(edge, curve=edge.curve.transform(scale)) for edge in piece.edges)
    marks = tuple(replace(mark, at=scale.apply(mark.at)) for mark in piece.landmarks)
    new = swap(job.pieces, replace(piece, edges=edges, landmarks=marks))
    found = {item.name: item.value for item in job.measure(new, job.seams)[piece.title]}
    return Outcome(pieces=new, got=(("cap height", found["cap height"]),), warnings=("stretched",))

@hookimpl
def svgfit_operations():
    parameters = (
        Parameter("factor", "number", "how much", "1", minimum=-4, maximum=20),
        Parameter("height", "length", "the height to end with", end="cap height"),
        Parameter("along", "edges", "edges"),
        Parameter("from-top", "length", "one way"),
        Parameter("from-hem", "length", "another"),
    )
    return [Operation("stretch-it", "Stretches.", parameters, run, kinds=("sleeve",))]
"""
EITHER = """
from svgfit.plugin import Operation, Outcome, Parameter, hookimpl

@hookimpl
def svgfit_operations():
    parameters = (Parameter("amount", "length", "a"), Parameter("height", "length", "b"))
    run = lambda job: Outcome(pieces=job.pieces)
    return [Operation("either-or", "Chooses.", parameters, run, one_of=(("amount", "height"),))]
"""


@pytest.fixture
def registry(tmp_path):
    made, stock = tmp_path / "plug-ins", tmp_path / "stock"
    made.mkdir()
    stock.mkdir()
    (made / "stretch_it.py").write_text(STRETCH)
    (made / "either_or.py").write_text(EITHER)
    return open_registry([str(made)], stock=str(stock))


@pytest.fixture
def do(registry, sleeve, bodice):
    def run(*texts, pieces=None):
        return run_plan(pieces or (sleeve, *bodice), SEAMS, Plan.from_steps(*texts), registry)

    return run


def refusal(do, *texts, **more):
    with pytest.raises(Refusal) as refused:
        do(*texts, **more)
    return refused.value.line()


def test_pieces_before_and_after_and_what_was_got(do, sleeve):
    run = do("stretch-it factor=2", "stretch-it piece='LEFT sleeve' factor=150%")
    assert run.before[0] is sleeve
    assert run.after[1:] == run.before[1:]
    before = {item.name: item.value for item in run.measured_before["Left sleeve"]}
    after = {item.name: item.value for item in run.measured_after["Left sleeve"]}
    assert before["cap height"] == pytest.approx(120, abs=1e-9)
    assert after["cap height"] == pytest.approx(360, abs=1e-9)
    assert [step.got["cap height"] for step in run.steps] == pytest.approx([240, 360])
    assert run.steps[1].asked == {"factor": "150%"}
    assert run.steps[0].piece == "Left sleeve"
    assert run.warnings == ("stretched", "stretched")
    # The roof-shaped cap: twice the hypotenuse of half bicep and height, less the armholes (geometry, from memory).
    assert after["cap ease"] == pytest.approx(2 * abs(150 + 360j) - 2 * (abs(150 + 120j) - 5), abs=1e-6)


def test_no_steps_measure_the_same_before_and_after(registry, sleeve):
    run = run_plan((sleeve,), (), Plan(()), registry)
    assert run.measured_before is run.measured_after
    report = make_report((), [run])
    assert {(row.before == row.after) for row in report.pieces[0].measurements} == {True}
    assert report.steps == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("strech-it", "--do 1: there is no operation 'strech-it'; did you mean stretch-it?"),
        ("stretch-it facter=2", "stretch-it: facter: stretch-it has no such parameter; did you mean factor?"),
        ("stretch-it factor=two", "factor: 'two' is not a number"),
        ("stretch-it factor=99", "factor: 99 is too much; give -4 to 20"),
        ("stretch-it factor=-9", "factor: -9 is too little; give -4 to 20"),
        ("stretch-it height=6", "height: '6' has no unit"),
        ("stretch-it height='1 furlong'", "height: '1 furlong' is not a length"),
        ("stretch-it factor=2 Factor=3", "is given twice"),
        ("stretch-it along=cap", "along: 'cap' is not an edge"),
        ("stretch-it along=Left-sleeve/cup", "along: Left sleeve has no edge 'cup'; did you mean Left sleeve/cap?"),
        ("stretch-it along=Sleve/cap", "along: there is no piece 'Sleve'; did you mean Left sleeve?"),
        ("stretch-it piece=Front", "Front is a front, and stretch-it works on a sleeve; pieces that fit: Left sleeve"),
        (
            "stretch-it piece=Frnt",
            "there is no piece 'Frnt'; did you mean Front? The pieces are Left sleeve, Front, Back",
        ),
        ("stretch-it factor=13", "--do 1: stretch-it: Left sleeve: thirteen brings bad luck; take twelve"),
        ("either-or", "either-or: amount or height must be given"),
        ("either-or amount=1in height=2in", "either-or: height: amount and height exclude each other"),
        ("either-or amount=1in piece=Front", "either-or: piece: either-or takes no piece"),
    ],
)
def test_each_wrong_step_gets_its_line(do, text, said):
    assert said in refusal(do, text)


@pytest.mark.parametrize(
    ("factor", "why"),
    [
        (0, "ZeroDivisionError"),
        (-1, "run gives back nothing, not an Outcome"),
        (-2, "must give back all pieces"),
        (-3, "lie 1 mm apart"),
        (-4, "status 'good'"),
    ],
)
def test_a_plug_in_that_breaks_is_named_with_its_source(do, factor, why):
    line = refusal(do, f"stretch-it factor={factor}")
    assert why in line
    assert "plug-in stretch-it (" in line
    assert "stretch_it.py" in line


def test_everything_wrong_in_later_steps_is_told_before_the_first_is_done(do, capsys):
    assert "no operation" in refusal(do, "stretch-it factor=2", "nonsense")
    assert "stretching" not in capsys.readouterr().err


def test_several_pieces_that_fit_are_named(do, sleeve, bodice):
    other = replace(sleeve, name="Right sleeve")
    line = refusal(do, "stretch-it", pieces=(sleeve, other, *bodice))
    assert "several pieces fit: Left sleeve, Right sleeve; say which: piece='Left sleeve'" in line
    assert "there is no sleeve among the pieces" in refusal(do, "stretch-it", pieces=bodice)


def test_an_open_outline_is_refused_with_its_gap(do, sleeve, bodice):
    torn = replace(sleeve, gaps=((10 + 20j, 13 + 24j),), placement=Affine.shift(100 + 0j))
    assert "its outline is open: a gap of 5.0 mm (3/16 in) at x 110.0 mm (4 5/16 in), y 20.0 mm" in refusal(
        do, "stretch-it", pieces=(torn,)
    )


def test_a_stated_end_is_measured_when_all_is_done(do):
    (held,) = do("stretch-it factor=2 height='240 mm'").checks
    assert (held.status, held.values["got"]) == ("pass", pytest.approx(240))
    (lost,) = do("stretch-it factor=2 height='240 mm'", "stretch-it factor=2").checks
    assert lost.status == "fail"
    assert "should be 9 7/16 in and is 18 7/8 in when all steps are done" in lost.message
    (later,) = do("stretch-it factor=2 height='240 mm'", "stretch-it factor=2 height='480 mm'").checks
    assert later.status == "pass"


def test_lines_of_a_plan_are_named_where_a_step_fails(tmp_path, registry, sleeve):
    path = tmp_path / "p.toml"
    path.write_text('[[step]]\ndo = "stretch-it"\n\n[[step]]\ndo = "stretch-it"\nfactor = 13\nheigt = "1 in"\n')
    with pytest.raises(Refusal, match=r"p\.toml line 7: stretch-it: heigt: stretch-it has no such parameter"):
        run_plan((sleeve,), (), Plan.read(str(path)), registry)
    path.write_text('[[step]]\ndo = "stretch-it"\n\n[[step]]\ndo = "stretch-it"\nfactor = 13\n')
    with pytest.raises(Refusal, match=r"p\.toml line 4: stretch-it: Left sleeve: thirteen"):
        run_plan((sleeve,), (), Plan.read(str(path)), registry)


def test_two_sources_of_one_measurement_are_refused(tmp_path, sleeve):
    made, stock = tmp_path / "m", tmp_path / "s"
    made.mkdir()
    stock.mkdir()
    text = (
        "from svgfit.plugin import Measurement, Measurer, hookimpl\n@hookimpl\ndef svgfit_measurers():\n"
        "    return [Measurer({name!r}, ('sleeve',), lambda piece: [Measurement({given!r}, 1.0)])]\n"
    )
    (made / "measure_a.py").write_text(text.format(name="a", given="cap height"))
    registry = open_registry([str(made)], stock=str(stock))
    with pytest.raises(Refusal, match=r"'cap height' comes from both svgfit itself and plug-in measure-a .*e_a\.py"):
        run_plan((sleeve,), (), Plan(()), registry, registry.measurers())
    (made / "measure_a.py").write_text(text.format(name="a", given="wrist"))
    registry = open_registry([str(made)], stock=str(stock))
    run = run_plan((sleeve,), (), Plan(()), registry, registry.measurers())
    assert run.measured_after["Left sleeve"][-1].name == "wrist"


def test_rows_keep_what_is_only_on_one_side():
    from svgfit.model.report import Measurement

    rows = measurement_rows(
        [Measurement("a", 1.0), Measurement("b", 2.0)], [Measurement("b", 3.0), Measurement("c", 4.0)]
    )
    assert [(row.name, row.before, row.after) for row in rows] == [("a", 1.0, None), ("b", 2.0, 3.0), ("c", None, 4.0)]


def test_seams_are_compared_on_the_stitch_line(sleeve, bodice):
    seams = (*SEAMS, Seam((("Front", "side seam"),), (("Back", "side seam"),)))
    ease, side = seam_checks((sleeve, *bodice), seams, Units(Unit.MM))
    assert ease.status == "pass"
    assert ease.values["difference"] == pytest.approx(10)
    assert "10.0 mm of ease" in ease.message
    # 1/16 in is 1.5875 mm: 1 mm is within it, and beyond a tolerance of 0.7 and 0.3 mm it warns and fails.
    assert side.status == "pass"
    assert seam_checks(bodice, seams[1:], Units(Unit.MM), tolerance=0.7)[0].status == "warn"
    failing = seam_checks(bodice, seams[1:], Units(Unit.MM), tolerance=0.3)[0]
    assert failing.status == "fail"
    assert "Back/side seam is 1.0 mm longer than Front/side seam" in failing.message


def test_a_cap_shorter_than_its_armhole_warns(sleeve, bodice):
    flat = replace(
        sleeve, edges=(replace(sleeve.edges[0], curve=Curve.polyline([-150 + 0j, 150 + 0j])), *sleeve.edges[1:])
    )
    (check,) = seam_checks((flat, *bodice), SEAMS, Units(Unit.MM))
    assert check.status == "warn"
    assert "shorter" in check.message


def test_an_operation_that_leaves_a_dart_behind_is_found_out(sleeve, tmp_path):
    """Its hem moved without the dart in it: the run stops and names the plug-in, rather than measure wrongly."""
    (tmp_path / "drop_hem.py").write_text(
        "from svgfit.plugin import Affine, Operation, Outcome, hookimpl, replace, swap\n\n\n"
        "def run(job):\n"
        "    motion = Affine.shift(30j)\n"
        "    edges = tuple(replace(edge, curve=edge.curve.transform(motion)) for edge in job.piece.edges)\n"
        "    return Outcome(swap(job.pieces, replace(job.piece, edges=edges)))\n\n\n"
        "@hookimpl\n"
        "def svgfit_operations():\n"
        '    return [Operation("drop-hem", "Moves all edges.", (), run, kinds=("sleeve",))]\n',
        encoding="utf-8",
    )
    registry = open_registry([str(tmp_path)])
    hem = sleeve.edge("hem").curve
    dart = Dart("hem", hem.point(0.4), hem.point(0.5) - 60j, hem.point(0.6))
    assert run_plan((sleeve,), (), Plan.from_steps("drop-hem"), registry).steps
    with pytest.raises(Refusal, match="the dart in its hem does not lie on that edge") as caught:
        run_plan((replace(sleeve, darts=(dart,)),), (), Plan.from_steps("drop-hem"), registry)
    assert "drop-hem" in caught.value.line()


def test_more_steps_than_anybody_writes_are_refused_before_one_is_done(do):
    line = refusal(do, *["stretch-it factor=2"] * 201)
    assert "has 201 steps, more than 200" in line
    assert "several plans" in line
