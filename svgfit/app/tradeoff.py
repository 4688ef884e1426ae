"""What cap height, bicep width and ease cost each other in one armhole, found by really making the changes. In mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from svgfit.app.run_plan import run_plan
from svgfit.fitting.measure import measure_all
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan, Seam, Step
from svgfit.model.raw_piece import Measurer
from svgfit.model.refusal import Refusal
from svgfit.model.tradeoff import Trade
from svgfit.plugin.registry import Registry

HEIGHTS = tuple(float(step) for step in np.linspace(-24.0, 48.0, 9))
WIDTHS = tuple(float(step) for step in np.linspace(-36.0, 72.0, 7))
"""Changes of cap height and of bicep width that are tried, mm."""


def trade(
    pieces: tuple[Piece, ...], seams: tuple[Seam, ...], registry: Registry, measurers: Sequence[Measurer] = ()
) -> tuple[Trade, ...]:
    """One for each sleeve whose armhole is here; a change that an operation refuses is left out.

    The bicep is widened with the cap height kept, then the cap is raised or lowered: the order in which a fitter works.
    """
    return tuple(
        _trade(piece, pieces, seams, registry, measurers)
        for piece in pieces
        if piece.kind == "sleeve" and _figures(pieces, seams, measurers, piece).get("cap ease") is not None
    )


def _trade(
    sleeve: Piece, pieces: tuple[Piece, ...], seams: tuple[Seam, ...], registry: Registry, measurers: Sequence[Measurer]
) -> Trade:
    now = _figures(pieces, seams, measurers, sleeve)
    rows: list[tuple[float, tuple[tuple[float, float], ...]]] = []
    for wider in WIDTHS:
        widened = _done(pieces, seams, registry, _step("bicep-widen", sleeve, wider)) if wider else pieces
        if widened is None:
            continue
        row: list[tuple[float, float]] = []
        for higher in HEIGHTS:
            raised = _done(widened, seams, registry, _step("cap-raise", sleeve, higher)) if higher else widened
            if raised is not None:
                found = _figures(raised, seams, measurers, sleeve)
                row.append((found["cap height"], found["cap ease"]))
        rows.append((now["bicep width"] + wider, tuple(row)))
    return Trade(
        sleeve.name,
        sleeve.size,
        now["cap height"],
        now["bicep width"],
        now["cap ease"],
        now["cap length"] - now["cap ease"],
        tuple(rows),
    )


def _step(do: str, sleeve: Piece, amount: float) -> Step:
    return Step(do, sleeve.name, (("amount", f"{amount:.6f} mm"),))


def _done(
    pieces: tuple[Piece, ...], seams: tuple[Seam, ...], registry: Registry, step: Step
) -> tuple[Piece, ...] | None:
    try:
        return run_plan(pieces, seams, Plan((step,)), registry).after
    except Refusal:
        return None


def _figures(
    pieces: tuple[Piece, ...], seams: tuple[Seam, ...], measurers: Sequence[Measurer], sleeve: Piece
) -> dict[str, float]:
    return {item.name: item.value for item in measure_all(pieces, seams, measurers)[sleeve.title]}
