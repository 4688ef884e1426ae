"""Which walks a drawing shows: those of its own sleeves whose cap or armhole a run has changed; and all there are."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.fitting.armhole import pieces_at_cap
from svgfit.model.length import Units
from svgfit.model.piece import Piece, paired
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.run import SizeRun
from svgfit.model.vocabulary import PieceKind
from svgfit.model.walk import Walk
from svgfit.render.annotate.nest import speaking


def walks_for(
    file: str, runs: Sequence[SizeRun], seams: Sequence[Seam], units: Units, *, every: bool = False
) -> tuple[Walk, ...]:
    """Find the walks of this file's sleeves, of a nest those of the size that carries the figures.

    With ``every`` also those where nothing changed. A sleeve that can't be walked (a piece is missing) has none.
    """
    spoken = {piece.title for piece in speaking([piece for run in runs for piece in run.after if piece.file == file])}
    found: list[Walk] = []
    for run in runs:
        changed = {new.name for old, new in paired(run.before, run.after) if new is not old}
        for sleeve in run.after:
            if sleeve.title not in spoken or sleeve.kind != PieceKind.SLEEVE:
                continue
            met = pieces_at_cap(sleeve.name, seams)
            if met and (every or met & changed):
                done = run.walks.get(sleeve.title)
                found += [done] if done else _walk(sleeve, run.after, run.seams, units)
    return tuple(found)


def strip_notes(pieces: Sequence[Piece]) -> tuple[str, ...]:
    """Say of which size of a nest the strips are drawn, and how another is had; a line a drawing and sleeve."""
    notes: list[str] = []
    for file in dict.fromkeys(piece.file for piece in pieces):
        here = [piece for piece in pieces if piece.file == file and piece.kind == PieceKind.SLEEVE]
        for piece in speaking(here):
            others = [one.size for one in here if one.name == piece.name and one is not piece and one.size]
            if others:
                notes.append(
                    f"{file}: the strips drawn are those of {piece.name}, size {piece.size}; "
                    f"for another: --size {others[0]} (there are {', '.join(others)})"
                )
    return tuple(notes)


def _walk(sleeve: Piece, pieces: Sequence[Piece], seams: Sequence[Seam], units: Units) -> list[Walk]:
    from svgfit.fitting.walking import WalkLimits, walk_sleeve  # here because few drawings have an armhole too

    try:
        return [walk_sleeve(sleeve, pieces, seams, WalkLimits(), units)]
    except Refusal:
        return []
