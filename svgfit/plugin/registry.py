"""The plug-ins of one run: found once, imported only when asked for, each under its own guard."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable
from contextlib import contextmanager
from itertools import combinations
from threading import RLock, local
from typing import TYPE_CHECKING, TypeVar

from msgspec.structs import replace

from svgfit.model.checker import Checker, GarmentMeasurer, SeamFinder
from svgfit.model.dialect import Dialect, Element, LayerFacts
from svgfit.model.file_format import Converted, Convertible, Reader, Wishes, Writer
from svgfit.model.instructions import StepFacts, Words, general_words
from svgfit.model.line_kind import LineKind, alike
from svgfit.model.operation import Operation
from svgfit.model.piece import Piece
from svgfit.model.raw_piece import DrawnPiece, Measurer, Recogniser
from svgfit.model.refusal import Refusal
from svgfit.model.wording import name_key
from svgfit.plugin import guarding, sound_results, validate
from svgfit.plugin.guard import Guard, PluginFault
from svgfit.plugin.loading import Plugin, load, new_manager, unknown_kinds
from svgfit.plugin.second_clock import SecondClock
from svgfit.plugin.sources import OPERATIONS, Source, find_sources, plain_name, version_text
from svgfit.plugin.unfound import MEND, nearest, no_operation

if TYPE_CHECKING:
    from svgfit.plugin.sound_rules import TradeRule
    from svgfit.rules.ease import EaseRule

Rule = TypeVar("Rule", "EaseRule", "TradeRule")

Named = TypeVar(
    "Named",
    Dialect,
    Recogniser,
    Measurer,
    GarmentMeasurer,
    Checker,
    LineKind,
    SeamFinder,
    Reader,
    Writer,
)


class Registry:
    """Plug-ins by name. Build one a run, with ``open_registry``; nothing about it is global.

    What it has imported it keeps, so that asking twice gives the same records; faults met on the way are in
    ``warnings``. Threads may share one. ``to_stderr``, ``step_timeout``, ``interrupts``: see ``Guard``.
    """

    def __init__(
        self,
        sources: Iterable[Source],
        without: Iterable[str] = (),
        *,
        to_stderr: bool = False,
        step_timeout: float | None = None,
        interrupts: bool = False,
    ) -> None:
        self._to_stderr = to_stderr
        self._step_timeout = step_timeout
        self._second_clock = SecondClock()
        self._interrupts = interrupts
        self._lock = RLock()
        self._per_thread = local()
        self._sources = tuple(sorted(sources, key=lambda source: (source.name, source.origin, source.where)))
        self._without = tuple(without)
        self._manager = new_manager()
        self._loaded: dict[str, Plugin] = {}
        self._warnings: dict[str, None] = {
            f"{one.where} is used in place of the same plug-in in {one.instead_of}": None
            for one in self._sources
            if one.instead_of
        }
        for text in self._without:
            if not any(source.answers_to(text) for source in self._sources) and not self._names_operation(text):
                names = [source.name for source in self._sources]
                raise Refusal("--without", f"there is no plug-in {text!r}", nearest(text, names, "the plug-ins are"))

    @property
    def warnings(self) -> tuple[str, ...]:
        """One line for each fault of a plug-in that svgfit could do without."""
        return tuple(self._warning_log())

    @property
    def sources(self) -> tuple[Source, ...]:
        """Where every plug-in lies, whether or not it is used."""
        return self._sources

    @property
    def files(self) -> tuple[str, ...]:
        """The files of plug-ins, whether or not they are used."""
        return tuple(file for source in self._sources for file in source.files())

    def operation_names(self) -> tuple[str, ...]:
        """List the operations that are there and not switched off, in alphabetical order.

        Imports only plug-ins that may hold operations of other names than their own.
        """
        names = {name for source in self._used(OPERATIONS) for name in self._operations_of(source)}
        return tuple(sorted(name for name in names if self._homes(name)))

    def switched_off(self) -> tuple[str, ...]:
        """Return the names of operations that are there, but switched off, in alphabetical order."""
        used = self.operation_names()
        there = [source for source in self._sources if OPERATIONS in source.hooks]
        names = {name for source in there for name in self._operations_of(source)}
        return tuple(sorted(name for name in names if name not in used))

    def source(self, name: str) -> Source:
        """Find where the operation of that name comes from; refuse an unknown name, and one that two plug-ins claim."""
        plain = plain_name(name)
        found = self._homes(plain)
        if len(found) > 1:
            what = f"operation {plain} is there {len(found)} times: {_places(found)}"
            raise Refusal("", what, _one_of_them(found, plain))
        if found:
            return found[0]
        if any(plain in self._operations_of(source) for source in self._sources if OPERATIONS in source.hooks):
            raise Refusal("", f"operation {plain} is switched off", "leave out --without")
        faults = [self._load(source).fault for source in self._used() if source.name == plain]
        if fault := next((each for each in faults if each is not None), None):
            raise Refusal("", str(fault), MEND) from fault
        own = [self._load(source) for source in self._used(OPERATIONS) if source.origin != "stock"]
        refusal, fault = no_operation(name, own, self._sound_names)
        raise refusal from fault

    def _sound_names(self) -> list[str]:
        """List the operations there are, but for those of plug-ins that can't be loaded."""
        return [each for each in self.operation_names() if all(map(self._is_sound, self._homes(each)))]

    def _is_sound(self, source: Source) -> bool:
        """Tell whether a plug-in can be loaded; svgfit's own can."""
        return source.origin == "stock" or self._load(source).fault is None

    def operation(self, name: str) -> Operation:
        """Import the operation of that name. Refuse as ``source`` does, or a failed one."""
        plugin = self._load(self.source(name))
        found = plugin.operation(plain_name(name))
        if found is None:
            fault = plugin.fault
            why = str(fault) if fault else f"plug-in {name} gives no operation"
            raise Refusal("", why, MEND) from fault
        return found

    def made_by(self, name: str) -> str:
        """Name the plug-in that does an operation, and its version; "" for svgfit's own, and where there is none."""
        try:
            return version_text(self.source(name))
        except Refusal:
            return ""

    def measured_by(self, *, garment: bool) -> str:
        """Name the plug-ins that measure pieces, or else the garment, and their versions; "" where none do."""
        found = [
            version_text(source)
            for source in self._used("svgfit_measurers")
            if (self._load(source).garment_measurers if garment else self._load(source).measurers)
        ]
        return ", ".join(sorted(filter(None, found)))

    def operations(self) -> tuple[Operation, ...]:
        """Import every operation, by name; one that failed is left out with a warning."""
        found: list[Operation] = []
        for fault in self.operation_faults():
            self.warn(str(fault))
        for name in self.operation_names():
            try:
                found.append(self.operation(name))
            except Refusal as refusal:
                self.warn(refusal.parts[1])
        return tuple(found)

    def operation_faults(self) -> tuple[PluginFault, ...]:
        """Say of plug-ins that may hold several operations what can't be used of them, whole ones among it."""
        loaded = [self._load(source) for source in self._used(OPERATIONS) if source.several]
        whole = [plugin.fault for plugin in loaded if plugin.fault is not None]
        return (*whole, *(fault for plugin in loaded for _, fault in plugin.broken))

    def dialects(self) -> tuple[Dialect, ...]:
        """Import the dialects, by their order, then name. One that throws raises PluginFault with its name."""
        found = self._records("svgfit_dialects", lambda plugin: plugin.dialects, self._guard_dialect)
        return tuple(sorted(found, key=lambda dialect: (dialect.order, dialect.name)))

    def recognisers(self) -> tuple[Recogniser, ...]:
        """Import the recognisers, by name; one whose ``suits`` throws is never sure, and a warning says so."""
        return self._records("svgfit_recognisers", lambda plugin: plugin.recognisers, self._guard_recogniser)

    def measurers(self) -> tuple[Measurer, ...]:
        """Import the measurers, by name; one that throws measures nothing, and a warning says so."""
        return self._records("svgfit_measurers", lambda plugin: plugin.measurers, self._guard_measurer)

    def garment_measurers(self) -> tuple[GarmentMeasurer, ...]:
        """Import the measurers of whole garments, by name; one that throws measures nothing, and a warning says so."""
        return self._records("svgfit_measurers", lambda plugin: plugin.garment_measurers, self._guard_garment_measurer)

    def checkers(self) -> tuple[Checker, ...]:
        """Import the checkers, by name; one that throws finds nothing, and a warning says so."""
        return self._records("svgfit_checks", lambda plugin: plugin.checkers, self._guard_checker)

    def line_kinds(self) -> tuple[LineKind, ...]:
        """Import plug-ins' kinds of annotation lines, by name; two that look alike without colour are warned of."""
        found = self._records("svgfit_line_kinds", lambda plugin: plugin.line_kinds, lambda kind, source: kind)
        for one, other in combinations(found, 2):
            if alike(one, other):
                self.warn(f"the lines {one.name!r} and {other.name!r} of plug-ins look alike where there is no colour")
        return found

    def seam_finders(self) -> tuple[SeamFinder, ...]:
        """Import the finders of seams, by name; one that throws finds nothing, and a warning says so."""
        return self._records("svgfit_seams", lambda plugin: plugin.seam_finders, self._guard_seam_finder)

    def ease_rules(self) -> tuple[tuple[str, EaseRule], ...]:
        """Import what plug-ins say of ease by style, each with its plug-in's name and file; refuse one style twice."""
        return self._rules(lambda plugin: plugin.ease_rules, "style")

    def trade_rules(self) -> tuple[tuple[str, TradeRule], ...]:
        """Import their other rules of the trade likewise; refuse one rule twice, with both places."""
        return self._rules(lambda plugin: plugin.trade_rules, "the rule")

    def _rules(self, pick: Callable[[Plugin], tuple[Rule, ...]], what: str) -> tuple[tuple[str, Rule], ...]:
        found: list[tuple[Source, Rule]] = []
        for source in self._used("svgfit_rules"):
            plugin = self._load(source)
            if plugin.fault:
                self.warn(str(plugin.fault))
            found += [(source, rule) for rule in pick(plugin)]
        for (one, rule), (other, again) in combinations(found, 2):
            if name_key(rule.name) == name_key(again.name):
                both = [one, other]
                raise Refusal("", f"{what} {again.name!r} is there twice: {_places(both)}", _one_of_them(both))
        return tuple((self.guard(source).who, rule) for source, rule in sorted(found, key=lambda pair: pair[1].name))

    def readers(self) -> tuple[Reader, ...]:
        """Import the readers of files that are no SVG, by name; a ``suits`` that throws says no, with a warning."""
        return self._records("svgfit_readers", lambda plugin: plugin.readers, self._guard_reader)

    def writers(self) -> tuple[Writer, ...]:
        """Import the writers of files, by name. One that throws is refused with its name."""
        return self._records("svgfit_writers", lambda plugin: plugin.writers, self._guard_writer)

    def all(self) -> tuple[Plugin, ...]:
        """Import every plug-in and return it with its status; those that share a name are ``failed``."""
        looked: list[Plugin] = []
        for source in self._sources:
            if source not in self._used():
                looked.append(Plugin(source, "off"))
                continue
            same = [other for other in self._used(source.hook) if other.name == source.name and _has_its_name(other)]
            if len(same) > 1 and source in same:
                looked.append(Plugin(source, f"failed: the name is there {len(same)} times: {_places(same)}"))
            else:
                plugin = self._load(source)
                looked.append(plugin if plugin.fault else self._without_clashes(plugin))
                looked += [Plugin(source, f"failed: {fault.why}", fault=fault) for _, fault in plugin.broken]
        return tuple(looked)

    def _without_clashes(self, plugin: Plugin) -> Plugin:
        """Return the plug-in, failed where another one has an operation of a name of its own; what is off left out."""
        kept: list[Operation] = []
        for one in plugin.operations:
            homes = self._homes(one.name)
            if plugin.source in homes and len(homes) > 1:
                what = f"failed: operation {one.name} is there {len(homes)} times: {_places(homes)}"
                return Plugin(plugin.source, what)
            kept += [one] if plugin.source in homes else []
        return replace(plugin, operations=tuple(kept))

    def without(self, name: str) -> Registry:
        """Return a registry of the same plug-ins with one more switched off."""
        return Registry(
            self._sources,
            (*self._without, name),
            to_stderr=self._to_stderr,
            step_timeout=self._step_timeout,
            interrupts=self._interrupts,
        )

    def warn(self, text: str) -> None:
        """Keep a warning, once."""
        self._warning_log().setdefault(text)

    @contextmanager
    def collecting_warnings(self) -> Generator[dict[str, None], None, None]:
        """Collect this thread's warnings in the dict it yields, instead of here: the caller keeps those that count."""
        outer, found = self._warning_log(), dict[str, None]()
        self._per_thread.warnings = found
        try:
            yield found
        finally:
            self._per_thread.warnings = outer

    def guard(self, source: Source) -> Guard:
        """Make the guard under which a plug-in's code is to run."""
        stock = source.origin == "stock"
        file = source.folder or source.code
        second = None if stock or self._interrupts else self._second_clock
        limit = self._step_timeout
        return Guard(source.name, source.where, file, self._to_stderr, stock, limit, second, self._interrupts)

    # -- inside -------------------------------------------------------------------------------------------------

    def _warning_log(self) -> dict[str, None]:
        """Return the dict that this thread's warnings go into."""
        return getattr(self._per_thread, "warnings", self._warnings)

    def _used(self, hook: str | None = None) -> list[Source]:
        """List the plug-ins that are not switched off and may implement ``hook``."""
        return [
            source
            for source in self._sources
            if (hook is None or hook in source.hooks) and not any(source.answers_to(text) for text in self._without)
        ]

    def _names_operation(self, text: str) -> bool:
        """Tell whether ``text`` (``--without``) means one operation of a plug-in that holds several."""
        several = (source for source in self._sources if source.several)
        pairs = ((source, name) for source in several for name in self._operations_of(source))
        return any(source.answers_to(text, operation=name) for source, name in pairs)

    def _operations_of(self, source: Source) -> tuple[str, ...]:
        """Name a plug-in's operations, switched off or not; one that is not imported by the plug-in's name."""
        return tuple(one.name for one in self._load(source).operations) if source.several else (source.name,)

    def _homes(self, name: str) -> list[Source]:
        """List the plug-ins that have an operation of that plain name, neither of them switched off."""
        return [
            source
            for source in self._used(OPERATIONS)
            if name in self._operations_of(source)
            and not any(source.answers_to(text, operation=name) for text in self._without)
        ]

    def _load(self, source: Source) -> Plugin:
        with self._lock:
            if source.where not in self._loaded:
                loaded = load(source, self._manager, self.guard(source))
                told = tuple(
                    one if one.instructions.words is None else self._guard_words(one, source)
                    for one in loaded.operations
                )
                loaded = self._loaded[source.where] = replace(loaded, operations=told)
                unknown = unknown_kinds(loaded, lambda: (kind for one in self.recognisers() for kind in one.kinds))
                self._loaded[source.where] = replace(loaded, slips=(*loaded.slips, *unknown))
            for slip in self._loaded[source.where].slips:
                self.warn(f"{self.guard(source).who}: {slip}")
            return self._loaded[source.where]

    def _records(
        self,
        hook: str,
        pick: Callable[[Plugin], tuple[Named, ...]],
        guard: Callable[[Named, Source], Named],
    ) -> tuple[Named, ...]:
        found: dict[str, tuple[Named, Source]] = {}
        for source in self._used(hook):
            plugin = self._load(source)
            if plugin.fault:
                self.warn(str(plugin.fault))
            for record in pick(plugin):
                known = found.get(record.name)
                if known is not None:
                    both = [known[1], source]
                    raise Refusal("", f"{record.name!r} is there twice: {_places(both)}", _one_of_them(both))
                found[record.name] = record, source
        return tuple(guard(record, source) for record, source in (found[name] for name in sorted(found)))

    def _guard_recogniser(self, record: Recogniser, source: Source) -> Recogniser:
        guard = self.guard(source)

        def suits(piece: DrawnPiece) -> float:
            try:
                return guard.run(lambda: sound_results.sureness(record.suits(piece)))
            except PluginFault as fault:
                self.warn(f"{piece.where}: {fault}")
                return 0.0

        def recognise(piece: DrawnPiece) -> Piece:
            try:
                return guard.run(lambda: sound_results.recognised(record.recognise(piece), piece, record.kinds))
            except PluginFault as fault:
                raise fault.refusal(piece.where, f"--without {source.name} goes on without it") from fault

        return replace(record, suits=suits, recognise=recognise)

    def _guard_measurer(self, record: Measurer, source: Source) -> Measurer:
        return guarding.measurer(record, self.guard(source), self.warn)

    def _guard_garment_measurer(self, record: GarmentMeasurer, source: Source) -> GarmentMeasurer:
        return guarding.garment_measurer(record, self.guard(source), self.warn)

    def _guard_seam_finder(self, record: SeamFinder, source: Source) -> SeamFinder:
        return guarding.seam_finder(record, self.guard(source), self.warn)

    def _guard_checker(self, record: Checker, source: Source) -> Checker:
        return guarding.checker(record, self.guard(source), self.warn)

    def _guard_reader(self, record: Reader, source: Source) -> Reader:
        guard = self.guard(source)

        def suits(head: bytes) -> bool:
            try:
                return guard.run(lambda: bool(record.suits(head)))
            except PluginFault as fault:
                self.warn(str(fault))
                return False

        def read(file: str, data: bytes, wishes: Wishes) -> Converted:
            try:
                return guard.run(lambda: sound_results.converted(record.read(file, data, wishes)))
            except PluginFault as fault:
                raise fault.refusal(file) from fault

        return replace(record, suits=suits, read=read)

    def _guard_writer(self, record: Writer, source: Source) -> Writer:
        guard = self.guard(source)

        def write(drawing: Convertible) -> bytes:
            try:
                return guard.run(lambda: sound_results.written(record.write(drawing)))
            except PluginFault as fault:
                raise fault.refusal(drawing.file) from fault

        return replace(record, write=write)

    def _guard_words(self, record: Operation, source: Source) -> Operation:
        """Put general words, and a warning, in place of teaching words that throw."""
        guard, made = self.guard(source), record.instructions.words
        assert made is not None

        def words(facts: StepFacts) -> Words:
            try:
                return guard.run(lambda: validate.words(made(facts)))
            except (PluginFault, Refusal) as fault:
                self.warn(str(fault))
                return general_words(facts)

        return replace(record, instructions=replace(record.instructions, words=words))

    def _guard_dialect(self, record: Dialect, source: Source) -> Dialect:
        guard = self.guard(source)

        def speaks(root: Element) -> bool:
            return guard.run(lambda: bool(record.speaks(root)))

        def layer(element: Element) -> LayerFacts | None:
            return guard.run(lambda: sound_results.layer_facts(record.layer(element)), watch=False)

        def extra(element: Element) -> bool:
            ask = record.extra
            return ask is not None and guard.run(lambda: bool(ask(element)), watch=False)

        return replace(record, speaks=speaks, layer=layer, extra=extra if record.extra is not None else None)


def open_registry(
    folders: Iterable[str] = (),
    *,
    without: Iterable[str] = (),
    stock: str | None = None,
    to_stderr: bool = False,
    only_stock: bool = False,
    step_timeout: float | None = None,
) -> Registry:
    """Find the plug-ins of the stock folder, of installed packages and of the given folders; import none.

    ``without`` switches some off. ``to_stderr``: what plug-ins print goes to stderr, for a program that has its process
    to itself. ``only_stock``: those of svgfit alone. ``step_timeout``: seconds after which such a program is ended
    where a plug-in does not come back. Raises Refusal where a folder can't be read or a name in ``without`` is unknown.
    """
    sources = find_sources(folders, stock=stock, only_stock=only_stock)
    return Registry(sources, without, to_stderr=to_stderr, step_timeout=step_timeout)


def _places(sources: Iterable[Source]) -> str:
    return " and ".join(source.where for source in sources)


def _one_of_them(sources: list[Source], name: str = "") -> str:
    which = f"{sources[0].origin}:{name or sources[0].name}"
    return f"remove one of them, or switch it off, for example with --without '{which}'"


def _has_its_name(source: Source) -> bool:
    """Tell whether what a plug-in supplies is of one kind, and known by the plug-in's name."""
    return len(source.hooks) == 1 and not source.several
