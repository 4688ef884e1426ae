"""What a plan takes from the state that a step finds: values from measurements, conditions, the pieces it names.

Everything is measured when the step's turn comes, on the pieces as the steps before left them. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import isfinite, radians

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.parameter_values import Unfit, hold_bounds, piece_named, resolve_piece
from svgfit.app.targets import HOLDS
from svgfit.model.length import MM_PER_INCH, Units, parse_angle, parse_length
from svgfit.model.operation import Operation, Parameter
from svgfit.model.piece import Piece
from svgfit.model.plan import PIECE, WHEN, Condition, FromMeasure, Seam, Step
from svgfit.model.report import Measurement
from svgfit.model.run import Measured, SizeRun
from svgfit.model.vocabulary import MeasureUnit, ParameterKind, Unit
from svgfit.model.wording import closest_name, listed, name_key, suggestion
from svgfit.plugin.registry import Registry

Measure = Callable[[tuple[Piece, ...], tuple[Seam, ...]], Measured]
_TAKES: Mapping[str, tuple[str, str]] = {
    ParameterKind.LENGTH: (MeasureUnit.MM, "a length"),
    ParameterKind.ANGLE: (MeasureUnit.DEG, "an angle"),
}
"""Kinds of parameters that a measurement can give, each with its unit and in words."""


class Found(Struct, frozen=True):
    """A measurement as it was found."""

    figure: Measurement
    piece: Piece
    guessed: tuple[str, ...]
    """The pieces of which something was guessed that it may rest on."""

    @property
    def name(self) -> str:
        """Name it for people: "the cap ease of Sleeve"."""
        return f"the {self.figure.name} of {self.piece.name}"


class State(Struct, frozen=True):
    """What a step finds."""

    run: SizeRun
    measure: Measure
    registry: Registry

    def find(self, wanted: FromMeasure | Condition, key: str, operation: Operation, step: Step) -> Found:
        """Measure what is wanted. Raises Unfit for a piece or a measurement that is not there, with those that are."""
        pieces = self.run.after
        if wanted.of is None:
            piece = resolve_piece(operation, step, pieces, self.registry)
            if piece is None:
                raise Unfit(key, "does not say which piece is measured", f'add for example of = "{pieces[0].name}"')
        else:
            piece = piece_named(wanted.of, pieces, key)
        figures = {name_key(item.name): item for item in self.measure(pieces, self.run.seams).get(piece.title, ())}
        figure = figures.get(name_key(wanted.measure))
        if figure is None:
            names = [item.name for item in figures.values()]
            near = closest_name(wanted.measure, names)
            what = f"{piece.name} has no measurement {wanted.measure!r} when this step's turn comes"
            raise Unfit(key, what, suggestion(near, f"it has {listed(names)}"))
        return Found(figure, piece, self._guessed(figure, piece))

    def _guessed(self, figure: Measurement, piece: Piece) -> tuple[str, ...]:
        """List the pieces whose guesses may be in a figure: its own, and where others have a part in it those."""
        alone = self.measure((piece,), ()).get(piece.title, ())
        every = [piece]
        if not any(item.name == figure.name and item.value == figure.value for item in alone):
            sewn = {name for seam in self.run.seams for name in _sewn_to(seam.a, seam.b, piece.name)}
            every += [one for one in self.run.after if one is not piece and one.name in sewn]
        return tuple(one.name for one in every if one.unsure)


def _sewn_to(a: Sequence[tuple[str, str]], b: Sequence[tuple[str, str]], name: str) -> list[str]:
    """List the pieces in a seam that a piece has a part in."""
    every = [piece for piece, _ in (*a, *b)]
    return every if name in every else []


class Taken(Struct, frozen=True):
    """A step's values from measurements: what the operation is handed, what people are shown, what they should mind."""

    values: Mapping[str, float]
    """As an operation is handed them: mm, radians."""
    asked: tuple[tuple[str, str], ...] = ()
    """As a plan could have asked for them."""
    shown: tuple[tuple[str, str], ...] = ()
    warnings: tuple[str, ...] = ()


def take_values(operation: Operation, step: Step, state: State) -> Taken:
    """Measure the values that a step takes from measurements; raises Unfit for what can't be had or used."""
    known = {parameter.name: parameter for parameter in operation.parameters}
    values: dict[str, float] = {}
    asked: list[tuple[str, str]] = []
    shown: list[tuple[str, str]] = []
    warnings: list[str] = []
    for name, wanted in step.measured:
        found = state.find(wanted, name, operation, step)
        value = _value(known[name], found, wanted)
        units = state.run.units
        text = _amount(value, found.figure.unit, units)
        if not isfinite(value):
            raise Unfit(name, f"{wanted.times:g} times {found.name} is no figure", "multiply by less")
        values[name] = radians(value) if known[name].kind == ParameterKind.ANGLE else value
        hold_bounds(known[name], values[name], text)
        is_angle = found.figure.unit == MeasureUnit.DEG
        asked.append((name, f"{value:.9f} deg" if is_angle else exact_text(value, units.unit)))
        factor = f"{wanted.times:g} × " if wanted.times != 1 else ""
        shown.append((name, f"{text} ({factor}{found.name})"))
        warnings += _told(step, f"{name} is {text}, taken from {found.name}", found)
    return Taken(values, tuple(asked), tuple(shown), tuple(warnings))


def refuse_unmeasurable(parameter: Parameter) -> None:
    """Raise Unfit for a parameter that no measurement can give."""
    if parameter.kind not in _TAKES:
        what = "is no length and no angle, and can't be taken from a measurement"
        raise Unfit(parameter.name, what, f"write its value: {parameter.meaning}")


def _value(parameter: Parameter, found: Found, wanted: FromMeasure) -> float:
    unit, words = _TAKES[parameter.kind]
    if unit != found.figure.unit:
        what = f"takes {words}, and {found.name} is none (it is measured in {found.figure.unit})"
        raise Unfit(parameter.name, what, f"choose a measurement that is {words}")
    return found.figure.value * wanted.times


def exact_text(mm: float, unit: str) -> str:
    """Write a length as a plan could have it, in a unit of reports, without rounding that matters."""
    size = {Unit.IN: MM_PER_INCH, Unit.CM: 10.0}.get(Unit(unit), 1.0)
    return f"{mm / size:.9f} {unit}"


def _amount(value: float, unit: str, units: Units) -> str:
    return f"{value:.1f}°" if unit == MeasureUnit.DEG else units.length(value)


def _told(step: Step, what: str, found: Found) -> list[str]:
    """Tell a figure that may rest on a guess; the guesses themselves are told of their pieces."""
    if not found.guessed:
        return []
    return [f"{step.where}: {step.do}: {what}, which may rest on what was guessed of {listed(found.guessed)}"]


class Verdict(Struct, frozen=True):
    """Whether a condition holds, in words, and what should be minded of it."""

    holds: bool
    why: str
    """"the cap ease of Sleeve is 1 1/4 in, not over 1 1/2 in"."""
    warnings: tuple[str, ...] = ()


def judge(condition: Condition, operation: Operation, step: Step, state: State) -> Verdict:
    """Measure what a condition speaks of and compare; raises Unfit for what can't be measured or compared.

    A figure within ``HOLDS`` of a limit is neither over nor under it.
    """
    found = state.find(condition, WHEN, operation, step)
    units, unit = state.run.units, found.figure.unit
    tests: list[tuple[str, bool]] = []
    for word, text, sign in (("over", condition.over, 1.0), ("under", condition.under, -1.0)):
        if text is not None:
            limit = _limit(word, text, found)
            tests.append((f"{word} {_amount(limit, unit, units)}", sign * (found.figure.value - limit) > HOLDS))
    holds = all(passed for _, passed in tests)
    said = listed([words for words, passed in tests if passed == holds])
    why = f"{found.name} is {_amount(found.figure.value, unit, units)}, {'' if holds else 'not '}{said}"
    return Verdict(holds, why, tuple(_told(step, f"its condition looks at {found.name}", found)))


def _limit(word: str, text: str, found: Found) -> float:
    """Read a limit in the unit of what is compared with it, mm or degrees."""
    unit = found.figure.unit
    if unit not in (MeasureUnit.MM, MeasureUnit.DEG):
        what = f"{found.name} is no length and no angle (it is measured in {unit})"
        raise Unfit(WHEN, what, "choose another measurement")
    read = parse_angle if unit == MeasureUnit.DEG else parse_length
    try:
        return read(text)
    except ValueError as error:
        what, _, todo = str(error).partition(": ")
        raise Unfit(WHEN, f"{word} = {what}, as {found.name} is", todo) from None


def each_piece(steps: Sequence[Step], pieces: Sequence[Piece]) -> tuple[Step, ...]:
    """Make one step for each piece of those that name several, joined with ``+``; a piece of that very name is one.

    Raises Refusal for a piece that is named twice, or a name that is missing.
    """
    found: list[Step] = []
    for step in steps:
        if step.piece is None or "+" not in step.piece or any(name_key(p.name) == name_key(step.piece) for p in pieces):
            found.append(step)
            continue
        names = [name.strip() for name in step.piece.split("+")]
        keys = [name_key(name) for name in names]
        if not all(names):
            raise Unfit(PIECE, f"{step.piece!r} lacks a name beside a +", "write for example Front+Back").refusal(step)
        twice = next((name for number, name in enumerate(names) if keys[number] in keys[:number]), None)
        if twice is not None:
            raise Unfit(PIECE, f"names {twice} twice", "leave one out").refusal(step)
        found += [replace(step, piece=name) for name in names]
    return tuple(found)
