"""Body sheets: people's measures as a workshop notes them, TOML or CSV, one person or many. Lengths in mm.

TOML: ``[[person]]`` tables; what stands above them, except measures, holds for all. CSV: one row a person, the first
line says what the columns are; a unit may stand in the cell or in the column's head, as in "wrist girth (cm)".
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from os import PathLike, fspath
from pathlib import Path
from typing import Any

from msgspec import Struct

from svgfit.model.body import AS_DRAWN, BodySheet, Measure, Person, Range
from svgfit.model.length import both_ways, parse_length
from svgfit.model.refusal import Refusal
from svgfit.model.toml_file import Key, TomlFile, read_handwritten, read_toml
from svgfit.model.vocabulary import Unit
from svgfit.model.wording import closest
from svgfit.pattern.layer_patterns import name_key
from svgfit.rules.body_measures import ARM, BACK, CHEST, DEPTH, LENGTH, MEASURES, SHOULDER, TIP, WRIST

SETTINGS = (
    "style",
    "unit",
    "size",
    "bicep ease",
    "cap ease",
    "cap height ease",
    "armhole depth ease",
    "sleeve length ease",
    "across back ease",
    "chest girth ease",
    "seam sits",
    "share back",
    "choose",
)
"""What a person may wish otherwise, beside measures; also for all at the head of a TOML sheet."""
_TABLES = (".xlsx", ".xls", ".ods", ".numbers")
_FREE = ("note", "notes")
_RANGE = 'write for example "2 in", or "1 1/2 in to 2 1/2 in"'
_TAKE = "; svgfit advise --measures says how each is taken"


class Row(Struct, frozen=True):
    """One person as written: values by plain name, and how to refuse one of them."""

    values: Mapping[str, Any]
    refuse: Callable[[str | None, str, str], Refusal]
    where: str
    units: Mapping[str, str] = {}
    """Units from a column's head, by plain name."""


def read_body(path: str | PathLike[str]) -> BodySheet:
    """Read the body sheet in a file. Raises Refusal, one line with file and place, for what can't be so or read."""
    path = fspath(path)
    ending = Path(path).suffix.casefold()
    if ending in _TABLES:
        raise Refusal(path, "is a table program's own file", 'save it from there as "CSV UTF-8"')
    rows = _csv_rows(path) if ending in (".csv", ".tsv", ".txt") else _toml_rows(path)
    people = tuple(_person(row) for row in rows)
    seen: dict[str, Row] = {}
    for person, row in zip(people, rows, strict=True):
        if name_key(person.name) in seen:
            what = f"{person.name} is there twice, here and at {seen[name_key(person.name)].where}"
            raise row.refuse("name", what, "leave one out, or write the names in full")
        seen[name_key(person.name)] = row
    return BodySheet(path, people)


# -- what a file holds -------------------------------------------------------------------------------------------------


def _toml_rows(path: str) -> list[Row]:
    file = read_toml(Path(path), path)
    tables = file.table.get("person")
    if isinstance(tables, dict):
        raise file.refusal(("person",), "is not a list of people", "write [[person]] with two brackets on each side")
    if not tables:
        loose = next((name for name in file.table if _measure(name) or name_key(name) == "name"), None)
        todo = "write [[person]] above the measures" if loose else 'write [[person]], then name = "…" and the measures'
        raise Refusal(path, "names no person", todo)
    common: dict[str, Any] = {}
    for name, value in file.table.items():
        if name == "person":
            continue
        if name_key(name) not in SETTINGS:
            what = "is not something that holds for all"
            raise file.refusal((name,), what, f"put it under a [[person]], or write one of: {', '.join(SETTINGS)}")
        common[name_key(name)] = value
    every = file.value(("person",), tables, list[dict[str, Any]])
    lines = file.lines({("person", index) for index in range(len(every))})
    return [_toml_row(file, (index, lines.get(("person", index))), table, common) for index, table in enumerate(every)]


def _toml_row(
    file: TomlFile, place: tuple[int, int | None], table: Mapping[str, Any], common: Mapping[str, Any]
) -> Row:
    """Read a person's row; ``place``: its number from 0, and its line."""
    index, stands = place
    written: dict[str, str] = {}
    person = str(table.get("name", "")).strip()

    def refuse(name: str | None, what: str, todo: str) -> Refusal:
        spelt = written.get(name, name) if name else None
        key: Key = ("person", index, spelt) if spelt else ("person", index)
        if spelt and spelt in common and spelt not in written:
            key = (spelt,)
        line = file.line(key)
        place = f"{file.where} line {line}" if line else file.where
        who = f": {person}" if person else f": person {index + 1}"
        return Refusal(f"{place}{who}{f': {spelt}' if spelt else ''}", what, todo)

    values: dict[str, Any] = dict(common)
    for name, value in table.items():
        plain = _known(name, refuse)
        if plain in written:
            raise refuse(name, f"is the same as {written[plain]}, which is there too", "leave one out")
        written[plain] = name
        values[plain] = value
    return Row(values, refuse, f"line {stands}" if stands else f"person {index + 1}")


def _csv_rows(path: str) -> list[Row]:
    """Read the rows of a CSV file, divided by commas, semicolons or tabs (whichever its first line has most of)."""
    import csv  # only for those who keep their sheet in a table program
    import io

    text = read_handwritten(path, path)
    head = next((line for line in text.splitlines() if line.strip()), "")
    divider = max(",;\t", key=head.count)
    try:
        lines = csv.reader(io.StringIO(text, newline=""), delimiter=divider)
        table = [(lines.line_num, [cell.strip() for cell in cells]) for cells in lines]
    except csv.Error as error:
        raise Refusal(path, f"can't be read as CSV ({error})", "save it again from the table program") from None
    table = [(line, cells) for line, cells in table if any(cells)]
    if len(table) < 2:
        raise Refusal(
            path, "holds no person", "the first line says what the columns are, each further line is a person"
        )
    columns = _columns(path, table[0][0], table[0][1])
    return [_csv_row(path, line, cells, columns) for line, cells in table[1:]]


def _columns(path: str, line: int, cells: Sequence[str]) -> list[tuple[str, str]]:
    """Tell what each column holds, with the unit of its head ("" where there is none)."""

    def refuse(name: str | None, what: str, todo: str) -> Refusal:
        return Refusal(f"{path} line {line}{f': {name}' if name else ''}", what, todo)

    found: list[tuple[str, str]] = []
    for cell in cells:
        match = re.fullmatch(r"(?P<name>.*?)\s*[(\[]\s*(?P<unit>mm|cm|m|in|inch|inches)\s*[)\]]", cell, re.IGNORECASE)
        name, unit = (match["name"], match["unit"]) if match else (cell, "")
        other = None if match else re.fullmatch(r"(?P<name>.*?)\s*[(\[]\s*(?P<unit>[^)\]]*?)\s*[)\]]", cell)
        if other and _measure(other["name"]):
            what = f"{other['unit']!r} is no unit known here"
            raise refuse(cell, what, "write one of mm, cm, m, in, or write the unit into each cell")
        plain = _known(name, refuse) if name else ""
        if plain and plain in (known for known, _ in found):
            raise refuse(name, "is the head of two columns", "leave one out")
        found.append((plain, unit))
    if "name" not in (name for name, _ in found):
        raise refuse(
            None, "no column is headed name", "the first line says what the columns are; add the people's names"
        )
    return found


def _csv_row(path: str, line: int, cells: Sequence[str], columns: Sequence[tuple[str, str]]) -> Row:
    person = next((cell for cell, (name, _) in zip(cells, columns, strict=False) if name == "name"), "")

    def refuse(name: str | None, what: str, todo: str) -> Refusal:
        return Refusal(f"{path} line {line}{f': {person}' if person else ''}{f': {name}' if name else ''}", what, todo)

    if any(cells[len(columns) :]):
        what = f"has {len(cells)} cells, and the first line has {len(columns)}"
        raise refuse(None, what, "a decimal comma divides cells: put such a number in quotes, or write a point")
    values: dict[str, Any] = {}
    for cell, (name, _) in zip(cells, columns, strict=False):
        if cell and not name:
            raise refuse(None, f"{cell!r} stands in a column without a head", "write what it is into the first line")
        if cell:
            values[name] = cell
    return Row(values, refuse, f"line {line}", {name: unit for name, unit in columns if unit})


def _known(name: str, refuse: Callable[[str | None, str, str], Refusal]) -> str:
    """Find the plain name of a key: a measure's own name for any of its names. Refuses an unknown one."""
    plain = name_key(name)
    measure = _measure(name)
    if measure is not None:
        return measure.name
    if plain in ("name", *SETTINGS, *_FREE):
        return plain
    every = [alias for known in MEASURES for alias in (known.name, *known.also)] + ["name", *SETTINGS]
    near = closest(plain, every)
    meant = (_measure(near) or near) if near else None
    meant = meant.name if isinstance(meant, Measure) else meant
    known = f"known are: {', '.join(measure.name for measure in MEASURES)}"
    raise refuse(name, "is no measure known here", f"did you mean {meant!r}?" if meant else known + _TAKE)


def _measure(name: str) -> Measure | None:
    plain = name_key(name)
    return next((known for known in MEASURES if plain == known.name or plain in known.also), None)


# -- one person --------------------------------------------------------------------------------------------------------


def _person(row: Row) -> Person:
    name = " ".join(str(row.values.get("name", "")).split())
    if not name:
        raise row.refuse(None, "has no name", 'add name = "…"' if row.where.startswith("line") else "write one")
    measures = {known.name: _taken(row, known) for known in MEASURES if known.name in row.values}
    _refuse_against_each_other(row, measures)
    unit = _text(row, "unit")
    if unit not in (None, Unit.IN, Unit.MM, Unit.CM):
        raise row.refuse("unit", f"{unit!r} is not a unit for reports", "write one of in, mm, cm")
    return Person(
        name,
        row.where,
        measures,
        style=_text(row, "style"),
        unit=unit or _common_unit(row, measures),
        size=_text(row, "size"),
        bicep_ease=_range(row, "bicep ease"),
        cap_ease=_range(row, "cap ease"),
        height_ease=_range(row, "cap height ease"),
        depth_ease=_range(row, "armhole depth ease"),
        back_ease=_range(row, "across back ease"),
        bust_ease=_range(row, "chest girth ease"),
        length_ease=_range(row, "sleeve length ease"),
        sits=_sits(row),
        share_back=_share(row),
        choices=_choices(row),
    )


def _common_unit(row: Row, measures: Mapping[str, float]) -> str | None:
    """Find the unit in which all of a person's measures are written; None where they are mixed."""
    known = {
        Unit.IN: Unit.IN,
        "inch": Unit.IN,
        "inches": Unit.IN,
        '"': Unit.IN,
        "″": Unit.IN,
        Unit.CM: Unit.CM,
        Unit.MM: Unit.MM,
    }
    units: set[str] = set()
    for name in measures:
        text = str(row.values[name]).strip().casefold()
        sign = re.search(r"[^\W\d_]+$|[\"″]$", text)
        units.add(known.get(sign[0] if sign else row.units.get(name, "").casefold(), ""))
    return next(iter(units)) or None if len(units) == 1 else None


def _taken(row: Row, measure: Measure) -> float:
    value = _length(row, measure.name, row.values[measure.name])
    low, high = measure.between
    if value <= 0:
        raise row.refuse(measure.name, "is nothing or less, and every body has one", "take it again, or leave it out")
    if not low <= value <= high:
        what = f"is {both_ways(value)}, {'less' if value < low else 'more'} than any body has"
        raise row.refuse(measure.name, what, "check the number and its unit")
    return value


_NEVER = (
    (TIP, LENGTH, "no cap is as high as its arm is long"),
    (WRIST, ARM, "no wrist is wider than its upper arm"),
    (ARM, CHEST, "no upper arm is wider than its chest"),
    (SHOULDER, BACK, "no shoulder is longer than the back is wide"),
    (DEPTH, CHEST, "no armhole is as deep as the chest is wide"),
)
"""The first measure is never as large as the second."""


def _refuse_against_each_other(row: Row, measures: Mapping[str, float]) -> None:
    for small, large, why in _NEVER:
        if small in measures and large in measures and measures[small] >= measures[large]:
            found = f"{both_ways(measures[small])} is not less than {large}, {both_ways(measures[large])}"
            raise row.refuse(small, f"{found}: {why}", "take both again")


def _length(row: Row, name: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise row.refuse(name, "is not a length", 'write for example "12 1/2 in" or "31.5 cm"')
    text, unit = str(value).strip(), row.units.get(name, "")
    if unit and re.fullmatch(r"[+-]?[\d\s./,½¼¾⅛⅜⅝⅞-]+", text):
        text = f"{text} {unit}"
    try:
        return parse_length(text)
    except ValueError as error:
        what, _, todo = str(error).partition(": ")
        raise row.refuse(name, what, todo) from None


def _range(row: Row, name: str) -> Range | None:
    """Read least and most of a setting: one length, two in a list, or two with "to" between them."""
    if name not in row.values:
        return None
    value = row.values[name]
    parts: list[Any] = list(value) if isinstance(value, list) else re.split(r"\s+to\s+", str(value).strip())  # pyright: ignore[reportUnknownArgumentType]
    if len(parts) not in (1, 2):
        raise row.refuse(name, "is not one length or two", _RANGE)
    last = _length(row, name, parts[-1])
    unit = re.search(r"[^\d\s./,½¼¾⅛⅜⅝⅞+-]+$", str(parts[-1]).strip())
    first = str(parts[0])
    first = f"{first} {unit[0]}" if unit and re.fullmatch(r"[+-]?[\d\s./,½¼¾⅛⅜⅝⅞-]+", first) else first
    low = _length(row, name, first)
    if low > last:
        raise row.refuse(name, "begins with the larger length", "write the least first, then the most")
    return low, last


def _sits(row: Row) -> float | str | None:
    value = row.values.get("seam sits")
    if value is None:
        return None
    if isinstance(value, str) and name_key(value) == AS_DRAWN:
        return AS_DRAWN
    return _length(row, "seam sits", value)


def _share(row: Row) -> float | None:
    value = row.values.get("share back")
    if value is None:
        return None
    try:
        text = str(value).replace(",", ".").strip()
        number = float(text.rstrip("%").strip()) / (100 if text.endswith("%") else 1)
    except ValueError:
        number = -1.0
    if not 0 <= number <= 1:
        raise row.refuse("share back", f"{value} is not a part of the ease", "write for example 0.55")
    return number


def _choices(row: Row) -> tuple[str, ...]:
    value = row.values.get("choose")
    if value is None:
        return ()
    texts: list[Any] = list(value) if isinstance(value, list) else re.split(r"\s*;\s*", str(value))  # pyright: ignore[reportUnknownArgumentType]
    if not all(isinstance(text, str) for text in texts):
        raise row.refuse("choose", "is not a text or a list of texts", 'write for example "bicep: height kept"')
    return tuple(text for text in texts if text)


def _text(row: Row, name: str) -> str | None:
    value = row.values.get(name)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (str, int)):
        raise row.refuse(name, "is not a text", "put it in quotes")
    return str(value).strip() or None
