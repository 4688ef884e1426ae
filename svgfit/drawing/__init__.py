"""The SVG: encodings, layers, styles, units, shapes in, layers spliced out. Imported piece by piece."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from svgfit.drawing.own import OwnLayer, as_written, digest, stamp
    from svgfit.drawing.reader import Drawing, names_a_test_square, read_drawing, read_own
    from svgfit.drawing.source import Source, load_source
    from svgfit.drawing.splicing import free_id, free_name, kept, splice
    from svgfit.drawing.writing import check_output, write_output

_WHERE = {
    "Drawing": "reader",
    "OwnLayer": "own",
    "Source": "source",
    "as_written": "own",
    "check_output": "writing",
    "digest": "own",
    "free_id": "splicing",
    "free_name": "splicing",
    "kept": "splicing",
    "load_source": "source",
    "names_a_test_square": "reader",
    "read_drawing": "reader",
    "read_own": "reader",
    "splice": "splicing",
    "stamp": "own",
    "write_output": "writing",
}

__all__ = [
    "Drawing",
    "OwnLayer",
    "Source",
    "as_written",
    "check_output",
    "digest",
    "free_id",
    "free_name",
    "kept",
    "load_source",
    "names_a_test_square",
    "read_drawing",
    "read_own",
    "splice",
    "stamp",
    "write_output",
]


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_WHERE[name]}"), name)
