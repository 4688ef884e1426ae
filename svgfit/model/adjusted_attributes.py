"""The ``data-svgfit-*`` attributes of an adjusted outline, from which a later run can go on exactly.

The stitch path of our ``adjusted`` layer names its edges by the number of their first segment. The text forms::

    data-svgfit-kind="sleeve"
    data-svgfit-edges="cap@0:15.875;underarm back@8:15.875:backwards;hem@10:25.4;centre@11:0:fold"
    data-svgfit-landmarks="underarm front@178,0#0;cap top@-3.5,-140.25?"
    data-svgfit-placement="1 0 0 1 210 297.5"
    data-svgfit-drawn="stitch cut"
    data-svgfit-segments="12"
    data-svgfit-darts="armhole@60,-120#3@25,-118#4@61,-110#5"
    data-svgfit-data="pitch%3A angle@7.5"

On the layer itself, where they are known: the pieces that are none any more, and the seams that steps sewed::

    data-svgfit-dropped="Back;Front@12"
    data-svgfit-seams="Front/armhole=Facing/armhole;Gusset/one side=Sleeve/slit:eased@a:0:3.2"

An edge: name, ``@`` first segment (counted from 0), ``:`` seam allowance in mm (nothing where unknown), then the words
``fold`` and ``backwards`` where they hold. A landmark: name, ``@`` x,y in mm in the piece's frame, ``#`` the outline's
node on which it lies (left out where it lies on none), ``?`` where it was guessed. The placement: SVG's six matrix
numbers from the piece's frame to page millimetres. A dart (the attribute is there only where darts are): its edge, then
the mouth's one end, the apex and the other end, each written as a landmark's place is. What plug-ins keep with the
piece (likewise only where they do): name, ``@``, text. A seam: two rows of edges, each piece, ``/``, edge, with ``+``
between edges and ``=`` between the rows; where an ease is stated, ``:eased@`` the longer row, the least and the most
mm. ``segments`` counts the outline's segments. Numbers are written so that reading gives them back exactly; in names
the characters ``% ; @ : # ? ,`` (in seams ``/ + =`` too) are written as ``%`` and two hexadecimal digits.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, SeamEase
from svgfit.model.vocabulary import DrawnLine

_ON_NODE = 1e-9
_EASED = "eased"
_FOLD, _BACKWARDS = "fold", "backwards"
"""Flags of an edge, as they are written."""


_FARTHEST = 1e7
"""No point of a piece lies as far away, mm."""


class EdgeAttributes(Struct, frozen=True):
    """An edge of the outline, without its curve."""

    name: str
    """Of no other edge of the piece."""
    first_segment: int
    """The segment of the outline that it begins with, from 0."""
    allowance: float | None = None
    """Seam allowance, mm; None where none is known."""
    fold: bool = False
    """Whether it lies on the fold."""
    backwards: bool = False
    """Whether distances along it are counted from its end."""


class LandmarkAttributes(Struct, frozen=True):
    """A landmark, in the piece's frame."""

    name: str
    """As on the piece."""
    at: complex
    """Where, in the piece's frame."""
    node: int | None = None
    """The outline's node (start of that segment) on which it lies; it then follows a node that a person moved."""
    guessed: bool = False
    """Whether svgfit found it, and no drawing marked it."""


class DartAttributes(Struct, frozen=True):
    """A dart's edge, and its points (mouth, apex, mouth) in the piece's frame with the nodes that they lie on."""

    edge: str
    """The edge that it lies on."""
    points: tuple[complex, ...]
    """Mouth, apex, mouth, in the piece's frame."""
    nodes: tuple[int | None, ...]
    """The outline's node at each; None where none is."""


class OutlineAttributes(Struct, frozen=True):
    """The content of an adjusted stitch path's attributes."""

    kind: str
    """The piece's kind."""
    size: str | None
    """In a nest; None for a piece of no size."""
    edges: tuple[EdgeAttributes, ...]
    """In order round the outline."""
    landmarks: tuple[LandmarkAttributes, ...]
    """All that the piece has."""
    placement: Affine
    """From the piece's frame to the page."""
    drawn: tuple[str, ...] = (DrawnLine.STITCH,)
    """Which lines the drawing had."""
    segments: int | None = None
    """How many segments the outline has: where a person has added or removed nodes, the edges no longer hold."""
    darts: tuple[DartAttributes, ...] = ()
    """In no certain order."""
    data: tuple[tuple[str, str], ...] = ()
    """Facts that plug-ins keep on the piece (``Piece.data``)."""


def attributes_of(piece: Piece) -> OutlineAttributes:
    """Collect the attributes of a piece's stitch path (its edges in order, one segment after another)."""
    edges: list[EdgeAttributes] = []
    nodes: list[complex] = []
    for edge in piece.edges:
        edges.append(EdgeAttributes(edge.name, len(nodes), edge.allowance, edge.fold, edge.backwards))
        nodes.extend(edge.curve.segments[:, 0].tolist())
    landmarks = tuple(
        LandmarkAttributes(mark.name, mark.at, _node_at(mark.at, nodes), mark.guessed) for mark in piece.landmarks
    )
    darts = tuple(
        DartAttributes(dart.edge, points, tuple(_node_at(at, nodes) for at in points))
        for dart in piece.darts
        for points in ((dart.start, dart.apex, dart.end),)
    )
    return OutlineAttributes(
        piece.kind, piece.size, tuple(edges), landmarks, piece.placement, piece.drawn, len(nodes), darts, piece.data
    )


def format_attributes(outline: OutlineAttributes) -> tuple[tuple[str, str], ...]:
    """Format names (without ``data-svgfit-``) and texts, in a fixed order; piece and line are not among them.

    >>> edges = (EdgeAttributes("cap", 0, 15.875), EdgeAttributes("hem", 4, None, backwards=True))
    >>> sleeve = OutlineAttributes("sleeve", None, edges, (LandmarkAttributes("cap top", -140j),), Affine())
    >>> format_attributes(sleeve)[1]
    ('edges', 'cap@0:15.875;hem@4::backwards')
    """
    found = [
        ("kind", outline.kind),
        ("edges", format_edges(outline.edges)),
        ("landmarks", format_landmarks(outline.landmarks)),
        ("placement", format_placement(outline.placement)),
        ("drawn", " ".join(outline.drawn)),
    ]
    if outline.segments is not None:
        found.append(("segments", str(outline.segments)))
    if outline.darts:
        found.append(("darts", format_darts(outline.darts)))
    if outline.data:
        found.append(("data", format_data(outline.data)))
    if outline.size is not None:
        found.append(("size", outline.size))
    return tuple(found)


def parse_attributes(data: Mapping[str, str]) -> OutlineAttributes | None:
    """Parse a path's attributes (names without the prefix); None where some are absent or damaged."""
    try:
        return OutlineAttributes(
            data["kind"],
            data.get("size"),
            parse_edges(data["edges"]),
            parse_landmarks(data.get("landmarks", "")),
            parse_placement(data["placement"]),
            tuple(data.get("drawn", DrawnLine.STITCH).split()),
            int(data["segments"]) if "segments" in data else None,
            parse_darts(data.get("darts", "")),
            parse_data(data.get("data", "")),
        )
    except (KeyError, ValueError):
        return None


def format_edges(edges: Iterable[EdgeAttributes]) -> str:
    """Format edges: ``cap@0:15.875;hem@4:25.4``."""
    return ";".join(
        f"{_escape(edge.name)}@{edge.first_segment}:{'' if edge.allowance is None else _number(edge.allowance)}"
        f"{f':{_FOLD}' if edge.fold else ''}{f':{_BACKWARDS}' if edge.backwards else ''}"
        for edge in edges
    )


def parse_edges(text: str) -> tuple[EdgeAttributes, ...]:
    """Parse edges; raises ValueError where the text is damaged (also: none, or not in ascending order).

    >>> parse_edges("cap@0:15.875;centre@4:0:fold")[1]
    EdgeAttributes(name='centre', first_segment=4, allowance=0.0, fold=True, backwards=False)
    """
    edges: list[EdgeAttributes] = []
    for part in _parts(text):
        place, *words = part.split(":")
        name, segment = place.split("@")
        amount, *flags = words or [""]
        if not set(flags) <= {_FOLD, _BACKWARDS}:
            raise ValueError(f"unknown words in {part!r}")
        allowance = _parse_number(amount) if amount.strip() else None
        edges.append(EdgeAttributes(_unescape(name), int(segment), allowance, _FOLD in flags, _BACKWARDS in flags))
    firsts = [edge.first_segment for edge in edges]
    if not firsts or firsts[0] != 0 or sorted(set(firsts)) != firsts:
        raise ValueError(f"edges do not follow one another: {text!r}")
    return tuple(edges)


def format_landmarks(landmarks: Iterable[LandmarkAttributes]) -> str:
    """Format landmarks: ``underarm front@178,0#0;cap top@-3.5,-140.25?``."""
    return ";".join(
        f"{_escape(mark.name)}@{format_point(mark.at)}{'' if mark.node is None else f'#{mark.node}'}"
        f"{'?' if mark.guessed else ''}"
        for mark in landmarks
    )


def parse_landmarks(text: str) -> tuple[LandmarkAttributes, ...]:
    """Parse landmarks; raises ValueError where the text is damaged."""
    found: list[LandmarkAttributes] = []
    for part in _parts(text):
        guessed = part.endswith("?")
        name, place = part.removesuffix("?").split("@")
        point, _, node = place.partition("#")
        found.append(LandmarkAttributes(_unescape(name), parse_point(point), int(node) if node else None, guessed))
    return tuple(found)


def format_darts(darts: Iterable[DartAttributes]) -> str:
    """Format darts: ``armhole@60,-120#3@25,-118#4@61,-110#5``."""
    return ";".join(
        "@".join(
            [
                _escape(dart.edge),
                *(
                    format_point(at) + ("" if node is None else f"#{node}")
                    for at, node in zip(dart.points, dart.nodes, strict=True)
                ),
            ]
        )
        for dart in darts
    )


def parse_darts(text: str) -> tuple[DartAttributes, ...]:
    """Parse darts; raises ValueError where the text is damaged.

    >>> parse_darts("side seam@0,50#3@40,55@0,60#4")[0].nodes
    (3, None, 4)
    """
    found: list[DartAttributes] = []
    for part in _parts(text):
        edge, *places = part.split("@")
        if len(places) != 3:
            raise ValueError(f"a dart has three points, not {part!r}")
        halves = [place.partition("#") for place in places]
        points = tuple(parse_point(point) for point, _, _ in halves)
        found.append(
            DartAttributes(_unescape(edge), points, tuple(int(node) if node else None for _, _, node in halves))
        )
    return tuple(found)


def format_data(data: Iterable[tuple[str, str]]) -> str:
    r"""Format what plug-ins keep with a piece, each name with its text; whatever XML would fold is written in digits.

    >>> format_data([("pitch: angle", "7.5"), ("note", "a\nb ")])
    'pitch%3A angle@7.5;note@a%0Ab%20'
    """
    return ";".join(f"{_escape_all(name)}@{_escape_all(text)}" for name, text in data)


def parse_data(text: str) -> tuple[tuple[str, str], ...]:
    r"""Parse what plug-ins keep with a piece; raises ValueError where the text is damaged.

    >>> parse_data("pitch%3A angle@7.5;note@a%0Ab%20")
    (('pitch: angle', '7.5'), ('note', 'a\nb '))
    """
    found: list[tuple[str, str]] = []
    for part in _parts(text):
        name, kept = part.split("@")
        found.append((_unescape(name), _unescape(kept)))
    return tuple(found)


def _escape_all(text: str) -> str:
    """Write a text so that XML and the splitting of its parts leave every character as it is."""
    plain = re.sub(r"[\x00-\x1f\x7f]", lambda found: f"%{ord(found[0]):02X}", _escape(text))
    inner = plain.strip()
    if not inner:
        return "%20" * len(plain)
    first, last = plain.index(inner), len(plain) - plain.index(inner) - len(inner)
    return "%20" * first + inner + "%20" * last


def format_names(pieces: Iterable[tuple[str, str | None]]) -> str:
    """Format names of pieces, a size behind ``@``: ``Back;Front@12``."""
    return ";".join(_escape(name) + ("" if size is None else f"@{_escape(size)}") for name, size in pieces)


def parse_names(text: str) -> tuple[tuple[str, str | None], ...]:
    """Parse names of pieces, each with its size or None.

    >>> parse_names("Back;Front@12")
    (('Back', None), ('Front', '12'))
    """
    halves = [part.partition("@") for part in _parts(text)]
    return tuple((_unescape(name), _unescape(size) if at else None) for name, at, size in halves)


def format_seams(seams: Iterable[Seam]) -> str:
    """Format seams: ``Front/armhole=Facing/armhole``.

    >>> a, b = (("A/B", "hem"),), (("C", "top"), ("D", "top"))
    >>> format_seams([Seam(a, b, ease=SeamEase(a, (0, 3.2)))])
    'A%2FB/hem=C/top+D/top:eased@a:0:3.2'
    """
    return ";".join(
        f"{_format_row(seam.a)}={_format_row(seam.b)}"
        + (f":{_EASED}@{'a' if seam.ease.eased == seam.a else 'b'}" if seam.ease else "")
        + "".join(f":{_number(amount)}" for amount in (seam.ease.amounts if seam.ease else ()))
        for seam in seams
    )


def parse_seams(text: str) -> tuple[Seam, ...]:
    """Parse seams that steps sewed; raises ValueError where the text is damaged.

    >>> parse_seams("A%2FB/hem=C/top+D/top")[0].b
    (('C', 'top'), ('D', 'top'))
    """
    found: list[Seam] = []
    for part in _parts(text):
        rows, *said = part.split(":")
        a, b = (_parse_row(row) for row in rows.split("="))
        ease = None
        if said:
            which, least, most = said
            if which not in (f"{_EASED}@a", f"{_EASED}@b"):
                raise ValueError(f"which row is eased is not said: {part!r}")
            ease = SeamEase(a if which.endswith("a") else b, (_parse_number(least), _parse_number(most)))
        found.append(Seam(a, b, ease=ease, by_step=True))
    return tuple(found)


def _format_row(row: Iterable[tuple[str, str]]) -> str:
    return "+".join("/".join(_escape(name, "/+=") for name in edge) for edge in row)


def _parse_row(text: str) -> tuple[tuple[str, str], ...]:
    pairs = [edge.split("/") for edge in text.split("+")]
    return tuple((_unescape(piece), _unescape(edge)) for piece, edge in pairs)


def format_placement(placement: Affine) -> str:
    """Format the six numbers of SVG's matrix, with spaces between."""
    return " ".join(
        _number(value) for value in (placement.a, placement.b, placement.c, placement.d, placement.e, placement.f)
    )


def parse_placement(text: str) -> Affine:
    """Parse a placement; raises ValueError where the text is damaged or the placement can't be undone."""
    numbers = [_parse_number(word) for word in text.split()]
    if len(numbers) != 6:
        raise ValueError(f"a placement has six numbers, not {text!r}")
    placement = Affine(*numbers)
    placement.inverse()
    return placement


def format_point(point: complex) -> str:
    """Format a point in mm: ``178,-12.5``."""
    return f"{_number(point.real)},{_number(point.imag)}"


def parse_point(text: str) -> complex:
    """Parse a point; raises ValueError where the text is damaged."""
    x, y = text.split(",")
    return complex(_parse_number(x), _parse_number(y))


def _node_at(point: complex, nodes: list[complex]) -> int | None:
    return next((index for index, node in enumerate(nodes) if abs(node - point) <= _ON_NODE), None)


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(";") if part.strip()]


def _number(value: float) -> str:
    """Write the shortest text that reads back as the same number; no negative zero."""
    return repr(float(value) + 0.0).removesuffix(".0")


def _parse_number(text: str) -> float:
    """Parse a number; raises ValueError for what is none, is not finite, or is larger than any page."""
    number = float(text)
    if not abs(number) < _FARTHEST:
        raise ValueError(f"{text!r} is on no page")
    return number


def _escape(name: str, more: str = "") -> str:
    return re.sub(f"[%;@:#?,{more}]", lambda found: f"%{ord(found[0]):02X}", name)


def _unescape(text: str) -> str:
    return re.sub("%([0-9A-F]{2})", lambda found: chr(int(found[1], 16)), text)
