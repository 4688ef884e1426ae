"""The report as JSON and CSV, against its schema."""

from __future__ import annotations

import csv
import io
import json

import jsonschema
import msgspec
import pytest

from svgfit.model.report import DrawingRow, MeasurementRow, PieceRow, Report
from svgfit.render.text.report import schema_text, to_csv, to_json

from . import scenes

SCHEMA = json.loads(schema_text())


def report() -> Report:
    scene = scenes.sleeve_scene()
    drawing = DrawingRow("sleeve.svg", 25.4 / 96, "width and height in mm")
    return Report("0.1.0", (drawing,), scene.rows, scene.steps, scene.checks, ("é → a warning",))


def test_schema_is_a_schema_and_the_report_keeps_it() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    jsonschema.validate(json.loads(to_json(report())), SCHEMA)


@pytest.mark.parametrize(
    "damage",
    [
        lambda r: r.pop("steps"),
        lambda r: r.update(extra=1),
        lambda r: r["checks"][0].update(status="maybe"),
        lambda r: r["pieces"][0]["measurements"][0].pop("after"),
        lambda r: r["pieces"][0]["measurements"][0].update(unit="in"),
        lambda r: r["drawings"][0].update(mm_per_user_unit=0),
        lambda r: r["steps"][0]["got"].update(height="6 in"),
        lambda r: r["steps"][0]["also"][0].pop("with"),
        lambda r: r["steps"][0]["also"][0].update(amount="3/16 in"),
    ],
)
def test_schema_refuses_what_is_not_a_report(damage) -> None:
    found = json.loads(to_json(report()))
    damage(found)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(found, SCHEMA)


def test_json_loses_nothing() -> None:
    text = to_json(report())
    assert msgspec.json.decode(text, type=Report) == report()
    assert text.endswith("}\n")
    assert list(json.loads(text)) == ["svgfit", "drawings", "pieces", "steps", "checks", "warnings"]


def test_csv() -> None:
    odd = PieceRow("a, b.svg", 'The "big" one', "other", "M", (MeasurementRow("girth", "mm", None, 0.1 + 0.2),))
    rows = list(csv.reader(io.StringIO(to_csv([*report().pieces, odd]))))
    assert rows[0] == ["file", "piece", "size", "name", "unit", "before", "after"]
    assert rows[-1] == ["a, b.svg", 'The "big" one', "M", "girth", "mm", "", "0.30000000000000004"]
    figure = report().pieces[0].measurements[2]
    assert next(row for row in rows if row[3] == "cap length")[4:] == ["mm", repr(figure.before), repr(figure.after)]
