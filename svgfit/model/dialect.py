"""A dialect: how one family of programs writes layers into SVG. Handed to the SVG reader as an argument."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from msgspec import Struct

Element = Any
"""An lxml element. Dialects only read it."""


class LayerFacts(Struct, frozen=True):
    """A dialect's findings about one layer element."""

    name: str
    """The layer's name as a person sees it in their program."""
    hidden: bool = False
    """Hidden by the program's own mark; CSS display and visibility are looked at by the reader itself."""
    locked: bool = False
    """Locked by the program's own mark."""
    shared: str | None = None
    """For programs whose layers are no containers: every element with the same key belongs to one layer."""


class Dialect(Struct, frozen=True):
    """A reader for one program's way with layers."""

    name: str
    """No two dialects' alike."""
    order: int
    """Dialects are asked in ascending order; the first that speaks for a drawing reads all its layers."""
    speaks: Callable[[Element], bool]
    """Whether the drawing (its root element) was written this way."""
    layer: Callable[[Element], LayerFacts | None]
    """Facts of an element that is a layer; None for one that is not. Asked of every group and nested svg, and of each
    shape and ``use`` that lies in no layer (for programs that know only named objects)."""
    extra: Callable[[Element], bool] | None = None
    """Whether a shape is what the program adds of its own (a page's white rectangle, a bounding box): no drawing."""
    program: str = ""
    """The program, as people call it. This and what follows is for people: docs/drawings.md is made of it."""
    named_by: str = ""
    """What is taken for a layer's name."""
    hidden_by: str = ""
    """The program's own mark for a hidden layer; ``display`` and ``visibility`` count in every drawing besides."""
    locked_by: str = ""
    """Its mark for a locked layer; "" where it writes none."""
    left_out: str = ""
    """What is no layer, or no drawing, though it looks like it."""
