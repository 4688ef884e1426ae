"""The report as JSON and CSV. Numbers are unrounded, lengths in millimetres."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec
from msgspec import Struct

from svgfit.model.report import Json, PieceRow

CSV_HEAD = ("file", "piece", "size", "name", "unit", "before", "after")


def to_json(report: Struct | Json | list[Json]) -> str:
    """Write indented JSON with the keys in the records' order and a line end at the end.

    A Report, the object of ``inspect`` or that of ``walk``, or the lists of ``operations`` and ``plugins``.
    """
    return msgspec.json.format(msgspec.json.encode(report), indent=2).decode("utf-8") + "\n"


def to_csv(pieces: Iterable[PieceRow]) -> str:
    """Write a line for each measurement, ``file,piece,size,name,unit,before,after`` first; what is missing is empty."""
    import csv
    import io

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(CSV_HEAD)
    for row in pieces:
        for figure in row.measurements:
            values = ("" if value is None else repr(value) for value in (figure.before, figure.after))
            writer.writerow((row.file, row.name, row.size or "", figure.name, figure.unit, *values))
    return out.getvalue()


def schema_text(of: str = "report") -> str:
    """Read a JSON Schema (draft 2020-12) as shipped in the package: of the "report", of a "walk", of "compare"."""
    from pathlib import Path  # here because it takes 3 ms, and runs don't need it

    return Path(__file__).with_name(f"{of}-schema.json").read_text(encoding="utf-8")
