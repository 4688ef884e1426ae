"""The convention: which layer names mean what, and what pieces can't say themselves.

Lengths in it are texts with a unit; here they are millimetres.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from os import PathLike
from typing import TYPE_CHECKING, Any

from msgspec import Struct, field
from msgspec.structs import replace

from svgfit.model.length import format_length
from svgfit.model.piece import CornerForm
from svgfit.model.refusal import Refusal
from svgfit.model.toml_file import LARGEST, Key, TomlFile, parse_toml, read_toml
from svgfit.model.vocabulary import PieceKind, Unit
from svgfit.model.wording import closest_name, suggestion
from svgfit.pattern.languages import read_role
from svgfit.pattern.layer_patterns import is_number, match_pattern, name_key, single_spaced, unknown_place
from svgfit.rules.drawing_habits import ENDS_MEET
from svgfit.rules.matching import CAREFUL, WORKABLE
from svgfit.rules.trade_words import LINES, SIZE

if TYPE_CHECKING:
    from svgfit.pattern.line_sizes import SizeLines
    from svgfit.rules.ease import EaseRule

FILE_NAME = "svgfit.toml"
EVERY = "*"
"""The name under ``[pieces]`` that stands for every piece."""


class Role(StrEnum):
    """What a layer is for; the keys of a convention's ``[layers]``, in the order in which they are asked."""

    STITCH_LINE = "stitch line"
    CUT_LINE = "cut line"
    NOTCHES = "notches"
    GRAIN_LINE = "grain line"
    BICEP_LINE = "bicep line"
    CENTRE_LINE = "centre line"
    FOLD_LINE = "fold line"
    DETAILS = "drawn details"
    LANDMARKS = "landmarks"
    TEXT = "text"
    TEST_SQUARE = "test square"
    IGNORE = "ignore"
    SIZE = "size"
    """Not a role but a size: what lies in such a layer is of that size, and a sublayer named so divides its parent."""


def spoken_role(role: str) -> str:
    """Name a role, or several in a list, in the words that people read."""
    return role.replace(Role.DETAILS, "details")


def _sized(*patterns: str) -> tuple[str, ...]:
    """Put before the patterns the same with a size."""
    return (*(f"{pattern} size {{size}}" for pattern in patterns), *patterns)


_BUILT_IN = (
    (Role.STITCH_LINE, _sized("{piece} stitch line*")),
    (Role.CUT_LINE, _sized("{piece} cut line*")),
    (Role.NOTCHES, _sized("{piece} notches*")),
    (Role.GRAIN_LINE, _sized("{piece} grain*")),
    (Role.BICEP_LINE, _sized("{piece} bicep*")),
    (Role.CENTRE_LINE, _sized("{piece} centre*", "{piece} center*")),
    (Role.FOLD_LINE, _sized("{piece} fold*")),
    (Role.DETAILS, _sized("{piece} details*")),
    (Role.LANDMARKS, _sized("{piece} landmarks*")),
    (Role.TEXT, _sized("{piece} text*")),
    (Role.TEST_SQUARE, ("test square*",)),
    (Role.IGNORE, ("old *",)),
    (Role.SIZE, ("{piece} size {size}",)),
)
ROLES = tuple(role.value for role in Role)
_SPOKEN = (*LINES, SIZE)
_UNITS = tuple(unit.value for unit in Unit)
_KEYS = (
    *("unit", "layers", "pieces", "sizes", "seams", "output"),
    *("test square size", "join within", "cut line corners", "plugins", "walk", "ease"),
)
_PIECE_KEYS = ("kind", "front", "seam allowance", "edges")
_OUTPUT_KEYS = ("adjusted", "measurements", "working lines")
_WALK_KEYS = ("careful", "workable", "style", "gathered")


class PieceRule(Struct, frozen=True):
    """What the convention says of one piece."""

    name: str
    kind: str | None = None
    front: str | None = None
    """"left" or "right", as drawn with the cap (or neck) up."""
    allowances: Mapping[str, float] = field(default_factory=dict[str, float])
    """Seam allowances in mm by edge name (lower case) or "all"."""
    edges: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """Names for edges, each with their numbers ("edge 2") or the two landmarks that it runs between, in lower case."""


class SeamRule(Struct, frozen=True):
    """Two rows of edges, each (piece, edge) as written, in sewing order."""

    a: tuple[tuple[str, str], ...]
    b: tuple[tuple[str, str], ...]
    file: TomlFile
    key: Key
    ease: tuple[float, float] | None = None
    """How much longer one row is meant to be, least and most, mm."""
    eased: tuple[tuple[str, str], ...] = ()
    """Which row that is, as written; () where it is left out."""

    def refusal(self, side: str, index: int, what: str, todo: str) -> Refusal:
        """Make a refusal that names the line of one edge of this seam."""
        return self.file.refusal((*self.key, side, index), what, todo)

    def ease_refusal(self, key: str, what: str, todo: str) -> Refusal:
        """Make a refusal that names the line of ``ease`` or ``eased``."""
        return self.file.refusal((*self.key, key), what, todo)


class WalkRule(Struct, frozen=True):
    """What walking a sleeve along its armhole is held to. Lengths in mm."""

    careful: float = CAREFUL
    workable: float = WORKABLE
    style: str | None = None
    """A style's name as written; which there are is known to svgfit.rules.ease."""
    gathered: bool = False
    file: TomlFile | None = None
    by: str = ""
    """The plug-in, with its file, that says how far seams may differ; "" for nobody, or the file."""

    def refusal(self, refusal: Refusal) -> Refusal:
        """Add to a refusal of the style the line where it is written."""
        return self.file.refusal(("walk", "style"), *refusal.parts[1:]) if self.file else refusal


class LayerRole(Struct, frozen=True):
    """What a layer is, as its name (or its parent's) says."""

    role: str
    piece: str | None = None
    size: str | None = None
    inherited: int = 0
    """How many levels up the name stands that gave the role; 0 for the layer's own name."""


class Convention(Struct, frozen=True):
    """A convention, whole: built-in lists stand where the file gives none."""

    where: str = "the built-in layer names"
    unit: str = Unit.IN
    layers: tuple[tuple[str, tuple[str, ...]], ...] = _BUILT_IN
    """Roles and their patterns in the order in which they are tried (``ignore`` before all)."""
    in_languages: frozenset[str] = frozenset(_SPOKEN)
    """Roles that are known by the words of other languages too: those for which the file gives no list."""
    pieces: tuple[PieceRule, ...] = ()
    sizes: SizeLines | None = None
    """What tells sizes apart where no layer's name does."""
    every_piece: PieceRule | None = None
    """What ``[pieces."*"]`` says of all pieces; a piece's own rule wins."""
    seams: tuple[SeamRule, ...] = ()
    adjusted: str = "adjusted"
    measurements: str = "measurements"
    working_lines: str = "working lines"
    test_square_size: float | None = None
    """Side of the test square in mm."""
    join_within: float = 0.5
    """Ends of lines nearer than this, mm, meet."""
    corners: str = CornerForm.AS_DRAWN
    """The form of a cut line's corners that are drawn anew."""
    walk: WalkRule = WalkRule()
    ease: tuple[EaseRule, ...] = ()
    """Ease by style, where it is said otherwise; whoever needs it merges it with svgfit.rules.ease."""
    plugins: str | None = None
    """A folder of plug-ins; only from a convention that was asked for by name."""
    warnings: tuple[str, ...] = ()

    def rule(self, piece: str) -> PieceRule | None:
        """Look up what is said of a piece, if anything: its own rule, completed by the one for every piece.

        What a piece says of all its edges stands before all that is said of every piece's.
        """
        own = next((rule for rule in self.pieces if name_key(rule.name) == name_key(piece)), None)
        every = self.every_piece
        if own is None or every is None:
            return own or every
        allowances = own.allowances if "all" in own.allowances else {**every.allowances, **own.allowances}
        edges = own.edges or every.edges
        return PieceRule(own.name, own.kind or every.kind, own.front or every.front, allowances, edges)

    def patterns(self, role: str) -> tuple[str, ...]:
        """List the patterns of a role."""
        return next((patterns for name, patterns in self.layers if name == role), ())

    def numbered_layers(self) -> dict[str, str]:
        """List the layers that it calls by a bare number, as files have them whose layers are numbers: their roles."""
        return {pattern: role for role, patterns in reversed(self.layers) for pattern in patterns if is_number(pattern)}

    def role_of(self, path: Sequence[str]) -> LayerRole | None:
        """Find the role of the layer with this path of names; a layer without one takes its parent's.

        >>> builtin_convention().role_of(("Smock", "Left_sleeve cut line"))
        LayerRole(role=<Role.CUT_LINE: 'cut line'>, piece='Left sleeve', size=None, inherited=0)
        >>> builtin_convention().role_of(("Sleeve notches", "Layer 3"))
        LayerRole(role=<Role.NOTCHES: 'notches'>, piece='Sleeve', size=None, inherited=1)
        """
        return self._role_of(tuple(single_spaced(name) for name in path))

    def _role_of(self, path: tuple[str, ...]) -> LayerRole | None:
        if not path:
            return None
        own = self._named_role(path)
        parent = self._role_of(path[:-1])
        if parent and parent.role == Role.IGNORE:
            return LayerRole(Role.IGNORE, parent.piece, parent.size, parent.inherited + 1)
        if not own:
            return parent and LayerRole(parent.role, parent.piece, parent.size, parent.inherited + 1)
        if own.role == Role.SIZE and parent and parent.role != Role.SIZE:
            return LayerRole(parent.role, own.piece or parent.piece, own.size or parent.size, parent.inherited + 1)
        if not parent:
            return own
        return LayerRole(own.role, own.piece or parent.piece, own.size or parent.size)

    def _named_role(self, path: tuple[str, ...]) -> LayerRole | None:
        for role, patterns in (*((Role.IGNORE, self.patterns(Role.IGNORE)),), *self.layers):
            for pattern in patterns:
                found = match_pattern(pattern, path)
                if found:
                    return LayerRole(role, found.piece, found.size)
        spoken = read_role(path[-1]) if self.in_languages else None
        if spoken is None or spoken.role not in self.in_languages:
            return None
        return LayerRole(Role(spoken.role), spoken.piece, spoken.size)


def builtin_convention() -> Convention:
    """Make the convention that holds where no file says otherwise."""
    return Convention()


def find_convention(files: Iterable[str | PathLike[str]]) -> str | None:
    """Find the ``svgfit.toml`` beside the drawings; refuse several folders with different ones."""
    found: dict[str, bytes] = {}
    for file in files:
        path = os.path.join(os.path.dirname(file), FILE_NAME)
        if path not in found and os.path.isfile(path):
            try:
                with open(path, "rb") as stream:
                    found[path] = stream.read(LARGEST + 1)
            except OSError as error:
                raise Refusal(path, f"can't be read ({error.strerror or error})", "check the file") from None
    if len(set(found.values())) > 1:
        raise Refusal(
            " and ".join(found), "the drawings' folders hold different ones", "say which with --convention FILE"
        )
    return next(iter(found), None)


def load_convention(path: str | PathLike[str], *, found: bool = False) -> Convention:
    """Read a convention's file; ``found``: it merely lay beside a drawing, so it can't name a plug-in folder.

    Raises Refusal with file, line and key for what can't be read or is not known.
    """
    return _convention(read_toml(path), os.path.dirname(path), found=found)


def parse_convention(text: str, where: str = "convention") -> Convention:
    """Read a convention from a text; a plug-in folder in it is relative to the current folder."""
    return _convention(parse_toml(text, where), "", found=False)


def _convention(file: TomlFile, folder: str, *, found: bool = False) -> Convention:
    """Read a convention from parsed TOML; ``folder`` is what its plug-in folder is relative to."""
    file = replace(file, top_keys=_KEYS)
    table = file.table
    file.check_keys((), table, _KEYS)
    unit = file.value(("unit",), table.get("unit", Unit.IN), str)
    if unit not in _UNITS:
        raise file.refusal(("unit",), f"{unit!r} is not a unit for reports", f"write one of {', '.join(_UNITS)}")
    square = "test square size"
    size = file.length((square,), table[square]) if square in table else None
    if size is not None and size <= 0:
        raise file.refusal((square,), "a test square has a side longer than nothing", 'write for example "50 mm"')
    join = file.length(("join within",), table["join within"]) if "join within" in table else ENDS_MEET
    if not 0 <= join <= 10:
        raise file.refusal(
            ("join within",), "is a distance that no slip of the pencil has", 'write for example "0.5 mm"'
        )
    plugins, warnings = _plugins(file, folder, found)
    output = _output(file)
    pieces, layers = _pieces(file), _layers(file)
    return Convention(
        where=file.where,
        unit=unit,
        layers=layers,
        in_languages=frozenset(_SPOKEN).difference(file.table.get("layers", {})),
        pieces=tuple(rule for rule in pieces if rule.name != EVERY),
        every_piece=next((rule for rule in pieces if rule.name == EVERY), None),
        sizes=_sizes(file),
        seams=_seams(file),
        adjusted=output["adjusted"],
        measurements=output["measurements"],
        working_lines=output["working lines"],
        test_square_size=size,
        join_within=join,
        corners=_corners(file),
        walk=_walk(file),
        ease=_ease(file),
        plugins=plugins,
        warnings=warnings,
    )


def _sizes(file: TomlFile) -> SizeLines | None:
    if "sizes" not in file.table:
        return None
    from svgfit.pattern.line_sizes import read_sizes  # few conventions speak of them

    return read_sizes(file)


def _corners(file: TomlFile) -> str:
    key: Key = ("cut line corners",)
    word = file.value(key, file.table.get(key[0], CornerForm.AS_DRAWN), str)
    forms = [form.value for form in CornerForm]
    if name_key(word) not in forms:
        todo = suggestion(closest_name(word, forms), f"write one of {', '.join(forms)}")
        raise file.refusal(key, f"{word!r} is no form of a cut line's corners", todo)
    return name_key(word)


def _ease(file: TomlFile) -> tuple[EaseRule, ...]:
    if "ease" not in file.table:
        return ()
    from svgfit.pattern.ease_tables import ease_rules  # few conventions speak of it

    return ease_rules(file)


def _plugins(file: TomlFile, folder: str, found: bool) -> tuple[str | None, tuple[str, ...]]:
    if "plugins" not in file.table:
        return None, ()
    named = file.value(("plugins",), file.table["plugins"], str)
    if found:
        why = "its plug-in folder is ignored, because it was only found beside the drawing; to use it, give the file"
        return None, (f"{file.where}: {why} with --convention, or the folder with --plugins",)
    return os.path.join(folder, named), ()


def _layers(file: TomlFile) -> tuple[tuple[str, tuple[str, ...]], ...]:
    given = _table(file, ("layers",), file.table.get("layers", {}))
    file.check_keys(("layers",), given, ROLES)
    layers: list[tuple[str, tuple[str, ...]]] = []
    for role, patterns in given.items():
        key: Key = ("layers", role)
        texts = tuple(file.value(key, _listed(patterns), list[str]))
        for index, text in enumerate(texts):
            if strange := unknown_place(text):
                todo = "only {piece} and {size} stand for something"
                raise file.refusal((*key, index), f"{strange} in {text!r} means nothing", todo)
            if not single_spaced(text):
                raise file.refusal((*key, index), "is an empty pattern", "take it out, or write a layer's name")
        # What a reader makes of a file's numbers has the built-in names.
        built_in = next((own for name, own in _BUILT_IN if name == role and any(map(is_number, texts))), ())
        layers.append((role, (*texts, *(name for name in built_in if name not in texts))))
    return (*layers, *(entry for entry in _BUILT_IN if entry[0] not in given))


def _pieces(file: TomlFile) -> tuple[PieceRule, ...]:
    rules: list[PieceRule] = []
    for name, table in _table(file, ("pieces",), file.table.get("pieces", {})).items():
        key: Key = ("pieces", name)
        values = _table(file, key, table)
        file.check_keys(key, values, _PIECE_KEYS)
        kind = file.value((*key, "kind"), values.get("kind"), str) if "kind" in values else None
        front = file.value((*key, "front"), values["front"], str) if "front" in values else None
        if front not in (None, "left", "right"):
            raise file.refusal((*key, "front"), f"{front!r} is not a side", 'write "left" or "right"')
        edges = _edge_names(file, key, values)
        if edges and kind is not None and name_key(kind) != PieceKind.OTHER:
            what = f"the edges of a {name_key(kind)} have their names already"
            raise file.refusal((*key, "edges"), what, 'take that out, or say kind = "other"')
        allowances = _allowances(file, key, values)
        rules.append(PieceRule(single_spaced(name), kind and name_key(kind), front, allowances, edges))
    return tuple(rules)


def _edge_names(file: TomlFile, key: Key, values: Mapping[str, Any]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    place: Key = (*key, "edges")
    found: list[tuple[str, tuple[str, ...]]] = []
    for name, given in _table(file, place, values.get("edges", {})).items():
        parts = tuple(name_key(part) for part in file.value((*place, name), _listed(given), list[str]))
        if not name_key(name) or not parts or not all(parts):
            todo = 'write for example armhole = "edge 2", or armhole = ["front corner", "back corner"]'
            raise file.refusal((*place, name), "names no edge", todo)
        found.append((name_key(name), parts))
    return tuple(found)


def _listed(given: Any) -> Any:
    return [given] if isinstance(given, str) else given


def _allowances(file: TomlFile, key: Key, values: Mapping[str, Any]) -> dict[str, float]:
    place: Key = (*key, "seam allowance")
    given: Any = values.get("seam allowance", {})
    if isinstance(given, str):
        given = {"all": given}
    found: dict[str, float] = {}
    for edge, text in _table(file, place, given).items():
        found[name_key(edge)] = file.length((*place, edge), text)
        if found[name_key(edge)] < 0:
            raise file.refusal(
                (*place, edge), "a seam allowance can't be less than nothing", 'write for example "5/8 in"'
            )
    return found


def _seams(file: TomlFile) -> tuple[SeamRule, ...]:
    rules: list[SeamRule] = []
    for index, table in enumerate(file.value(("seams",), file.table.get("seams", []), list[Any])):
        key: Key = ("seams", index)
        values = _table(file, key, table)
        file.check_keys(key, values, ("a", "b", "ease", "eased"))
        sides: list[tuple[tuple[str, str], ...]] = []
        for side in ("a", "b"):
            if side not in values:
                raise file.refusal(key, f"has no {side!r}", 'a seam needs a = ["Piece/edge"] and b = ["Piece/edge"]')
            sides.append(_row(file, (*key, side), values[side]))
        ease = None
        if "ease" in values:
            from svgfit.pattern.ease_tables import seam_ease  # here because few conventions state an ease

            ease = seam_ease(file, (*key, "ease"), values["ease"])
        elif "eased" in values:
            raise file.refusal(key, "says which edge is eased but not how much", 'add ease = ["1/8 in", "3/8 in"]')
        eased = _row(file, (*key, "eased"), values["eased"]) if "eased" in values else ()
        rules.append(SeamRule(sides[0], sides[1], file, key, ease, eased))
    return tuple(rules)


def _row(file: TomlFile, key: Key, value: Any) -> tuple[tuple[str, str], ...]:
    texts = file.value(key, [value] if isinstance(value, str) else value, list[str])
    if not texts:
        raise file.refusal(key, "names no edge", 'write for example ["Sleeve/cap"]')
    return tuple(_edge(file, (*key, place), text) for place, text in enumerate(texts))


def _edge(file: TomlFile, key: Key, text: str) -> tuple[str, str]:
    piece, _, edge = text.rpartition("/")
    if not single_spaced(piece) or not single_spaced(edge):
        raise file.refusal(key, f"{text!r} is not an edge of a piece", 'write piece/edge, for example "Sleeve/cap"')
    return single_spaced(piece), name_key(edge)


def _output(file: TomlFile) -> dict[str, str]:
    key: Key = ("output",)
    table = _table(file, key, file.table.get("output", {}))
    file.check_keys(key, table, _OUTPUT_KEYS)
    names = {name: name for name in _OUTPUT_KEYS}
    for name, value in table.items():
        names[name] = file.value((*key, name), value, str)
        if not names[name].strip():
            raise file.refusal((*key, name), "a layer needs a name", "write one, or take the key out")
    if len({name_key(name) for name in names.values()}) < len(names):
        raise file.refusal(key, "two of our layers have one name", "give each its own")
    return names


def _walk(file: TomlFile) -> WalkRule:
    table = _table(file, ("walk",), file.table.get("walk", {}))
    file.check_keys(("walk",), table, _WALK_KEYS)
    limits = {"careful": CAREFUL, "workable": WORKABLE}
    for name in limits:
        if name in table:
            limits[name] = file.length(("walk", name), table[name])
    for name, limit in limits.items():
        if limit < 0:
            raise file.refusal(("walk", name), "two seams can't differ by less than nothing", 'write "1/16 in" or so')
    if limits["careful"] > limits["workable"]:
        careful, workable = (format_length(limit, "in") for limit in limits.values())
        what = f"careful work would be allowed more ({careful}) than workable ({workable})"
        key: Key = ("walk", "careful" if "careful" in table else "workable")
        raise file.refusal(key, what, "give both, careful the smaller")
    style = file.value(("walk", "style"), table["style"], str) if "style" in table else None
    gathered = file.value(("walk", "gathered"), table.get("gathered", False), bool)
    return WalkRule(limits["careful"], limits["workable"], style, gathered, file)


def _table(file: TomlFile, key: Key, value: Any) -> dict[str, Any]:
    return file.value(key, value, dict[str, Any])
