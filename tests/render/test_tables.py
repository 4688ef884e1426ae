"""Terminal tables: readable when piped, within the width, coloured only on request."""

from __future__ import annotations

import re

import pytest

from svgfit.model.length import Units
from svgfit.model.operation import Operation, Parameter
from svgfit.model.report import MeasurementRow, PieceRow
from svgfit.model.vocabulary import Unit
from svgfit.render.text import tables
from svgfit.render.text.table import Table, Terminal, cells, format_tables

from . import scenes

MM = Units(Unit.MM)


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


def rows() -> tuple[PieceRow, ...]:
    scene = scenes.smock_scene()
    return scene.rows


def test_columns_stand_in_line() -> None:
    lines = tables.measurements(rows(), Units()).splitlines()
    head = next(line for line in lines if line.startswith("measurement"))
    row = next(line for line in lines if line.startswith("cap height"))
    assert row.split("  ")[0] == "cap height"
    for word, figure in (
        ("before", "5 1/2 in"),
        ("after", "5 13/16 in"),
        ("change", "+5/16 in"),
    ):
        assert head.index(word) + len(word) == row.index(figure) + len(figure)
    assert all(line == line.rstrip() for line in lines)


def test_verdicts_are_coloured_by_what_they_are() -> None:
    """Bold title, dim head, a verdict's row green, yellow or bold red; a bell never reaches a terminal."""
    rows = (("pass", "a"), ("warn", "b"), ("fail", "c\x07"), ("–", "袖"))
    shown = format_tables([Table("Checks", ("", "what"), rows)], Terminal(colour=True))
    assert shown.splitlines() == [
        "\x1b[1mChecks\x1b[0m",
        "\x1b[2m      what\x1b[0m",
        "\x1b[2m----  -------\x1b[0m",
        "\x1b[32mpass  a\x1b[0m",
        "\x1b[33mwarn  b\x1b[0m",
        "\x1b[1;31mfail  c\\u0007\x1b[0m",
        "–     袖",
    ]


def test_no_escapes_unless_asked() -> None:
    plain = tables.checks(scenes.CHECKS, Terminal(60))
    assert "\x1b" not in plain
    painted = tables.checks(scenes.CHECKS, Terminal(60, colour=True))
    assert "\x1b[" in painted
    assert re.sub(r"\x1b\[[\d;]*m", "", painted) == plain


@pytest.mark.parametrize("width", [64, 72, 100])
def test_fits_the_terminal_and_loses_no_word(width: int) -> None:
    for text, loose in (
        (tables.measurements(rows(), MM, Terminal(width)), tables.measurements(rows(), MM)),
        (tables.checks(scenes.CHECKS, Terminal(width)), tables.checks(scenes.CHECKS)),
        (tables.operations([RAISE], Terminal(width)), tables.operations([RAISE])),
    ):
        assert max(map(len, text.splitlines())) <= width
        assert sorted(set(loose.replace("-", "").split())) == sorted(set(text.replace("-", "").split()))


def test_one_column_where_nothing_was_changed() -> None:
    found = (PieceRow("f.svg", "Front", "front", None, (MeasurementRow("side seam", "mm", 412.345, None),)),)
    text = tables.measurements(found, MM)
    assert "value" in text
    assert "412.3 mm" in text
    assert "after" not in text


@pytest.mark.parametrize(
    ("change", "unit", "words"),
    [
        (-0.0049, "in", "the same"),
        (0.0049, "in", "the same"),
        (0.03, "mm", "the same"),
        (0.79, "in", "the same"),
        (-0.06, "mm", "-0.1 mm"),
        (12.7, "in", "+1/2 in"),
    ],
)
def test_a_change_too_small_to_be_seen_is_called_the_same(change: float, unit: str, words: str) -> None:
    found = (PieceRow("f.svg", "Front", "front", None, (MeasurementRow("shoulder", "mm", 120.0, 120.0 + change),)),)
    assert tables.measurements(found, Units(Unit(unit))).splitlines()[-1].split("  ")[-1] == words


def test_operations_and_plugins() -> None:
    assert "amount, at, reach" in tables.operations([RAISE])
    listed = tables.plugins(
        [("bow", "/p/bow.py", "failed", "line 3: no module named 'bar'"), ("cap-raise", "stock", "ok", "")]
    )
    assert any(line.startswith("failed") and "line 3" in line for line in listed.splitlines())


def test_checks_and_nothing_to_check() -> None:
    assert tables.checks(scenes.CHECKS).count("\n") == 5
    assert tables.checks(()) == "No checks were asked for.\n"


def test_wide_characters_count_twice() -> None:
    assert cells("袖 é") == 4
    text = format_tables([Table("", ("a", "b"), (("袖", "1"), ("xy", "2")))])
    assert [line[-1] for line in text.splitlines()] == ["b", "-", "1", "2"]
