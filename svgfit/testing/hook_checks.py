"""Every hook of a plug-in but its operations, tried on ready garments and drawings: what breaks its contract is a line.

What svgfit's own guard tells of a plug-in (an exception, a figure that can't be) is in the registry's warnings; here it
is seen to that every function is called, and what no guard looks at: that it gives the same twice, changes nothing in
place, and holds for a garment of which pieces are missing. Piece frames, mm.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.convert import convert
from svgfit.app.demo_folder import DRAWING, demo_folder
from svgfit.app.open_drawings import ReadingOptions, Setup
from svgfit.app.own_checks import subjects
from svgfit.app.own_seams import with_own_seams
from svgfit.app.session import Session, open_drawings
from svgfit.geometry.curve import Curve
from svgfit.model.checker import Subject
from svgfit.model.dialect import Dialect, Element
from svgfit.model.file_format import HEAD, Reader, Wishes
from svgfit.model.piece import Piece
from svgfit.model.raw_piece import DrawnPiece, Recogniser
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import is_of_kinds
from svgfit.pattern.convention import Convention
from svgfit.pattern.seam_map import SeamMap
from svgfit.plugin.guard import PluginFault
from svgfit.plugin.loading import Plugin as Loaded
from svgfit.plugin.registry import Registry
from svgfit.rules.ease import styles_with
from svgfit.svg import parse_file
from svgfit.testing.garments import Garment
from svgfit.testing.running import fault_of

Found = TypeVar("Found")
SIDE = 240.0
"""Length of the four-sided piece that recognisers are shown, mm; it is a quarter as high."""
_BAND = f"""<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="100mm" viewBox="0 0 400 100">
<g id="Band stitch line"><path id="line" d="M 20,20 H {20 + SIDE:g} V {20 + SIDE / 4:g} H 20 Z"/></g>
<g id="Band notches"><path id="notch" d="M 90,20 V 26"/></g></svg>"""
_NO_FILES = (b"", bytes(64), b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg"/>')
"""What no reader is to take for its own: nothing, zeros, an SVG."""


class Trial(Struct, frozen=True, kw_only=True):
    """What is tried, and on what."""

    loaded: Sequence[Loaded]
    registry: Registry
    garments: Sequence[Garment]
    files: Sequence[str] = ()
    """Drawings, or files of other kinds, that its dialects and readers know."""

    def names(self, pick: Callable[[Loaded], Iterable[object]]) -> frozenset[str]:
        """Name the records of one kind that the plug-in supplies itself."""
        return frozenset(str(getattr(record, "name", "")) for one in self.loaded for record in pick(one))


def hook_faults(trial: Trial) -> Iterator[str]:
    """Yield a line for each fault found; what the registry warns of is not among them."""
    for look in (
        _dialects, _recognisers, _measurers, _garment_measurers, _checkers, _seam_finders, _line_kinds, _rules,
        _readers, _writers,
    ):  # fmt: skip
        try:
            yield from look(trial)
        except (Refusal, PluginFault) as fault:
            yield line_of(fault)


def line_of(fault: Refusal | PluginFault) -> str:
    """Write a fault in one line."""
    return fault.line() if isinstance(fault, Refusal) else str(fault)


def prints(pieces: Iterable[Piece]) -> list[tuple[str, bytes]]:
    """Take down what the pieces hold, to tell whether anything was changed in them."""
    return [
        (piece.title, b"".join(curve.segments.tobytes() for curve in _curves(piece)) + repr(piece.landmarks).encode())
        for piece in pieces
    ]


def _curves(piece: Piece) -> Iterator[Curve]:
    yield from (edge.curve for edge in piece.edges)
    yield from (curve for mark in piece.marks for curve in mark.curves)


def _twice(
    who: str, place: str, pieces: Sequence[Piece], ask: Callable[[], Found], same: Callable[[Found], object] = repr
) -> Iterator[str]:
    """Ask twice, and yield what is wrong about it."""
    before = prints(pieces)
    first, again = ask(), ask()
    if prints(pieces) != before:
        yield f"{who}, {place}: it changes in place what it is given"
    if same(first) != same(again):
        yield f"{who}, {place}: asked twice, it does not give the same"


# -- drawings --------------------------------------------------------------------------------------------------------


def _demo(trial: Trial) -> Session:
    """Open the smock's drawing with the plug-ins that are tried."""
    found = open_drawings(os.path.join(demo_folder(), DRAWING))
    return Session(found.files, found.options, setup=Setup(found.setup.convention, trial.registry))


def _drawing(data: bytes, registry: Registry) -> Session:
    """Open a drawing that no file holds."""
    return Session(("drawing.svg",), ReadingOptions(), data={"drawing.svg": data}, setup=Setup(Convention(), registry))


def _dialects(trial: Trial) -> Iterator[str]:
    mine = trial.names(lambda one: one.dialects)
    found = [one for one in trial.registry.dialects() if one.name in mine] if mine else []
    drawings = {"smock.svg": Path(demo_folder(), DRAWING).read_bytes(), "band.svg": _BAND.encode()}
    drawings |= {file: Path(file).read_bytes() for file in trial.files}
    for name, data in drawings.items() if found else ():
        try:
            root = parse_file(name, data).root
        except Refusal:
            continue  # a file that only a reader knows
        for dialect in found:
            try:
                yield from _dialect(dialect, name, root)
            except PluginFault as fault:
                yield f"dialect {dialect.name}, {name}: {fault}"


def _dialect(dialect: Dialect, name: str, root: Element) -> Iterator[str]:
    def elements() -> list[tuple[object, ...]]:
        return [(one.tag, tuple(one.attrib.items()), one.text) for one in root.iter()]

    def asked() -> list[object]:
        if not dialect.speaks(root):
            return []
        every = [one for one in root.iter() if isinstance(one.tag, str)]
        return [(dialect.layer(one), dialect.extra is not None and dialect.extra(one)) for one in every]

    before = elements()
    first, again = asked(), asked()
    if elements() != before:
        yield f"dialect {dialect.name}, {name}: it changes the drawing that it reads"
    if first != again:
        yield f"dialect {dialect.name}, {name}: asked twice, it does not give the same"


# -- pieces ----------------------------------------------------------------------------------------------------------


def _drawn(trial: Trial, kinds: Iterable[str]) -> list[DrawnPiece]:
    """Give the demo's pieces as drawn, and a four-sided one: by its own name, and named after each of the kinds."""
    (plain,) = _drawing(_BAND.encode(), trial.registry).read.raw_pieces
    named = [replace(plain, name=kind.capitalize()) for kind in kinds]
    stated = [replace(one, kind=kind) for kind, one in zip(kinds, named, strict=True)]
    return [*_demo(trial).read.raw_pieces, plain, *named, *stated]


def _recognised(recogniser: Recogniser, drawn: DrawnPiece) -> Piece | None:
    """Recognise a piece where the recogniser is sure of it at all; None where it is not, or refuses."""
    if recogniser.suits(drawn) <= 0:
        return None
    try:
        return recogniser.recognise(drawn)
    except Refusal as refusal:
        if fault_of(refusal) is not None:
            raise
        return None


def _recognisers(trial: Trial) -> Iterator[str]:
    mine = trial.names(lambda one: one.recognisers)
    for recogniser in trial.registry.recognisers() if mine else ():
        if recogniser.name not in mine:
            continue
        for drawn in _drawn(trial, recogniser.kinds):
            try:
                found = [_recognised(recogniser, drawn) for _ in range(2)]
            except Refusal as refusal:
                yield f"recogniser {recogniser.name}: {refusal.line()}"
                continue
            first, again = (prints([one] if one is not None else []) for one in found)
            if first != again:
                yield f"recogniser {recogniser.name}, {drawn.name}: asked twice, it does not give the same"


def _own_pieces(trial: Trial) -> list[Piece]:
    """Give pieces of the kinds that the plug-in itself recognises, as far as the ready drawings show one."""
    mine = trial.names(lambda one: one.recognisers)
    found: list[Piece] = []
    for recogniser in trial.registry.recognisers() if mine else ():
        for drawn in _drawn(trial, recogniser.kinds) if recogniser.name in mine else ():
            try:
                piece = _recognised(recogniser, drawn)
            except Refusal:
                continue  # told where recognisers are tried
            found += [piece] if piece is not None else []
    return found


def _measurers(trial: Trial) -> Iterator[str]:
    mine = trial.names(lambda one: one.measurers)
    pieces = [*(piece for each in trial.garments for piece in each.pieces), *(_own_pieces(trial) if mine else ())]
    for measurer in trial.registry.measurers() if mine else ():
        for piece in pieces if measurer.name in mine else ():
            if is_of_kinds(piece.kind, measurer.kinds):
                who = f"measurer {measurer.name}"
                yield from _twice(who, piece.title, [piece], lambda m=measurer, p=piece: tuple(m.measure(p)))


# -- garments --------------------------------------------------------------------------------------------------------


def _wholes(trial: Trial) -> Iterator[tuple[str, Subject]]:
    """Give each garment, and each of its pieces alone: what needs others must say nothing there, not break."""
    for garment in trial.garments:
        yield "the garment", Subject(pieces=garment.pieces, seams=garment.seams)
        if len(garment.pieces) > 1:
            for piece in garment.pieces:
                yield f"a garment of {piece.title} alone", Subject(pieces=(piece,))


def _garment_measurers(trial: Trial) -> Iterator[str]:
    mine = trial.names(lambda one: one.garment_measurers)
    for measurer in trial.registry.garment_measurers() if mine else ():
        for place, whole in _wholes(trial) if measurer.name in mine else ():
            who = f"measurer {measurer.name}"
            yield from _twice(who, place, whole.pieces, lambda m=measurer, w=whole: tuple(m.measure(w)))


def _checkers(trial: Trial) -> Iterator[str]:
    mine = trial.names(lambda one: one.checkers)
    for checker in trial.registry.checkers() if mine else ():
        for place, whole in _wholes(trial) if checker.name in mine else ():
            for of, subject in subjects(checker, whole):
                where = of.lstrip(", ") or place
                who = f"check {checker.name}"
                yield from _twice(who, where, whole.pieces, lambda c=checker, s=subject: tuple(c.check(s)))


def _seam_finders(trial: Trial) -> Iterator[str]:
    mine = trial.names(lambda one: one.seam_finders)
    for finder in trial.registry.seam_finders() if mine else ():
        plain = next((name for name in mine if f"plug-in {name} (" in finder.name), finder.name)
        if not any(finder.name.startswith(f"plug-in {one.source.name} (") for one in trial.loaded):
            continue
        for place, whole in _wholes(trial):
            yield from _twice(f"seams {plain}", place, whole.pieces, lambda f=finder, w=whole: tuple(f.find(w.pieces)))
            yield from with_own_seams(SeamMap(whole.seams), whole.pieces, [finder]).warnings


def _line_kinds(trial: Trial) -> Iterator[str]:
    if trial.names(lambda one: one.line_kinds):
        trial.registry.line_kinds()
    yield from ()


def _rules(trial: Trial) -> Iterator[str]:
    if any(one.ease_rules for one in trial.loaded):
        styles_with(rule for _, rule in trial.registry.ease_rules())
    if any(one.trade_rules for one in trial.loaded):
        trial.registry.trade_rules()
    yield from ()


# -- files -----------------------------------------------------------------------------------------------------------


def _readers(trial: Trial) -> Iterator[str]:
    mine = trial.names(lambda one: one.readers)
    for reader in trial.registry.readers() if mine else ():
        if reader.name not in mine:
            continue
        for data, what in zip(_NO_FILES, ("an empty file", "a file of zeros", "an SVG"), strict=True):
            if reader.suits(data):
                yield f"reader {reader.name}: it takes {what} for its own"
        for file in trial.files:
            try:
                yield from _reader(reader, file, Path(file).read_bytes(), trial.registry)
            except Refusal as refusal:
                yield f"reader {reader.name}: {refusal.line()}"


def _reader(reader: Reader, file: str, data: bytes, registry: Registry) -> Iterator[str]:
    if not reader.suits(data[:HEAD]):
        return
    found = [reader.read(file, data, Wishes()) for _ in range(2)]
    if found[0] != found[1]:
        yield f"reader {reader.name}, {file}: asked twice, it does not give the same"
    try:
        _drawing(found[0].svg, registry).read  # noqa: B018  it is read when asked for
    except Refusal as refusal:
        yield f"reader {reader.name}, {file}: what it gives back can't be read: {refusal.line()}"


def _writers(trial: Trial) -> Iterator[str]:
    mine = trial.names(lambda one: one.writers)
    session = _demo(trial) if mine else None
    for writer in trial.registry.writers() if session is not None else ():
        if writer.name not in mine or session is None:
            continue
        try:
            found = [convert(session, writer) for _ in range(2)]
        except Refusal as refusal:
            if fault_of(refusal) is not None:
                yield f"writer {writer.name}: {refusal.line()}"
            continue
        if found[0] != found[1]:
            yield f"writer {writer.name}, {DRAWING}: asked twice, it does not give the same bytes"
