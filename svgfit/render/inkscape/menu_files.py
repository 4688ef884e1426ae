"""The menu's files in a folder of extensions: written whole, known again by their mark, taken out again.

They lie in a folder of their own in it. A file there that svgfit did not write is never touched.
"""

from __future__ import annotations

import os
from collections.abc import Mapping

from msgspec import Struct

from svgfit.model.refusal import Refusal
from svgfit.render.inkscape.inx import MARK
from svgfit.svg import Output, write_outputs

NAME = "svgfit"
"""The folder's name."""
_WITHIN = 2000
"""The mark stands in the first so many bytes."""


class Change(Struct, frozen=True):
    """What was done, or would be."""

    folder: str
    written: tuple[str, ...] = ()
    """Names of the files that are there now."""
    removed: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    """What lies there and is not svgfit's."""


def write_menu(extensions: str, files: Mapping[str, str], *, dry: bool = False) -> Change:
    """Write the files into their folder in ``extensions``; those of an earlier menu that are no more are removed.

    Raises Refusal, before anything is written, where a file of another maker bears one of the names.
    """
    folder = os.path.join(extensions, NAME)
    ours, foreign = _sorted(folder)
    for name in files:
        if name in foreign:
            what = "was not written by svgfit, and the menu has a file of that name"
            raise Refusal(os.path.join(folder, name), what, "move it elsewhere, or give another folder with --to")
    old = tuple(name for name in ours if name not in files)
    if not dry:
        outputs = [Output(os.path.join(folder, name), text.encode()) for name, text in files.items()]
        write_outputs(outputs, inputs=(), force=True, folder=folder)
        _remove(folder, old)
    return Change(folder, tuple(files), old, foreign)


def remove_menu(extensions: str, *, dry: bool = False) -> Change:
    """Remove every file that ``write_menu`` wrote, and the folder where nothing else is in it."""
    folder = os.path.join(extensions, NAME)
    ours, foreign = _sorted(folder)
    if not dry:
        _remove(folder, ours)
        if ours and not foreign:
            try:
                os.rmdir(folder)
            except OSError as fault:
                raise _refusal(folder, "can't be removed", fault) from None
    return Change(folder, (), ours, foreign)


def _sorted(folder: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sort the names in the folder: ours, and others'."""
    if not os.path.lexists(folder):
        return (), ()
    if not os.path.isdir(folder):
        raise Refusal(folder, "is a file, and the menu's folder has that name", "move it elsewhere, or give --to")
    try:
        names = sorted(os.listdir(folder))
        ours = tuple(name for name in names if _is_ours(os.path.join(folder, name)))
    except OSError as fault:
        raise _refusal(folder, "can't be read", fault) from None
    return ours, tuple(name for name in names if name not in ours)


def _is_ours(path: str) -> bool:
    if os.path.islink(path) or not os.path.isfile(path):
        return False
    with open(path, "rb") as file:
        return MARK.encode() in file.read(_WITHIN)


def _remove(folder: str, names: tuple[str, ...]) -> None:
    for name in names:
        path = os.path.join(folder, name)
        try:
            os.unlink(path)
        except OSError as fault:
            raise _refusal(path, "can't be removed", fault) from None


def _refusal(path: str, what: str, fault: OSError) -> Refusal:
    return Refusal(path, f"{what} ({fault.strerror or fault})", "check your rights to it, or give another with --to")
