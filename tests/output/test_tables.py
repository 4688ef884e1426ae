"""Terminal tables: readable when piped, within the width, coloured only on request."""

from __future__ import annotations

import pytest

from svgfit.model.operation import Operation, Parameter
from svgfit.model.report import MeasurementRow, PieceRow, Report
from svgfit.output import tables
from svgfit.output.grid import Grid, cells, render

from . import scenes

FOUND = {
    "drawings": [{"file": "sleeve.svg", "mm_per_user_unit": 25.4 / 96, "scale_from": "test square (50 mm)"}],
    "layers": [
        {
            "file": "sleeve.svg",
            "name": "notches",
            "path": ["Pattern", "notches"],
            "id": None,
            "role": "notches",
            "piece": "Sleeve",
            "size": None,
            "hidden": True,
            "locked": True,
        }
    ],
    "pieces": [
        {
            "file": "sleeve.svg",
            "name": "Sleeve",
            "kind": "sleeve",
            "size": "M",
            "edges": [{"name": "cap", "length": 471.3}],
            "landmarks": {"cap top": [250.0, 70.1]},
            "marks": [{"kind": "notch", "edge": "cap", "at": 101.2}, {"kind": "grain line", "edge": None, "at": None}],
            "guessed": ["front and back, by the number of notches"],
        }
    ],
}


def lift(job):
    raise NotImplementedError


RAISE = Operation(
    "cap-raise",
    "Raises or lowers a sleeve's cap.",
    (
        Parameter("amount", "length", "how far the top moves along the grain"),
        Parameter("at", "length", "height of the slash", default_text="above the higher notch", minimum=0),
        Parameter("reach", "number", "how far truing may reach", default="3", minimum=1, maximum=6),
    ),
    lift,
    ("sleeve",),
    (("amount", "height"),),
)


def full() -> Report:
    scene = scenes.sleeve_scene()
    return Report("0.1.0", (), scene.rows, scene.steps, scene.checks, ("mind the hem",))


def test_report_columns_stand_in_line() -> None:
    lines = tables.report(full(), "in").splitlines()
    head = next(line for line in lines if line.startswith("measurement"))
    row = next(line for line in lines if line.startswith("cap height"))
    assert row.split("  ")[0] == "cap height"
    for word, figure in (
        ("before", "5 1/2 in (5.512)"),
        ("after", "5 13/16 in (5.827)"),
        ("change", "+5/16 in (0.315)"),
    ):
        assert head.index(word) + len(word) == row.index(figure) + len(figure)
    assert any(line.startswith("warn  cap against armhole") for line in lines)
    assert "mind the hem" in lines
    assert any("opened 5/16 in (0.315)" in line and "gained 1/8 in (0.094)" in line for line in lines)
    assert all(line == line.rstrip() for line in lines)


def test_no_escapes_unless_asked() -> None:
    assert "\x1b" not in tables.report(full(), "mm", 60)
    painted = tables.report(full(), "mm", 60, colour=True)
    assert "\x1b[" in painted
    import re

    assert re.sub(r"\x1b\[[\d;]*m", "", painted) == tables.report(full(), "mm", 60)


@pytest.mark.parametrize("width", [60, 72, 100])
def test_fits_the_terminal_and_loses_no_word(width: int) -> None:
    for text, loose in (
        (tables.report(full(), "mm", width), tables.report(full(), "mm")),
        (tables.operation(RAISE, width), tables.operation(RAISE)),
        (tables.inspect(FOUND, "in", width), tables.inspect(FOUND, "in")),
    ):
        assert max(map(len, text.splitlines())) <= width
        assert sorted(set(loose.replace("-", "").split())) == sorted(set(text.replace("-", "").split()))


def test_one_column_where_nothing_was_changed() -> None:
    rows = (PieceRow("f.svg", "Front", "front", None, (MeasurementRow("side seam", "mm", 412.345, None),)),)
    text = tables.measurements(rows, "mm")
    assert "value" in text
    assert "412.3 mm" in text
    assert "after" not in text


def test_operations_and_plugins() -> None:
    text = tables.operation(RAISE)
    assert "above the higher notch" in text
    assert "(at least 0 mm)" in text
    assert "(1 to 6)" in text
    assert "Exactly one of amount, height is needed." in text
    assert "amount, at, reach" in tables.operations([RAISE])
    listed = tables.plugins(
        [("bow", "/p/bow.py", "failed", "line 3: no module named 'bar'"), ("cap-raise", "stock", "ok", "")]
    )
    assert any(line.startswith("failed") and "line 3" in line for line in listed.splitlines())


def test_inspect_says_it_all() -> None:
    text = tables.inspect(FOUND, "in")
    for words in ("0.264583 mm", "test square (50 mm)", "Pattern / notches", "hidden, locked", "18 9/16 in (18.555)"):
        assert words in text
    for words in ("cap top", "250.0", "4 in (3.984)", "front and back, by the number of notches", "size M"):
        assert words in text


def test_checks_and_nothing_to_check() -> None:
    assert tables.checks(scenes.CHECKS).count("\n") == 5
    assert tables.checks(()) == "No checks were asked for.\n"


def test_wide_characters_count_twice() -> None:
    assert cells("袖 é") == 4
    text = render([Grid("", ("a", "b"), (("袖", "1"), ("xy", "2")))])
    assert [line[-1] for line in text.splitlines()] == ["b", "-", "1", "2"]
