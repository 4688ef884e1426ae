"""Import one plug-in, ask its hook and validate what came back; all under a guard."""

from __future__ import annotations

import os
import sys
from importlib import import_module
from threading import RLock
from types import FunctionType, ModuleType
from typing import Any

import pluggy
from msgspec import Struct

from svgfit.model.dialect import Dialect
from svgfit.model.file_format import Reader, Writer
from svgfit.model.operation import PROJECT, Operation
from svgfit.model.raw_piece import Measurer, Recogniser
from svgfit.plugin import hookspecs, validate
from svgfit.plugin.guard import Guard, PluginFault, Unusable
from svgfit.plugin.sources import Source

_LOADING = RLock()
"""Held while a plug-in is imported and asked for its records; one that asks for another holds it twice."""


class Plugin(Struct, frozen=True):
    """A plug-in after it was looked at."""

    source: Source
    status: str
    """"ok", "off" or "failed: why"."""
    operation: Operation | None = None
    dialects: tuple[Dialect, ...] = ()
    recognisers: tuple[Recogniser, ...] = ()
    measurers: tuple[Measurer, ...] = ()
    readers: tuple[Reader, ...] = ()
    writers: tuple[Writer, ...] = ()
    fault: PluginFault | None = None

    @property
    def supplies(self) -> str:
        """Say for people what it gives, by name."""
        records = (*self.dialects, *self.recognisers, *self.measurers, *self.readers, *self.writers)
        words = {"svgfit_operations": "operation", "svgfit_dialects": "dialect"}
        words |= {"svgfit_recognisers": "recogniser", "svgfit_measurers": "measurements"}
        words |= {"svgfit_readers": "reader", "svgfit_writers": "writer"}
        names = [self.operation.name] if self.operation else [record.name for record in records]
        return f"{words[self.source.hook]} {', '.join(names)}".strip()


class _Manager(pluggy.PluginManager):
    """A plug-in manager that looks closely only at what can be a hook."""

    def parse_hookimpl_opts(self, plugin: Any, name: str) -> Any:
        """Pass over what a module holds that is no function, or one without a mark; pluggy judges all else."""
        found = vars(plugin).get(name) if isinstance(plugin, ModuleType) else None
        if isinstance(found, (type, ModuleType, str)):
            return None
        if isinstance(found, FunctionType) and f"{PROJECT}_impl" not in vars(found):
            return None
        return super().parse_hookimpl_opts(plugin, name)


def new_manager() -> pluggy.PluginManager:
    """Make a plug-in manager with svgfit's hook specifications."""
    manager = _Manager(PROJECT)
    manager.add_hookspecs(hookspecs)
    return manager


def load(source: Source, manager: pluggy.PluginManager, guard: Guard) -> Plugin:
    """Import and validate a plug-in; never raise for what is wrong with it, but say so in ``status``.

    One thread loads at a time: a plug-in's file is run under one name in ``sys.modules``, whoever asks for it.
    """
    try:
        with _LOADING:
            return guard.run(lambda: _load(source, manager))
    except PluginFault as fault:
        return Plugin(source, f"failed: {fault.why}", fault=fault)


def _load(source: Source, manager: pluggy.PluginManager) -> Plugin:
    plugin = _import(source)
    found = _ask(plugin, source, manager)
    if source.hook == "svgfit_dialects":
        dialects = validate.records(found, Dialect, source.hook)
        return Plugin(source, "ok", dialects=tuple(map(validate.dialect, dialects)))
    if source.hook == "svgfit_recognisers":
        recognisers = validate.records(found, Recogniser, source.hook)
        return Plugin(source, "ok", recognisers=tuple(map(validate.recogniser, recognisers)))
    if source.hook == "svgfit_measurers":
        measurers = validate.records(found, Measurer, source.hook)
        return Plugin(source, "ok", measurers=tuple(map(validate.measurer, measurers)))
    if source.hook == "svgfit_readers":
        readers = validate.records(found, Reader, source.hook)
        return Plugin(source, "ok", readers=tuple(map(validate.reader, readers)))
    if source.hook == "svgfit_writers":
        writers = validate.records(found, Writer, source.hook)
        return Plugin(source, "ok", writers=tuple(map(validate.writer, writers)))
    operations = validate.records(found, Operation, source.hook)
    if len(operations) > 1:
        names = ", ".join(str(item.name) for item in operations)
        raise Unusable(f"one operation a file or entry point, not {len(operations)} ({names})")
    return Plugin(source, "ok", operation=validate.operation(next(iter(operations)), source))


def _import(source: Source) -> Any:
    if source.file is not None:
        return _import_file(source.file)
    found: Any = import_module(source.module or "")
    for name in (source.attribute or "").split("."):
        found = getattr(found, name) if name else found
    return found


def _import_file(path: str) -> Any:
    """Import a file as a module of a name that nothing else has, so that two files of one stem don't meet."""
    from importlib.machinery import ModuleSpec, SourceFileLoader
    from importlib.util import module_from_spec

    full = os.path.abspath(path)
    name = f"svgfit_plugin:{full}"
    spec = ModuleSpec(name, SourceFileLoader(name, path), origin=path)
    spec.has_location = True
    module = module_from_spec(spec)
    sys.modules[name] = module  # records look their module up there when they read annotations
    try:
        if spec.loader is not None:
            spec.loader.exec_module(module)
    except BaseException:
        del sys.modules[name]
        raise
    return module


def _ask(plugin: Any, source: Source, manager: pluggy.PluginManager) -> object:
    """Call the one hook that the plug-in's name announces; raise Unusable where it has none, or others."""
    manager.register(plugin, name=f"{source.origin}:{source.name}:{source.where}")
    callers = manager.get_hookcallers(plugin) or []
    specified = {name for name in vars(hookspecs) if name.startswith("svgfit_")}
    names = sorted(caller.name for caller in callers)
    if unknown := [name for name in names if name not in specified]:
        raise Unusable(f"there is no hook {unknown[0]}; the hooks are {', '.join(sorted(specified))}")
    if not names:
        raise Unusable(f"it supplies nothing: a function {source.hook} marked @hookimpl is needed")
    if names != [source.hook]:
        other = next(name for name in names if name != source.hook)
        raise Unusable(
            f"a plug-in named {source.name} supplies {source.hook} only, not {other}: put that into a file of its own, "
            "whose name begins with dialect, recognise, measure, reader or writer, or is the operation's"
        )
    others = [known for known in manager.get_plugins() if known is not plugin]
    answers = manager.subset_hook_caller(source.hook, others)()
    return answers[0] if answers else None
