"""What cap height, bicep width and ease cost each other in one armhole, found by really making the changes. In mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from svgfit.app.run_plan import run_plan
from svgfit.fitting.measure import measure_all
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan, Seam
from svgfit.model.raw_piece import Measurer
from svgfit.model.refusal import Refusal
from svgfit.model.tradeoff import Trade
from svgfit.model.vocabulary import Figure, PieceKind
from svgfit.plugin.abilities import Ability, ways_to
from svgfit.plugin.registry import Registry
from svgfit.render.annotate.tradeoff_plot import trade_plot

if TYPE_CHECKING:
    from svgfit.app.session import Session

HEIGHTS = tuple(float(step) for step in np.linspace(-24.0, 48.0, 9))
WIDTHS = tuple(float(step) for step in np.linspace(-36.0, 72.0, 7))
"""Changes of cap height and of bicep width that are tried, mm."""


def trade(
    pieces: tuple[Piece, ...], seams: tuple[Seam, ...], registry: Registry, measurers: Sequence[Measurer] = ()
) -> tuple[Trade, ...]:
    """Try changes of height and width on each sleeve whose armhole is here; what an operation refuses is left out.

    The bicep is widened with the cap height kept, then the cap is raised or lowered: the order in which a fitter works.
    """
    return tuple(
        _trade(piece, pieces, seams, registry, measurers)
        for piece in pieces
        if piece.kind == PieceKind.SLEEVE and _figures(pieces, seams, measurers, piece).get(Figure.CAP_EASE) is not None
    )


def _trade(
    sleeve: Piece, pieces: tuple[Piece, ...], seams: tuple[Seam, ...], registry: Registry, measurers: Sequence[Measurer]
) -> Trade:
    now = _figures(pieces, seams, measurers, sleeve)
    widen, raise_ = (_by_change(registry, figure) for figure in ("bicep width", "cap height"))
    rows: list[tuple[float, tuple[tuple[float, float], ...]]] = []
    for wider in WIDTHS:
        widened = _done(pieces, seams, registry, widen, sleeve, wider) if wider else pieces
        if widened is None:
            continue
        row: list[tuple[float, float]] = []
        for higher in HEIGHTS:
            raised = _done(widened, seams, registry, raise_, sleeve, higher) if higher else widened
            if raised is not None:
                found = _figures(raised, seams, measurers, sleeve)
                row.append((found[Figure.CAP_HEIGHT], found[Figure.CAP_EASE]))
        rows.append((now[Figure.BICEP_WIDTH] + wider, tuple(row)))
    return Trade(
        sleeve.name,
        sleeve.size,
        now[Figure.CAP_HEIGHT],
        now[Figure.BICEP_WIDTH],
        now[Figure.CAP_EASE],
        now[Figure.CAP_LENGTH] - now[Figure.CAP_EASE],
        tuple(rows),
    )


def _by_change(registry: Registry, figure: str) -> Ability | None:
    """Return the most ordinary way to change a figure by an amount; None where there is none."""
    return next((way for way in ways_to(registry, figure) if way.reach.change), None)


def _done(
    pieces: tuple[Piece, ...],
    seams: tuple[Seam, ...],
    registry: Registry,
    way: Ability | None,
    sleeve: Piece,
    amount: float,
) -> tuple[Piece, ...] | None:
    """Return the pieces with a figure changed by ``amount`` mm; None where that can't be done."""
    if way is None:
        return None
    step = way.change_step(sleeve.name, f"{amount:.6f} mm")
    try:
        return run_plan(pieces, seams, Plan((step,)), registry).after
    except Refusal:
        return None


def _figures(
    pieces: tuple[Piece, ...], seams: tuple[Seam, ...], measurers: Sequence[Measurer], sleeve: Piece
) -> dict[str, float]:
    return {item.name: item.value for item in measure_all(pieces, seams, measurers)[sleeve.title]}


def plot_tradeoff(session: Session, before_work: Callable[[], None] = lambda: None) -> str:
    """Plot the trade-off of a session's one sleeve as an SVG.

    ``before_work`` is called when all that is quickly known is in order. Raises Refusal where there are several sleeves
    or none whose armhole is known, and where its bicep can't be changed.
    """
    session.check_closed()
    where = ", ".join(session.files)
    sleeves = [piece.title for group in session.size_groups for piece in group if piece.kind == PieceKind.SLEEVE]
    if len(sleeves) > 1:
        what = f"there are {len(sleeves)} sleeves: {', '.join(sleeves)}"
        raise Refusal(where, what, "choose one size with --size, or give the drawings of one sleeve")
    before_work()
    found = trade(session.size_groups[0], session.seams, session.registry)
    if not found:
        raise Refusal(where, "no sleeve is here whose armhole is known", "give the drawings of sleeve, front and back")
    if len(found[0].rows) < 2:
        what = f"the bicep of {found[0].sleeve} can be made neither wider nor narrower, so there is nothing to plot"
        widen = _by_change(session.registry, "bicep width")
        missing = widen.operation.name if widen is not None else "no operation that does it"
        raise Refusal(where, what, f"see svgfit plugins for why {missing} is not there")
    return trade_plot(found[0], session.units)
