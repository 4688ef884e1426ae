"""svgfit as a library: names, page, the command line's bytes and refusals, threads."""

from __future__ import annotations

import ast
import io
import re
import threading
from base64 import b64decode
from contextlib import redirect_stdout
from importlib import import_module
from pathlib import Path

import pytest

import svgfit
from svgfit.cli import main

ROOT = Path(__file__).parents[1]
DEMOS = ROOT / "demo_svgs"
NAMES = [
    "Advice",
    "Affine",
    "Check",
    "ComparedPiece",
    "Curve",
    "Dart",
    "Differences",
    "Edge",
    "EdgeName",
    "Figure",
    "FinishedHandout",
    "HandoutOptions",
    "Landmark",
    "LandmarkName",
    "Mark",
    "MarkKind",
    "Measurement",
    "MeasurementRow",
    "Person",
    "Piece",
    "PieceKind",
    "PieceRow",
    "Plan",
    "Refusal",
    "Report",
    "Run",
    "Seam",
    "Session",
    "Side",
    "SizeRun",
    "Stage",
    "Status",
    "Step",
    "StepRow",
    "Unit",
    "Units",
    "Walk",
    "Walked",
    "Zone",
    "compare",
    "format_length",
    "handout_pdf",
    "open_drawings",
    "parse_length",
    "picture_html",
    "picture_png",
    "read_body",
    "__version__",
]
RAISE = "cap-raise piece=Sleeve height='5 7/8 in'"


def test_the_public_names_are_these():
    assert sorted(svgfit.__all__) == sorted(NAMES)
    assert dir(svgfit) == sorted(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_every_public_name_is_there_and_says_what_it_is(name):
    found = getattr(svgfit, name)
    assert name == "__version__" or (found.__doc__ or "").strip()


@pytest.mark.parametrize("module", ["svgfit", "svgfit.svg"])
def test_what_type_checkers_see_is_what_runs(module):
    package = import_module(module)
    blocks = [
        node for node in ast.parse(Path(package.__file__).read_text(encoding="utf-8")).body if isinstance(node, ast.If)
    ]
    seen = [(alias.name, node.module) for block in blocks for node in block.body for alias in node.names]
    assert sorted(name for name, _ in seen) == sorted(set(package.__all__) - {"__version__"})
    for name, home in seen:
        assert getattr(package, name) is getattr(import_module(home), name)


def test_what_is_not_public_is_no_attribute():
    with pytest.raises(AttributeError, match="svgfit has no 'sesion'"):
        _ = svgfit.sesion


def test_importing_svgfit_imports_nothing_heavy():
    import subprocess
    import sys

    code = "import svgfit, sys; print([name for name in ('numpy', 'lxml', 'click', 'msgspec') if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


# -- its page ---------------------------------------------------------------------------------------------------------

BLOCK = re.compile(r"^```python\n(.*?)^```\n(?:^```text\n(.*?)^```\n)?", re.MULTILINE | re.DOTALL)


def test_the_pages_examples_run_and_print_what_stands_there(monkeypatch):
    monkeypatch.chdir(ROOT)
    names: dict[str, object] = {}
    blocks = BLOCK.findall((ROOT / "docs" / "library.md").read_text(encoding="utf-8"))
    assert len(blocks) >= 7
    for code, expected in blocks:
        out = io.StringIO()
        with redirect_stdout(out):
            exec(compile(code, "docs/library.md", "exec"), names)
        pattern = "".join(
            r"(?:.*\n)*?" if line == "…" else ".*".join(map(re.escape, line.split("…"))) + r"\n"
            for line in expected.splitlines()
        )
        assert re.fullmatch(pattern, out.getvalue()), (code, out.getvalue())


# -- the command line's bytes and refusals ----------------------------------------------------------------------------


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("name", ["smock", "smock-sizes"])
def test_a_run_writes_what_the_command_line_writes(name, tmp_path):
    plan, drawing = DEMOS / f"{name}.plan.toml", DEMOS / f"{name}.svg"
    command = ["adjust", str(drawing), "--plan", str(plan), "-o", str(tmp_path / "a.svg"), "--quiet"]
    status = main([*command, "--report", str(tmp_path / "a.json")])
    run = svgfit.open_drawings(drawing).run(svgfit.Plan.read(plan))
    assert run.write(tmp_path / "b.svg", report=tmp_path / "b.json") == (str(tmp_path / "b.svg"),)
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes() == run.drawings[str(drawing)]
    assert (tmp_path / "a.json").read_bytes() == (tmp_path / "b.json").read_bytes()
    assert run.failed == bool(status)


@pytest.mark.parametrize(
    ("file", "step"),
    [
        ("smock.svg", "cap-rais amount='1/4 in'"),
        ("smock.svg", "cap-raise amount='9 in'"),
        ("smock.svg", "cap-raise piece=Collar amount='1/4 in'"),
        ("none.svg", RAISE),
    ],
)
def test_it_refuses_what_the_command_line_refuses_in_the_same_words(file, step, tmp_path, capsys):
    path = str(DEMOS / file)
    assert main(["adjust", path, "--do", step, "-o", str(tmp_path / "a.svg")]) == 2
    (line,) = [line for line in capsys.readouterr().err.splitlines() if "warning" not in line]
    with pytest.raises(svgfit.Refusal) as refusal:
        svgfit.open_drawings(path).run(svgfit.Plan.from_steps(step))
    assert line == f"svgfit: {refusal.value.line()}"


def test_a_written_file_is_not_written_over_unasked(tmp_path):
    run = svgfit.open_drawings(DEMOS / "smock.svg").run(svgfit.Plan.from_steps(RAISE))
    run.write(tmp_path / "a.svg")
    with pytest.raises(svgfit.Refusal, match="exists"):
        run.write(tmp_path / "a.svg")
    run.write(tmp_path / "a.svg", force=True)


def test_two_runs_of_one_session_do_not_know_of_each_other():
    session = svgfit.open_drawings(DEMOS / "smock.svg")
    higher, lower = (session.run(svgfit.Plan.from_steps(f"cap-raise amount='{n}/8 in'")) for n in (3, -1))
    again = session.run(svgfit.Plan.from_steps("cap-raise amount='3/8 in'"))
    assert higher.drawings == again.drawings != lower.drawings
    assert session.run(svgfit.Plan.from_steps()).pieces == session.pieces


def test_a_run_and_a_piece_show_themselves():
    from lxml import etree

    session = svgfit.open_drawings(DEMOS / "smock.svg")
    for piece in session.pieces:
        drawn = etree.fromstring(piece._repr_svg_())
        assert drawn.tag.endswith("svg")
        assert len(drawn.findall(".//{*}path")) > len(piece.marks) / 2
    shown = session.run(svgfit.Plan.from_steps("cap-raise amount='1/2 in'"))._repr_html_()
    assert shown.count("<img") == 1
    assert "also change Front and Back" in shown
    assert "<script" not in shown
    assert "<td>cap height</td><td>5 1/2 in</td><td>6 in</td>" in shown


def test_a_run_of_some_sizes_shows_those():
    def lines(size: str | None) -> int:
        session = svgfit.open_drawings(DEMOS / "smock-sizes.svg", size=size)
        shown = session.run(svgfit.Plan.from_steps())._repr_html_()
        return b64decode(shown.partition("base64,")[2].partition('"')[0]).count(b"<path")

    assert lines("12") < lines("10,14") < lines(None)


def test_advice_can_be_had_for_a_person(tmp_path):
    (first, *_) = svgfit.read_body(str(DEMOS / "players.toml")).people
    advice = svgfit.open_drawings(DEMOS / "smock.svg").advise(first)
    assert advice.person == first.name
    assert advice.findings


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: svgfit.open_drawings(), "open_drawings takes paths"),
        (lambda: svgfit.open_drawings(["smock.svg"]), "open_drawings takes paths"),
        (lambda: svgfit.open_drawings(DEMOS / "smock.svg").run(RAISE), "a Plan is needed, not str"),
        (lambda: svgfit.Plan.from_toml(b"[[step]]"), "from_toml takes a text, not bytes"),
        (lambda: svgfit.Plan.from_steps([RAISE]), "from_steps takes texts"),
    ],
)
def test_what_is_of_a_wrong_type_is_told_at_the_door(wrong, words):
    with pytest.raises(TypeError, match=words):
        wrong()


def test_a_unit_that_is_none_is_refused_and_never_taken_for_another():
    with pytest.raises(svgfit.Refusal, match="choose one of in, mm, cm"):
        svgfit.open_drawings(DEMOS / "smock.svg", unit="inch")
    for unit in ("inch", "IN", "deg"):
        with pytest.raises(ValueError, match="choose one of in, mm, cm"):
            svgfit.format_length(5.0, unit)


def test_adjusted_outlines_that_are_not_looked_at_are_among_the_warnings(tmp_path):
    svgfit.open_drawings(DEMOS / "smock.svg").run(svgfit.Plan.from_steps(RAISE)).write(tmp_path / "a.svg")
    for found in (svgfit.open_drawings(tmp_path / "a.svg"), svgfit.open_drawings(tmp_path / "a.svg", size="")):
        assert any("the drawn ones are looked at" in text for text in found.warnings)
        assert any("the drawn ones are looked at" in text for text in found.report().warnings)
        assert found.pieces
    assert not svgfit.open_drawings(tmp_path / "a.svg", from_adjusted=True).warnings


def test_what_a_run_left_to_do_is_said():
    run = svgfit.open_drawings(DEMOS / "smock.svg").run(svgfit.Plan.from_steps("cap-raise amount='3/8 in'"))
    assert run.checks == ()
    assert [text.partition(",")[0] for text in run.also] == ["also change Front and Back"]


def test_a_picture_is_of_one_drawing(tmp_path):
    both = svgfit.open_drawings(DEMOS / "smock.svg", DEMOS / "teaching-sleeve.svg", size="")
    for picture in (svgfit.picture_html, svgfit.picture_png):
        with pytest.raises(svgfit.Refusal, match="a picture shows one drawing"):
            picture(both)
    with pytest.raises(svgfit.Refusal, match="less than a pixel"):
        svgfit.picture_png(svgfit.open_drawings(DEMOS / "smock.svg"), width=0)


def test_a_refusal_comes_out_of_another_process_as_it_is():
    import pickle

    refusal = pickle.loads(pickle.dumps(svgfit.Refusal("smock.svg", "is empty", "save it again")))
    assert (refusal.where, refusal.what, refusal.todo) == ("smock.svg", "is empty", "save it again")


# -- threads ----------------------------------------------------------------------------------------------------------


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("runs", [6, 100])
def test_sessions_in_threads_of_their_own_give_the_bytes_of_one_alone(runs):
    steps = [svgfit.Plan.from_steps(f"cap-raise amount='{n}/8 in'") for n in (1, 2, 3)]
    alone = [dict(svgfit.open_drawings(DEMOS / "smock.svg").run(plan).drawings) for plan in steps]
    found: dict[int, list[object]] = {0: [], 1: []}

    def work(number: int) -> None:
        try:
            for k in range(runs // 2):
                session = svgfit.open_drawings(DEMOS / "smock.svg")
                found[number].append(dict(session.run(steps[(k + number) % 3]).drawings) == alone[(k + number) % 3])
        except Exception as fault:  # noqa: BLE001 - a thread must not lose it
            found[number].append(fault)

    threads = [threading.Thread(target=work, args=(number,)) for number in (0, 1)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == {0: [True] * (runs // 2), 1: [True] * (runs // 2)}
