"""level-line: a pencil line across a piece, square to its grain, with its width: to see where a level lies.

It changes nothing of the piece. The line is of a kind of its own, which the legend explains, on a layer of its own.
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Annotation,
    Curve,
    Job,
    LineKind,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    format_length,
    hookimpl,
)

LEVEL = LineKind("level", "level line, with its width", "#CC79A7", 0.45, (4.0, 1.0, 1.0, 1.0), layer="levels")


def run(job: Job) -> Outcome:
    """Find where the level runs inside the piece, draw it there, and measure it."""
    piece = job.piece
    assert piece is not None
    _, landmark = job.values["from"]
    outline = piece.outline()
    level = piece.landmark(landmark).imag + job.values["below"]  # y runs down, so below is more
    left, _, right, _ = outline.bounds()
    met = outline.crossings(complex(left - 10, level), complex(right + 10, level))
    ends = sorted((outline.point(at) for at in met), key=lambda point: point.real)
    if not ends or len(ends) % 2:
        raise job.refuse("the level only touches the piece, or misses it", "choose another place with below=")
    lines = [Curve.polyline(pair) for pair in zip(ends[::2], ends[1::2], strict=True)]
    width = sum(line.length() for line in lines)
    label = f"{job.values['label']} {format_length(width, job.unit)}".strip()
    return Outcome(
        pieces=job.pieces,
        got=(Measurement("width at the level", width),),
        annotations=tuple(Annotation(LEVEL.name, piece.title, line, label=label) for line in lines),
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Called once, when svgfit loads this file."""
    return [
        Operation(
            "level-line",
            "Draws a level line across a piece, on a layer of its own, and measures the piece there.",
            (
                Parameter("from", "landmark", "the landmark from which the level is measured"),
                Parameter("below", "length", "how far below it; negative: above", default="0 in"),
                Parameter("label", "text", "what is written beside it, before its width", default="width"),
            ),
            run,
            kinds=("any",),
            one_of=(("from",),),
        )
    ]


@hookimpl
def svgfit_line_kinds() -> Iterable[LineKind]:
    """Called once, when an outcome has a line that is none of svgfit's."""
    return [LEVEL]
