"""DXFs to test with: written by ezdxf, which is not ours, and as raw pairs of lines."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from itertools import pairwise

import ezdxf
import numpy as np
from ezdxf.layouts import BlockLayout

from svgfit import Piece
from svgfit.geometry.curve import Curve

INCH = 25.4


def nodes_of(curves: Sequence[Curve], chord: float) -> list[tuple[complex, bool]]:
    """Points along curves that follow one another closed, so many mm apart, and which of them are turn points."""
    found: list[tuple[complex, bool]] = []
    for curve in curves:
        for k in range(len(curve)):
            piece = Curve(curve.segments[k : k + 1])
            count = 1 if piece.is_straight(1e-6) else max(2, round(piece.length() / chord))
            places = [piece.at_length(piece.length() * share) for share in np.arange(count) / count]
            corner = k == 0 or abs(np.angle(piece.tangent(0) / curve.tangent(float(k), before=True))) > 0.02
            found += [(piece.point(t), corner and n == 0) for n, t in enumerate(places)]
    return found


class TradeFile:
    """A DXF by the interchange standard, as ezdxf writes R12; lengths are given in mm, y down."""

    def __init__(self, *, mm: float = 1.0, decimals: int | None = None, units: str | None = "METRIC") -> None:
        self.mm, self.decimals = mm, decimals
        self.document = ezdxf.new("R12")
        self.space = self.document.modelspace()
        for layer in ("1", "2", "3", "4", "6", "7", "8", "14", "15"):
            self.document.layers.add(layer)
        self.texts(self.space, ["ANSI/AAMA", "Style Name: SMOCK", *([f"Units: {units}"] if units else [])])

    def at(self, point: complex) -> tuple[float, float]:
        found = (point.real / self.mm, -point.imag / self.mm)
        return found if self.decimals is None else (round(found[0], self.decimals), round(found[1], self.decimals))

    def texts(self, space, lines: Iterable[str]) -> None:
        for row, line in enumerate(lines):
            text = space.add_text(line, dxfattribs={"layer": "1", "height": 5 / self.mm})
            text.set_placement(self.at(100 + 100j + 8j * row))

    def outline(self, block: BlockLayout, layer: str, nodes: Sequence[tuple[complex, bool]], marked: bool) -> None:
        block.add_polyline2d([self.at(at) for at, _ in nodes], close=True, dxfattribs={"layer": layer})
        if marked:
            for at, turn in nodes:
                block.add_point(self.at(at), dxfattribs={"layer": "2" if turn else "3"})

    def piece(self, piece: Piece, chord: float, *, marked: bool = True, cut: bool = True, stitch: bool = True) -> None:
        """Add a piece's block with its insert; its notches are points on the cut line, or on the stitch line."""
        place = piece.placement
        block = self.document.blocks.new(f"{piece.name}-{piece.size}".upper() if piece.size else piece.name.upper())
        if cut and piece.cut is not None:
            line = piece.cut.line.transform(place)
            corners = [t for t in range(len(line)) if _turns(line, t)]
            parts = [line.subcurve(a, b) for a, b in pairwise([*corners, len(line)])]
            self.outline(block, "1", nodes_of(parts, chord), marked)
        if stitch:
            edges = [edge.curve.transform(place) for edge in piece.edges]
            self.outline(block, "14", nodes_of(edges, chord), marked)
        for mark in piece.marks:
            if "notch" in mark.kind:
                on_cut = cut and piece.cut is not None
                block.add_point(self.at(_cut_end(piece, mark) if on_cut else place.apply(mark.at)), {"layer": "4"})
            elif mark.kind == "grain line":
                (curve,) = (each.transform(place) for each in mark.curves[:1])
                block.add_line(self.at(curve.start), self.at(curve.end), {"layer": "7"})
        for edge in piece.edges:
            if edge.fold:
                curve = edge.curve.transform(place)
                block.add_line(self.at(curve.start), self.at(curve.end), {"layer": "6"})
        self.texts(block, [f"Piece Name: {piece.name.upper()}", *([f"Size: {piece.size}"] if piece.size else [])])
        self.space.add_blockref(block.name, (0, 0), dxfattribs={"layer": "1"})

    def data(self) -> bytes:
        out = io.StringIO()
        self.document.write(out)
        return out.getvalue().encode("cp1252")


def _turns(line: Curve, t: int) -> bool:
    before = line.tangent(float(t), before=True) if t else line.tangent(float(len(line)), before=True)
    return t == 0 or abs(np.angle(line.tangent(float(t)) / before)) > 0.02


def _cut_end(piece: Piece, mark) -> complex:
    """The end of a drawn notch that stands on the cut line."""
    ends = [point for curve in mark.curves for point in (curve.start, curve.end)]
    line = piece.cut.line
    return piece.placement.apply(min(ends, key=lambda point: line.nearest(point)[1]))


def raw(*pairs: tuple[int, object]) -> str:
    """Pairs as lines."""
    return "".join(f"{code}\n{value}\n" for code, value in pairs)


def section(name: str, *pairs: tuple[int, object]) -> str:
    """A section of a DXF."""
    return raw((0, "SECTION"), (2, name), *pairs, (0, "ENDSEC"))


def vertices(layer: str, points: Iterable[complex], closed: bool = True, bulges: Sequence[float] = ()) -> list:
    """A polyline of R12, y up."""
    found: list[tuple[int, object]] = [(0, "POLYLINE"), (8, layer), (66, 1), (70, int(closed))]
    for number, point in enumerate(points):
        found += [(0, "VERTEX"), (8, layer), (10, point.real), (20, point.imag)]
        found += [(42, bulges[number])] if number < len(bulges) and bulges[number] else []
    return [*found, (0, "SEQEND")]


def box(layer: str, left: float, bottom: float, width: float, height: float) -> list:
    """A rectangle as a polyline."""
    at = complex(left, bottom)
    return vertices(layer, [at, at + width, at + complex(width, height), at + 1j * height])


def entities(*pairs: tuple[int, object], header: Sequence[tuple[int, object]] = ((9, "$INSUNITS"), (70, 4))) -> bytes:
    """A whole file with these entities, in millimetres unless its header says otherwise."""
    return (section("HEADER", *header) + section("ENTITIES", *pairs) + raw((0, "EOF"))).encode()
