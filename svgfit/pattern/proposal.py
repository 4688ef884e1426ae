"""A convention proposed from a drawing: which layers are what, as a svgfit.toml with a remark on each guess."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.model.drawing import Layer
from svgfit.model.vocabulary import PieceKind
from svgfit.pattern.assemble import sort_layers
from svgfit.pattern.convention import EVERY, Convention, PieceRule, Role
from svgfit.pattern.languages import in_english
from svgfit.pattern.layer_patterns import match_pattern, name_key, single_spaced
from svgfit.pattern.layer_rows import OUTLINES, LayerRow, Remarks
from svgfit.pattern.line_roles import Taken, roles_by_shape, sizeless
from svgfit.pattern.line_sizes import by_area, key_of, sample, sizes_by_key, sizes_to_say, stacked_loops, told_apart_by
from svgfit.pattern.piece_places import is_automatic, outlines, stacked
from svgfit.rules.allowances import COMMONEST

_NUMBER = re.compile(r"\d+")
_KINDS = frozenset(kind.value for kind in PieceKind if kind != PieceKind.OTHER)
_SPECIAL = re.compile(r"[*{}/]")


class Proposal(Struct, frozen=True):
    """What is proposed for the drawings."""

    text: str
    """The svgfit.toml."""
    taken: tuple[Taken, ...]
    """What each layer was taken for."""
    to_say: tuple[str, ...] = ()
    """What only a person can say, each with what to write."""

    @property
    def guesses(self) -> tuple[Taken, ...]:
        """The layers that no name tells."""
        return tuple(one for one in self.taken if one.guess)


class _Pattern(Struct, frozen=True):
    """A pattern for the file, what it is for and why."""

    role: str
    text: str
    remark: str


class Page(Struct, frozen=True):
    """One drawing to be proposed for."""

    file: str
    layers: tuple[Layer, ...]
    size: tuple[float, float]
    """Width and height in mm; 0 where none is stated."""


def propose(pages: Sequence[Page], convention: Convention, own: str | None = None) -> Proposal:
    """Propose a convention for drawings.

    Where svgfit itself tells the lines of a layer apart by shape, that is remarked; the name of any other layer is
    written down as a pattern, numbers in names of layers whose outlines lie one over another as ``{size}``. Nothing is
    proposed for what nobody can tell: that is asked. ``own`` is the text of ``convention`` where that is a person's own
    file: it stays as it is, and what is proposed is said.
    """
    taken = tuple(one for page in pages for one in _taken(page, convention))
    patterns, to_say = _patterns(taken, convention)
    sizes, asked = _sizes(taken, [layer for page in pages for layer in page.layers], convention)
    to_say += [*asked, *_allowances(taken, convention)]
    if own is not None:
        more = [f"under [layers], {_key(one.role)} may take {_quoted(one.text)} too ({one.remark})" for one in patterns]
        return Proposal(own, taken, (*more, *filter(None, sizes), *to_say))
    lines = [
        "# Which lines are what, proposed from the drawing. A line marked guess is one: hold it against the picture,",
        "# move or mend the name where it is wrong, and take the remark away where it is right.",
        f'unit = "{convention.unit}"',
        "",
    ]
    if to_say:
        lines += ["# Only you can say this:", *(f"# {line}" for line in to_say), ""]
    lines += [*_by_shape(taken), *_layers(patterns, taken, convention), *sizes]
    return Proposal("\n".join(lines).rstrip() + "\n", taken, tuple(to_say))


def with_allowance(convention: Convention, width: float = COMMONEST[0]) -> Convention:
    """Suppose a seam allowance (mm) where none is stated: to see what would be read if there were one."""
    if _tells_allowances(convention):
        return convention
    return replace(convention, every_piece=PieceRule(EVERY, allowances={"all": width}))


def _taken(page: Page, convention: Convention) -> Iterator[Taken]:
    """Take each layer for what its name says, else its lines for what svgfit reads them as, else for their likes."""
    named, drawn = sort_layers(page.file, page.layers, with_allowance(convention), Remarks())
    parts: dict[tuple[tuple[str, ...], int | None], list[LayerRow]] = {}
    for row in drawn:
        parts.setdefault((row.layer.path, row.layer.line), []).append(row)
    likes = {id(one.layer): one for one in roles_by_shape([row.layer for row in named], convention, page.size)}
    for row in named:
        own = [one for one in parts.get((row.layer.path, row.layer.line), []) if one.role not in (None, Role.SIZE)]
        like = likes.get(id(row.layer))
        if like is None:
            continue
        if not like.guess or not own:
            yield like
            continue
        for part in own:
            yield Taken(part.layer, part.role, part.piece, part.size, "told by the shape of the lines", whole=False)


def _by_shape(taken: Sequence[Taken]) -> list[str]:
    """Remark what svgfit tells by shape on each layer, those of sizes together."""
    roles: dict[str, dict[str, None]] = {}
    spelt: dict[str, list[str]] = {}
    for one in taken:
        if not one.whole:
            roles.setdefault(sizeless(one.layer.name), {}).setdefault(one.role or "", None)
            spelt.setdefault(sizeless(one.layer.name), []).append(single_spaced(one.layer.name))
    if not roles:
        return []
    lines = ["# Guess: the lines of these layers are told apart by their shape, each time they are read:"]
    for stem, found in roles.items():
        names = list(dict.fromkeys(spelt[stem]))
        more = f" and {len(names) - 1} more like it" if len(names) > 1 else ""
        told = [role for role in found if role != Role.IGNORE] or [str(Role.IGNORE)]
        lines.append(f"#   {_quoted(names[0])}{more}: {', '.join(told)}")
    return [*lines, ""]


# -- names of layers ---------------------------------------------------------------------------------------------------


def _patterns(taken: Sequence[Taken], convention: Convention) -> tuple[list[_Pattern], list[str]]:
    """Write a pattern for each layer that no name tells, one for all that differ in the size alone."""
    found = _size_patterns(taken)
    to_say: list[str] = []
    left = [one for one in taken if one.guess and one.whole and one.role is not None]
    for stem, group in _like_names(left).items():
        if stem is not None:
            count = f"{len(group)} layers whose outlines lie one over another, told apart by the number"
            found.append(_Pattern(str(group[0].role), stem, f"guess: {count}; {group[0].guess}"))
            continue
        for one in group:
            name = single_spaced(one.layer.name)
            if not name or _SPECIAL.search(name):
                to_say.append(f"the layer {one.layer.name!r} ({one.guess}) needs another name: without * / {{ }}")
                continue
            name, only_piece = _with_piece(name)
            if only_piece and one.role in OUTLINES:
                to_say.append(
                    f"the layer {one.layer.name!r} says a piece but no line: rename it {name} {one.role}, "
                    "and the piece keeps its name"
                )
            found.append(_Pattern(str(one.role), name, f"guess: {one.guess}"))
    return list({(one.role, name_key(one.text)): one for one in found}.values()), to_say


def _size_patterns(taken: Sequence[Taken]) -> list[_Pattern]:
    """Write a pattern for layers that are sizes by a number in their names, their lines told apart by shape."""
    parts = [one for one in taken if not one.whole and one.size is None and one.role in OUTLINES]
    why = "guess: {} layers whose outlines lie one over another, told apart by the number"
    return [
        _Pattern(Role.SIZE, stem, why.format(len(group)))
        for stem, group in _like_names(parts).items()
        if stem is not None
    ]


def _with_piece(name: str) -> tuple[str, bool]:
    """Write ``{piece}`` for a piece's word at the start or end of a name; and say whether that is all it says.

    >>> _with_piece("Left sleeve outline"), _with_piece("outline Vorderteil"), _with_piece("Back"), _with_piece("A 3")
    (('{piece} outline', False), ('outline {piece}', False), ('Back', True), ('A 3', False))
    """
    words = name.split(" ")
    pieces = [k for k, word in enumerate(words) if in_english(word) in _KINDS]
    if len(words) == 1 or not pieces:
        return name, bool(pieces)
    if pieces[-1] == len(words) - 1:
        before = " ".join(words[: pieces[0]])
        return (f"{before} {{piece}}", False) if before else (name, True)
    return f"{{piece}} {' '.join(words[pieces[-1] + 1 :])}", False


def _like_names(left: Sequence[Taken]) -> dict[str | None, list[Taken]]:
    """Group layers of one role whose names differ in one number alone and whose outlines lie one over another."""
    groups: dict[str | None, list[Taken]] = {}
    alone: list[Taken] = []
    stems: dict[tuple[str | None, str], list[Taken]] = {}
    for one in left:
        numbers = _NUMBER.findall(one.layer.name)
        if len(numbers) != 1 or is_automatic(one.layer.name) or _SPECIAL.search(one.layer.name):
            alone.append(one)
            continue
        stem = _NUMBER.sub("{size}", single_spaced(one.layer.name))
        stems.setdefault((one.role, stem), []).append(one)
    for (_, stem), group in stems.items():
        if len(group) > 1 and _lie_over(group):
            groups[stem] = group
        else:
            alone += group
    if alone:
        groups[None] = sorted(alone, key=lambda one: next(k for k, each in enumerate(left) if each is one))
    return groups


def _lie_over(group: Sequence[Taken]) -> bool:
    """Say whether the layers' lines lie one over another, as those of sizes do."""
    if group[0].role not in OUTLINES:
        return True  # notches and writing of a size lie where they like
    loops = [[each.loop for each in outlines(one.layer.shapes)] for one in group]
    return all(any(stacked(a, b) for a in loops[0] for b in others) for others in loops[1:])


def _layers(patterns: Sequence[_Pattern], taken: Sequence[Taken], convention: Convention) -> list[str]:
    """Write ``[layers]``: for each role with new names these, and then what is looked for already."""
    roles = dict.fromkeys(one.role for one in patterns)
    if not roles:
        return [] if any(not one.whole for one in taken) else ["# Every layer says by its name what it is.", ""]
    lines = ["[layers]"]
    for role in (each.value for each in Role if each.value in roles):
        own = [one for one in patterns if one.role == role]
        lines.append(f"{_key(role)} = [")
        lines += [f"    {_quoted(one.text)},  # {one.remark}" for one in own]
        kept = [*_spoken(role, taken, convention), *convention.patterns(role)]
        lines += [f"    {_quoted(text)}," for text in dict.fromkeys(kept)]
        lines.append("]")
    return [*lines, ""]


def _spoken(role: str, taken: Sequence[Taken], convention: Convention) -> list[str]:
    """Write patterns for layers known by words of a language: a list of one's own takes the place of those."""
    found: list[str] = []
    for one in taken:
        name = single_spaced(one.layer.name)
        known = any(match_pattern(pattern, one.layer.path) for pattern in convention.patterns(role))
        if one.role != role or one.guess or known or convention.role_of((name,)) is None:
            continue
        for place, word in (("{piece}", one.piece), ("{size}", one.size)):
            name = re.sub(rf"(?i)\b{re.escape(word)}\b", place, name, count=1) if word else name
        found.append(name)
    return found


def _key(role: str) -> str:
    return role if re.fullmatch(r"\w+", role, re.ASCII) else _quoted(role)


def _quoted(text: str) -> str:
    """Write a TOML string; JSON's escapes are TOML's too (https://toml.io/en/v1.0.0#string)."""
    return json.dumps(text, ensure_ascii=False)


# -- what names don't tell ---------------------------------------------------------------------------------------------


def _sizes(taken: Sequence[Taken], layers: Sequence[Layer], convention: Convention) -> tuple[list[str], list[str]]:
    """Write ``[sizes]`` where lines on one layer are told apart by how they are drawn, or ask which is which."""
    if convention.sizes is not None:
        return [], []
    loops = [
        loop
        for one in taken
        if one.role in OUTLINES and one.size is None
        for loop in stacked_loops(one.layer.shapes, convention.join_within)
    ]
    styles = list(dict.fromkeys(loop.style for loop in by_area(loops)))
    if len(styles) < 2:
        return [], []
    key = key_of(layers)
    read = sizes_by_key(styles, key)
    if read is not None:
        samples = ", ".join(f"{_key(size)} = {_quoted(text)}" for size, text in read.samples)
        head = "[sizes]  # read off the key beside the drawing"
        return [head, f"by = {_quoted(read.by)}", f"samples = {{ {samples} }}", ""], []
    line = sizes_to_say(styles)
    if line is None or told_apart_by(styles) is None:
        return [], ["several outlines of like size are drawn alike: put each on a layer named for its size"]
    smallest = sample(styles[0], told_apart_by(styles) or "")
    return [], [
        f"which line is which size, from the smallest outline ({smallest}) to the largest:",
        line,
    ]


def _tells_allowances(convention: Convention) -> bool:
    every = convention.every_piece
    return bool(every and every.allowances) or any(rule.allowances for rule in convention.pieces)


def _allowances(taken: Iterable[Taken], convention: Convention) -> list[str]:
    """Ask for the seam allowance where only cut lines are drawn and nothing says how wide it is."""
    roles = {one.role for one in taken}
    if Role.CUT_LINE not in roles or Role.STITCH_LINE in roles or _tells_allowances(convention):
        return []
    return [
        "how wide the seam allowances are that the cut lines hold (the maker's sheet says so); for example:",
        'pieces."*"."seam allowance" = { all = "5/8 in", hem = "1 in" }',
        'where the outlines hold none, say so under [layers] instead: "stitch line" = ["the layer\'s name"]',
    ]
