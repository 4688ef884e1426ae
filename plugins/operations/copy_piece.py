"""copy-piece: a piece laid down once more under another name, turned over if asked."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Affine,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    beside,
    hookimpl,
    replace,
    sewing,
)

TURNED_OVER = Affine(-1, 0, 0, 1, 0, 0)
"""A piece's frame, mirrored left to right."""


def run(job: Job) -> Outcome:
    """Lay the copy beside all others; its own frame, edges and marks are the piece's."""
    piece = job.piece
    assert piece is not None
    name = job.values.get("name", f"{piece.name} copy")
    if any(one.name == name for one in job.pieces):
        raise job.refuse(f"there is a piece {name} already", "give another name=")
    lies = TURNED_OVER.then(piece.placement) if job.values["mirrored"] else piece.placement
    laid = beside(replace(piece, name=name, placement=lies), job.pieces)
    return Outcome(
        (*job.pieces, laid),
        tuple(Measurement(f"{edge.name} length", sewing.sewn_length(laid, edge.name)) for edge in laid.edges),
        warnings=(f"{laid.title}: it is sewn to nothing yet: name its seams in svgfit.toml",),
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "copy-piece",
            "Lays a piece down once more under another name, turned over if asked.",
            (
                Parameter("name", "text", "what the copy is called", default_text="the piece's name and: copy"),
                Parameter("mirrored", "yes/no", "whether the copy lies turned over", default="no"),
            ),
            run,
            instructions=Instructions(
                title="Copy the piece", asked={"name": "called {}", "mirrored": "turned over: {}"}
            ),
            kinds=("any",),
        )
    ]
