"""From what a step asks, in text, to what an operation is handed: values of known kinds, and the piece."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from svgfit.model.length import at_least, at_most, both_ways, on_page
from svgfit.model.operation import Operation, Parameter
from svgfit.model.piece import Piece
from svgfit.model.plan import Step
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import ANY_KIND, ParameterKind
from svgfit.model.wording import closest_name, listed, suggestion
from svgfit.pattern.layer_patterns import name_key
from svgfit.plugin.abilities import gap_closer
from svgfit.plugin.registry import Registry
from svgfit.plugin.sources import plain_name
from svgfit.plugin.values import READERS


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
    return step if asked == step.asked else replace(step, asked=asked)


def resolve_values(operation: Operation, asked: Iterable[tuple[str, str]]) -> dict[str, Any]:
    """Read and check a step's values, defaults among them, by parameter name; raises Unfit.

    Lengths become mm, numbers floats, edges ((piece, edge), …), still as written.
    """
    known = {parameter.name: parameter for parameter in operation.parameters}
    values: dict[str, Any] = {}
    for name, text in asked:
        parameter = known.get(plain_name(name))
        if parameter is None:
            raise Unfit(name, f"{operation.name} has no such parameter", _nearest(name, known))
        if parameter.name in values:
            raise Unfit(parameter.name, "is given twice", "leave one out")
        values[parameter.name] = read_value(parameter, text)
    for group in operation.one_of:
        _check_group(operation, group, values)
    for parameter in operation.parameters:
        if parameter.default is not None and parameter.name not in values:
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
    if isinstance(value, float):
        low, high = parameter.minimum, parameter.maximum
        if (low is not None and value < low) or (high is not None and value > high):
            raise Unfit(parameter.name, f"{text.strip()} is {_side(value, low)}", f"give {_bounds(parameter)}")
    return value


def _side(value: float, low: float | None) -> str:
    return "too little" if low is not None and value < low else "too much"


def _bounds(parameter: Parameter) -> str:
    def spell(value: float, of_length: Callable[[float], str] = at_most) -> str:
        return of_length(value) if parameter.kind == ParameterKind.LENGTH else f"{value:g}"

    low, high = parameter.minimum, parameter.maximum
    if low is not None and high is not None:
        return f"{spell(low, at_least)} to {spell(high)}"
    return f"{spell(low, at_least)} or more" if low is not None else f"{spell(high or 0.0)} or less"


def _check_group(operation: Operation, group: Sequence[str], values: Mapping[str, Any]) -> None:
    given = [name for name in group if name in values]
    if len(given) > 1:
        raise Unfit(given[1], f"{' and '.join(given)} exclude each other", "leave all but one out")
    if not given:
        raise Unfit(None, f"{listed(group, 'or')} must be given", f"see svgfit operations {operation.name}")


def _nearest(name: str, known: Iterable[str]) -> str:
    names = tuple(known)
    there = f"its parameters are {', '.join(names)}" if names else "it takes none"
    return suggestion(closest_name(plain_name(name), names), there)


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
        named = [piece for piece in pieces if _same(piece.name, step.piece)]
        if len(named) > 1:
            places = " and ".join(piece.where for piece in named)
            raise Unfit("piece", f"several pieces are named {step.piece!r}: {places}", "give the drawings other names")
        if not named:
            near = closest_name(step.piece, [piece.name for piece in pieces])
            todo = f"did you mean {near}? The pieces are" if near else "the pieces are"
            raise Unfit("piece", f"there is no piece {step.piece!r}", f"{todo} {_names(pieces)}")
        piece = named[0]
        if not operation.fits(piece.kind):
            _refuse_doubtful(operation, piece, "piece")
            what = f"{piece.name} is a {piece.kind}, and {operation.name} works on a {kinds}"
            raise Unfit("piece", what, f"pieces that fit: {_names(fitting)}" if fitting else "choose another operation")
    if not operation.open_outline:
        check_closed(piece, registry)
    return piece


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
