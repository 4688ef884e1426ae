"""Where results go: one file for one drawing, a folder for several; nothing of anyone's is overwritten unasked."""

from __future__ import annotations

import os
from collections.abc import Sequence

from svgfit.app.foreign_files import drawing_name
from svgfit.model.refusal import Refusal
from svgfit.svg import check_output

_NOT_SVG = (".pdf", ".dxf")
"""Endings under which nobody looks for SVG."""


def refuse_same_inputs(files: Sequence[str]) -> None:
    """Raise Refusal where one drawing is given twice, also by way of a link."""
    seen: dict[str, str] = {}
    for file in files:
        real = os.path.normcase(os.path.realpath(file))
        if real in seen:
            raise Refusal(file, f"is given twice (also as {seen[real]})", "leave one out")
        seen[real] = file


def output_paths(files: Sequence[str], out: str, *, inputs: Sequence[str] = (), force: bool) -> tuple[str, ...]:
    """Choose the path to write for each drawing; none of them is one of the other ``inputs`` either.

    Raises Refusal before anything is written; makes nothing.
    """
    if len(files) == 1:
        if os.path.isdir(out):
            example = os.path.join(out, drawing_name(files[0]))
            raise Refusal(out, "is a folder, and one drawing is written to a file", f"write for example -o {example}")
        stem, ending = os.path.splitext(out)
        if ending.casefold() in _NOT_SVG:
            todo = f"write -o {stem}.svg, and then svgfit convert {stem}.svg -o {out}"
            raise Refusal(out, f"ends in {ending}, and adjusted drawings are written as SVG", todo)
        found: tuple[str, ...] = (out,)
    else:
        if os.path.lexists(out) and not os.path.isdir(out):
            raise Refusal(out, "is a file, and several drawings are written to a folder", "give the name of a folder")
        refuse_same_names(files)
        found = tuple(os.path.join(out, drawing_name(file)) for file in files)
        if not os.path.isdir(out):
            return found
    for target in found:
        check_output(target, inputs=(*files, *inputs), force=force)
    return found


def refuse_same_names(files: Sequence[str]) -> None:
    """Raise Refusal where two drawings would be written to one file of a folder."""
    names: dict[str, str] = {}
    for file in files:
        name = drawing_name(file).casefold()
        if name in names:
            what = f"has the same name as {names[name]}, and both would be written to one folder"
            raise Refusal(file, what, "rename one, or adjust them one after another")
        names[name] = file
