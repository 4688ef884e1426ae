"""Nests as makers send them: a sleeve, a front and a back in many sizes on one sheet; drawn here with plain sums.

Each size's pieces lie over one another. How the sheet tells sizes apart (layers, dashes, colours, widths), whether
lines are whole or loose, and what else is on it, is for each test to say.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from tests.fitting.sleeves import Shape, sleeve

from .bodices import Bodice, bodice

SPACE = 'xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
SIZES = tuple(str(size) for size in range(6, 26, 2))
DASHES = ("", "1,1", "3,1.5", "6,2", "6,1.5,1,1.5", "9,2,1,1,1,2", "2,2", "10,3", "4,1,1,1", "12,2,2,2")
COLOURS = ("#000000", "#d40000", "#0044aa", "#008033", "#aa00d4", "#d45500", "#00aad4", "#a05a2c", "#666666", "#ff0080")
PLACES = {"Sleeve": 700 + 250j, "Front": 200 + 330j, "Back": 1200 + 330j}


class Sized(Struct, frozen=True):
    """One piece of one size on the sheet."""

    name: str
    size: str
    piece: Piece

    @property
    def outline(self) -> Curve:
        return self.on_page(self.piece.outline())

    @property
    def motion(self) -> Affine:
        return Affine.shift(PLACES[self.name])

    def on_page(self, curve: Curve) -> Curve:
        return curve.transform(self.motion)

    def drawn(self, *kinds: str) -> list[Curve]:
        return [self.on_page(curve) for mark in self.piece.marks if mark.kind in kinds for curve in mark.curves]

    @property
    def seam(self) -> float:
        """The length by which the piece is known again: of its cap or its armhole."""
        return self.piece.edge("cap" if self.name == "Sleeve" else "armhole").curve.length()


def nest(sizes: Sequence[str] = SIZES, names: Sequence[str] = ("Sleeve", "Front", "Back")) -> list[Sized]:
    """Every piece of every size, the smallest size first."""
    found: list[Sized] = []
    for k, size in enumerate(sizes):
        body = Bodice(drop=30 + k, length=330 + 5 * k, flare=8, scoop=0.85)
        made = {
            "Sleeve": sleeve(Shape(front=150 + 6 * k, back=146 + 6 * k, height=110 + 3 * k, length=400)),
            "Front": bodice(body),
            "Back": bodice(Bodice(kind="back", drop=30 + k, length=330 + 5 * k, flare=8, neck_depth=30, scoop=0.85)),
        }
        found += [Sized(name, size, made[name]) for name in names]
    return found


# -- writing -----------------------------------------------------------------------------------------------------------


def path(curve: Curve, style: str = "stroke:#000;stroke-width:.35") -> str:
    steps = " ".join("C " + " ".join(f"{p.real:.6f},{p.imag:.6f}" for p in one[1:]) for one in curve.segments)
    end = " Z" if curve.is_closed() else ""
    start = curve.start
    return f'<path d="M {start.real:.6f},{start.imag:.6f} {steps}{end}" style="fill:none;{style}"/>'


def text(words: str, at: complex, size: float = 14.0) -> str:
    return f'<text x="{at.real:.3f}" y="{at.imag:.3f}" font-size="{size}">{words}</text>'


def layer(name: str, content: str | Sequence[str]) -> str:
    inside = content if isinstance(content, str) else "".join(content)
    return f'<g inkscape:groupmode="layer" inkscape:label="{name}">{inside}</g>'


def sheet(*layers: str) -> str:
    return f'<svg {SPACE} width="1600mm" height="900mm" viewBox="0 0 1600 900">{"".join(layers)}</svg>'


def loose(curve: Curve, seed: int = 0, style: str = "stroke:#000;stroke-width:.35") -> list[str]:
    """An outline as separate lines, some turned round, not in order."""
    luck = np.random.default_rng(seed)
    parts = [curve.subcurve(a, b) for a, b in itertools.pairwise(range(len(curve) + 1))]
    drawn = [path(part.reverse() if luck.random() < 0.5 else part, style) for part in parts]
    return [drawn[k] for k in luck.permutation(len(drawn)).tolist()]


def dashed(k: int) -> str:
    return f"stroke:#000;stroke-width:.35;stroke-dasharray:{DASHES[k] or 'none'}"


def coloured(k: int) -> str:
    return f"stroke:{COLOURS[k]};stroke-width:.35"


def weighted(k: int) -> str:
    return f"stroke:#000;stroke-width:{0.1 + 0.15 * k:.2f}"


def key(look: Callable[[int], str], sizes: Sequence[str] = SIZES, *, behind: bool = False) -> list[str]:
    """A sample of each size's line beside its name."""
    found: list[str] = []
    for k, size in enumerate(sizes):
        y = 20 + 8 * k
        line = Curve.polyline([complex(70 if behind else 20, y), complex(95 if behind else 45, y)])
        found += [path(line, look(k)), text(f"Size {size}", complex(48, y + 1.7), 5)]
    return found


def names(pieces: Sequence[Sized]) -> list[str]:
    found = dict.fromkeys(one.name for one in pieces)
    return [text(name, PLACES[name] + (-120 if name == "Back" else 20) + 150j) for name in found]


def marks(pieces: Sequence[Sized], *kinds: str) -> list[str]:
    return [path(curve) for one in pieces for curve in one.drawn(*kinds)]


def shared(pieces: Sequence[Sized], kind: str) -> list[str]:
    """The marks of a kind of the first size only, as drawn once for all."""
    return marks([one for one in pieces if one.size == pieces[0].size], kind)
