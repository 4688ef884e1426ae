"""Whether what was taken for a bodice or a sleeve can be one: its edges' proportions and directions. Page mm.

The limits are rules (svgfit/rules/plausible.py). Each function gives the first thing that speaks against it, in words.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.toml_file import spell
from svgfit.model.vocabulary import EdgeName
from svgfit.pattern.corners import sagitta
from svgfit.rules.plausible import (
    CAP_RISE,
    CAP_TO_BICEP,
    FLATTEST_ARMHOLE,
    FLATTEST_SEAM,
    HEM_TO_BICEP,
    NECKLINE_TO_ARMHOLE,
    SHOULDER_TO_ARMHOLE,
    STEEPEST_HEM,
    STEEPEST_SHOULDER,
    UNDERARM_SEAMS,
)


def bodice_flaw(edges: Sequence[Edge], up: complex) -> str | None:
    """Say what keeps these edges from being a bodice's, "up" being a direction on the page; None where nothing does."""
    return next(_bodice_flaws({edge.name: edge.curve for edge in edges}, up), None)


def sleeve_flaw(edges: Sequence[Edge], up: complex) -> str | None:
    """Say what keeps these edges from being a sleeve's; None where nothing does."""
    return next(_sleeve_flaws({edge.name: edge.curve for edge in edges}, up), None)


def refuse_flaw(drawn: DrawnPiece, kind: str, flaw: str | None, *, marked: bool) -> str | None:
    """Refuse a piece that only its name or shape calls that kind, because of a flaw; return words where a person does.

    A person does who names the kind in the convention, or marks all corners (``marked``): those words say that the
    piece is taken for one against its proportions.
    """
    if flaw is None:
        return None
    if drawn.kind is not None or marked:
        return f"kind: {kind}, as {'its landmarks say' if marked else 'svgfit.toml says'}, though {flaw}"
    key = spell(("pieces", drawn.name, "kind"))
    raise Refusal(drawn.where, flaw, f'if it is one, mark its corners on a landmarks layer, or write {key} = "{kind}"')


def _bodice_flaws(lines: Mapping[str, Curve], up: complex) -> Iterator[str]:
    armhole, side, hem = lines[EdgeName.ARMHOLE], lines[EdgeName.SIDE_SEAM], lines[EdgeName.HEM]
    hole = armhole.length(1e-2)
    neckline, shoulder = lines.get(EdgeName.NECKLINE), lines.get(EdgeName.SHOULDER)
    if neckline is not None and shoulder is not None:
        yield from _share("neckline", neckline.length(1e-2) / hole, NECKLINE_TO_ARMHOLE, "the armhole's length")
        yield from _share("shoulder", shoulder.length(1e-2) / hole, SHOULDER_TO_ARMHOLE, "the armhole's length")
        if _steepness(shoulder, up) > STEEPEST_SHOULDER:
            yield "its shoulder would run along the grain rather than across it"
        tip, neck = _across(armhole.end, neckline.end, up), _across(neckline.start, neckline.end, up)
        if not 0 < neck / tip < 1 if tip else True:
            yield "its neck point would not lie between centre and shoulder tip"
    if _steepness(armhole, up) < FLATTEST_ARMHOLE or _along(armhole.end - armhole.start, up) < 0:
        yield "its armhole would not climb from the underarm to the shoulder"
    if _steepness(side, up) < FLATTEST_SEAM:
        yield "its side seam would run across the grain"
    if _steepness(hem, up) > STEEPEST_HEM:
        yield "its hem would run along the grain"
    if _along(side.end - side.start, up) * _along(armhole.end - armhole.start, up) < 0:
        yield "its side seam would run upwards from the underarm"


def _sleeve_flaws(lines: Mapping[str, Curve], up: complex) -> Iterator[str]:
    cap, hem = lines[EdgeName.CAP], lines[EdgeName.HEM]
    front, back = lines[EdgeName.UNDERARM_FRONT], lines[EdgeName.UNDERARM_BACK]
    wide = abs(cap.end - cap.start)
    if wide < 1e-6:
        yield "its cap would begin where it ends"
        return
    yield from _share("cap", cap.length(1e-2) / wide, CAP_TO_BICEP, "its width at the bicep line")
    yield from _share("cap's rise", abs(sagitta(cap)) / wide, CAP_RISE, "its width at the bicep line")
    lengths = front.length(1e-2), back.length(1e-2)
    yield from _share("one underarm seam", lengths[0] / lengths[1], UNDERARM_SEAMS, "the other's length")
    yield from _share("hem", hem.length(1e-2) / wide, HEM_TO_BICEP, "its width at the bicep line")
    if min(_steepness(front, up), _steepness(back, up)) < FLATTEST_SEAM:
        yield "an underarm seam would run across the grain"


def _share(name: str, share: float, usual: tuple[float, float], of: str) -> Iterator[str]:
    if not usual[0] <= share <= usual[1]:
        yield f"its {name} would be {share:.2g} times {of}; {usual[0]:g} to {usual[1]:g} is plausible"


def _steepness(line: Curve, up: complex) -> float:
    """Measure the angle of a line's chord to the crosswise grain, 0 to a right angle."""
    chord = (line.end - line.start) / up
    return math.atan2(abs(chord.real), abs(chord.imag))


def _along(way: complex, up: complex) -> float:
    return (way * up.conjugate()).real


def _across(point: complex, centre: complex, up: complex) -> float:
    return ((point - centre) * (up * 1j).conjugate()).real
