"""Import one plug-in, ask its hooks and validate what came back; all under a guard."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterable
from importlib import import_module, invalidate_caches
from threading import RLock
from types import FunctionType, ModuleType
from typing import TYPE_CHECKING, Any, TypeVar

import pluggy
from msgspec import Struct

from svgfit.model.checker import Checker, GarmentMeasurer, SeamFinder
from svgfit.model.dialect import Dialect
from svgfit.model.file_format import Reader, Writer
from svgfit.model.line_kind import LineKind
from svgfit.model.operation import PROJECT, Operation
from svgfit.model.raw_piece import Measurer, Recogniser
from svgfit.model.vocabulary import ANY_KIND, PieceKind
from svgfit.model.wording import closest_name, suggestion
from svgfit.plugin import hookspecs, source_text, validate
from svgfit.plugin.guard import Guard, PluginFault, Unusable, place_of, reason
from svgfit.plugin.sources import FOLDERS, OPERATIONS, Source, plain_name

if TYPE_CHECKING:
    from svgfit.plugin.sound_rules import TradeRule
    from svgfit.rules.ease import EaseRule

Record = TypeVar("Record", Operation, Dialect, Recogniser, Measurer, Checker, LineKind, SeamFinder, Reader, Writer)
_SETTLED = 2.0
"""Seconds after which a file's time of change tells one version of it from another (bytecode files have whole ones)."""
_HOOKS = tuple(sorted(name for name in vars(hookspecs) if name.startswith(source_text.HOOK_NAMES)))
_LOADING = RLock()
"""Held while a plug-in is imported and asked for its records; one that asks for another holds it twice."""


class Plugin(Struct, frozen=True):
    """A plug-in after it was looked at."""

    source: Source
    status: str
    """"ok", "off" or "failed: why"."""
    operations: tuple[Operation, ...] = ()
    dialects: tuple[Dialect, ...] = ()
    recognisers: tuple[Recogniser, ...] = ()
    measurers: tuple[Measurer, ...] = ()
    garment_measurers: tuple[GarmentMeasurer, ...] = ()
    checkers: tuple[Checker, ...] = ()
    line_kinds: tuple[LineKind, ...] = ()
    seam_finders: tuple[SeamFinder, ...] = ()
    ease_rules: tuple[EaseRule, ...] = ()
    trade_rules: tuple[TradeRule, ...] = ()
    """What it says of the rules of the trade beside ease by style."""
    readers: tuple[Reader, ...] = ()
    writers: tuple[Writer, ...] = ()
    fault: PluginFault | None = None
    broken: tuple[tuple[str, PluginFault], ...] = ()
    """Operations of its hook that can't be used, by name, where others can."""
    slips: tuple[str, ...] = ()
    """What of it is never used, and was most likely meant to be: functions that seem hooks, kinds that no piece has."""

    @property
    def supplies(self) -> str:
        """Say for people what it gives, by name; of rules of the trade what they say, lengths marked."""
        kinds = (
            ("operation", "operations", self.operations),
            ("dialect", "dialect", self.dialects),
            ("recogniser", "recogniser", self.recognisers),
            ("measurements", "measurements", (*self.measurers, *self.garment_measurers)),
            ("check", "checks", self.checkers),
            ("line", "lines", self.line_kinds),
            ("seams", "seams", self.seam_finders),
            ("ease", "ease", self.ease_rules),
            ("reader", "reader", self.readers),
            ("writer", "writer", self.writers),
        )
        parts = [
            f"{one if len(records) == 1 else more} {', '.join(record.name for record in records)}"
            for one, more, records in kinds
            if records
        ]
        parts += [f"rule {rule.words}" for rule in self.trade_rules]
        return "; ".join(parts) or self.source.name

    def operation(self, name: str) -> Operation | None:
        """Return its operation of that plain name; None where it has none."""
        return next((one for one in self.operations if plain_name(one.name) == name), None)


class OwnPlugins:
    """The plug-ins among ``sources`` that are not svgfit's: their files, and a way to have them read anew.

    ``folders``: the folders of plug-ins that a person named.
    """

    def __init__(self, sources: Iterable[Source], folders: Iterable[str] = ()) -> None:
        self._sources = tuple(source for source in sources if source.origin != "stock")
        self._folders = tuple(folders)

    @property
    def files(self) -> tuple[str, ...]:
        """Every file of theirs, as found and as it really lies, with its whole path."""
        paths = [file for source in self._sources for file in source.files()]
        return tuple(dict.fromkeys(path for file in paths for path in (os.path.abspath(file), os.path.realpath(file))))

    @property
    def folders(self) -> tuple[str, ...]:
        """Every folder, there or not, in which a plug-in or a file of one may come or go, with its whole path."""
        places = [os.path.join(folder, inside) for folder in self._folders for inside in ("", *FOLDERS)]
        places += [place for source in self._sources if source.folder for place, _, _ in os.walk(source.folder)]
        kept = (place for place in places if os.path.basename(place) != "__pycache__")
        return tuple(dict.fromkeys(os.path.abspath(place) for place in kept))

    def forget(self) -> None:
        """Have installed packages imported anew; a file in a folder is, by each registry for itself."""
        outermost = {source.module.partition(".")[0] for source in self._sources if source.module}
        for name in [name for name in sys.modules if name.partition(".")[0] in outermost]:
            del sys.modules[name]


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


def unknown_kinds(plugin: Plugin, recognised: Callable[[], Iterable[str]]) -> tuple[str, ...]:
    """Say of each kind of piece that a plug-in names and nobody gives: what is for it is never used.

    ``recognised`` names the kinds that recognisers give; it is asked only where a kind is none of svgfit's own.
    """
    known = {*map(str, PieceKind), ANY_KIND}
    groups = (("operation", plugin.operations), ("measurer", plugin.measurers), ("check", plugin.checkers))
    named = [(f"{what} {one.name}", kind) for what, records in groups for one in records for kind in one.kinds]
    if all(kind in known for _, kind in named):
        return ()
    known.update(recognised())
    there = f"the kinds are {', '.join(sorted(known))}"
    lost = ((who, kind, suggestion(closest_name(kind, known), there)) for who, kind in named if kind not in known)
    return tuple(
        f"{who} is for pieces of kind {kind!r}, which no recogniser gives; {todo}"
        for who, kind, todo in dict.fromkeys(lost)
    )


def _load(source: Source, manager: pluggy.PluginManager) -> Plugin:
    plugin = _import(source)
    validate.written_for(getattr(plugin, "SVGFIT_API", None))
    slips = _slips(plugin, source)
    found = _ask(plugin, source, manager, slips)

    def of(kind: type[Record], check: Callable[[Record], Record], hook: str = "") -> tuple[Record, ...]:
        hook = hook or f"svgfit_{kind.__name__.lower()}s"
        return tuple(map(check, validate.records(found[hook], kind, hook))) if hook in found else ()

    ease, others = _rules(found["svgfit_rules"]) if "svgfit_rules" in found else ((), ())
    given = validate.records(found[OPERATIONS], Operation, OPERATIONS) if OPERATIONS in found else ()
    operations, broken = _operations(given, source, alone=len(found) + len(slips) == 1)
    measurers = validate.measurers(found["svgfit_measurers"]) if "svgfit_measurers" in found else ()
    return Plugin(
        source,
        "ok",
        operations=operations,
        broken=broken,
        slips=slips,
        dialects=of(Dialect, validate.dialect),
        recognisers=of(Recogniser, validate.recogniser),
        measurers=tuple(one for one in measurers if isinstance(one, Measurer)),
        garment_measurers=tuple(one for one in measurers if isinstance(one, GarmentMeasurer)),
        checkers=of(Checker, validate.checker, "svgfit_checks"),
        line_kinds=of(LineKind, validate.line_kind, "svgfit_line_kinds"),
        seam_finders=of(SeamFinder, validate.seam_finder, "svgfit_seams"),
        ease_rules=ease,
        trade_rules=others,
        readers=of(Reader, validate.reader),
        writers=of(Writer, validate.writer),
    )


def _rules(found: Any) -> tuple[tuple[EaseRule, ...], tuple[TradeRule, ...]]:
    from svgfit.plugin.sound_rules import sound_rules  # here because few plug-ins speak of rules

    return sound_rules(found)


def _operations(
    given: tuple[Operation, ...], source: Source, *, alone: bool
) -> tuple[tuple[Operation, ...], tuple[tuple[str, PluginFault], ...]]:
    """Keep the operations that can be used, and say of each other where it is made and why not.

    Raises Unusable, with the same words, where there is no other, or nothing that is told apart.
    """
    good: list[Operation] = []
    broken: list[tuple[str, PluginFault]] = []
    names = [one.name for one in given]
    for k, one in enumerate(given):
        try:
            made = validate.operation(one)
            if names.count(one.name) > 1:
                raise Unusable("there twice")
            good.append(made)
        except (Unusable, TypeError, AttributeError, ValueError) as fault:  # records hold whatever was given them
            name = str(one.name)
            lines = [made for made in source_text.operations_made(source.files()) if made.name == name]
            places = [source_text.line_of(made.line, made.file, source.folder) for made in lines]
            at = f" ({' and '.join(places)})" if places else ""
            if isinstance(fault, Unusable) and not source.is_package and len(given) == 1:
                raise Unusable(f"{reason(fault)}{at}", fault.made_in) from None
            twice = f"operation {name} is there twice{at}"
            why = twice if names.count(one.name) > 1 else f"operation {name}{at}: {reason(fault)}"
            made_in = fault.made_in if isinstance(fault, Unusable) else None
            why += f" ({place})" if (place := place_of(made_in, source.folder or source.code)) else ""
            if names.index(one.name) == k:
                told = PluginFault(source.name, source.where, why, source.folder or source.code, made_in)
                told.__cause__ = fault
                broken.append((plain_name(name), told))
    if broken and not good and alone:
        raise Unusable("; ".join(fault.why for _, fault in broken))
    return validate.operations(tuple(good), source, alone=alone and not broken), tuple(broken)


def _import(source: Source) -> Any:
    if source.file is not None:
        return import_file(source.file, source.folder)
    found: Any = import_module(source.module or "")
    for name in (source.attribute or "").split("."):
        found = getattr(found, name) if name else found
    return found


def import_file(path: str, package: str | None) -> Any:
    """Import a file as a module of a name that nothing else has, so that two files of one stem don't meet.

    ``package``: the folder of which the file is the ``__init__.py``; its other files can be imported relative to it,
    and are read anew.
    """
    from importlib.machinery import ModuleSpec, SourceFileLoader
    from importlib.util import module_from_spec

    class Loader(SourceFileLoader):
        def set_data(self, path: str, data: Any, *, _mode: int = 0o666) -> None:  # pyright: ignore[reportIncompatibleMethodOverride]
            """Keep no bytecode of a file just written: another version in the same second would pass for it."""
            if time.time() - os.stat(self.path).st_mtime > _SETTLED:
                super().set_data(path, data, _mode=_mode)

    name = f"svgfit_plugin:{os.path.abspath(package or path)}"
    for known in [known for known in sys.modules if known.startswith(f"{name}.")]:
        del sys.modules[known]
    spec = ModuleSpec(name, Loader(name, path), origin=path, is_package=package is not None)
    if package is not None and spec.submodule_search_locations is not None:
        spec.submodule_search_locations.append(package)
        invalidate_caches()  # a file that was added since the folder was last looked into
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


def _slips(plugin: Any, source: Source) -> tuple[str, ...]:
    """Say of each function that has a hook's name, or nearly one, and no mark, that it is passed over."""
    members = vars(plugin) if isinstance(plugin, ModuleType) else {}
    found: list[str] = []
    for name, one in sorted(members.items()):
        if not name.startswith(source_text.HOOK_NAMES) or not isinstance(one, FunctionType):
            continue
        if f"{PROJECT}_impl" not in vars(one) and not one.__module__.startswith("svgfit."):
            code = one.__code__
            at = source_text.line_of(code.co_firstlineno, code.co_filename, source.folder)
            other = f", and there is no hook of that name: {_nearest_hook(name)}" if name not in _HOOKS else ""
            found.append(f"function {name} ({at}) is passed over, since it is not marked @hookimpl{other}")
    return tuple(found)


def _nearest_hook(name: str) -> str:
    return suggestion(closest_name(name, _HOOKS), f"the hooks are {', '.join(_HOOKS)}")


def _ask(plugin: Any, source: Source, manager: pluggy.PluginManager, slips: tuple[str, ...]) -> dict[str, object]:
    """Call every hook that the plug-in has, by name; raise Unusable where it has none, or unknown ones."""
    manager.register(plugin, name=f"{source.origin}:{source.name}:{source.where}")
    callers = manager.get_hookcallers(plugin) or []
    names = sorted(caller.name for caller in callers)
    if unknown := [name for name in names if name not in _HOOKS]:
        code = getattr(getattr(plugin, unknown[0], None), "__code__", None)
        at = f" ({source_text.line_of(code.co_firstlineno, code.co_filename, source.folder)})" if code else ""
        raise Unusable(f"there is no hook {unknown[0]}{at}; {_nearest_hook(unknown[0])}")
    if not names and slips:
        raise Unusable(f"it supplies nothing: {'; '.join(slips)}")
    if not names:
        raise Unusable(f"it supplies nothing: a function {source.hook} marked @hookimpl is needed")
    others = [known for known in manager.get_plugins() if known is not plugin]
    answers = {name: manager.subset_hook_caller(name, others)() for name in names}
    return {name: found[0] if found else None for name, found in answers.items()}
