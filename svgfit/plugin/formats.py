"""What readers and writers of other kinds of files need, the stock ones among them.

Part of the authors' module: ``from svgfit.plugin import formats``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.formats.dxf.read import read_dxf as read_dxf
    from svgfit.formats.dxf.tags import is_dxf as is_dxf
    from svgfit.formats.dxf.write import write_dxf as write_dxf
    from svgfit.formats.layered_svg import LineStyle as LineStyle
    from svgfit.formats.layered_svg import PathItem as PathItem
    from svgfit.formats.layered_svg import SubPath as SubPath
    from svgfit.formats.layered_svg import SvgLayer as SvgLayer
    from svgfit.formats.layered_svg import TextItem as TextItem
    from svgfit.formats.layered_svg import layered_svg as layered_svg
    from svgfit.formats.measurement_table import measurement_table as measurement_table
    from svgfit.formats.pdf.read import read_pdf as read_pdf
    from svgfit.formats.pdf.write import layered_pdf as layered_pdf
    from svgfit.model.drawing import Canvas as Canvas
    from svgfit.model.drawing import Layer as Layer
    from svgfit.model.file_format import Converted as Converted
    from svgfit.model.file_format import Convertible as Convertible
    from svgfit.model.file_format import Needs as Needs
    from svgfit.model.file_format import Reader as Reader
    from svgfit.model.file_format import Wishes as Wishes
    from svgfit.model.file_format import Writer as Writer

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.formats.dxf.read": "read_dxf",
        "svgfit.formats.dxf.tags": "is_dxf",
        "svgfit.formats.dxf.write": "write_dxf",
        "svgfit.formats.layered_svg": "LineStyle PathItem SubPath SvgLayer TextItem layered_svg",
        "svgfit.formats.measurement_table": "measurement_table",
        "svgfit.formats.pdf.read": "read_pdf",
        "svgfit.formats.pdf.write": "layered_pdf",
        "svgfit.model.drawing": "Canvas Layer",
        "svgfit.model.file_format": "Converted Convertible Needs Reader Wishes Writer",
    },
)
