"""Annotate drawings with what runs gave: gather what each drawing needs, draw it, splice it in."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.open_drawings import PatternSet
from svgfit.app.side_effects import also_texts
from svgfit.app.walk_strips import walks_for
from svgfit.model.length import Units
from svgfit.model.piece import Piece, edge_pairs, paired
from svgfit.model.plan import Seam
from svgfit.model.report import WHOLE, Annotation, Check
from svgfit.model.run import SizeRun, garment_rows, not_done_texts, piece_rows
from svgfit.model.vocabulary import AnnotationKind
from svgfit.pattern.adjusted_layer import adjusted_pieces, dropped_pieces
from svgfit.pattern.allowance import allowance_line
from svgfit.pattern.convention import Convention
from svgfit.pattern.cut_line import Told, cut_line, tell_cut
from svgfit.render.annotate.layers import draw_layers
from svgfit.render.annotate.scene import ADJUSTED, LAYERS, MEASUREMENTS, WORKING, Scene
from svgfit.svg import Drawing, SvgfitLayer, free_name, kept_layers, splice


class Annotating(Struct, frozen=True):
    """How runs are drawn into their drawings."""

    plan: str = ""
    """The plan's text, kept with the measurements."""
    discard_edits: bool = False
    going_on: bool = False
    """Whether the runs went on from outlines adjusted before."""
    walked: tuple[Check, ...] | None = None
    """Where it is given nothing was changed, and only the measurements come new: the walks, and these checks. A plan
    that stands in the drawing stays."""
    names_sizes: bool = False
    """Whether a size names itself on its lines although it is alone."""
    note: str = ""
    """What the plan's writer says of it."""


class Annotated(Struct, frozen=True):
    """The bytes of each drawing with our layers put in, and what is to be warned of."""

    drawings: tuple[bytes, ...]
    warnings: tuple[str, ...]
    redrawn: tuple[str, ...] = ()
    """Where makers' cut lines were drawn anew, a sentence a piece: no fault, but to be known."""

    def spoken_in(self, units: Units) -> Annotated:
        """Write what there is to say in the reader's unit."""
        warnings, redrawn = (tuple(map(units.speak, texts)) for texts in (self.warnings, self.redrawn))
        return replace(self, warnings=warnings, redrawn=redrawn)


def annotate(
    pattern: PatternSet, convention: Convention, units: Units, runs: Sequence[SizeRun], how: Annotating
) -> Annotated:
    """Draw our layers into every drawing of the pattern."""
    shown = LAYERS if how.walked is None else (MEASUREMENTS,)
    written: list[bytes] = []
    warnings: list[str] = []
    redrawn: list[str] = []
    for drawing in pattern.read.drawings:
        stays = kept_layers(drawing, discard_edits=how.discard_edits)
        scene = _scene(drawing, convention, units, runs, stays, going_on=how.going_on)
        file = drawing.canvas.file
        walks = walks_for(file, runs, pattern.seams, units, every=how.walked is not None)
        scene = replace(scene, walks=walks, shown=shown, plan=how.plan, names_sizes=how.names_sizes, note=how.note)
        if how.walked is not None:
            standing = next((layer.plan for layer in reversed(drawing.svgfit_layers) if layer.plan), None)
            scene = replace(scene, checks=how.walked, plan=standing or "")
        drawn = draw_layers(scene)
        if ADJUSTED in shown:
            told = _told_of_cuts(scene, runs)
            warnings += (*_without_cut_line(scene), *(note for one in told for note in one.notes))
            redrawn += (one.redrawn for one in told if one.redrawn)
        written.append(splice(drawing, drawn.layers, discard_edits=how.discard_edits, kinds=shown))
        todo = "it is kept beside the new one; --discard-edits replaces it"
        todo += "" if how.going_on else ", --from adjusted goes on from it"
        warnings += [f'{file}: layer "{layer.name}" was edited since svgfit wrote it: {todo}' for layer in stays]
        warnings += drawn.warnings
        warnings += _lost_outlines(drawing, convention, scene) if how.going_on else ()
    return Annotated(tuple(written), tuple(warnings), tuple(redrawn))


def _without_cut_line(scene: Scene) -> Iterable[str]:
    """Warn of each piece that is drawn without its cut line, since an allowance is not known."""
    for piece, cut in zip(scene.after, scene.cut_after, strict=True):
        if cut is None and any(edge.allowance is None for edge in piece.edges):
            yield (
                f"{piece.where}: no cut line is drawn, since its seam allowance is not known; say it in "
                f"svgfit.toml beside the drawing: {allowance_line(piece.name, ())}"
            )


def _told_of_cuts(scene: Scene, runs: Sequence[SizeRun]) -> list[Told]:
    """Say what there is to say of the cut lines that are drawn."""
    known = {title: found for run in runs for title, found in run.redrawn.items()}
    pairs = zip(scene.after, scene.cut_after, strict=True)
    return [tell_cut(piece, known.get(piece.title)) for piece, cut in pairs if cut is not None]


def _scene(
    drawing: Drawing,
    convention: Convention,
    units: Units,
    runs: Sequence[SizeRun],
    stays: Sequence[SvgfitLayer],
    *,
    going_on: bool,
) -> Scene:
    """Put together what the annotation of one drawing needs: of its pieces, those that a step worked on, else all.

    Where a plan went on from adjusted outlines, those that it left alone too: the new layer takes the old one's place.
    """
    file = drawing.canvas.file
    pairs = [pair for run in runs for pair in paired(run.before, run.after) if pair[1].file == file]
    pairs = list({(old.name, old.size): (old, new) for old, new in pairs}.values())
    worked = {step.piece for run in runs for step in run.steps}
    before = _adjusted_before(drawing, convention) if going_on else ()
    drawn = {piece.key for run in runs for piece in run.before}
    chosen = [
        (old, new)
        for old, new in pairs
        if new is not old or old.title in worked or new.key not in drawn or (old.name, old.size) in before
    ] or pairs
    titles = {old.title for old, _ in chosen}
    cuts = {title: cut for run in runs for title, cut in run.cut_lines.items()}
    staying = {layer.name for layer in stays}
    drawn_layers = [layer for layer in drawing.layers if layer.ours is None or layer.path[0] in staying]
    return Scene(
        canvas=drawing.canvas,
        before=tuple(old for old, _ in chosen),
        after=tuple(new for _, new in chosen),
        cut_after=tuple(cuts[new.title] if new.title in cuts else cut_line(new) for _, new in chosen),
        rows=(
            *(row for run in runs for row in piece_rows(run) if row.file == file),
            *(replace(row.as_piece, name=f"the {WHOLE}") for row in garment_rows(runs)),
        ),
        openings=tuple(item for run in runs for item in run.openings if item.piece in titles),
        annotations=(
            *(item for run in runs for item in run.annotations if item.piece in titles),
            *(note for old, new in chosen for note in _old_edges(old, new)),
        ),
        checks=tuple(check for run in runs for check in run.checks),
        steps=tuple(step for run in runs for step in run.steps),
        warnings=tuple(text for run in runs for text in run.warnings),
        also=(*not_done_texts(runs), *also_texts(runs)),
        units=units,
        names=_layer_names(drawing, convention, runs, stays),
        occupied=tuple(curve for layer in drawn_layers for shape in layer.shapes for curve in shape.curves),
        occupied_texts=tuple(drawn.text for layer in drawn_layers for drawn in layer.texts),
        dropped=tuple(dict.fromkeys((*_dropped_before(drawing, going_on=going_on), *_dropped(runs, file)))),
        seams=_sewn_by_steps(runs, file),
        taken_ids=drawing.ids.union(*(layer.ids for layer in stays)),
    )


def _layer_names(
    drawing: Drawing, convention: Convention, runs: Sequence[SizeRun], stays: Sequence[SvgfitLayer]
) -> dict[str, str]:
    """Name the layers to be drawn, plug-ins' own among them, so that none has the name of one that stays."""
    names = {
        kind: free_name(drawing, name, discard_edits=not stays)
        for kind, name in (
            (WORKING, convention.working_lines),
            (ADJUSTED, convention.adjusted),
            (MEASUREMENTS, convention.measurements),
        )
    }
    own = {note.line.layer for run in runs for note in run.annotations if note.line is not None and note.line.layer}
    for name in sorted(own):
        free = free_name(drawing, name, discard_edits=not stays, also_taken=names.values())
        names[f"{WORKING}/{name}"] = free
    return names


def _sewn_by_steps(runs: Sequence[SizeRun], file: str) -> tuple[Seam, ...]:
    """Collect the seams that steps sewed, this run's and earlier ones', of which a piece lies in a drawing."""
    names = {piece.name for run in runs for piece in run.after if piece.file == file}
    sewn = (seam for run in runs for seam in run.seams if seam.by_step)
    return tuple(dict.fromkeys(seam for seam in sewn if any(name in names for name, _ in (*seam.a, *seam.b))))


def _adjusted_before(drawing: Drawing, convention: Convention) -> tuple[tuple[str, str | None], ...]:
    """List names and sizes of the pieces in a drawing's layer of adjusted outlines."""
    found = adjusted_pieces(drawing.canvas.file, drawing.layers, convention.rule)
    return tuple((one.name, one.size) for one in found)


def _dropped(runs: Sequence[SizeRun], file: str) -> Iterable[tuple[str, str | None]]:
    """List names and sizes of a drawing's pieces that the runs dropped."""
    for run in runs:
        there = {piece.key for piece in run.after}
        yield from ((one.name, one.size) for one in run.before if one.file == file and one.key not in there)


def _dropped_before(drawing: Drawing, *, going_on: bool) -> Iterable[tuple[str, str | None]]:
    """List names and sizes of the pieces that earlier runs dropped, where this one goes on from them."""
    return dropped_pieces(drawing.layers) if going_on else ()


def _lost_outlines(drawing: Drawing, convention: Convention, scene: Scene) -> Iterable[str]:
    """Warn of adjusted outlines that the new layer does not hold, since their sizes were not chosen."""
    there = {(piece.name, piece.size) for piece in scene.after}
    gone = [
        f"{name} ({size})" if size else name
        for name, size in _adjusted_before(drawing, convention)
        if (name, size) not in there and (name, size) not in scene.dropped
    ]
    if gone:
        yield (
            f"{drawing.canvas.file}: what was adjusted of {', '.join(gone)} is not in the new layer; leave out --size, "
            "or write to another file"
        )


def _old_edges(old: Piece, new: Piece) -> Iterable[Annotation]:
    """Give the edges that changed, as they were."""
    for before, after in edge_pairs(old, new):
        if before.curve is not after.curve and not np.array_equal(before.curve.segments, after.curve.segments):
            yield Annotation(AnnotationKind.OLD_EDGE, old.title, before.curve)
    kept = {edge.name for edge in new.edges}
    yield from (
        Annotation(AnnotationKind.OLD_EDGE, old.title, edge.curve) for edge in old.edges if edge.name not in kept
    )
