"""A convention proposed for drawings: written, tried on them, kept by a maker's name."""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Sequence

from msgspec import Struct

from svgfit.app.open_drawings import Setup
from svgfit.app.session import Session
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.wording import closest, listed
from svgfit.pattern.convention import FILE_NAME, Convention, parse_convention
from svgfit.pattern.layer_patterns import name_key
from svgfit.pattern.line_roles import sizeless
from svgfit.pattern.proposal import Page, Proposal, propose, with_allowance
from svgfit.rules.allowances import COMMONEST
from svgfit.rules.drawing_habits import LIKE_LAYERS
from svgfit.svg import Output

_LAYERS = "layers.txt"


class Proposed(Struct, frozen=True):
    """A proposal and what it comes to on the drawings."""

    proposal: Proposal
    pieces: tuple[Piece, ...]
    """The pieces that are read; where the drawings are refused, those that are once a seam allowance is stated."""
    refused: Refusal | None = None
    """Why the drawings can't be read with it as it stands."""
    maker: str | None = None
    """Whose kept convention it is; None where it was made from the drawings."""


def propose_convention(session: Session, makers: Makers) -> Proposed:
    """Propose a convention for a session's drawings, and try it on them.

    Where the layers are those of a maker whose convention is kept, that one is proposed.

    Raises Refusal where a drawing can't be read at all (its scale is not known, say).
    """
    drawings = [session.drawing(file) for file in session.files]
    pages = [Page(each.canvas.file, each.layers, (each.canvas.width, each.canvas.height)) for each in drawings]
    own = _own_text(session.convention.where)
    known = makers.like(layer_names(session)) if own is None else None
    if known is None:
        made = propose(pages, session.convention, own)
    else:
        own = _read(makers.path(known))
        made = propose(pages, parse_convention(own, where=makers.path(known)), own)
    convention = parse_convention(made.text, where=FILE_NAME)
    try:
        return Proposed(made, _pieces(session, convention), maker=known)
    except Refusal as refusal:
        return Proposed(made, _supposed_pieces(session, convention), refusal, known)


def _supposed_pieces(session: Session, convention: Convention) -> tuple[Piece, ...]:
    """Read the drawings as if a usual seam allowance were stated; nothing where that doesn't help."""
    for width in COMMONEST:
        supposed = with_allowance(convention, width)
        if supposed is not convention:
            with contextlib.suppress(Refusal):
                return _pieces(session, supposed)
    return ()


def _pieces(session: Session, convention: Convention) -> tuple[Piece, ...]:
    """Read the drawings with another convention. Raises Refusal where they can't be read."""
    data = {file: session.drawing(file).source.data for file in session.files}
    setup = Setup(convention, session.registry)
    return Session(session.files, session.options, session.units.unit, data=data, setup=setup).pieces


def _own_text(where: str) -> str | None:
    """Read the person's own convention; None where the built-in one holds."""
    return _read(where) if os.path.isfile(where) else None


def _read(path: str) -> str:
    try:
        with open(path, encoding="utf-8") as stream:
            return stream.read()
    except (OSError, UnicodeDecodeError) as fault:
        raise Refusal(path, f"can't be read ({fault})", "check the file") from None


def layer_names(session: Session) -> tuple[str, ...]:
    """List the names of a session's layers, in order, without those of svgfit's own."""
    layers = [layer for file in session.files for layer in session.drawing(file).layers if not layer.ours]
    return tuple(dict.fromkeys("/".join(layer.path) for layer in layers if layer.shapes or layer.texts))


class Makers:
    """Conventions kept by their makers' names, each in a folder of its own."""

    def __init__(self, folder: str) -> None:
        """Look into ``folder``, which need not be there."""
        self.folder = folder

    def names(self) -> tuple[str, ...]:
        """List whose conventions are kept."""
        try:
            found = sorted(os.listdir(self.folder))
        except OSError:
            return ()
        return tuple(name for name in found if os.path.isfile(self.path(name)))

    def path(self, name: str) -> str:
        """Give the path of a maker's convention. Raises Refusal for what is no name."""
        if not re.fullmatch(r"[\w][\w .&+'-]*", name) or name.endswith((".", " ")):
            raise Refusal("--maker", f"{name!r} is no name", "write a name of letters and digits")
        return os.path.join(self.folder, name, FILE_NAME)

    def find(self, name: str) -> str:
        """Find a maker's convention, whatever the case. Raises Refusal, with the nearest name, where none is kept."""
        names = {name_key(one): one for one in self.names()}
        if name_key(name) in names:
            return self.path(names[name_key(name)])
        self.path(name)
        near = closest(name_key(name), names)
        todo = f"did you mean {names[near]}?" if near else f"kept are {listed(tuple(names.values()), 'and')}"
        if not names:
            todo = f'svgfit convention FILE --keep "{name}" keeps one'
        raise Refusal("--maker", f"no convention is kept for {name!r}", todo)

    def like(self, layers: Sequence[str]) -> str | None:
        """Find the maker whose layers have these names, but for numbers; None where there is none, or several."""
        own = _signs(layers)
        found = [name for name in self.names() if own and _share(own, _signs(self._layers(name))) >= LIKE_LAYERS]
        return found[0] if len(found) == 1 else None

    def _layers(self, name: str) -> list[str]:
        try:
            with open(os.path.join(self.folder, name, _LAYERS), encoding="utf-8") as stream:
                return stream.read().splitlines()
        except (OSError, UnicodeDecodeError):
            return []

    def files(self, name: str, text: str, layers: Sequence[str]) -> tuple[Output, ...]:
        """Make the files that keep a convention, with the names of the layers that it is for."""
        path = self.path(name)
        listed_layers = "".join(f"{' '.join(layer.split())}\n" for layer in layers)
        return Output(path, text.encode()), Output(os.path.join(os.path.dirname(path), _LAYERS), listed_layers.encode())


def _signs(layers: Sequence[str]) -> frozenset[str]:
    return frozenset(sizeless(layer) for layer in layers if layer.strip())


def _share(one: frozenset[str], other: frozenset[str]) -> float:
    return len(one & other) / len(one | other)
