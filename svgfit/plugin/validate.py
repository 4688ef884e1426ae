"""Whether what a plug-in's hook gave back can be used. Every function raises Unusable with what is wrong."""

from __future__ import annotations

import re
from collections.abc import Mapping
from inspect import signature
from typing import Any, TypeVar

from msgspec.structs import replace

from svgfit.model.checker import Checker, GarmentMeasurer, Looked, SeamFinder
from svgfit.model.dialect import Dialect
from svgfit.model.file_format import Needs, Reader, Writer
from svgfit.model.instructions import Instructions, Words
from svgfit.model.line_kind import KINDS, WITHIN_BLOCKS, LineKind, Symbol, alike
from svgfit.model.operation import Operation, Parameter, Reach
from svgfit.model.plan import ENDS, INCLUDE, NOTE, PIECE, WHEN
from svgfit.model.raw_piece import Measurer, Recogniser
from svgfit.model.vocabulary import ANY_KIND, BOUNDED, AnnotationKind, ParameterKind
from svgfit.model.wording import closest_name, suggestion
from svgfit.plugin.guard import Unusable
from svgfit.plugin.sound_pieces import number, text, what_is
from svgfit.plugin.sources import Source, plain_name
from svgfit.plugin.values import READERS
from svgfit.version import API_VERSION

_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_TAKEN = ("do", PIECE, WHEN, NOTE, INCLUDE)
"""Words of a plan that no parameter can have for a name."""
_FINEST, _BROADEST, _LONGEST_DASH, _MOST_DASHES = 0.2, 1.5, 20.0, 8
"""Limits of a plug-in's kind of line: mm, and how many dashes and gaps."""
_DEFAULTS: Mapping[str, str] = {
    ParameterKind.LENGTH: "5 mm",
    ParameterKind.ANGLE: "5 deg",
    ParameterKind.NUMBER: "0.5",
    ParameterKind.COUNT: "5",
    ParameterKind.YES_NO: "yes",
}
"""How a default is written, by kind of parameter."""
Record = TypeVar("Record")


def records(found: Any, kind: type[Record], hook: str) -> tuple[Record, ...]:
    """Return the hook's result as a tuple of records of one kind, at least one."""
    given: Any = (found,) if isinstance(found, kind) else found
    if isinstance(given, str) or not hasattr(given, "__iter__"):
        raise Unusable(f"{hook} gives back {what_is(given)}, not a list of {kind.__name__} records")
    items: list[Record] = []
    for item in given:
        if not isinstance(item, kind):
            raise Unusable(f"{hook} gives back a list with {what_is(item)} in it, not only {kind.__name__} records")
        items.append(item)
    if not items:
        raise Unusable(f"{hook} gives back nothing")
    return tuple(items)


def written_for(version: Any) -> None:
    """Raise Unusable for a plug-in that says (``SVGFIT_API``) that it was written for a version not known here."""
    if version is None:
        return
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise Unusable(f"SVGFIT_API is {version!r}; write the number of the version it was written for: {API_VERSION}")
    if version > API_VERSION:
        raise Unusable(
            f"it was written for version {version} of svgfit's plug-in API, and this svgfit knows up to {API_VERSION}: "
            "install a newer svgfit"
        )


def operations(found: tuple[Operation, ...], source: Source, *, alone: bool) -> tuple[Operation, ...]:
    """Return a plug-in's operations; one that is ``alone`` in a file has the file's name, several have their own."""
    name = found[0].name if found else ""
    if alone and len(found) == 1 and plain_name(name) != source.name and not source.is_package:
        raise Unusable(f"its operation is named {name!r}, its file or entry point {source.name!r}: use one name")
    return found


def operation(found: Any) -> Operation:
    """Return the operation, its lists made tuples."""
    _named(found.name, "the operation's name")
    if found.name == ENDS:
        raise Unusable(f"the operation's name is {found.name!r}, a word of the plan")
    if not isinstance(found.summary, str) or not found.summary.strip():
        raise Unusable("the operation's summary is missing")
    if not callable(found.run):
        raise Unusable("the operation's run is not a function")
    _takes(found.run, "job")
    each = _tuple_of(found.parameters, "parameters", "Parameter records", 'parameters=(Parameter("amount", …),)')
    parameters = tuple(_parameter(item) for item in each)
    names = [item.name for item in parameters]
    read = [name for item in parameters for name in (item.name, *item.also)]
    if twice := [name for name in read if read.count(name) > 1]:
        raise Unusable(f"parameter {twice[0]} is there twice")
    groups = _groups(found.one_of)
    given = {item.name for item in parameters if item.default is not None}
    for name in (name for group in groups for name in group):
        if name not in names:
            near = suggestion(closest_name(name, names), f"its parameters are {', '.join(names) or 'none'}")
            raise Unusable(f"one_of names {name!r}, which is not a parameter: {near}")
        if name in given:
            raise Unusable(f"parameter {name} is in one_of and has a default: it would always be given")
    reaches = _reaches(found, names)
    if not isinstance(found.instructions, Instructions):
        raise Unusable(f"the operation's instructions are {what_is(found.instructions)}, not an Instructions record")
    if found.instructions.words is not None:
        _takes(found.instructions.words, "facts")
    kinds = _kinds(found.kinds, empty=True)
    return replace(found, parameters=parameters, one_of=groups, kinds=kinds, reaches=reaches)


def _takes(function: Any, *given: str) -> None:
    """Raise Unusable for a function of a plug-in that can't be called with what it is given; ``given`` names it."""
    try:
        signature(function).bind(*given)
    except ValueError:  # written in C: what it takes is not known
        return
    except TypeError:
        name = getattr(function, "__name__", "it")
        what = "one argument" if len(given) == 1 else f"{len(given)} arguments"
        raise Unusable(f"{name} takes {what}: def {name}({', '.join(given)})", function) from None


def _tuple_of(found: Any, what: str, items: str, example: str) -> tuple[Any, ...]:
    """Return what is given as a tuple; raise Unusable, with how to write it, for a single one or none at all."""
    if isinstance(found, (str, bytes)) or not hasattr(found, "__iter__"):
        raise Unusable(f"its {what} are {what_is(found)}, not a tuple of {items}: write {example}, with the comma")
    return tuple(found)


def _groups(found: Any) -> tuple[tuple[str, ...], ...]:
    """Return ``one_of``, its groups made tuples; raise Unusable where names stand in place of groups of names."""
    example = 'one_of=(("amount",),)'
    groups = _tuple_of(found, "one_of", "groups of names", example)
    for group in groups:
        if isinstance(group, str) or not hasattr(group, "__iter__"):
            raise Unusable(f"one_of holds {group!r}, not a group of names: write {example}, with both commas")
    return tuple(tuple(group) for group in groups)


def _reaches(found: Operation, names: list[str]) -> tuple[Reach, ...]:
    """Return what it reaches as a tuple; raise Unusable where a parameter that it is asked by is none of ``names``."""
    reaches = _tuple_of(found.reaches, "reaches", "Reach records", 'reaches=(Reach("cap height", …),)')
    asked = [found.closes_gaps]
    if found.compares is not None:
        asked += [found.compares.first, found.compares.second, found.compares.least, found.compares.most]
    for reach in reaches:
        if not isinstance(reach, Reach):
            raise Unusable(f"what the operation reaches is {what_is(reach)}, not a Reach record")
        if not (reach.parameter or reach.change):
            raise Unusable(f"how {reach.figure} is asked for is missing: name a parameter, or one that is its change")
        asked += [reach.parameter, reach.change, reach.share, reach.limit, *(name for name, _ in reach.given)]
    if unknown := [name for name in asked if name and name not in names]:
        raise Unusable(f"what the operation says of itself names {unknown[0]!r}, which is not a parameter")
    return reaches


def words(found: Any) -> Words:
    """Return the teaching words of a step as they are."""
    if not isinstance(found, Words):
        raise Unusable(f"the words of a step are {what_is(found)}, not a Words record")
    return found


def _parameter(found: object) -> Parameter:
    if not isinstance(found, Parameter):
        raise Unusable(f"a parameter is {what_is(found)}, not a Parameter record")
    _named(found.name, "a parameter's name")
    if found.kind not in READERS:
        raise Unusable(f"parameter {found.name} is of kind {found.kind!r}, not one of {', '.join(READERS)}")
    if found.default is not None:
        if not isinstance(found.default, str):  # pyright: ignore[reportUnnecessaryIsInstance]
            example = _DEFAULTS.get(found.kind, "…")
            what = f"the default of parameter {found.name} is {found.default!r}, not a text"
            raise Unusable(f'{what}: write it as a person would, such as default="{example}"')
        try:
            READERS[found.kind](found.default)
        except ValueError as error:
            raise Unusable(f"the default of parameter {found.name} can't be read: {error}") from None
    _ranged(found)
    also: Any = found.also
    if isinstance(also, str) or not all(isinstance(each, str) for each in also):
        raise Unusable(f"parameter {found.name}: its older names are not a list of words")
    found = replace(found, also=tuple(also))
    if taken := [name for name in (found.name, *found.also) if plain_name(name) in _TAKEN]:
        raise Unusable(f"a parameter can't be named {taken[0]!r}: that is a word of the plan")
    return _with_choices(found) if found.choices else found


def _ranged(found: Parameter) -> None:
    """Raise Unusable where the range is none, or holds nothing that the parameter takes, its default among it."""
    for what, limit in (("minimum", found.minimum), ("maximum", found.maximum)):
        if limit is None:
            continue
        number(limit, f"parameter {found.name}: the {what}")
        if found.kind not in BOUNDED:
            raise Unusable(f"parameter {found.name}: what is of kind {found.kind} has no {what}")
    if found.minimum is not None and found.maximum is not None and found.minimum > found.maximum:
        raise Unusable(f"parameter {found.name}: the minimum is above the maximum")
    value = None if found.default is None else READERS[found.kind](found.default)
    low, high = found.minimum, found.maximum
    bounded = value if isinstance(value, (int, float)) and not isinstance(value, bool) else None
    if bounded is not None and ((low is not None and bounded < low) or (high is not None and bounded > high)):
        raise Unusable(f"parameter {found.name}: the default {found.default!r} is outside its range")


def _with_choices(found: Parameter) -> Parameter:
    """Return the parameter, its choices made a tuple."""
    given: Any = found.choices
    choices: tuple[Any, ...] = () if isinstance(given, str) else tuple(given)
    if (
        found.kind != ParameterKind.TEXT
        or not choices
        or not all(isinstance(each, str) and each.strip() for each in choices)
    ):
        raise Unusable(f"parameter {found.name}: choices are a list of words, and for a text only")
    if found.default is not None and found.default not in choices:
        raise Unusable(
            f"parameter {found.name}: the default {found.default!r} is none of its choices: {', '.join(choices)}"
        )
    return replace(found, choices=choices)


def dialect(found: Any) -> Dialect:
    """Return the dialect as it is."""
    if not isinstance(found.order, int) or not callable(found.speaks) or not callable(found.layer):
        raise Unusable(f"dialect {found.name!r} needs a whole number as order, and functions speaks and layer")
    _takes(found.speaks, "root")
    _takes(found.layer, "element")
    return _with_name(found)


def recogniser(found: Recogniser) -> Recogniser:
    """Return the recogniser, its kinds made a tuple."""
    if not callable(found.suits) or not callable(found.recognise):
        raise Unusable(f"recogniser {found.name!r} needs functions suits and recognise")
    _takes(found.suits, "piece")
    _takes(found.recognise, "piece")
    kinds = _kinds(found.kinds)
    if ANY_KIND in kinds:
        raise Unusable(f"recogniser {found.name!r} names the kind {ANY_KIND!r}, which stands for every kind")
    return replace(_with_name(found), kinds=kinds)


def measurers(found: Any) -> tuple[Measurer | GarmentMeasurer, ...]:
    """Return the measurers of pieces and of garments that a hook gave back, kinds made tuples."""
    given: Any = (found,) if isinstance(found, GarmentMeasurer) else found
    if isinstance(given, str) or not hasattr(given, "__iter__"):
        return tuple(map(measurer, records(given, Measurer, "svgfit_measurers")))
    items: list[Any] = list(given)
    whole = [one for one in items if isinstance(one, GarmentMeasurer)]
    others = [one for one in items if not isinstance(one, GarmentMeasurer)]
    pieces = records(others, Measurer, "svgfit_measurers") if others or not whole else ()
    for one in whole:
        _with_name(one)
        if not callable(one.measure):
            raise Unusable(f"measurer {one.name!r} needs a function measure")
        _takes(one.measure, "garment")
    return (*map(measurer, pieces), *whole)


def measurer(found: Measurer) -> Measurer:
    """Return the measurer, its kinds made a tuple."""
    if not callable(found.measure):
        raise Unusable(f"measurer {found.name!r} needs a function measure")
    _takes(found.measure, "piece")
    return replace(_with_name(found), kinds=_kinds(found.kinds))


def checker(found: Checker) -> Checker:
    """Return the checker, its kinds made a tuple."""
    if not callable(found.check):
        raise Unusable(f"checker {found.name!r} needs a function check")
    _takes(found.check, "subject")
    if found.of not in tuple(Looked):
        raise Unusable(f"checker {found.name!r} is of {found.of!r}, not one of {', '.join(Looked)}")
    kinds = _kinds(found.kinds)
    if found.of != Looked.PIECE and kinds != (ANY_KIND,):
        raise Unusable(f"checker {found.name!r} names kinds of piece, but looks at a {found.of}")
    return replace(_with_name(found), kinds=kinds)


def seam_finder(found: SeamFinder) -> SeamFinder:
    """Return the finder as it is."""
    if not callable(found.find):
        raise Unusable(f"seam finder {found.name!r} needs a function find")
    _takes(found.find, "pieces")
    return _with_name(found)


def line_kind(found: LineKind) -> LineKind:
    """Return the kind of line, its dashes made a tuple; it must be told from svgfit's own without colour too."""
    _with_name(found)
    who = f"line kind {found.name!r}"
    if found.name in [*AnnotationKind, *(kind.name for kind in (*KINDS, *WITHIN_BLOCKS))]:
        raise Unusable(f"{who} has the name of one of svgfit's own")
    text(found.legend, f"the legend of {who}")
    if not isinstance(found.colour, str) or not re.fullmatch("#[0-9A-Fa-f]{6}", found.colour):  # pyright: ignore
        raise Unusable(f"{who} has the colour {found.colour!r}, not one as #RRGGBB")
    if not _FINEST <= number(found.width, f"the width of {who}") <= _BROADEST:
        raise Unusable(f"{who} is {found.width:g} mm wide, not {_FINEST:g} to {_BROADEST:g} mm")
    dash = tuple(number(part, f"a dash of {who}") for part in found.dash)
    if len(dash) % 2 or len(dash) > _MOST_DASHES or any(not 0 < part <= _LONGEST_DASH for part in dash):
        most = f"at most {_MOST_DASHES} lengths up to {_LONGEST_DASH:g} mm"
        raise Unusable(f"{who} has the dashes {found.dash!r}, not dash and gap in turn, {most}")
    if found.cap not in ("butt", "round", "square") or found.symbol != Symbol.LINE:
        raise Unusable(f"{who}: its cap is butt, round or square, and its symbol a line")
    if found.layer:
        text(found.layer, f"the layer of {who}")
    found = replace(found, dash=dash)
    if (same := next((kind for kind in KINDS if alike(kind, found)), None)) is not None:
        raise Unusable(
            f"{who} looks like svgfit's {same.name!r} where there is no colour: other dashes, or another width"
        )
    return found


def reader(found: Any) -> Reader:
    """Return the reader, its suffixes made a tuple."""
    if not callable(found.suits) or not callable(found.read):
        raise Unusable(f"reader {found.name!r} needs functions suits and read")
    _takes(found.suits, "head")
    _takes(found.read, "file", "data", "wishes")
    suffixes: Any = (found.suffixes,) if isinstance(found.suffixes, str) else tuple(found.suffixes)
    return replace(_with_name(found), suffixes=tuple(_suffix(found.name, one) for one in suffixes))


def writer(found: Any) -> Writer:
    """Return the writer as it is."""
    if not callable(found.write):
        raise Unusable(f"writer {found.name!r} needs a function write")
    _takes(found.write, "drawing")
    if found.needs not in tuple(Needs):
        raise Unusable(f"writer {found.name!r} needs {found.needs!r}, not one of {', '.join(Needs)}")
    return replace(_with_name(found), suffix=_suffix(found.name, found.suffix))


def _suffix(name: str, text: Any) -> str:
    if not isinstance(text, str) or not re.fullmatch(r"\.[a-z0-9]+(\.[a-z0-9]+)*", text):
        raise Unusable(f"{name!r} has {text!r} for a suffix, which is no ending in lower case with its dot")
    return text


def _with_name(found: Any) -> Any:
    if not isinstance(found.name, str) or not found.name.strip():
        raise Unusable(f"{what_is(found)} has no name")
    return found


def _named(name: object, what: str) -> None:
    if not isinstance(name, str) or not _NAME.fullmatch(name):
        raise Unusable(f"{what} is {name!r}: small letters and digits, joined with hyphens")


def _kinds(found: Any, *, empty: bool = False) -> tuple[str, ...]:
    if isinstance(found, str) or not hasattr(found, "__iter__"):
        raise Unusable(f"kinds is {what_is(found)}, not a tuple of names")
    kinds: tuple[Any, ...] = tuple(found)
    if not all(isinstance(kind, str) for kind in kinds) or not (kinds or empty):
        raise Unusable("kinds must name the kinds of piece, such as sleeve, front, back")
    return kinds
