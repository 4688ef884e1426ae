"""A session: drawings opened once, and all that can be asked of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from os import PathLike, fspath
from typing import TYPE_CHECKING, Any, TypeVar, cast

from msgspec.structs import replace

from svgfit.app.nest import sizes
from svgfit.app.open_drawings import (
    DrawingStore,
    PatternSet,
    ReadDrawings,
    ReadingOptions,
    Setup,
    read_drawings,
    recognise_pieces,
    refuse_left_out,
    set_up,
    spoken_pattern,
    unread_outlines,
    with_own_rules,
)
from svgfit.app.output_paths import refuse_same_inputs
from svgfit.app.own_rules import seam_limits
from svgfit.app.parameter_values import check_closed
from svgfit.app.prepared_steps import prepare
from svgfit.app.run import NO_STEPS, PatternContext, Run, run_sizes
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan, Seam
from svgfit.model.refusal import Refusal, speaking_in
from svgfit.model.report import Check, PieceRow, Report
from svgfit.model.run import piece_rows
from svgfit.model.vocabulary import Unit
from svgfit.pattern.convention import Convention
from svgfit.plugin.registry import Registry
from svgfit.svg import Drawing, SvgfitLayer, Tree

if TYPE_CHECKING:
    from svgfit.app.walks import Walked
    from svgfit.model.advice import Advice
    from svgfit.model.body import Person

Answer = TypeVar("Answer")


def open_drawings(
    *files: str | PathLike[str],
    convention: str | PathLike[str] | None = None,
    scale: float | None = None,
    pages: tuple[int, int] | None = None,
    overlap: float | None = None,
    size: str | None = None,
    plugins: str | PathLike[str] | Iterable[str | PathLike[str]] = (),
    without: str | Iterable[str] = (),
    from_adjusted: bool = False,
    unit: Unit | str | None = None,
) -> Session:
    """Open drawings and recognise their pieces; several drawings make one set of pieces.

    Args:
        files: the drawings: SVG files, gzipped or not, or of another kind that a plug-in reads.
        convention: which layer names mean what; None: the ``svgfit.toml`` beside the drawings, else the built-in one.
        scale: user units an inch, for a drawing that does not say.
        pages: columns and rows of the pages over which a PDF spreads one drawing, where it can't be found out.
        overlap: by how much such pages overlap, mm, likewise.
        size: the sizes of a nest to look at, such as "12" or "10,12"; None: all.
        plugins: folders of plug-ins.
        without: plug-ins that are switched off.
        from_adjusted: whether the outlines that svgfit adjusted before are taken in place of the drawn ones.
        unit: "in", "mm" or "cm", how reports and labels speak; None: the convention's.

    Raises:
        Refusal: for what can't be read or told, with file, layer and element, and what to do.
        TypeError: where no drawing is given, or several as one list.
    """
    _check_paths(files)
    if unit is not None and unit not in tuple(Unit):
        raise Refusal("unit", f"{unit!r} is no unit of reports", f"choose one of {', '.join(Unit)}")
    options = ReadingOptions(
        scale=scale,
        pages=pages,
        overlap=overlap,
        size=size or None,
        convention=None if convention is None else fspath(convention),
        plugins=tuple(_several(plugins)),
        without=tuple(_several(without)),
        from_adjusted=from_adjusted,
    )
    session = Session([fspath(file) for file in files], options, None if unit is None else Unit(unit))
    _ = session.pattern
    return session


def _check_paths(files: Sequence[object]) -> None:
    """Raise TypeError where no path is given, or something else: a script is not held by its types."""
    if not files or not all(isinstance(file, (str, PathLike)) for file in files):
        raise TypeError("open_drawings takes paths one after another: open_drawings('front.svg', 'back.svg') or *paths")


def _several(given: str | PathLike[str] | Iterable[str | PathLike[str]]) -> list[str]:
    """Take one for several: a text alone is one name, not its letters."""
    return [fspath(given)] if isinstance(given, (str, PathLike)) else [fspath(one) for one in given]


class Session:
    """Drawings opened once: their bytes, trees, layers, pieces and seams; what depends on them is worked out once.

    Nothing is read before it is asked for, so that a mistake in a plan is told before a drawing is opened. A session is
    for one thread; several may be open at a time.
    """

    def __init__(
        self,
        files: Sequence[str],
        options: ReadingOptions,
        unit: Unit | None = None,
        *,
        other_unit: bool = False,
        decimals: bool = False,
        data: Mapping[str, bytes] | None = None,
        setup: Setup | None = None,
    ) -> None:
        """Find the convention and the plug-ins; the drawings are read when they are asked for.

        Args:
            files: the drawings' paths.
            options: how they are read.
            unit: how people are spoken to; None: as the convention says.
            other_unit: whether lengths have the other unit beside them.
            decimals: whether inches have their decimal beside them.
            data: bytes that stand for files, by name, in place of those on the disk.
            setup: convention and plug-ins that are known already.

        Raises:
            Refusal: for a drawing given twice, and for a convention or a plug-in folder that can't be read.
        """
        refuse_same_inputs(files)
        self.files: tuple[str, ...] = tuple(files)
        self.options: ReadingOptions = options
        self.setup: Setup = setup or with_own_rules(set_up(files, options))
        self.units: Units = Units(unit or Unit(self.setup.convention.unit), other_unit, decimals)
        self._unit = unit
        self._store = DrawingStore(self.setup, data, options.wishes)
        self._family: dict[tuple[tuple[str, ...], ReadingOptions], Session] = {(self.files, self.options): self}
        self._latest: list[tuple[str, ...]] = [()]
        self._answers: dict[Callable[[Session], Any], Any] = {}

    def __repr__(self) -> str:
        """Show the names of the drawings."""
        return f"<svgfit.Session of {', '.join(self.files)}>"

    def narrowed(self, files: Sequence[str] | None = None, options: ReadingOptions | None = None) -> Session:
        """Look at some of the drawings, or at all of them read in another way, without opening any again.

        Convention and plug-ins stay, whatever ``options`` says of them.
        """
        key = (self.files if files is None else tuple(files), options or self.options)
        if key not in self._family:
            other = Session.__new__(Session)
            other.files, other.options = key
            other.setup, other.units, other._unit, other._store = self.setup, self.units, self._unit, self._store
            other._family, other._latest, other._answers = self._family, self._latest, {}
            self._family[key] = other
        return self._family[key]

    def looking_at(self, *, adjusted: bool) -> Session:
        """Look at the outlines that svgfit adjusted before, or at the drawn ones."""
        return self.narrowed(options=replace(self.options, from_adjusted=adjusted))

    def on_bytes(self, data: Mapping[str, bytes], options: ReadingOptions) -> Session:
        """Open other bytes under the same files' names, with the same convention and plug-ins."""
        units = self.units
        if self._states_its_scale:
            options = replace(options, scale=None)
        return Session(
            self.files,
            options,
            units.unit,
            other_unit=units.other,
            decimals=units.decimals,
            data=data,
            setup=self.setup,
        )

    # -- what was opened ----------------------------------------------------------------------------------------------

    @property
    def inputs(self) -> tuple[str, ...]:
        """Every file that is read: drawings, convention, plug-ins. No output may replace one."""
        return (*self.files, *self.setup.files)

    @property
    def convention(self) -> Convention:
        """Which layer names mean what."""
        return self.setup.convention

    @property
    def registry(self) -> Registry:
        """The plug-ins."""
        return self.setup.registry

    def svgfit_layers(self, file: str) -> tuple[SvgfitLayer, ...]:
        """Return the layers that svgfit wrote into a drawing; no scale is needed for it."""
        return self._store.parsed(file).svgfit_layers

    def is_converted(self, file: str) -> bool:
        """Say whether a file is no SVG, so that a reader made the drawing of it, in mm."""
        return self._store.converted(file) is not None

    def notes(self, file: str) -> tuple[str, ...]:
        """Say how a file that is no SVG was read; nothing for SVG."""
        found = self._store.converted(file)
        return tuple(map(self.units.speak, found.notes)) if found is not None else ()

    @property
    def _states_its_scale(self) -> bool:
        """Whether the drawings were turned into SVG, so that a scale given for the files is used already."""
        return self.options.scale is not None and all(self._store.converted(file) for file in self.files)

    def drawing(self, file: str) -> Drawing:
        """Return a drawing by itself, whatever is in it: no piece is looked for."""
        return self._store.read(file, self.options.scale)[0]

    def tree(self, file: str) -> Tree:
        """Return the elements behind a drawing, which nobody may change."""
        return self._store.read(file, self.options.scale)[1]

    @property
    def only_drawing(self) -> tuple[Drawing, Tree]:
        """The drawing of a session that has one, and the elements behind it. Raises Refusal where it has several."""
        if len(self.files) != 1:
            raise Refusal(", ".join(self.files), "a picture shows one drawing", "open them one after another")
        return self._store.read(self.files[0], self.options.scale)

    def fresh_copy(self, file: str) -> tuple[Drawing, Tree]:
        """Return a drawing and a copy of its elements that the caller may change."""
        return self._store.fresh_copy(file, self.options.scale)

    @cached_property
    def read(self) -> ReadDrawings:
        """The drawings as read and their layers by role. Raises Refusal for what can't be read."""
        self._latest[0] = ()
        with speaking_in(self.units):
            found = read_drawings(self.files, self._store, self.setup, self.options)
        found = replace(found, warnings=tuple(map(self.units.speak, found.warnings)))
        self._latest[0] = found.warnings
        return found

    @cached_property
    def pattern(self) -> PatternSet:
        """The pieces and their seams. Raises Refusal where a piece can't be told for what it is."""
        self._latest[0] = self.read.warnings
        with speaking_in(self.units):
            found = spoken_pattern(recognise_pieces(self.read, self.setup), self.units)
        self._latest[0] = found.warnings
        return found

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces of all drawings, in all sizes that are looked at."""
        return self.pattern.pieces

    @property
    def seams(self) -> tuple[Seam, ...]:
        """Which edges are sewn to which."""
        return self.pattern.seams

    @property
    def drawings(self) -> tuple[Drawing, ...]:
        """The drawings, in the order in which they were given."""
        return self.read.drawings

    @property
    def size_groups(self) -> tuple[tuple[Piece, ...], ...]:
        """The pieces of each size of a nest; one group where there are no sizes."""
        return sizes(self.pieces)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What there is to mind about the drawings, the plug-ins, and adjusted outlines that are not looked at."""
        return (*self.pattern.warnings, *map(self.units.speak, self.registry.warnings), *self.unread)

    def guesses(self) -> tuple[str, ...]:
        """Tell the guesses on which figures of the pieces rest; nothing where what is drawn can't be told for pieces.

        For what is also made of drawings that can't be measured.
        """
        try:
            return self.pattern.guesses
        except Refusal:
            return ()

    @property
    def warnings_so_far(self) -> tuple[str, ...]:
        """What was found to mind up to now: where what follows is refused, often the cause."""
        return (*self._latest[0], *map(self.units.speak, self.registry.warnings))

    @property
    def unread(self) -> tuple[str, ...]:
        """Warnings of adjusted outlines that are not looked at."""
        return unread_outlines(self.read, self.options)

    def check_closed(self) -> None:
        """Raise Refusal, with the gap and its place, where the outline of a piece is not closed."""
        with speaking_in(self.units):
            for piece in self.pieces:
                check_closed(piece, self.registry)

    # -- what can be asked --------------------------------------------------------------------------------------------

    def prepare(self, plan: Plan) -> None:
        """Raise Refusal for what is wrong with a plan whatever the pieces are: operations, parameters, values."""
        with speaking_in(self.units):
            prepare(plan, self.registry)

    def run(self, plan: Plan) -> Run:
        """Run a plan on the pieces of every size; nothing is written.

        Raises:
            Refusal: for a step that can't be done.
            TypeError: for what is no plan.
        """
        if not isinstance(plan, Plan):  # pyright: ignore[reportUnnecessaryIsInstance]  what a script may hand over
            raise TypeError(
                f"a Plan is needed, not {type(plan).__name__}: Plan.from_steps, .from_toml or .read make one"
            )
        return self._run(plan, cut=True)

    def _run(self, plan: Plan, *, cut: bool) -> Run:
        with speaking_in(self.units):
            refuse_left_out(self.pattern.left_out, plan.steps)
            return Run(self.context, plan, run_sizes(self.context, plan, cut=cut))

    @cached_property
    def context(self) -> PatternContext:
        """The drawings understood, as runs hold them."""
        options = replace(self.options, scale=None) if self._states_its_scale else self.options
        return PatternContext(self.files, options, self.setup, self.units, self.pattern)

    @cached_property
    def unchanged(self) -> Run:
        """The pieces as they are, measured: a run without steps."""
        return self._run(NO_STEPS, cut=False)

    def once(self, question: Callable[[Session], Answer]) -> Answer:
        """Ask a question of this session and keep the answer, so that asking again costs nothing."""
        if question not in self._answers:
            self._answers[question] = question(self)
        return cast("Answer", self._answers[question])

    def measurements(self) -> tuple[PieceRow, ...]:
        """Measure every piece; lengths in mm on the stitch line.

        Raises Refusal where an outline is not closed.
        """
        self.check_closed()
        return tuple(row for run in self.unchanged.sizes for row in piece_rows(run))

    def check(self) -> tuple[Check, ...]:
        """Compare every seam, stitch line against stitch line, and do plug-ins' own checks.

        Raises Refusal where an outline is not closed.
        """
        from svgfit.app.seam_checks import seam_checks

        self.check_closed()
        limits = seam_limits(self.convention, self.registry)
        found = tuple(
            check
            for run in self.unchanged.sizes
            for check in seam_checks(
                run.after, run.seams, self.units, tolerance=limits.careful, workable=limits.workable
            )
        )
        found += self.unchanged.own_checks
        drawn = self._as_drawn()
        if drawn is None:
            return found
        from svgfit.app.origins import ADJUSTING, Doing, with_origins

        return with_origins(found, drawn.check(), Doing(ADJUSTING, self.units, softens=False))

    def _as_drawn(self) -> Session | None:
        """Give the same pieces before they were adjusted; None where these are they, or can't be read."""
        if not self.options.from_adjusted:
            return None
        drawn = self.looking_at(adjusted=False)
        try:
            drawn.check_closed()
        except Refusal:
            return None
        return drawn

    def walk(self, style: str | None = None) -> Walked:
        """Walk every sleeve along its armhole, from notch to notch, and compare every other seam.

        Args:
            style: what is sewn, such as "shirt"; None: as the convention says.

        Raises:
            Refusal: for an unknown style, an open outline, and where no sleeve can be walked.
        """
        from svgfit.app.walks import rules_of, walk_all

        rules = rules_of(self.convention, self.registry, style, mends=True)
        self.check_closed()
        with speaking_in(self.units):
            walked = walk_all(self.size_groups, self.seams, rules, self.units)
        walked = replace(walked, checks=(*walked.checks, *self.unchanged.own_checks))
        drawn = self._as_drawn()
        if drawn is None:
            return walked
        from svgfit.app.origins import ADJUSTING, Doing, walked_with_origins

        try:
            was = drawn.walk(style)
        except Refusal:
            return walked
        return walked_with_origins(walked, was, Doing(ADJUSTING, self.units, softens=False))

    def advise(
        self, person: Person, *, style: str | None = None, sleeve: str | None = None, choices: Sequence[str] = ()
    ) -> Advice:
        """Hold the pattern against a person's measures: what to change, in a fitter's order, and what it costs.

        Args:
            person: measures and wishes; ``svgfit.read_body`` reads them from a body sheet.
            style: which kind of garment it is, such as "shirt"; None: as the person's sheet or the convention says.
            sleeve: which sleeve, where there are several.
            choices: ways that are picked, such as "bicep: height kept".

        Raises:
            Refusal: where nothing can be told, with what to add.
        """
        from svgfit.app.advice.advise import advise, set_up

        context, pieces = set_up(
            person,
            self.pieces,
            self.seams,
            self.registry,
            self.convention,
            style=style,
            unit=self._unit,
            sleeve=sleeve,
            choices=choices,
        )
        return advise(context, pieces)

    def report(self, *, checks: Iterable[Check] = (), warnings: Iterable[str] = ()) -> Report:
        """Make the report of the pieces as they are, with further checks and warnings."""
        return self.unchanged.report_with(checks=checks, warnings=(*self.unread, *warnings))
