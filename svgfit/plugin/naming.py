"""What a drawing's elements are called, whatever program wrote them.

Part of the authors' module: ``from svgfit.plugin import naming``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.model.dialect import Element as Element
    from svgfit.svg.id_names import given_name as given_name
    from svgfit.svg.id_names import is_group as is_group
    from svgfit.svg.id_names import spaced as spaced
    from svgfit.svg.id_names import title_of as title_of
    from svgfit.svg.id_names import unescaped as unescaped

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.model.dialect": "Element",
        "svgfit.svg.id_names": "given_name is_group spaced title_of unescaped",
    },
)
