"""Layers as Illustrator writes them.

Save As with editing preserved: groups marked ``i:layer="yes"``. Save As without, and Export As: groups with an id. The
name is ``data-name``, else the id: ``_x2F_`` stands for a character, ``_`` for a space, ``_1_`` at the end counts.
"""

from itertools import islice
from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)

SPACE = "http://ns.adobe.com/AdobeIllustrator/10.0/"
AI = "{" + SPACE + "}"


def speaks(root: Any) -> bool:
    """Tell whether the namespace, the comment before the root, or ``data-name`` on a group says so."""
    if SPACE in root.nsmap.values():
        return True
    if any("Adobe Illustrator" in (node.text or "") for node in root.itersiblings(preceding=True)):
        return True
    return any(element.get("data-name") for element in root.iter("{*}g"))


def layer(element: Any) -> LayerFacts | None:
    """Read a marked group; where no group is marked, one with a name of its own."""
    if not naming.is_group(element):
        return None
    marked = element.get(AI + "layer") == "yes"
    if not marked and _marks(element):
        return None
    own = element.get("id") or ""
    if not marked and (own.startswith("XMLID_") or not (own or element.get("data-name"))):
        return None  # an id that the program made for itself
    name = element.get("data-name") or naming.title_of(element) or naming.spaced(own)
    return LayerFacts(name, element.get(AI + "visible") == "no", element.get(AI + "editable") == "no")


def _marks(element: Any) -> bool:
    """Tell whether the drawing marks its layers: the first of them is near the top."""
    root = element.getroottree().getroot()
    if SPACE not in root.nsmap.values():
        return False
    return any(each.get(AI + "layer") == "yes" for each in islice(root.iter("{*}g"), 50))


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "illustrator",
            30,
            speaks,
            layer,
            program="Illustrator (Save As and Export As)",
            named_by=(
                "`data-name`, else the title, else the id: `_x2F_` read as the character it stands for, `_` as a "
                "space, a counting `_1_` taken off"
            ),
            hidden_by='`i:visible="no"`',
            locked_by='`i:editable="no"`',
            left_out=(
                "what the program keeps for itself (private data); groups without a name of their own, and where "
                "layers are marked (`i:layer`) all that aren't"
            ),
        )
    ]
