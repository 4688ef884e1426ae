"""What readers and writers of other kinds of files need, the stock ones among them.

Part of the authors' module: ``from svgfit.plugin import formats``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.formats.layered_svg import LineStyle as LineStyle
    from svgfit.formats.layered_svg import PathItem as PathItem
    from svgfit.formats.layered_svg import SubPath as SubPath
    from svgfit.formats.layered_svg import SvgLayer as SvgLayer
    from svgfit.formats.layered_svg import TextItem as TextItem
    from svgfit.formats.layered_svg import layered_svg as layered_svg
    from svgfit.formats.pdf.read import read_pdf as read_pdf

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.formats.layered_svg": "LineStyle PathItem SubPath SvgLayer TextItem layered_svg",
        "svgfit.formats.pdf.read": "read_pdf",
    },
)
