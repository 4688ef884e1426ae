"""Records of a drawing: canvas, layers, shapes and texts, in page millimetres.

Page millimetres: origin at the top left of the root's box after viewBox and preserveAspectRatio, x right, y down.
"""

from __future__ import annotations

from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve


class Canvas(Struct, frozen=True):
    """The sheet: its size, and how its user units relate to millimetres."""

    file: str
    """The drawing, as given."""
    mm_per_user_unit: float
    """Millimetres of one user unit of the root."""
    scale_from: str
    """Where the scale comes from, for people: "width and height in mm", "--scale 96", "test square (50 mm)" …"""
    to_root: Affine
    """Page millimetres → the root's user units (what our layers' ``transform`` is)."""
    width: float
    """Page size in mm; 0 where the drawing states none."""
    height: float
    """Likewise."""


class Text(Struct, frozen=True):
    """One line of writing."""

    content: str
    """The writing."""
    at: complex
    """Where its baseline starts, in the frame of the record that holds it."""
    direction: complex
    """Unit vector along which it reads."""
    size: float
    """Font size in mm."""
    anchor: str = "start"
    """SVG's text-anchor: start, middle or end."""


class LineStyle(Struct, frozen=True):
    """How a line is drawn. Lengths in mm, to a hundredth."""

    colour: str | None = None
    """ "#rrggbb", or as it is written where that is no colour; None where no line is painted."""
    width: float = 0.0
    """0 where no line is painted."""
    dash: tuple[float, ...] = ()
    """Dashes and gaps in turn; () for a line without gaps."""
    filled: bool = False
    """Whether what it goes round is painted."""


class Shape(Struct, frozen=True):
    """One drawn element: its curves, one a subpath."""

    curves: tuple[Curve, ...]
    """Page mm."""
    closed: tuple[bool, ...]
    """For each curve, whether it was drawn closed (a Z, or a shape that always is) or its ends meet."""
    id: str | None = None
    """Of the element; None where it has none."""
    name: str | None = None
    """The element's own name as a person sees it: label, title or id."""
    line: int | None = None
    """Line of the file, for messages."""
    data: tuple[tuple[str, str], ...] = ()
    """Its ``data-svgfit-*`` attributes, without the prefix; () for what is not ours."""
    element: int | None = None
    """Number of the drawn element that it came from, counted over the whole drawing; None for what no file holds."""
    style: LineStyle = LineStyle()
    """How it looks."""


class DrawnText(Struct, frozen=True):
    """A text element's lines, in page millimetres."""

    text: Text
    """Content, place and direction."""
    id: str | None = None
    """The element's id; None where it has none."""
    line: int | None = None
    """The line of the file that it is written in, from 1; None where it is not known."""
    data: tuple[tuple[str, str], ...] = ()
    """Attributes of ours on it, name and value."""
    element: int | None = None
    """Number of the text element, in one count with the shapes'; its lines share it."""


class Layer(Struct, frozen=True):
    """A layer as a person sees it in their program. Shapes of sublayers belong to the sublayers."""

    file: str
    """The drawing, as given."""
    name: str
    """As a person sees it."""
    path: tuple[str, ...]
    """Names from the outermost layer down to this one."""
    id: str | None
    """Of the layer's element; None where it has none."""
    hidden: bool
    """Whether the program does not show it."""
    locked: bool
    """Whether the program guards it."""
    shapes: tuple[Shape, ...]
    """What is drawn on it itself, page mm."""
    texts: tuple[DrawnText, ...]
    """What is written on it itself, page mm."""
    ours: str | None = None
    """``working-lines``, ``adjusted`` or ``measurements`` on a layer that svgfit wrote (or on what lies in one)."""
    line: int | None = None
    """Line of the file, for messages."""
    data: tuple[tuple[str, str], ...] = ()
    """What svgfit wrote on a layer of its own: names (without ``data-svgfit-``) and texts."""
