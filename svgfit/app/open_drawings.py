"""From files to pieces: convention, plug-ins, drawings, layers, recognition, seam map. Nothing is written here."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.foreign_files import convert_foreign, converted_drawing
from svgfit.app.ordered_map import for_each
from svgfit.app.own_rules import OwnRules, own_rules, told_allowances, with_own_ease, with_own_habits, with_own_matching
from svgfit.app.own_seams import with_kept_seams, with_own_seams
from svgfit.model.file_format import Converted, Wishes
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, Step
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import NoPiece, Refusal
from svgfit.model.wording import closest
from svgfit.pattern.adjusted_layer import kept_seams, rebuild_piece
from svgfit.pattern.assemble import assemble
from svgfit.pattern.convention import (
    Convention,
    PieceRule,
    Role,
    builtin_convention,
    find_convention,
    load_convention,
)
from svgfit.pattern.layer_patterns import name_key
from svgfit.pattern.layer_rows import LayerRow, list_names
from svgfit.pattern.recognise.choose import recognise
from svgfit.pattern.recognise.nest_sides import with_sides_of_nest
from svgfit.pattern.seam_map import seam_map
from svgfit.pattern.uneven_sizes import with_uneven_edges
from svgfit.plugin.registry import Registry, open_registry
from svgfit.svg import Drawing, ParsedFile, Tree, UnknownScale, parse_file, read_bytes, read_parsed

GUESSED = "guessed: "
"""Before what was guessed of a piece, as ``inspect`` has it too."""


class ReadingOptions(Struct, frozen=True):
    """How drawings are to be read."""

    scale: float | None = None
    """User units an inch; None: as the drawing says."""
    pages: tuple[int, int] | None = None
    """Columns and rows of the pages over which a PDF spreads one drawing; None: as the file shows."""
    overlap: float | None = None
    """By how much such pages overlap, mm; None: as the file shows."""
    size: str | None = None
    """The sizes of a nest to look at, separated by commas or blanks; None: all."""
    convention: str | None = None
    """Path of a convention; None: the ``svgfit.toml`` beside the drawings, else the built-in one."""
    plugins: tuple[str, ...] = ()
    """Folders of plug-ins."""
    without: tuple[str, ...] = ()
    """Plug-ins that are switched off."""
    from_adjusted: bool = False
    """Whether the outlines that svgfit adjusted before are looked at in place of the drawn ones."""
    to_stderr: bool = False
    """What plug-ins print goes to stderr: for a program that has its process, and its stdout, to itself."""
    only_stock: bool = False
    """Whether no plug-ins are loaded but svgfit's own."""
    step_timeout: float | None = None
    """Seconds after which the program is ended where a plug-in does not come back; None: never. For such a program."""

    @property
    def wishes(self) -> Wishes:
        """What readers of files that are no SVG are told."""
        return Wishes(scale=self.scale, pages=self.pages, overlap=self.overlap)


class Setup(Struct, frozen=True):
    """What holds for all drawings of a session: convention and plug-ins."""

    convention: Convention
    registry: Registry
    own: OwnRules = OwnRules()
    """What plug-ins say of the rules of the trade; none where no drawing is looked at."""

    @property
    def files(self) -> tuple[str, ...]:
        """The files of convention and plug-ins, which no output replaces."""
        where = self.convention.where
        return (*((where,) if os.path.isfile(where) else ()), *self.registry.files)


class ReadDrawings(Struct, frozen=True):
    """The drawings as read, their layers sorted, nothing recognised yet."""

    drawings: tuple[Drawing, ...]
    layers: tuple[LayerRow, ...]
    raw_pieces: tuple[DrawnPiece, ...]
    warnings: tuple[str, ...]
    guesses: tuple[str, ...] = ()
    """Those of the warnings that tell a guess on which figures rest."""
    other_sizes: tuple[DrawnPiece, ...] = ()
    """Pieces of a nest's sizes that are not looked at."""
    seams: tuple[Seam, ...] = ()
    """Seams that steps sewed, where what svgfit adjusted before is looked at."""


class LeftOut(Struct, frozen=True):
    """A piece that can't be made of what is drawn, while others can; refused only where it is asked for."""

    name: str
    refusal: Refusal


class PatternSet(Struct, frozen=True):
    """The pieces of all drawings and their seams."""

    read: ReadDrawings
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    warnings: tuple[str, ...]
    """All there is to mind; of the pieces, what was guessed and can change a figure."""
    guesses: tuple[str, ...]
    """Those of the warnings that tell a guess on which figures rest."""
    left_out: tuple[LeftOut, ...] = ()


def set_up(files: Sequence[str], options: ReadingOptions) -> Setup:
    """Load the convention and find the plug-ins for these files.

    Raises Refusal where a convention or a plug-in folder can't be read.
    """
    if options.convention is not None:
        convention = load_convention(options.convention)
    else:
        beside = find_convention(files)
        convention = load_convention(beside, found=True) if beside else builtin_convention()
    folders = (*options.plugins, convention.plugins) if convention.plugins else options.plugins
    registry = open_registry(
        folders,
        without=options.without,
        to_stderr=options.to_stderr,
        only_stock=options.only_stock,
        step_timeout=options.step_timeout,
    )
    return Setup(convention, registry)


def with_own_rules(setup: Setup) -> Setup:
    """Import what plug-ins say of the rules of the trade, for drawings. Raises Refusal where two contradict."""
    own = own_rules(setup.registry)
    return Setup(with_own_matching(setup.convention, own, setup.registry), setup.registry, own)


class DrawingStore:
    """The drawings of a session, each parsed once, and read once for each scale that is asked for.

    The one place where files are opened; it only ever grows.
    """

    def __init__(self, setup: Setup, data: Mapping[str, bytes] | None = None, wishes: Wishes | None = None) -> None:
        """Begin with nothing read.

        ``data``: bytes that stand for files, by name, which are never looked for on the disk. ``wishes``: for readers
        of files that are no SVG.
        """
        self._setup = setup
        self._data = dict(data or {})
        self._wishes = wishes or Wishes()
        self._converted: dict[str, Converted] = {}
        self._parsed: dict[str, ParsedFile] = {}
        self._read: dict[tuple[str, float | None], tuple[Drawing, Tree]] = {}

    def parsed(self, file: str) -> ParsedFile:
        """Return the file's bytes and tree. Raises Refusal for what is no readable SVG."""
        if file not in self._parsed:
            data = self._data[file] if file in self._data else read_bytes(file)
            wishes = replace(self._wishes, layers=self._setup.convention.numbered_layers())
            found = convert_foreign(file, data, self._setup.registry, wishes)
            if found is not None:
                self._converted[file], data = found, found.svg
            self._parsed[file] = parse_file(file, data)
        return self._parsed[file]

    def converted(self, file: str) -> Converted | None:
        """Return what a reader made of a file that is no SVG; None for SVG. Raises Refusal for what can't be read."""
        self.parsed(file)
        return self._converted.get(file)

    def read(self, file: str, scale: float | None) -> tuple[Drawing, Tree]:
        """Return the drawing at a scale (user units an inch), and the elements behind it.

        Raises Refusal for what can't be read.
        """
        key = (file, None if self.converted(file) else scale)
        if key not in self._read:
            self._read[key] = self._interpret(self.parsed(file), key[1])
        return self._read[key]

    def _interpret(self, parsed: ParsedFile, scale: float | None) -> tuple[Drawing, Tree]:
        convention = self._setup.convention
        found = self._converted.get(parsed.source.file)

        def is_test_square(path: tuple[str, ...]) -> bool:
            role = convention.role_of(path)
            return role is not None and role.role == Role.TEST_SQUARE

        def read(units: float | None) -> tuple[Drawing, Tree]:
            return read_parsed(
                parsed,
                scale=units,
                dialects=self._setup.registry.dialects(),
                is_test_square=is_test_square,
                test_square_mm=convention.test_square_size,
                size_from=found.scale_from if found is not None else None,
            )

        try:
            drawing, tree = read(scale)
        except UnknownScale as refusal:
            from svgfit.app.scale_evidence import TRIAL, refuse_unknown  # few drawings state no scale

            trial, _ = read(TRIAL)
            raise refuse_unknown(refusal, trial, convention) from None
        return (drawing if found is None else converted_drawing(drawing, found)), tree

    def fresh_copy(self, file: str, scale: float | None) -> tuple[Drawing, Tree]:
        """Read the drawing again over a copy of its tree, for one who changes what is printed of it."""
        from copy import deepcopy

        parsed = self.parsed(file)
        scale = None if self.converted(file) else scale
        return self._interpret(ParsedFile(parsed.source, deepcopy(parsed.root), parsed.svgfit_layers), scale)


def read_drawings(files: Sequence[str], store: DrawingStore, setup: Setup, options: ReadingOptions) -> ReadDrawings:
    """Read the drawings and sort their layers by role. Raises Refusal for what can't be read."""
    warnings = list(setup.convention.warnings)
    if options.scale is not None:
        _refuse_mixed(files, store)
    drawings = tuple(store.read(file, options.scale)[0] for file in files)
    layers = [(drawing.canvas.file, drawing.layers) for drawing in drawings]
    assembled = assemble(layers, setup.convention, size=options.size, from_adjusted=options.from_adjusted)
    doubts: list[str] = []
    seams: list[Seam] = []
    for drawing in drawings:
        if options.from_adjusted:
            kept, damaged = kept_seams(drawing.canvas.file, drawing.layers)
            seams += kept
            warnings += damaged
        doubtful = _scale_doubts(drawing, assembled.pieces, options)
        warnings += (*drawing.warnings, *doubtful)
        doubts += doubtful
    return ReadDrawings(
        drawings=drawings,
        layers=assembled.layers,
        raw_pieces=with_own_habits(assembled.pieces, setup.own),
        warnings=(*warnings, *assembled.warnings),
        guesses=(*doubts, *assembled.guesses),
        other_sizes=with_own_habits(assembled.other_sizes, setup.own),
        seams=tuple(dict.fromkeys(seams)),
    )


def _scale_doubts(drawing: Drawing, pieces: Sequence[DrawnPiece], options: ReadingOptions) -> tuple[str, ...]:
    """Warn of what speaks against the drawing's scale, where no test square says more than all else."""
    if drawing.has_square or options.from_adjusted:
        return ()
    from svgfit.app.scale_evidence import clues_of, doubts

    return doubts(drawing.canvas, clues_of(drawing.canvas, pieces), firm=options.scale is None)


def _refuse_mixed(files: Sequence[str], store: DrawingStore) -> None:
    """Raise Refusal where one scale is given for SVG drawings and for files of other kinds, which have their own."""
    foreign = [file for file in files if store.converted(file)]
    if foreign and len(foreign) < len(files):
        what = f"is given for drawings of different kinds: {foreign[0]} is no SVG"
        raise Refusal("--scale", what, "write that one down first: svgfit convert")


def recognise_pieces(read: ReadDrawings, setup: Setup) -> PatternSet:
    """Recognise every piece and find out what is sewn to what. Raises Refusal where a piece can't be told."""
    recognisers = setup.registry.recognisers()

    def known(raw: DrawnPiece) -> Piece | LeftOut:
        try:
            return rebuild_piece(raw) or _with_data(recognise(raw, recognisers), raw)
        except NoPiece as refusal:
            return LeftOut(raw.name, refusal)

    found = [piece for piece, _ in for_each(known, read.raw_pieces, setup.registry)]
    left_out = tuple(piece for piece in found if isinstance(piece, LeftOut))
    pairs = [(raw, piece) for raw, piece in zip(read.raw_pieces, found, strict=True) if not isinstance(piece, LeftOut)]
    if left_out and not pairs:
        raise left_out[0].refusal
    pieces = with_sides_of_nest(pairs, read.other_sizes, lambda raw: recognise(raw, recognisers))
    pieces = with_uneven_edges(pieces)
    _refuse_doubles(pieces)
    seams = with_kept_seams(seam_map(pieces, setup.convention), read.seams, pieces)
    if all(rule.ease is not None for rule in setup.convention.seams):  # else they hold, and nothing is inferred
        seams = with_own_seams(seams, pieces, setup.registry.seam_finders())
    seams = with_own_ease(seams, pieces, setup.own, setup.convention.where)
    doubtful = doubtful_rules(pieces, setup.convention)
    lost = [f"{each.refusal.parts[0]}: is left out: {each.refusal.reason}" for each in left_out]
    of_pieces = (*guess_warnings(pieces), *told_allowances(pairs, setup.own, setup.convention.where))
    warnings = (*read.warnings, *doubtful, *lost, *seams.warnings, *of_pieces)
    return PatternSet(read, pieces, seams.seams, warnings, (*read.guesses, *of_pieces), left_out)


def _with_data(piece: Piece, raw: DrawnPiece) -> Piece:
    """Keep what plug-ins keep with a piece where its outline had to be recognised anew, since it was redrawn."""
    return replace(piece, data=raw.attributes.data) if raw.attributes is not None and raw.attributes.data else piece


def refuse_left_out(left_out: Sequence[LeftOut], steps: Iterable[Step]) -> None:
    """Raise the Refusal of a piece that was left out where a step asks for it by name ("Sleeve", "Sleeve/cap")."""
    refusals = {name_key(each.name): each.refusal for each in left_out}
    for step in steps if refusals else ():
        looks = [*(wanted for _, wanted in step.measured), *([step.when] if step.when is not None else [])]
        texts = [step.piece or "", *(text for _, text in step.asked), *(wanted.of or "" for wanted in looks)]
        for part in (part for text in texts for part in re.split(r"[+,]", text)):
            refusal = refusals.get(name_key(part.rpartition("/")[0] or part))
            if refusal is not None:
                raise refusal.within(step.where) if step.where else refusal


def guess_warnings(pieces: Sequence[Piece]) -> tuple[str, ...]:
    """Tell the guesses that can change a figure, those that are the same for several pieces or sizes once."""
    found: dict[str, dict[str, None]] = {}
    for piece in pieces:
        for guess in piece.unsure:
            found.setdefault(guess, {}).setdefault(piece.title)
    return tuple(f"{list_names(titles)}: {GUESSED}{guess}" for guess, titles in found.items())


def spoken_pattern(found: PatternSet, units: Units) -> PatternSet:
    """Write what was guessed and what is warned of in the reader's unit."""

    def spoken(piece: Piece) -> Piece:
        if not piece.guessed:  # then there is no doubt either
            return piece
        doubt = piece.doubt and replace(
            piece.doubt, what=units.speak(piece.doubt.what), todo=units.speak(piece.doubt.todo)
        )
        guessed, unsure = (tuple(map(units.speak, texts)) for texts in (piece.guessed, piece.unsure))
        return replace(piece, guessed=guessed, unsure=unsure, doubt=doubt)

    pieces = tuple(map(spoken, found.pieces))
    warnings, guesses = (tuple(map(units.speak, texts)) for texts in (found.warnings, found.guesses))
    return replace(found, pieces=pieces, warnings=warnings, guesses=guesses)


def unread_outlines(read: ReadDrawings, options: ReadingOptions) -> tuple[str, ...]:
    """Warn of drawings whose adjusted outlines, written by an earlier run, are not looked at."""
    if options.from_adjusted:
        return ()
    return tuple(
        f"{drawing.canvas.file}: it holds outlines that svgfit adjusted before, but the drawn ones are looked at; "
        "--from adjusted looks at the adjusted ones"
        for drawing in read.drawings
        if any(layer.kind == "adjusted" for layer in drawing.svgfit_layers)
    )


def doubtful_rules(pieces: Sequence[Piece], convention: Convention) -> tuple[str, ...]:
    """Warn of what the convention says of pieces or edges that are not there but nearly so: a slip, most likely."""
    found: list[str] = []
    names = [piece.name for piece in pieces]
    for rule in convention.pieces:
        meant = [piece for piece in pieces if name_key(piece.name) == name_key(rule.name)]
        if not meant and "*" in rule.name:
            found.append(
                f'[pieces."{rule.name}"] in svgfit.toml is for a piece of that very name, and there is none; only '
                f'[pieces."*"] is for every piece, others are named: {", ".join(dict.fromkeys(names))}'
            )
            continue
        near = None if meant else closest(name_key(rule.name), map(name_key, names), 0.8)
        if near:
            name = next(name for name in names if name_key(name) == near)
            found.append(f"svgfit.toml speaks of a piece {rule.name!r}, which is not here; is {name} meant?")
        for piece in meant:
            found += [
                f"svgfit.toml gives {piece.name} a seam allowance for {edge!r}, which is no edge of it; "
                f"its edges are {', '.join(_edge_names([piece]))}"
                for edge in _idle_allowances(rule, [piece])
            ]
    for edge in _idle_allowances(convention.every_piece, pieces) if convention.every_piece else ():
        known = ", ".join(_edge_names(pieces))
        what = f"gives every piece a seam allowance for {edge!r}, which is no edge of any"
        found.append(f"svgfit.toml {what}; their edges are {known}")
    return tuple(found)


def _idle_allowances(rule: PieceRule, pieces: Sequence[Piece]) -> list[str]:
    """List the edges for which a rule states an allowance and which none of these pieces has."""
    names = _edge_names(pieces)
    return [
        edge
        for edge in rule.allowances
        if edge != "all" and not any(name == edge or name.startswith(f"{edge} ") for name in names)
    ]


def _edge_names(pieces: Sequence[Piece]) -> list[str]:
    return list(dict.fromkeys(edge.name for piece in pieces for edge in piece.edges))


def _refuse_doubles(pieces: Sequence[Piece]) -> None:
    seen: dict[tuple[str, str | None], Piece] = {}
    for piece in pieces:
        other = seen.setdefault((name_key(piece.name), piece.size and name_key(piece.size)), piece)
        if other is not piece:
            what = f"piece {piece.title} is there twice, in {other.file} and in {piece.file}"
            raise Refusal("", what, "give one drawing only, or rename the layers of one")
