"""Reading SVG drawings (encodings, layers, styles, units, shapes), and splicing layers into them."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from svgfit.svg.atomic_write import check_output, write_output
    from svgfit.svg.reader import Drawing, ParsedFile, Tree, names_a_test_square, parse_file, read_drawing, read_parsed
    from svgfit.svg.source import Source, load_source
    from svgfit.svg.splicing import free_id, free_name, kept_layers, splice
    from svgfit.svg.svgfit_layers import SvgfitLayer, as_written, digest, stamp

_WHERE = {
    "Drawing": "reader",
    "SvgfitLayer": "svgfit_layers",
    "ParsedFile": "reader",
    "Source": "source",
    "Tree": "reader",
    "as_written": "svgfit_layers",
    "check_output": "atomic_write",
    "digest": "svgfit_layers",
    "free_id": "splicing",
    "free_name": "splicing",
    "kept_layers": "splicing",
    "load_source": "source",
    "names_a_test_square": "reader",
    "parse_file": "reader",
    "read_drawing": "reader",
    "read_parsed": "reader",
    "splice": "splicing",
    "stamp": "svgfit_layers",
    "write_output": "atomic_write",
}

__all__ = [
    "Drawing",
    "ParsedFile",
    "Source",
    "SvgfitLayer",
    "Tree",
    "as_written",
    "check_output",
    "digest",
    "free_id",
    "free_name",
    "kept_layers",
    "load_source",
    "names_a_test_square",
    "parse_file",
    "read_drawing",
    "read_parsed",
    "splice",
    "stamp",
    "write_output",
]


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_WHERE[name]}"), name)
