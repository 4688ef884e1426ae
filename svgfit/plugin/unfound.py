"""What is said where an operation is asked for that no plug-in gives: why not, as far as that can be told."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from svgfit.model.refusal import Refusal
from svgfit.model.wording import closest_name, suggestion
from svgfit.plugin.guard import PluginFault
from svgfit.plugin.loading import Plugin
from svgfit.plugin.source_text import OPERATION_HOOK, Made, line_of, operations_made

MEND = "mend or remove the plug-in; --debug shows where in it"


class NoOperation(Refusal):
    """The refusal of an operation that no plug-in here has, as far as can be told."""


def nearest(text: str, names: Iterable[str], intro: str) -> str:
    """Suggest the name that was meant, and say which there are, behind ``intro``."""
    names = tuple(names)
    there = f"{intro} {', '.join(names)}" if names else "none is there"
    return suggestion(closest_name(text, names), there)


def no_operation(
    name: str, own: Sequence[Plugin], names: Callable[[], Iterable[str]]
) -> tuple[Refusal, PluginFault | None]:
    """Refuse an operation that is not there, and give the fault of a plug-in that is the cause, or None.

    ``own``: the plug-ins that are not svgfit's and may hold operations, as loaded. One that could not be loaded, or an
    operation that can't be used, comes first where it is what was asked for or may be. ``names``: those there are.
    """
    faults = [fault for plugin in own for each, fault in plugin.broken if _key(each) == _key(name)]
    faults += [plugin.fault for plugin in own if plugin.fault is not None and _named(name, plugin)]
    if faults:
        return _led_by(faults[0], name, surely=True), faults[0]
    known = tuple(names())
    faults = [plugin.fault for plugin in own if plugin.fault is not None and plugin.source.several]
    faults += [fault for plugin in own for each, fault in plugin.broken if _key(each) != each]
    if faults and (closest_name(name, known) is None or any(_may_be_any(plugin) for plugin in own)):
        return _led_by(faults[0], name, surely=False), faults[0]
    may_be = "".join(f"; perhaps it is in what can't be loaded: {fault}" for fault in faults)
    may_be += "".join(_left_out(made, plugin) for plugin in own for made in _named(name, plugin)[:1])
    return NoOperation("", f"there is no operation {name!r}{may_be}", nearest(name, known, "the operations are")), None


def left_out(plugin: Plugin) -> str:
    """Say why an operation that a plug-in's files make is none of those it gives."""
    if plugin.operations or plugin.broken:
        return f"{OPERATION_HOOK} does not give it back"
    return "; ".join(plugin.slips) or f"no function {OPERATION_HOOK} marked @hookimpl gives it back"


def _left_out(made: Made, plugin: Plugin) -> str:
    at = line_of(made.line, made.file, plugin.source.folder)
    return f"; one is made at {at}, but {left_out(plugin)}"


def _led_by(fault: PluginFault, name: str, *, surely: bool) -> Refusal:
    return Refusal("", str(fault) if surely else f"{fault}; operation {name!r} may be in it", MEND)


def _named(name: str, plugin: Plugin) -> list[Made]:
    """Find where a plug-in's files make an operation of that name."""
    return [made for made in operations_made(plugin.source.files()) if _key(made.name) == _key(name)]


def _may_be_any(plugin: Plugin) -> bool:
    """Tell whether a plug-in that could not be loaded may hold operations whose names its text does not show."""
    made = operations_made(plugin.source.files()) if plugin.fault is not None and plugin.source.several else ()
    return any(not one.name for one in made)


def _key(name: str) -> str:
    """Fold a name as one that can be used would be written."""
    return re.sub("[^a-z0-9]+", "-", name.lower()).strip("-")
