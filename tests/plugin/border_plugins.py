"""Plug-ins as authors write them by mistake: each text is a whole file, with what is to be said of it."""

from __future__ import annotations

HEAD = """
from svgfit.plugin import (
    Affine, Annotation, Check, Curve, Dialect, Edge, Landmark, Mark, Measurement, Measurer, Operation, Outcome,
    Parameter, Recogniser, hookimpl, recognising, replace, sewing, swap,
)
"""
OPERATION = """
def run(job):
    piece = job.piece
{body}

@hookimpl
def svgfit_operations():
    return [Operation({name!r}, "Does something.", ({parameters}), run, kinds=({kind!r},))]
"""
MEASURER = """
def figures(piece):
{body}

@hookimpl
def svgfit_measurers():
    return [Measurer({name!r}, ("any",), figures)]
"""
RECOGNISER = """
def recognise(drawn):
{body}

@hookimpl
def svgfit_recognisers():
    return [Recogniser({name!r}, ("cuff",), lambda drawn: float(drawn.name == "Sleeve"), recognise)]
"""


def operation(name: str, body: str, *, parameters: str = "", kind: str = "sleeve") -> str:
    """An operation whose function has this body, in which ``piece`` is the job's piece."""
    return HEAD + OPERATION.format(body=_indented(body), name=name, parameters=parameters, kind=kind)


def measurer(name: str, body: str) -> str:
    """A measurer of every piece."""
    return HEAD + MEASURER.format(body=_indented(body), name=name)


def recogniser(name: str, body: str) -> str:
    """A recogniser that is sure of a piece named Sleeve, and calls it a cuff."""
    return HEAD + RECOGNISER.format(body=_indented(body), name=name)


def _indented(body: str) -> str:
    return "\n".join(f"    {line}" for line in body.strip().splitlines())


def changed(what: str) -> str:
    """The piece with something changed, among the others."""
    return f"return Outcome(swap(job.pieces, replace(piece, {what})))"


def hem(curve: str) -> str:
    """The piece with another curve for its hem, called ``old`` in the text."""
    return f"""
old = piece.edge("hem").curve
new = {curve}
edges = tuple(replace(edge, curve=new) if edge.name == "hem" else edge for edge in piece.edges)
return Outcome(swap(job.pieces, replace(piece, edges=edges)))
"""


NO_OUTCOME: dict[str, tuple[str, str]] = {
    "nothing": ("return None", "run gives back nothing, not an Outcome"),
    "throws": ("return 1 / 0", "ZeroDivisionError: division by zero (line"),
    "exits": ("import sys\nsys.exit(0)", "SystemExit: 0 (line"),
    "crossing": (
        hem("Curve.polyline([old.start, old.end - 200j, old.start - 300j, old.end])"),
        "its outline crosses itself, in the",
    ),
    "gap": (hem("old.transform(Affine.shift(5j))"), "lie 5 mm apart, and edges must be joined"),
    "no-edges": (changed("edges=()"), "it has no edges"),
    "twice": (
        changed("edges=tuple(replace(edge, name='seam') for edge in piece.edges)"),
        "two edges are named 'seam'",
    ),
    "renamed": (
        changed("edges=tuple(replace(edge, name=f'new {edge.name}') for edge in piece.edges)"),
        "a sleeve needs an edge 'cap'",
    ),
    "scaled": (
        changed("placement=Affine.scale(0.5).then(piece.placement)"),
        "its placement on the page scales it by 0.5",
    ),
    "moved": (
        changed("placement=piece.placement.then(Affine.shift(50 + 0j))"),
        "its placement on the page is another than before",
    ),
    "notch": (
        changed("marks=tuple(replace(m, at=m.at + 100j) if m.kind == 'notch' else m for m in piece.marks)"),
        "off that edge",
    ),
    "notch-line": (
        changed(
            "marks=tuple(replace(m, curves=tuple(c.transform(Affine.shift(100j)) for c in m.curves)) "
            "if m.kind == 'notch' else m for m in piece.marks)"
        ),
        "off the notch's own place",
    ),
    "notch-edge": (
        changed("marks=tuple(replace(m, edge='cuff') if m.kind == 'notch' else m for m in piece.marks)"),
        "a notch stands on 'cuff'; its edges are: cap",
    ),
    "allowance": (
        changed("edges=tuple(replace(edge, allowance=-5.0) for edge in piece.edges)"),
        "the seam allowance of cap is -5 mm, below nothing",
    ),
    "allowance-nan": (
        changed("edges=tuple(replace(edge, allowance=float('nan')) for edge in piece.edges)"),
        "the seam allowance of cap is nan",
    ),
    "landmark": (
        changed("landmarks=tuple(replace(one, at=complex('nan')) for one in piece.landmarks)"),
        "is (nan+0j)",
    ),
    "no-landmarks": (changed("landmarks=()"), "a sleeve needs a landmark 'cap top'"),
    "kind": (changed("kind='front'"), "a piece keeps its kind"),
    "stranger": (changed("name='Trousers'"), "there is no piece 'Trousers'"),
    "got-nan": ('return Outcome(job.pieces, got=(("cap height", float("nan")),))', "got 'cap height' is nan"),
    "got-text": ('return Outcome(job.pieces, got=(("cap height", "six"),))', "is 'six', not a number"),
    "got-unit": ('return Outcome(job.pieces, got=(Measurement("cloth", 6.0, "cm2"),))', "is in 'cm2', not one of mm,"),
    "note-nan": (
        'return Outcome(job.pieces, annotations=(Annotation("hinge", piece.title, point=complex("nan")),))',
        "the point of an annotation (hinge) is (nan+0j)",
    ),
    "note-long": (
        'return Outcome(job.pieces, annotations=(Annotation("hinge", piece.title, point=0j, length=float("inf")),))',
        "the length of an annotation (hinge) is inf",
    ),
    "note-empty": ('return Outcome(job.pieces, annotations=(Annotation("hinge", piece.title),))', "nothing is drawn"),
    "note-stranger": (
        'return Outcome(job.pieces, annotations=(Annotation("hinge", "Trousers", point=0j),))',
        "an annotation (hinge) is for a piece 'Trousers'; the pieces are:",
    ),
    "check": ('return Outcome(job.pieces, checks=(Check("fit", "maybe", "so so"),))', "not pass, warn or fail"),
    "slid": (
        'mark = replace(piece.notches("cap")[0], curves=())\nsewing.slide_notch(piece, mark, 5.0)',
        "given is none of the marks of",
    ),
    "no-edge": ('piece.edge("cuff")', "no edge 'cuff' (line 9); its edges are: cap"),
    "no-landmark": ('piece.landmark("elbow")', "no landmark 'elbow' (line 9); its landmarks are:"),
}
"""Bodies of operations, and what is said of each besides the plug-in, its file and the step."""
MADE = (
    "found = recognising.drawn_sides(drawn, 4)\n"
    "edges = [Edge(f'edge {k}', side) for k, side in enumerate(found.sides)]\n"
    "piece = recognising.finished_piece(drawn, 'cuff', found, edges)\n"
)
"""How a recogniser begins that makes a piece as it should be."""
NO_PIECE: dict[str, tuple[str, str]] = {
    "throws": ("return 1 / 0", "ZeroDivisionError"),
    "nothing": ("return None", "recognise gives back nothing, not a Piece"),
    "no-edges": (MADE + "return replace(piece, edges=())", "it has no edges"),
    "open": (
        MADE + "return replace(piece, edges=piece.edges[:-1])",
        "and edges must be joined",
    ),
    "scaled": (
        MADE + "return replace(piece, placement=Affine.scale(2).then(piece.placement))",
        "its placement on the page scales it by 2",
    ),
    "kind": (MADE + "return replace(piece, kind='glove')", "its kinds are: cuff"),
    "stranger": (
        MADE + "return replace(piece, name='B')",
        "gives back a piece",
    ),
}
"""Bodies of recognisers likewise."""
NO_FIGURE: dict[str, tuple[str, str]] = {
    "throws": ("return 1 / 0", "ZeroDivisionError"),
    "nothing": ("return None", "measure gives back nothing, not a list"),
    "text": ('return "long"', "measure gives back a str, not a list"),
    "nan": ('return [Measurement("wear", float("nan"))]', "measurement 'wear' is nan; that figure is left out"),
    "words": ('return [Measurement("wear", "long")]', "measurement 'wear' is 'long', not a number"),
    "unit": ('return [Measurement("wear", 1.0, "cm2")]', "not one of mm, mm2, deg, number, share"),
    "pair": ('return [("wear", 1.0)]', "measure gives back a tuple, not only Measurement records"),
}
"""Bodies of measurers likewise."""
