"""LibreOffice Draw has no layers in its SVG: an object that was given a title stands for one."""

from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)

PAGES = ("Page", "Slide", "SlideGroup", "Master_Slide", "BackgroundObjects")


def speaks(root: Any) -> bool:
    """Tell whether the export's namespace is declared."""
    return any("openoffice.org/svg/export" in uri for uri in root.nsmap.values())


def layer(element: Any) -> LayerFacts | None:
    """Read a titled object; pages are none."""
    name = None if element.get("class") in PAGES else naming.title_of(element)
    return LayerFacts(name) if name else None


def extra(element: Any) -> bool:
    """Recognise the unseen rectangle round every object."""
    return element.get("class") == "BoundingBox"


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "libreoffice",
            20,
            speaks,
            layer,
            extra,
            program="LibreOffice Draw",
            named_by="it writes no layers: an object that was given a title stands for one",
            left_out="pages, and the unseen rectangle round each object",
        )
    ]
