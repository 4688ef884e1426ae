"""What a plan takes from the state that a step finds: values from measurements, conditions, the pieces it names.

Everything is measured when the step's turn comes, on the pieces as the steps before left them. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import isclose, isfinite, radians

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.own_checks import measure_garment
from svgfit.app.parameter_values import Unfit, hold_bounds, piece_named, resolve_piece
from svgfit.app.targets import HOLDS
from svgfit.model.length import MM_PER_INCH, Units, parse_angle, parse_length, read_number
from svgfit.model.operation import Operation, Parameter
from svgfit.model.piece import Piece
from svgfit.model.plan import PIECE, WHEN, Condition, FromMeasure, Seam, Step
from svgfit.model.report import WHOLE, Measurement
from svgfit.model.run import Measured, SizeRun
from svgfit.model.vocabulary import MeasureUnit, ParameterKind, Unit
from svgfit.model.wording import closest_name, listed, name_key, suggestion
from svgfit.plugin.registry import Registry
from svgfit.plugin.sound_results import own_figures

Measure = Callable[[tuple[Piece, ...], tuple[Seam, ...]], Measured]
_TAKES: Mapping[str, tuple[str, tuple[str, ...]]] = {
    ParameterKind.LENGTH: ("a length", (MeasureUnit.MM,)),
    ParameterKind.ANGLE: ("an angle", (MeasureUnit.DEG,)),
    ParameterKind.NUMBER: ("a number or a share", (MeasureUnit.NUMBER, MeasureUnit.SHARE)),
    ParameterKind.COUNT: ("a number", (MeasureUnit.NUMBER,)),
}
"""Kinds of parameters that a measurement can give, each in words and with the units that fit it."""
UNIT_WORDS: Mapping[str, str] = {
    MeasureUnit.MM: "a length",
    MeasureUnit.MM2: "an area",
    MeasureUnit.DEG: "an angle",
    MeasureUnit.NUMBER: "a number",
    MeasureUnit.SHARE: "a share",
}
_WHOLE_TO = 1e-6
"""So near to a whole number a measurement times a factor is one."""
_LIMITS: Mapping[str, tuple[Callable[[str], float], float]] = {
    MeasureUnit.MM: (parse_length, HOLDS),
    MeasureUnit.DEG: (parse_angle, HOLDS),
    MeasureUnit.NUMBER: (read_number, 0.0005),
    MeasureUnit.SHARE: (read_number, 0.0005),
}
"""How a limit is read for a figure of each unit, and how near to it a figure is neither over nor under it: numbers and
shares as near as they are shown."""


class Found(Struct, frozen=True):
    """A measurement as it was found."""

    figure: Measurement
    of: str
    """Of what, for people: "Sleeve", "the garment"."""
    guessed: tuple[str, ...]
    """The pieces of which something was guessed that it may rest on."""

    @property
    def name(self) -> str:
        """Name it for people: "the cap ease of Sleeve"."""
        return f"the {self.figure.name} of {self.of}"


class State(Struct, frozen=True):
    """What a step finds."""

    run: SizeRun
    measure: Measure
    registry: Registry

    def find(self, wanted: FromMeasure | Condition, key: str, operation: Operation, step: Step) -> Found:
        """Measure what is wanted. Raises Unfit for a piece or a measurement that is not there, with those that are."""
        pieces = self.run.after
        if is_garment(wanted):
            return self._of_garment(wanted, key)
        if wanted.of is None:
            piece = resolve_piece(operation, step, pieces, self.registry)
            if piece is None:
                raise Unfit(key, "does not say which piece is measured", f'add for example of = "{pieces[0].name}"')
        else:
            piece = _piece_measured(wanted.of, pieces, key)
        figures = self.measure(pieces, self.run.seams).get(piece.title, ())
        figure = _chosen(wanted.measure, figures, piece.name, key)
        return Found(figure, piece.name, self._guessed(figure, piece))

    def _of_garment(self, wanted: FromMeasure | Condition, key: str) -> Found:
        """Measure what plug-ins measure across the pieces of this size, guesses of any of which may be in it."""
        pieces = self.run.after
        own = next((piece.name for piece in pieces if name_key(piece.name) == WHOLE), None)
        if own is not None:
            what = f"a piece is named {own!r}, as all pieces together are"
            raise Unfit(key, what, "give the piece another name in the drawing")
        refuse_no_garment(wanted, key, self.registry)
        figures = measure_garment(pieces, self.run.seams, self.registry.garment_measurers(), self.run.units)
        figure = _chosen(wanted.measure, figures, f"the {WHOLE}", key)
        return Found(figure, f"the {WHOLE}", tuple(piece.name for piece in pieces if piece.unsure))

    def _guessed(self, figure: Measurement, piece: Piece) -> tuple[str, ...]:
        """List the pieces whose guesses may be in a figure: its own, and where others have a part in it those."""
        alone = self.measure((piece,), ()).get(piece.title, ())
        every = [piece]
        if not any(item.name == figure.name and item.value == figure.value for item in alone):
            sewn = {name for seam in self.run.seams for name in _sewn_to(seam.a, seam.b, piece.name)}
            every += [one for one in self.run.after if one is not piece and one.name in sewn]
        return tuple(one.name for one in every if one.unsure)


def is_garment(wanted: FromMeasure | Condition) -> bool:
    """Tell whether a figure of all pieces together is meant."""
    return wanted.of is not None and name_key(wanted.of) == WHOLE


def refuse_no_garment(wanted: FromMeasure | Condition, key: str, registry: Registry) -> None:
    """Raise Unfit where a figure of the garment is meant and no plug-in gives any."""
    if is_garment(wanted) and not registry.garment_measurers():
        what = f"nothing measures the {WHOLE} as a whole, so that it has no {wanted.measure!r}"
        raise Unfit(key, what, "add the plug-in that does, with --plugins FOLDER, or name a piece")


def measured_by(step: Step, registry: Registry) -> str:
    """Name the plug-ins, with their versions, that may measure what a step looks at; "" for svgfit's own figures."""
    looks = [wanted for _, wanted in step.measured] + ([step.when] if step.when is not None else [])
    own = set(map(name_key, own_figures())) if looks else set[str]()
    kinds = {is_garment(wanted) for wanted in looks if is_garment(wanted) or name_key(wanted.measure) not in own}
    return ", ".join(filter(None, (registry.measured_by(garment=kind) for kind in sorted(kinds))))


def _piece_measured(name: str, pieces: Sequence[Piece], key: str) -> Piece:
    """Find the piece that is measured; raises Unfit as ``piece_named``, and where the garment may have been meant."""
    names = [piece.name for piece in pieces]
    if name_key(name) not in map(name_key, names) and closest_name(name, [*names, WHOLE]) == WHOLE:
        raise Unfit(key, f"there is no piece {name!r}", f"did you mean {WHOLE}? The pieces are {listed(names)}")
    return piece_named(name, pieces, key)


def _chosen(name: str, figures: Sequence[Measurement], of: str, key: str) -> Measurement:
    """Choose a figure by its name; raises Unfit, with those that are there, where there is none."""
    found = next((item for item in figures if name_key(item.name) == name_key(name)), None)
    if found is None:
        names = [item.name for item in figures]
        what = f"{of} has no measurement {name!r} when this step's turn comes"
        there = f"it has {listed(names)}" if names else "it has none then"
        raise Unfit(key, what, suggestion(closest_name(name, names), there))
    return found


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
        text = units.figure(value, found.figure.unit)
        values[name] = radians(value) if known[name].kind == ParameterKind.ANGLE else value
        values[name] = hold_bounds(known[name], values[name], text)
        asked.append((name, _asked(value, found.figure.unit, units)))
        factor = f"{wanted.times:g} × " if wanted.times != 1 else ""
        shown.append((name, f"{text} ({factor}{found.name})"))
        warnings += _told(step, f"{name} is {text}, taken from {found.name}", found)
    return Taken(values, tuple(asked), tuple(shown), tuple(warnings))


def refuse_unmeasurable(parameter: Parameter) -> None:
    """Raise Unfit for a parameter that no measurement can give."""
    if parameter.kind not in _TAKES:
        what = "is no length, angle or number, and can't be taken from a measurement"
        raise Unfit(parameter.name, what, f"write its value: {parameter.meaning}")


def refuse_unit(parameter: Parameter, unit: str, name: str) -> None:
    """Raise Unfit for a measurement of a unit that does not fit the parameter; ``name`` is what it is called."""
    refuse_unmeasurable(parameter)
    words, units = _TAKES[parameter.kind]
    if unit not in units:
        what = f"takes {words}, and {name} is none (it is {UNIT_WORDS[unit]})"
        raise Unfit(parameter.name, what, f"choose a measurement that is {words}")


def _value(parameter: Parameter, found: Found, wanted: FromMeasure) -> float:
    """Multiply what was found, as its parameter takes it but for angles, which stay in degrees; raises Unfit."""
    refuse_unit(parameter, found.figure.unit, found.name)
    value = found.figure.value * wanted.times
    if not isfinite(value):
        raise Unfit(parameter.name, f"{wanted.times:g} times {found.name} is no figure", "multiply by less")
    if parameter.kind != ParameterKind.COUNT:
        return value
    if not isclose(value, round(value), rel_tol=0.0, abs_tol=_WHOLE_TO) or round(value) < 0:
        times = f"{wanted.times:g} times {found.name}" if wanted.times != 1 else found.name
        what = f"takes a whole number, none or more, and {times} is {value:.6g}"
        raise Unfit(parameter.name, what, "choose other times, or write the number")
    return round(value)


def exact_text(mm: float, unit: str) -> str:
    """Write a length as a plan could have it, in a unit of reports, without rounding that matters."""
    size = {Unit.IN: MM_PER_INCH, Unit.CM: 10.0}.get(Unit(unit), 1.0)
    return f"{mm / size:.9f} {unit}"


def _asked(value: float, unit: str, units: Units) -> str:
    """Write a value as a plan could have it, without rounding that matters."""
    if unit == MeasureUnit.MM:
        return exact_text(value, units.unit)
    if unit == MeasureUnit.DEG:
        return f"{value:.9f} deg"
    return f"{value}" if isinstance(value, int) else f"{value:.12g}"


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

    A figure nearer to a limit than ``_LIMITS`` says is neither over nor under it.
    """
    found = state.find(condition, WHEN, operation, step)
    units, unit = state.run.units, found.figure.unit
    tests: list[tuple[str, bool]] = []
    for word, text, sign in (("over", condition.over, 1.0), ("under", condition.under, -1.0)):
        if text is not None:
            limit, near = _limit(word, text, unit, found.name)
            tests.append((f"{word} {units.figure(limit, unit)}", sign * (found.figure.value - limit) > near))
    holds = all(passed for _, passed in tests)
    said = listed([words for words, passed in tests if passed == holds])
    why = f"{found.name} is {units.figure(found.figure.value, unit)}, {'' if holds else 'not '}{said}"
    return Verdict(holds, why, tuple(_told(step, f"its condition looks at {found.name}", found)))


def refuse_limits(condition: Condition, unit: str, name: str) -> None:
    """Raise Unfit for a condition that a measurement of a unit can't be held against; ``name`` is what it is called."""
    for word, text in (("over", condition.over), ("under", condition.under)):
        if text is not None:
            _limit(word, text, unit, name)


def _limit(word: str, text: str, unit: str, name: str) -> tuple[float, float]:
    """Read a limit in the unit of what is compared with it, and how near to it is neither over nor under."""
    if unit not in _LIMITS:
        raise Unfit(
            WHEN, f"{name} is {UNIT_WORDS[unit]}, which no limit can be written for", "choose another measurement"
        )
    read, near = _LIMITS[unit]
    try:
        return read(text), near
    except ValueError as error:
        what, _, todo = str(error).partition(": ")
        is_none = " is not " in what  # "'1 deg' is not a length"; else "'1' has no unit"
        what = f"{what}, as {name} is" if is_none else f"{what}, and {name} is {UNIT_WORDS[unit]}"
        raise Unfit(WHEN, f"{word} = {what}", todo) from None


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
