"""What plug-ins look at beyond one piece: own checks, and measurements of the garment of a size. Piece frames, mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from svgfit.fitting.measure import given_twice
from svgfit.model.checker import Checker, GarmentMeasurer, LoadedGarmentMeasurer, Looked, Subject
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, spell_edges
from svgfit.model.report import Check, Measurement
from svgfit.model.vocabulary import is_of_kinds


def own_checks(
    pieces: tuple[Piece, ...], seams: Sequence[Seam], checkers: Sequence[Checker], units: Units
) -> tuple[Check, ...]:
    """Do the checks of plug-ins on the pieces of one size; each verdict is named with what it is of."""
    if not checkers:
        return ()
    whole = Subject(pieces=pieces, seams=tuple(seams), unit=units.unit)
    return tuple(
        replace(check, name=f"{check.name}{of}", message=units.speak(check.message))
        for checker in checkers
        for of, subject in subjects(checker, whole)
        for check in checker.check(subject)
    )


def measure_garment(
    pieces: tuple[Piece, ...], seams: Sequence[Seam], measurers: Sequence[GarmentMeasurer], units: Units
) -> tuple[Measurement, ...]:
    """Measure across the pieces of one size; refuse where two plug-ins give one name, and name both."""
    whole = Subject(pieces=pieces, seams=tuple(seams), unit=units.unit)
    found: dict[str, tuple[str, Measurement]] = {}
    for measurer in measurers:
        for item in measurer.measure(whole):
            loaded = isinstance(measurer, LoadedGarmentMeasurer)
            who, switch = (measurer.who, measurer.switch) if loaded else (f"measurer {measurer.name!r}", "")
            if item.name in found:
                raise given_twice("garment", str(item.name), (found[item.name][0], who), switch)
            found[item.name] = who, item
    return tuple(item for _, item in found.values())


def subjects(checker: Checker, whole: Subject) -> Iterable[tuple[str, Subject]]:
    """Give what a checker looks at, and how that is written behind a verdict's name."""
    size = f" (size {whole.size})" if whole.size else ""
    if checker.of == Looked.PIECE:
        for piece in whole.pieces:
            if is_of_kinds(piece.kind, checker.kinds):
                yield f", {piece.title}", replace(whole, piece=piece)
    elif checker.of == Looked.SEAM:
        names = {piece.name for piece in whole.pieces}
        for seam in whole.seams:
            if all(name in names for name, _ in (*seam.a, *seam.b)):
                yield f", {spell_edges(seam.a)}{size}", replace(whole, seam=seam)
    else:
        yield size, whole
