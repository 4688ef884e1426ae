"""The seam map as the pieces suggest it: what is sewn to what where nobody says; what to write where it isn't plain.

Sleeve into armhole; the armhole over front, yoke, back and side panels in sewing order, from the front underarm point
over the shoulder to the back one; side and shoulder seams; a sleeve's own underarm seam; and any edge that is named
after what it is sewn to, as ``sleeve hem`` on a cuff. Linings are sewn among themselves. What pieces are
called is in svgfit.rules.piece_names.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.toml_file import spell
from svgfit.model.vocabulary import EdgeName, PieceKind, Side
from svgfit.pattern.languages import in_english
from svgfit.pattern.layer_patterns import name_key
from svgfit.rules.piece_names import CUT_AFTER, LINING

End = tuple[str, str]


class Group(Struct, frozen=True):
    """Pieces that are sewn to one another, one of each name."""

    sleeves: tuple[Piece, ...]
    fronts: tuple[Piece, ...]
    backs: tuple[Piece, ...]
    yokes: tuple[Piece, ...]
    panels: tuple[Piece, ...]
    """Other pieces with an armhole."""
    others: tuple[Piece, ...]


def infer_seams(pieces: Sequence[Piece]) -> tuple[tuple[Seam, ...], tuple[str, ...]]:
    """Infer seams, each marked as guessed; warn of what is left to a person, with the lines to write."""
    named: dict[str, Piece] = {}
    for piece in pieces:  # the sizes of a nest are sewn alike
        named.setdefault(name_key(piece.name), piece)
    sorts = {name: cut_after(piece.name) for name, piece in named.items()}
    outer = _group([piece for name, piece in named.items() if sorts[name] is None])
    lining = _group([piece for name, piece in named.items() if (sort := sorts[name]) is not None and sort[1] == LINING])
    seams, warnings = _of_group(outer)
    more, _ = _of_group(lining)  # a lining's seams left open are the outer pieces' over again: told once
    return (*seams, *more), warnings


def cut_after(name: str) -> tuple[str, str] | None:
    """Read from its name what a piece is cut after, in lower case, and what it is; None for a piece of its own.

    >>> cut_after("Sleeve lining"), cut_after("Facing of Front"), cut_after("Sleeve")
    (('sleeve', 'lining'), ('front', 'facing'), None)
    """
    english = in_english(name)
    if not any(word in english for word in CUT_AFTER):
        return None
    words = re.findall(r"[^\W_]+", english)
    kinds = [word for word in words if word in CUT_AFTER]
    if not kinds:
        return None
    rest = [word for word in words if word not in CUT_AFTER and word not in ("of", "for", "the")]
    return " ".join(rest), kinds[0]


def _group(pieces: Sequence[Piece]) -> Group:
    def kind(name: str) -> tuple[Piece, ...]:
        return tuple(piece for piece in pieces if piece.kind == name)

    yokes = tuple(piece for piece in pieces if _is_yoke(piece))
    main = (PieceKind.SLEEVE, PieceKind.FRONT, PieceKind.BACK)
    rest = [piece for piece in pieces if piece.kind not in main and piece not in yokes]
    panels = tuple(piece for piece in rest if _armhole_edges(piece))
    others = tuple(piece for piece in rest if piece not in panels)
    return Group(kind("sleeve"), kind("front"), kind("back"), yokes, panels, others)


def _is_yoke(piece: Piece) -> bool:
    """Say whether a piece has a front seam, a back seam and an armhole, and is no side panel by its name."""
    edges = all(piece.has_edge(name) for name in (EdgeName.ARMHOLE, EdgeName.FRONT_SEAM, EdgeName.BACK_SEAM))
    named_side = "side" in _words(piece.name)
    return edges and (piece.kind == PieceKind.YOKE or (piece.kind == PieceKind.OTHER and not named_side))


def _armhole_edges(piece: Piece) -> list[str]:
    return [
        edge.name
        for edge in piece.edges
        if edge.name in (EdgeName.ARMHOLE, EdgeName.ARMHOLE_FRONT, EdgeName.ARMHOLE_BACK)
    ]


def _words(name: str) -> set[str]:
    return set(re.findall(r"[^\W\d_]+", in_english(name)))


def _of_group(group: Group) -> tuple[tuple[Seam, ...], tuple[str, ...]]:
    seams: list[Seam] = []
    for sleeve in group.sleeves:
        _add(seams, (sleeve, "underarm front"), (sleeve, "underarm back"))
    _by_name(seams, group)
    many = [
        f"{len(found)} {kind}s ({_names(found)})"
        for kind, found in (
            ("sleeve", group.sleeves),
            ("front", group.fronts),
            ("back", group.backs),
            ("yoke", group.yokes),
        )
        if len(found) > 1
    ]
    front, back, yoke = (next(iter(found), None) for found in (group.fronts, group.backs, group.yokes))
    if many or front is None or back is None:
        warnings = (_left_open(" and ".join(many), group),) if many else ()
        return tuple(seams), warnings
    panels = _panels(group.panels)
    if panels is None:
        return tuple(seams), (_left_open(f"a further piece with an armhole ({_names(group.panels)})", group),)
    ahead, behind = panels
    _sides(seams, front, back, ahead, behind)
    if yoke is None:
        _add(seams, (front, "shoulder"), (back, "shoulder"))
    else:
        _add(seams, (front, _top(front)), (yoke, "front seam"))
        _add(seams, (back, _top(back)), (yoke, "back seam"))
    row = _armhole(front, back, yoke, ahead, behind)
    for sleeve in group.sleeves:
        if row is not None and sleeve.has_edge(EdgeName.CAP):
            seams.append(Seam(((sleeve.name, "cap"),), row, guessed=True))
    return tuple(seams), ()


def _top(piece: Piece) -> str:
    """Find the edge by which a front or back is sewn to a yoke: its shoulder, if it has a neckline of its own."""
    return "yoke seam" if piece.has_edge("yoke seam") else "shoulder"


# -- side panels -----------------------------------------------------------------------------------------------------


def _panels(panels: Sequence[Piece]) -> tuple[Piece | None, Piece | None] | None:
    """Find the panels next to front and back (one piece may be both); None where that is not plain.

    Plain is one panel under the arm (front seam, back seam, its armhole parted at the underarm point into ``armhole
    front`` and ``armhole back``), or one or two half ones (armhole, side seam, and front seam or back seam).
    """
    if not panels:
        return None, None
    if len(panels) == 1 and all(
        panels[0].has_edge(name) for name in ("front seam", "back seam", "armhole front", "armhole back")
    ):
        return panels[0], panels[0]
    ahead = [panel for panel in panels if _is_half(panel, Side.FRONT)]
    behind = [panel for panel in panels if _is_half(panel, Side.BACK)]
    if len(ahead) > 1 or len(behind) > 1 or len(ahead) + len(behind) < len(panels):
        return None
    return next(iter(ahead), None), next(iter(behind), None)


def _is_half(panel: Piece, side: Side) -> bool:
    other = Side.BACK if side == Side.FRONT else Side.FRONT
    wanted = all(panel.has_edge(name) for name in (EdgeName.ARMHOLE, EdgeName.SIDE_SEAM, f"{side} seam"))
    return wanted and not panel.has_edge(f"{other} seam")


def _sides(seams: list[Seam], front: Piece, back: Piece, ahead: Piece | None, behind: Piece | None) -> None:
    """Add the seams from the front round the side to the back."""
    if ahead is not None:
        _add(seams, (front, "side seam"), (ahead, "front seam"))
    if behind is not None:
        _add(seams, (behind, "back seam"), (back, "side seam"))
    if ahead is None or ahead is not behind:
        _add(seams, (ahead or front, "side seam"), (behind or back, "side seam"))


def _armhole(
    front: Piece, back: Piece, yoke: Piece | None, ahead: Piece | None, behind: Piece | None
) -> tuple[End, ...] | None:
    """List the armhole in sewing order; None where one of the pieces has no edge of that name."""
    whole = ahead is not None and ahead is behind
    row = [
        (ahead, "armhole front" if whole else "armhole"),
        (front, "armhole"),
        (yoke, "armhole"),
        (back, "armhole"),
        (behind, "armhole back" if whole else "armhole"),
    ]
    there = [(piece, edge) for piece, edge in row if piece is not None]
    if not all(piece.has_edge(edge) for piece, edge in there):
        return None
    return tuple((piece.name, edge) for piece, edge in there)


# -- edges named after what they are sewn to -------------------------------------------------------------------------


def _by_name(seams: list[Seam], group: Group) -> None:
    """Sew an edge called ``sleeve hem`` to the sleeve's hem (to the edge of the piece, or kind, of that name)."""
    main = (*group.sleeves, *group.fronts, *group.backs, *group.yokes)
    known: dict[str, tuple[Piece, str]] = {}
    for piece in (*main, *group.panels, *group.others):
        for edge in piece.edges:
            known.setdefault(f"{name_key(piece.name)} {edge.name}", (piece, edge.name))
    for piece in main:
        if sum(1 for one in main if one.kind == piece.kind) == 1:
            for edge in piece.edges:
                known.setdefault(f"{piece.kind} {edge.name}", (piece, edge.name))
    for piece in (*group.panels, *group.others):
        for edge in piece.edges:
            partner = known.get(edge.name)
            if partner is not None and partner[0] is not piece:
                _add(seams, partner, (piece, edge.name))


# -- what is left to a person ----------------------------------------------------------------------------------------


def _left_open(why: str, group: Group) -> str:
    """Write the warning, with lines that say it for the pieces that come first of their kind: an example to change."""
    front, back, yoke = (next(iter(found), None) for found in (group.fronts, group.backs, group.yokes))
    rows: list[tuple[Iterable[End], Iterable[End]]] = []
    panels = [(panel.name, edge) for panel in group.panels for edge in _armhole_edges(panel)[:1]]
    armhole = [
        *([(front.name, "armhole")] if front else []),
        *([(yoke.name, "armhole")] if yoke else []),
        *([(back.name, "armhole")] if back else []),
        *panels,
    ]
    for sleeve in group.sleeves:
        if armhole:
            rows.append(([(sleeve.name, "cap")], armhole))
        rows.append(([(sleeve.name, "underarm front")], [(sleeve.name, "underarm back")]))
    if front and back:
        rows.append(([(front.name, "side seam")], [(back.name, "side seam")]))
        shoulders = [(front.name, _top(front))], [(back.name, _top(back))]
        if yoke:
            rows += [(shoulders[0], [(yoke.name, "front seam")]), ([(yoke.name, "back seam")], shoulders[1])]
        else:
            rows.append(shoulders)
    tables = ", ".join(f"{{ a = {_toml(a)}, b = {_toml(b)} }}" for a, b in rows)
    todo = f"say it at the top of svgfit.toml, with your own pieces and order: seams = [{tables}]"
    if group.panels:
        keys = ", ".join(spell(("pieces", panel.name, "edges")) for panel in group.panels)
        todo += f" (a side panel's edges are named with {keys}; see docs/convention.md, [[seams]])"
    else:
        todo += " (or each pair as a [[seams]] of its own)"
    return f"which seams meet is not guessed: there are {why}; {todo}"


def _toml(edges: Iterable[End]) -> str:
    import json  # its texts are written as TOML's; needed for this warning only

    return "[" + ", ".join(json.dumps(f"{piece}/{edge}", ensure_ascii=False) for piece, edge in edges) + "]"


def _add(seams: list[Seam], a: tuple[Piece, str], b: tuple[Piece, str]) -> None:
    if a[0].has_edge(a[1]) and b[0].has_edge(b[1]):
        seams.append(Seam(((a[0].name, a[1]),), ((b[0].name, b[1]),), guessed=True))


def _names(pieces: Sequence[Piece]) -> str:
    return ", ".join(piece.name for piece in pieces)
