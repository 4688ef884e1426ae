"""seam-allowance: the width of the cloth beyond the stitch line, edge by edge. Only the cut line changes."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Edge,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    StepFacts,
    Words,
    both_ways,
    edgework,
    hookimpl,
    swap,
)


def run(job: Job) -> Outcome:
    """Set the width on the edges asked for, and draw the cut line to see that it can be had and what it leaves."""
    piece = job.piece
    assert piece is not None
    width = job.values["width"]
    chosen = _edges(job, piece, job.values["edge"])
    new = edgework.with_allowance(piece, [edge.name for edge in chosen], width)
    unknown = [edge.name for edge in new.edges if edge.allowance is None and not edge.fold]
    if unknown:
        names = ", ".join(unknown)
        todo = "give them one too; until then no cut line is drawn"
        warning = f"{piece.title}: the seam allowance of {names} is not known; {todo}"
        return Outcome(swap(job.pieces, new), warnings=(warning,))
    warnings: tuple[str, ...] = ()
    if edgework.wider_than_usual(width):
        warnings = (f"{piece.title}: {both_ways(width)} is more than usual; check the number and its unit",)
    return Outcome(swap(job.pieces, new), _got(new, [edge.name for edge in chosen]), warnings=warnings)


def _edges(job: Job, piece: Piece, asked: str) -> tuple[Edge, ...]:
    """Return the edges that a name means: one edge, several of a wider name ("underarm"), or all but folds."""
    name = _plain(asked)
    named = [edge for edge in piece.edges if name in ("all", _plain(edge.name))]
    named = named or [edge for edge in piece.edges if _plain(edge.name).startswith(f"{name} ")]
    if not named:
        names = ", ".join(edge.name for edge in piece.edges)
        raise job.refuse(f"{piece.name} has no edge {asked!r}", f"its edges are {names}; all means every one")
    open_edges = tuple(edge for edge in named if not edge.fold)
    if not open_edges:
        raise job.refuse(f"{named[0].name} is a fold, and a fold has no seam allowance", "name another edge")
    return open_edges


def _got(piece: Piece, names: list[str]) -> tuple[Measurement, ...]:
    """Measure how far the cut line lies from the stitch line at the middle of each edge, in mm."""
    cut = edgework.cut_line(piece)
    if cut is None:
        return tuple(Measurement(f"{name} seam allowance", 0.0) for name in names)
    edgework.refuse_broken(piece, cut)
    found: list[Measurement] = []
    for name in names:
        curve = piece.edge(name).curve
        away = cut.nearest(curve.point(curve.at_length(curve.length() / 2)))[1]
        found.append(Measurement(f"{name} seam allowance", away))
    return tuple(found)


def _plain(name: str) -> str:
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())


# -- teaching words -------------------------------------------------------------------------------------------------


_HEM = (
    " At the hem's ends fold the paper along the stitch line of the hem, as it will be turned up, and cut along the "
    "seam's cut line through both layers: unfolded, the ends slant so that what is turned up lies flat on the piece."
)


def _words(facts: StepFacts) -> Words:
    """Say how a cut line is drawn at another width."""
    widths = dict.fromkeys(facts.length(value) for name, value in facts.row.got.items() if "allowance" in name)
    width = " and ".join(widths) or "the width asked"
    edge = facts.row.asked.get("edge", "")
    along = f"the {edge.rpartition('/')[2]}" if edge and edge != "all" else "every edge"
    return Words(
        title="Change the seam allowance",
        draw=f"Lay a ruler square to the stitch line (solid) and mark {width} outwards from it, all along "
        f"{along}, closer together on a curve. Fine dashes: the cut line as it was.",
        cut="",
        move="",
        true="Join the marks: that is the new cut line (heavy). Carry it on at both ends until it meets its neighbours."
        + (_HEM if "hem" in edge or edge in ("", "all") else ""),
        note="The stitch line stays, so no seam changes its length. Only what is cut becomes wider or narrower.",
    )


INSTRUCTIONS = Instructions(
    asked={"width": "make the seam allowance {} wide", "edge=all": "at every edge", "edge": "at the {}"},
    words=_words,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "seam-allowance",
            "Sets the seam allowance of one edge or of all: the cut line is redrawn and the notches go to it, the "
            "stitch line stays.",
            (
                Parameter("width", "length", "how far the cut line lies from the stitch line", minimum=0.0),
                Parameter(
                    "edge",
                    "text",
                    "the edge, such as hem; underarm means both underarm seams, all every edge; a fold keeps none",
                    default="all",
                ),
            ),
            run,
            instructions=INSTRUCTIONS,
            kinds=("any",),
            one_of=(("width",),),
            cuts_only=True,
        )
    ]
