"""An operation, its job and its outcome; and pluggy's markers.

An operation is pure: pieces in, pieces out. Everything is in millimetres, radians and each piece's own frame.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from math import degrees
from typing import Any

import pluggy
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.instructions import Instructions
from svgfit.model.length import at_least, at_most
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.report import Annotation, Check, Measurement, Opening
from svgfit.model.vocabulary import ParameterKind, Unit, is_of_kinds

PROJECT = "svgfit"
hookspec: pluggy.HookspecMarker = pluggy.HookspecMarker(PROJECT)
hookimpl: pluggy.HookimplMarker = pluggy.HookimplMarker(PROJECT)


class Parameter(Struct, frozen=True):
    """A parameter of an operation."""

    name: str
    """As in a plan: small letters and digits, joined with hyphens."""
    kind: str
    """"length" (handed over in mm), "angle" (radians), "number", "count" (a whole number), "yes/no", "text", "edges"
    (``Piece/edge`` joined with ``+``; handed over as pairs), "edge" and "landmark" (one, as (piece, name); the step's
    own piece where none is named), "place" (a ``Place`` on a piece: "side seam 4 in"), "places" (a tuple of these,
    joined with ``+``), "pieces" (a tuple of names) or "file" (the path of a file that is there)."""
    meaning: str
    """What it means, for people, with the sense of a sign: "how far the hem moves down; negative shortens"."""
    default: str | None = None
    """As a person would write it; None where leaving it out is a case of its own (then absent from the values)."""
    default_text: str = ""
    """What happens when it is left out, for people, where ``default`` is None."""
    minimum: float | None = None
    """The least value, as it is handed over: mm, radians."""
    maximum: float | None = None
    """The greatest one."""
    end: str | None = None
    """The measurement (of the piece, in mm) whose end this parameter states, such as "cap height": when all steps are
    done it is measured again, and where it no longer holds the run says so (exit status 1)."""
    choices: tuple[str, ...] = ()
    """What a "text" may be, where only these words do: dialogs offer them, and whatever else is given is refused."""
    also: tuple[str, ...] = ()
    """Older names that plans may still use; nothing lists them."""

    def limit_text(self, limit: float, *, least: bool) -> str:
        """Write one of its bounds for people: a length both ways, an angle in degrees, else a plain number.

        A length is rounded inwards, to what a ruler shows: whoever gives what is told here is never refused.
        """
        if self.kind == ParameterKind.LENGTH:
            return at_least(limit) if least else at_most(limit)
        return f"{degrees(limit):g} deg" if self.kind == ParameterKind.ANGLE else f"{limit:g}"


class NoSuchValue(KeyError):
    """A parameter's value was asked for that is not there."""

    def __str__(self) -> str:
        """Write the message as it is, not as a key."""
        return str(self.args[0])


class Values(dict[str, Any]):
    """The values of a step's parameters by name; asking for one that is not there says which are."""

    def __init__(self, values: Mapping[str, Any], parameters: Iterable[str]) -> None:
        super().__init__(values)
        self._parameters = tuple(parameters)

    def __missing__(self, name: object) -> Any:
        """Raise NoSuchValue with the names there are, or how to ask for one that may be left out."""
        if name in self._parameters:
            raise NoSuchValue(f"{name!r} was left out in this step, and has no default: job.values.get({name!r})")
        raise NoSuchValue(f"there is no value {name!r}; the parameters are: {', '.join(self._parameters) or 'none'}")


class Job(Struct, frozen=True):
    """The input of an operation."""

    do: str
    """The operation's name as the step has it."""
    where: str
    """For messages: where in the plan the step stands."""
    pieces: tuple[Piece, ...]
    """Every piece of the run (of one size), as the steps before left them."""
    piece: Piece | None
    """The piece asked for; None for an operation that takes none."""
    values: Mapping[str, Any]
    """Parameters by name: float mm, float, str, or ((piece, edge), …); absent where left out without a default."""
    seams: tuple[Seam, ...]
    """The seam map: edges that are sewn together."""
    measure: Callable[[tuple[Piece, ...], tuple[Seam, ...]], Mapping[str, tuple[Measurement, ...]]]
    """Every measurement of the pieces, by piece name, with plug-ins' own among them."""
    unit: str = Unit.MM
    """How the person is spoken to in checks and warnings: "in", "mm" or "cm" (``both_ways`` and ``format_length``)."""

    def refuse(self, what: str, todo: str = "") -> Refusal:
        """Build a refusal that names this step and piece: ``raise job.refuse(...)``."""
        where = f"{self.where}: {self.do}" if self.where else self.do
        return Refusal(f"{where}: {self.piece.title}" if self.piece else where, what, todo)


class Movement(Struct, frozen=True):
    """One part of a piece that was cut, and how it was laid down anew. In the piece's frame before the step, mm.

    Round the part, stretches of the stitch line and cuts take turns: ``cuts[k]`` leads from the end of ``edges[k]`` to
    the start of the next (of the first, after the last).
    """

    piece: str
    """The piece's title."""
    edges: tuple[Curve, ...]
    """What of the part's edge was the piece's, as it was."""
    cuts: tuple[tuple[complex, ...], ...]
    """The points of each cut; () where the next stretch begins where the one before ended."""
    motion: Affine | None = None
    """How the part moved, rigidly; None where it stayed."""

    @property
    def region(self) -> Curve:
        """The part's whole edge before it moved, closed."""
        around: list[Curve] = []
        for edge, cut, after in zip(self.edges, self.cuts, (*self.edges[1:], self.edges[0]), strict=True):
            around.append(edge)
            if edge.end != after.start:
                around.append(Curve.polyline([edge.end, *cut[1:-1], after.start]))
        return Curve.chain(around)


class Outcome(Struct, frozen=True):
    """The result of an operation."""

    pieces: tuple[Piece, ...]
    """All pieces of the job, changed or not, but for those in ``dropped``; pieces of new names are added.

    A new piece names a drawing (``file``) and the size of the job's pieces, and lies where nothing else does
    (``beside``).
    """
    got: tuple[Measurement | tuple[str, float], ...] = ()
    """What was reached, measured afterwards, each with its unit; never the amount asked copied over. A name and a value
    alone do for a figure that is measured anyway, such as "cap height": it has that one's unit."""
    openings: tuple[Opening, ...] = ()
    """Steps in edges, as ``true`` gives them."""
    annotations: tuple[Annotation, ...] = ()
    """Working lines to be drawn."""
    checks: tuple[Check, ...] = ()
    """Verdicts of the operation's own."""
    warnings: tuple[str, ...] = ()
    """What a person is to mind, each a sentence that names the piece."""
    moved: tuple[Movement, ...] = ()
    """The parts of each piece that was cut, those that stayed among them: ``parted.moved`` gives them, or
    ``parts_moved`` where a piece is cut more than once. The teaching sheet shows the parts as they were moved; without
    them it shows the piece before and after."""
    dropped: tuple[str, ...] = ()
    """Titles of the pieces that are none any more: parted into others, or joined to one."""
    seams: tuple[Seam, ...] = ()
    """What is sewn to what from here on, beside the seams of the map whose edges are still there; later runs that go on
    from the adjusted drawing know it too."""


class Reach(Struct, frozen=True):
    """A figure that an operation can bring to what is wanted: how it is asked for that, and what is left as it is.

    svgfit picks steps by this, never by an operation's name: to reach a stated end, to try what one figure costs
    another, to advise.
    """

    figure: str
    """As measured: "cap height", "bicep width", "cap ease", "armhole depth", …; "share to the back" for the back's part
    of the cap ease."""
    parameter: str = ""
    """The parameter that is the figure to end with."""
    change: str = ""
    """The parameter that is the change of the figure, mm; negative makes it less."""
    given: tuple[tuple[str, str], ...] = ()
    """What else is asked, as in a plan."""
    keeps: tuple[str, ...] = ()
    """Figures that stay as they are."""
    manner: str = ""
    """What the advice calls this way, such as "height kept"; a person picks it by that."""
    does: str = ""
    """What is done, for the advice: a sentence, or the part of one that follows the figure to end with."""
    does_less: str = ""
    """The same where the figure is to be less than it is, if other words are needed for that."""
    rank: int | None = None
    """Its place among the ways that svgfit takes by itself to reach a stated end, the one that changes least first;
    None: only where a person picks it."""
    share: str = ""
    """The parameter, if any, that is the back's part of the ease."""
    limit: str = ""
    """The parameter, if any, that allows an edge to move further than is ordinary."""
    between: tuple[float, float] | None = None
    """Changes of the figure, mm, beyond which this way need not be tried."""


class Comparison(Struct, frozen=True, kw_only=True):
    """The parameters of an operation that compares two seams, and changes nothing."""

    first: str
    """The parameter that names the one row of edges."""
    second: str
    """The parameter that names the other."""
    least: str
    """By how much the first is to be longer at least."""
    most: str
    """By how much it is to be longer at most."""


class Operation(Struct, frozen=True):
    """One operation that a plug-in supplies."""

    name: str
    """As in a plan; the same as the plug-in's file stem (hyphen and underscore alike) or entry-point name."""
    summary: str
    """What it does, for people, in one sentence."""
    parameters: tuple[Parameter, ...]
    """In the order in which they are listed and asked."""
    run: Callable[[Job], Outcome]
    """The operation itself: a job → its outcome. Pure; raises ``job.refuse(…)`` for what can't be done."""
    kinds: tuple[str, ...] = ()
    """Kinds of piece it fits, "any" for every kind; () for an operation that takes no one piece."""
    one_of: tuple[tuple[str, ...], ...] = ()
    """Groups of parameters of which exactly one must be given."""
    open_outline: bool = False
    """Whether it takes a piece whose outline is not closed."""
    reaches: tuple[Reach, ...] = ()
    """The figures that it can bring to what is wanted; the most ordinary way to each first."""
    compares: Comparison | None = None
    """How it is asked to compare two seams, where that is what it does."""
    matches_notches: bool = False
    """Whether, asked for nothing else, it moves a cap's notches to where its armhole's meet them."""
    trues_seams: bool = False
    """Whether it trues edges across a seam as sewn."""
    closes_gaps: str = ""
    """The parameter that names an edge, where it closes what is open in one (then ``open_outline`` holds too)."""
    instructions: Instructions = Instructions()
    """Its words on the teaching sheet: how it is asked in a sentence, how a person does it with paper and scissors."""
    answers: tuple[str, ...] = ()
    """The complaints that it answers, as a fitter would put them: "folds from the neck to the underarm"."""
    cuts_only: bool = False
    """Whether it changes nothing but seam allowances: the stitch line stays."""

    def fits(self, kind: str) -> bool:
        """Tell whether it works on pieces of a kind."""
        return is_of_kinds(kind, self.kinds)


def swap(pieces: tuple[Piece, ...], new: Piece) -> tuple[Piece, ...]:
    """Replace the piece of the same file, name and size by a new one; raises ValueError where none is."""
    if isinstance(pieces, Piece) or not isinstance(new, Piece):  # pyright: ignore[reportUnnecessaryIsInstance]
        raise TypeError("swap takes the pieces first, then the new piece: swap(job.pieces, piece)")
    key = (new.file, new.name, new.size)
    if all((old.file, old.name, old.size) != key for old in pieces):
        there = ", ".join(piece.title for piece in pieces) or "none"
        raise ValueError(f"swap: there is no piece {new.title!r} of {new.file!r}; the pieces are: {there}")
    return tuple(new if (old.file, old.name, old.size) == key else old for old in pieces)


def beside(piece: Piece, pieces: tuple[Piece, ...], gap: float = 20.0) -> Piece:
    """Return the piece laid on the page to the right of all ``pieces``, level with the topmost.

    ``gap`` mm lie between it and them, seam allowances not counted.

    It is only shifted: it keeps the turn that its placement has.
    """
    boxes = [one.outline().transform(one.placement).bounds() for one in pieces]
    left, top, _, _ = piece.outline().transform(piece.placement).bounds()
    own, others = (_widest(some) for some in ((piece,), pieces))
    right = max((box[2] for box in boxes), default=left) + gap + own + others
    highest = min((box[1] for box in boxes), default=top)
    shift = Affine.shift(complex(right - left, highest - top))
    return replace(piece, placement=piece.placement.then(shift))


def _widest(pieces: tuple[Piece, ...]) -> float:
    """Find the widest seam allowance, mm."""
    return max((edge.allowance or 0.0 for piece in pieces for edge in piece.edges), default=0.0)


__all__ = [
    "Comparison",
    "Job",
    "Movement",
    "Operation",
    "Outcome",
    "Parameter",
    "Reach",
    "beside",
    "hookimpl",
    "hookspec",
    "replace",
    "swap",
]
