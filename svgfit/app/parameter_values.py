"""From what a step asks, in text, to what an operation is handed: values of known kinds, and the piece."""

from __future__ import annotations

import os
import re
from collections.abc import Container, Iterable, Sequence
from typing import Any

from msgspec.structs import replace

from svgfit.fitting.places import Place, find_place
from svgfit.model.length import both_ways, on_page
from svgfit.model.operation import Operation, Parameter
from svgfit.model.piece import Piece
from svgfit.model.plan import NOTE, PIECE, WHEN, Step
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import ANY_KIND, ParameterKind
from svgfit.model.wording import closest_name, listed, suggestion
from svgfit.pattern.layer_patterns import name_key
from svgfit.plugin.abilities import gap_closer
from svgfit.plugin.registry import Registry
from svgfit.plugin.sources import plain_name
from svgfit.plugin.values import READERS

_TOLD = 5e-6
"""How far a bound as told (six digits) may be from the bound, as a share of it."""


class Unfit(Exception):
    """A parameter that can't be used: its key, what is wrong and what to do."""

    def __init__(self, key: str | None, what: str, todo: str) -> None:
        self.key = key
        self.what = what
        self.todo = todo
        super().__init__(what)

    def refusal(self, step: Step) -> Refusal:
        """Make the line that a person sees."""
        place = f"{step.where}: {step.do}" if step.where else step.do
        return Refusal(f"{place}: {self.key}" if self.key else place, self.what, self.todo)


def with_current_names(operation: Operation, step: Step) -> Step:
    """Replace the older names of parameters in a step by their current ones."""
    current = {old: item.name for item in operation.parameters for old in item.also}
    asked = tuple((current.get(plain_name(name), name), text) for name, text in step.asked)
    measured = tuple((current.get(plain_name(name), plain_name(name)), wanted) for name, wanted in step.measured)
    if step.note and any(item.name == NOTE for item in operation.parameters):  # it had this parameter before steps did
        return replace(step, asked=(*asked, (NOTE, step.note)), measured=measured, note="")
    return step if (asked, measured) == (step.asked, step.measured) else replace(step, asked=asked, measured=measured)


def resolve_values(operation: Operation, asked: Iterable[tuple[str, str]], later: Iterable[str] = ()) -> dict[str, Any]:
    """Read and check a step's values, defaults among them, by parameter name; raises Unfit.

    Lengths become mm, numbers floats, edges ((piece, edge), …), still as written. ``later``: parameters that are given
    too, and whose values are only known when the step's turn comes; they are left out.
    """
    known = {parameter.name: parameter for parameter in operation.parameters}
    values: dict[str, Any] = {}
    for name, text in asked:
        parameter = known.get(plain_name(name))
        if parameter is None:
            raise _unknown(operation, name, known)
        if parameter.name in values:
            raise Unfit(parameter.name, "is given twice", "leave one out")
        values[parameter.name] = read_value(parameter, text)
    given = set(values)
    for name in later:
        parameter = known.get(plain_name(name))
        if parameter is None:
            raise _unknown(operation, name, known)
        if parameter.name in given:
            raise Unfit(parameter.name, "is given twice", "leave one out")
        given.add(parameter.name)
    for group in operation.one_of:
        _check_group(operation, group, given)
    for parameter in operation.parameters:
        if parameter.default is not None and parameter.name not in given:
            values[parameter.name] = READERS[parameter.kind](parameter.default)
    return values


def read_value(parameter: Parameter, text: str) -> Any:
    """Read one value by its parameter's kind and hold it against its bounds; raises Unfit."""
    try:
        value = READERS[parameter.kind](text)
    except ValueError as error:
        what, _, todo = str(error).partition(": ")
        raise Unfit(parameter.name, what, todo or parameter.meaning) from None
    if parameter.choices:
        value = next((each for each in parameter.choices if name_key(each) == name_key(text)), None)
        if value is None:
            what = f"{text.strip()!r} is none of what it may be"
            raise Unfit(parameter.name, what, f"give {listed(parameter.choices, 'or')}")
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return hold_bounds(parameter, value, text)
    return value


def hold_bounds(parameter: Parameter, value: float, text: str) -> float:
    """Hold a value (mm, or as its kind is handed over) against its parameter's bounds; raises Unfit.

    A bound as it is told is within: what is beyond it by no more than the rounding of that is the bound.
    """
    for limit, beyond in ((parameter.minimum, -1), (parameter.maximum, 1)):
        over = 0.0 if limit is None else beyond * (value - limit)
        if limit is not None and over > _TOLD * abs(limit):
            side = "too little" if beyond < 0 else "too much"
            raise Unfit(parameter.name, f"{text.strip()} is {side}", f"give {_bounds(parameter)}")
        value = limit if limit is not None and over > 0 else value
    return value


def _bounds(parameter: Parameter) -> str:
    low = None if parameter.minimum is None else parameter.limit_text(parameter.minimum, least=True)
    high = None if parameter.maximum is None else parameter.limit_text(parameter.maximum, least=False)
    if low is not None and high is not None:
        return f"{low} to {high}"
    return f"{low} or more" if low is not None else f"{high} or less"


def _check_group(operation: Operation, group: Sequence[str], names: Container[str]) -> None:
    given = [name for name in group if name in names]
    if len(given) > 1:
        raise Unfit(given[1], f"{' and '.join(given)} exclude each other", "leave all but one out")
    if not given:
        raise Unfit(None, f"{listed(group, 'or')} must be given", f"see svgfit operations {operation.name}")


def _unknown(operation: Operation, name: str, known: Iterable[str]) -> Unfit:
    if name == WHEN:
        example = '{ of = "Sleeve", measure = "cap ease", over = "1 1/2 in" }'
        return Unfit(name, "is no table that compares a measurement with a length", f"write for example {example}")
    return Unfit(name, f"{operation.name} has no such parameter", _nearest(name, known))


def _nearest(name: str, known: Iterable[str]) -> str:
    names = tuple(known)
    there = f"its parameters are {', '.join(names)}" if names else "it takes none"
    return suggestion(closest_name(plain_name(name), (*names, PIECE, WHEN, NOTE)), there)


def resolve_edges(found: Iterable[tuple[str, str]], pieces: Sequence[Piece], key: str) -> tuple[tuple[str, str], ...]:
    """Give edges the names that the pieces have (case ignored); raises Unfit with the names that are there."""
    named: list[tuple[str, str]] = []
    for name, edge_name in found:
        piece = _by_name(pieces, name)
        if piece is None:
            near = closest_name(name, [piece.name for piece in pieces])
            todo = f"did you mean {near}? " if near else ""
            raise Unfit(key, f"there is no piece {name!r}", f"{todo}the pieces are {_names(pieces)}".strip())
        edge = next((edge.name for edge in piece.edges if _same(edge.name, edge_name)), None)
        if edge is None:
            names = [edge.name for edge in piece.edges]
            near = closest_name(edge_name, names)
            todo = f"did you mean {piece.name}/{near}? " if near else ""
            raise Unfit(key, f"{piece.name} has no edge {edge_name!r}", f"{todo}its edges are {', '.join(names)}")
        named.append((piece.name, edge))
    return tuple(named)


def resolve_value(parameter: Parameter, value: Any, pieces: Sequence[Piece], own: Piece | None, folder: str) -> Any:
    """Give what a value names its name as it is on the pieces; raises Unfit with the names that are there.

    Args:
        parameter: whose value it is.
        value: as it was read.
        pieces: the run's, as the steps before left them.
        own: the piece that the step works on.
        folder: where a file is looked for.
    """
    key = parameter.name
    match parameter.kind:
        case ParameterKind.EDGES:
            return resolve_edges(value, pieces, key)
        case ParameterKind.EDGE:
            (found,) = resolve_edges([(_owner(value[0], own, key), value[1])], pieces, key)
            return found
        case ParameterKind.LANDMARK:
            piece = piece_named(_owner(value[0], own, key), pieces, key)
            names = [mark.name for mark in piece.landmarks]
            name = next((name for name in names if _same(name, value[1])), None)
            if name is None:
                there = f"its landmarks are {', '.join(names)}" if names else "it has none"
                what = f"{piece.name} has no landmark {value[1]!r}"
                raise Unfit(key, what, suggestion(closest_name(value[1], names), there))
            return piece.name, name
        case ParameterKind.PLACE:
            return _place(value, pieces, own, key)
        case ParameterKind.PLACES:
            return tuple(_place(part.strip(), pieces, own, key) for part in value.split("+"))
        case ParameterKind.PIECES:
            return tuple(dict.fromkeys(piece_named(name, pieces, key).name for name in value))
        case ParameterKind.FILE:
            path = os.path.join(folder, value)
            if "\0" in path or not os.path.isfile(path):
                raise Unfit(key, f"there is no file {path}", "check its name, as seen from the plan's folder")
            return path
        case _:
            return value


def _place(text: str, pieces: Sequence[Piece], own: Piece | None, key: str) -> Place:
    """Find a place on the step's own piece, or on the one that is named before it."""
    named, slash, rest = text.partition("/")
    other = _by_name(pieces, named.strip()) if slash else None
    piece = other or own
    if piece is None:
        raise Unfit(key, "does not say on which piece", "write the piece before it, for example Sleeve/hem middle")
    try:
        return find_place(piece, rest if other else text)
    except ValueError as error:
        what, _, todo = str(error).partition(": ")
        raise Unfit(key, what, todo) from None


def _owner(name: str, own: Piece | None, key: str) -> str:
    """Name the piece that something is on: the one that is named, else the step's own."""
    if name:
        return name
    if own is None:
        raise Unfit(key, "does not say on which piece", "write the piece before it, for example Sleeve/hem")
    return own.name


def resolve_piece(
    operation: Operation, step: Step, pieces: Sequence[Piece], registry: Registry | None = None
) -> Piece | None:
    """Find the piece that a step means: named, or the only one that fits; None for an operation that takes none."""
    if not operation.kinds:
        if step.piece is not None:
            raise Unfit("piece", f"{operation.name} takes no piece", "leave it out")
        return None
    kinds = _kinds_of(operation)
    fitting = [piece for piece in pieces if operation.fits(piece.kind)]
    if step.piece is None:
        if len(fitting) != 1:
            if not fitting:
                for piece in pieces:
                    _refuse_doubtful(operation, piece, None)
                raise Unfit(None, f"there is no {kinds} among the pieces", f"the pieces are {_names(pieces)}")
            raise Unfit(
                "piece", f"several pieces fit: {_names(fitting)}", f"say which: piece={_quoted(fitting[0].name)}"
            )
        piece = fitting[0]
    else:
        piece = piece_named(step.piece, pieces, "piece")
        if not operation.fits(piece.kind):
            _refuse_doubtful(operation, piece, "piece")
            what = f"{piece.name} is a {piece.kind}, and {operation.name} works on a {kinds}"
            raise Unfit("piece", what, f"pieces that fit: {_names(fitting)}" if fitting else "choose another operation")
    if not operation.open_outline:
        check_closed(piece, registry)
    return piece


def piece_named(name: str, pieces: Sequence[Piece], key: str) -> Piece:
    """Find a piece by its name; raises Unfit, for the parameter ``key``, where there is none or more than one."""
    named = [piece for piece in pieces if _same(piece.name, name)]
    if len(named) > 1:
        places = " and ".join(piece.where for piece in named)
        raise Unfit(key, f"several pieces are named {name!r}: {places}", "give the drawings other names")
    if not named:
        near = closest_name(name, [piece.name for piece in pieces])
        todo = f"did you mean {near}? The pieces are" if near else "the pieces are"
        parts = [part.strip() for part in re.split(r",|;|&|\band\b", name) if part.strip()]
        if key == PIECE and len(parts) > 1 and all(_by_name(pieces, part) for part in parts):
            several = ", ".join(f'"{part}"' for part in parts)
            todo = f"several are piece = [{several}] in a plan, {'+'.join(parts)} after --do; the pieces are"
        raise Unfit(key, f"there is no piece {name!r}", f"{todo} {_names(pieces)}")
    return named[0]


def _kinds_of(operation: Operation) -> str:
    """Say on what an operation works, for a message."""
    return "piece" if ANY_KIND in operation.kinds else " or ".join(operation.kinds)


def _refuse_doubtful(operation: Operation, piece: Piece, key: str | None) -> None:
    """Raise Unfit where a piece may be of a kind that the operation works on, and could not be read as one."""
    doubt = piece.doubt
    kinds = [kind for kind in doubt.kinds if kind in operation.kinds] if doubt is not None else []
    if doubt is not None and kinds:
        # The piece asked for by name, or the only one there is: why it is none says more than that there is none.
        what = f"{piece.name} looks like a {' or '.join(kinds)}, but {doubt.what}"
        if key is None:
            what = f"there is no {_kinds_of(operation)} among the pieces: {what}"
        raise Unfit(key, what, doubt.todo)


def check_closed(piece: Piece, registry: Registry | None = None) -> None:
    """Raise Refusal, with the gap and its place on the page, where the drawn outline is not closed.

    ``registry``: where an operation that closes the gap is looked for.
    """
    for refusal in open_places(piece, registry):
        raise refusal


def open_places(piece: Piece, registry: Registry | None = None) -> tuple[Refusal, ...]:
    """Say of each gap in a piece's drawn outline how large it is, where, and what to do (by which operation)."""
    found: list[Refusal] = []
    for first, second in piece.gaps:
        at = piece.placement.apply(first)
        edge, corner = _gap_edge(piece, first, second)
        what = f"its outline is open: a gap of {both_ways(abs(second - first))} {on_page(at)}"
        if corner:
            todo = f"it is at the corner where {edge} ends: draw both lines on to where they meet"
        else:
            step = None if registry is None else gap_closer(registry, edge)
            todo = f"close the path there, or true it first with {step}" if step else "close the path there"
        found.append(Refusal(piece.where, what, todo))
    return tuple(found)


def _gap_edge(piece: Piece, first: complex, second: complex) -> tuple[str, bool]:
    """Find the edge on which a bridged gap lies, and whether it lies at the edge's end."""
    edge = min(piece.edges, key=lambda edge: max(edge.curve.nearest(first)[1], edge.curve.nearest(second)[1]))
    ends = (edge.curve.start, edge.curve.end)
    return edge.name, min(abs(point - end) for point in (first, second) for end in ends) < 1e-6


def _by_name(pieces: Iterable[Piece], name: str) -> Piece | None:
    return next((piece for piece in pieces if _same(piece.name, name)), None)


def _same(first: str, second: str) -> bool:
    return name_key(first) == name_key(second)


def _names(pieces: Iterable[Piece]) -> str:
    return ", ".join(piece.name for piece in pieces) or "none"


def _quoted(name: str) -> str:
    return f"'{name}'" if " " in name else name
