"""Reading SVG drawings (encodings, layers, styles, units, shapes), and splicing layers into them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.svg.atomic_write import Output, advice_on, check_output, write_output, write_outputs
    from svgfit.svg.reader import Drawing, ParsedFile, Tree, names_a_test_square, parse_file, read_drawing, read_parsed
    from svgfit.svg.scale import UnknownScale
    from svgfit.svg.source import Source, load_source, may_be_svg, read_bytes
    from svgfit.svg.splicing import free_id, free_name, kept_layers, splice
    from svgfit.svg.svgfit_layers import SvgfitLayer, as_written, digest, stamp

__all__ = [
    "Drawing",
    "Output",
    "ParsedFile",
    "Source",
    "SvgfitLayer",
    "Tree",
    "UnknownScale",
    "advice_on",
    "as_written",
    "check_output",
    "digest",
    "free_id",
    "free_name",
    "kept_layers",
    "load_source",
    "may_be_svg",
    "names_a_test_square",
    "parse_file",
    "read_bytes",
    "read_drawing",
    "read_parsed",
    "splice",
    "stamp",
    "write_output",
    "write_outputs",
]

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.svg.atomic_write": "Output advice_on check_output write_output write_outputs",
        "svgfit.svg.reader": "Drawing ParsedFile Tree names_a_test_square parse_file read_drawing read_parsed",
        "svgfit.svg.scale": "UnknownScale",
        "svgfit.svg.source": "Source load_source may_be_svg read_bytes",
        "svgfit.svg.splicing": "free_id free_name kept_layers splice",
        "svgfit.svg.svgfit_layers": "SvgfitLayer as_written digest stamp",
    },
)
