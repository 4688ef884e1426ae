"""``svgfit convention``: a svgfit.toml proposed from a drawing, with a picture of what each line was taken for."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from svgfit.cli.options import DrawingOptions, drawing_options, files_argument, makers_folder

if TYPE_CHECKING:
    from svgfit.app.proposing import Proposed
    from svgfit.model.length import Units

_EXAMPLE = """\b
For example:
  svgfit convention pattern.pdf -o svgfit.toml --picture lines.png
  svgfit convention pattern.pdf --keep "Hill and Daughters"
  svgfit measure another.pdf --maker "Hill and Daughters\""""

_MOST_NAMES = 12


@click.command(epilog=_EXAMPLE)
@files_argument
@click.option("-o", "--output", metavar="OUT.toml", help="The file to write; without it the proposal is printed.")
@click.option("--picture", metavar="OUT.png", help="A picture to write of what each line was taken for.")
@click.option("--keep", metavar="NAME", help="Keep it for this maker's drawings: --maker NAME then uses it.")
@click.option("--force", is_flag=True, help="Replace existing files.")
@drawing_options
def command(
    files: tuple[str, ...],
    output: str | None,
    picture: str | None,
    keep: str | None,
    force: bool,
    drawing: DrawingOptions,
) -> int:
    """Propose a svgfit.toml: which layers of a drawing are what.

    What a layer's name does not tell is guessed from the shape of its lines, with a remark; what nobody can see in the
    drawing is asked. The proposal is tried on the drawing, and what came of it is said. Where the layers are those of
    a maker whose svgfit.toml is kept, that one is proposed; one that lies beside the drawing, or is named with
    --convention, stays as it is.
    """
    from svgfit.app.proposing import Makers, layer_names, propose_convention
    from svgfit.cli.console import say, warn
    from svgfit.svg import check_output, write_outputs
    from svgfit.svg.atomic_write import Output

    if picture is not None and not picture.lower().endswith(".png"):
        raise click.UsageError(f"--picture {picture}: pictures are PNG; write for example --picture lines.png")
    session = drawing.session(files)
    makers = Makers(makers_folder())
    outputs: list[Output] = []
    kept = makers.path(keep) if keep is not None else None
    for path in (output, picture):
        if path is not None:
            check_output(path, inputs=session.inputs, force=force)
    found = propose_convention(session, makers)
    if output is not None:
        outputs.append(Output(output, found.proposal.text.encode()))
    if picture is not None:
        from svgfit.render.roles_picture import roles_png

        title = f"{', '.join(map(os.path.basename, files))}: what each line was taken for"
        outputs.append(Output(picture, roles_png(files[0], found.proposal.taken, title=title)))
    outputs += [] if keep is None else makers.files(keep, found.proposal.text, layer_names(session))
    write_outputs(outputs, inputs=session.inputs, force=force, folder=kept and os.path.dirname(kept))
    if output is None:
        say(found.proposal.text.rstrip("\n"))
    for line in _said(found, session.units):
        say(line if output is not None else f"# {line}")
    for each in outputs:
        say(f"written: {each.path}" if output is not None else f"# written: {each.path}")
    warnings = [text for file in files for text in session.drawing(file).warnings]
    warn((*warnings, *session.registry.warnings), quiet=drawing.quiet)
    return 1 if found.refused is not None else 0


def _said(found: Proposed, units: Units) -> Iterator[str]:
    """Say what the proposal comes to."""
    from svgfit.pattern.layer_rows import list_names

    if found.maker is not None:
        yield f"the layers are those of {found.maker}, whose svgfit.toml is kept: this is it"
    if found.refused is not None:
        yield f"with it the drawing can't be read yet: {found.refused.line(units)}"
    names = list(dict.fromkeys(piece.name for piece in found.pieces))
    if names:
        when = "with a seam allowance" if found.refused is not None else "with it"
        sizes = list(dict.fromkeys(piece.size for piece in found.pieces if piece.size))
        of_sizes = f" in {len(sizes)} sizes ({', '.join(sizes)})" if sizes else ""
        count = f"{len(names)} pieces are" if len(names) > 1 else "1 piece is"
        yield f"{when} {count} read{of_sizes}: {list_names(names, _MOST_NAMES)}"
        yield from _doubts(found, units)
    guesses = found.proposal.guesses
    if guesses and found.maker is None:
        layers, every = ({one.layer.path for one in some} for some in (guesses, found.proposal.taken))
        yield f"guessed from the shape of their lines: {len(layers)} of {len(every)} layers; look at the picture"
    for line in found.proposal.to_say:
        yield f"to say: {line}"


def _doubts(found: Proposed, units: Units) -> Iterator[str]:
    """Say why pieces are not known for what they may be: each reason once, with one piece's way out of it."""
    from svgfit.pattern.layer_rows import list_names

    asked = {piece.name for piece in found.pieces if not any(edge.allowance for edge in piece.edges)}
    reasons: dict[str, dict[str, str]] = {}
    for piece in found.pieces:
        if piece.doubt is not None and not (found.proposal.to_say and piece.name in asked):
            reasons.setdefault(units.speak(piece.doubt.what), {}).setdefault(piece.name, units.speak(piece.doubt.todo))
    for what, pieces in reasons.items():
        yield f"{list_names(pieces, _MOST_NAMES)}: {what}; {next(iter(pieces.values()))}"
