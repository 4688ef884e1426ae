"""Tiles that show the same shapes, each behind its own clip: a page lies where what it shares with others says."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.formats.pdf.optional_content import Key
from svgfit.formats.pdf.pages import Page
from svgfit.formats.pdf.records import (
    EVERYWHERE,
    Content,
    Line,
    Placed,
    Writing,
    extent,
    flattened,
    meet,
    moved_box,
    overlap,
)
from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box, longer_side

_SAME = 0.05
"""Places nearer than this, mm, are one."""
_APART = 5.0
"""Two tiles lie at least this far from each other, mm: what pages have in one place is no proof."""
_LONG = 5.0
"""A shape must be this long, mm, to say where a page lies."""
_DEEPEST = 2
"""Forms that lie deeper in others are not looked at one by one."""
_MOST_ALIKE = 8
"""A shape of which a page has more than this says nothing."""
_HELD = 4
"""A page is held in its place by this many shapes for each that would have it elsewhere."""


class Placing(Struct, frozen=True):
    """Where pages lie on the sheet: the vector from a page's top left to the first one's, mm, by place in the list."""

    shifts: Mapping[int, complex]
    proof: int
    """How many shapes are shared by pages and lie in one place on the sheet."""
    contradictions: int = 0


class _Shown(Struct, frozen=True):
    """A form on a page."""

    motion: Affine
    window: Box
    """What is seen of the page, in page mm."""


# -- forms -----------------------------------------------------------------------------------------------------------


def by_forms(pages: Sequence[Page]) -> list[tuple[Placing, list[Line | Writing]]]:
    """Place pages that draw one form, each moved otherwise, and list what is seen of those forms, whole.

    A placing for each group of pages that share none with the others; its marks are in the mm of its first page.
    """
    moving, contents = _moving_forms(pages)
    inner = {id(mark.content) for key in moving for mark, _, _ in _forms(contents[key].content, Affine(), EVERYWHERE)}
    shared = {key: on for key, on in moving.items() if key not in inner}
    found: list[tuple[Placing, list[Line | Writing]]] = []
    while shared:
        base = shared[max(shared, key=lambda key: contents[key].content.points)]
        first = min(base)
        moved = {at: _shift(base[first], each) for at, each in base.items()}
        shifts = {at: shift for at, shift in moved.items() if shift is not None}
        own = {key: on for key, on in shared.items() if shifts.keys() & on.keys()}
        found.append(_laid_down(own, contents, shifts))
        shared = {key: on for key, on in shared.items() if key not in own}
    return found


def _laid_down(
    shared: Mapping[int, Mapping[int, _Shown]], contents: Mapping[int, Placed], shifts: Mapping[int, complex]
) -> tuple[Placing, list[Line | Writing]]:
    """Count what proves that pages lie so, and list what they show of the forms that they share."""
    proof = contradictions = 0
    marks: list[Line | Writing] = []
    for key, everywhere in shared.items():
        on = {at: each for at, each in everywhere.items() if at in shifts}
        home = min(on)
        motion = on[home].motion.then(Affine.shift(shifts[home]))
        agrees = [at for at, each in on.items() if (moved := _shift(on[home], each)) is not None
                  and abs(moved - (shifts[at] - shifts[home])) < _SAME]  # fmt: skip
        contradictions += len(on) - len(agrees)
        windows = [moved_box(on[at].window, Affine.shift(shifts[at])) for at in agrees]
        for mark in flattened(contents[key].content, motion, contents[key].layer):
            box = meet(extent(mark), mark.clip)
            seen_on = sum(overlap(box, window) for window in windows)
            proof += seen_on > 1
            if seen_on:
                marks.append(mark)
    return Placing(shifts, proof, contradictions), marks


def outside_forms(page: Page, shared: frozenset[int]) -> list[Line | Writing]:
    """List the marks that are seen on a page and are in none of the ``shared`` contents, in page mm."""
    return replace(page, content=_without(page.content, shared)).marks()


def _without(content: Content, shared: frozenset[int]) -> Content:
    """Leave the ``shared`` contents out of one."""
    marks = [
        replace(mark, content=_without(mark.content, shared)) if isinstance(mark, Placed) else mark
        for mark in content.marks
        if not (isinstance(mark, Placed) and id(mark.content) in shared)
    ]
    return replace(content, marks=tuple(marks))


def shared_contents(pages: Sequence[Page]) -> frozenset[int]:
    """Return the identities of the contents of forms that pages draw each at another place."""
    return frozenset(_moving_forms(pages)[0])


def _moving_forms(pages: Sequence[Page]) -> tuple[dict[int, dict[int, _Shown]], dict[int, Placed]]:
    """Find, by the identity of their contents, forms that pages draw each at another place: how each page shows them.

    The second is one place where each form of the file is drawn.
    """
    shown: dict[int, dict[int, _Shown]] = defaultdict(dict)
    contents: dict[int, Placed] = {}
    for at, page in enumerate(pages):
        for mark, motion, window in _forms(page.content, page.motion, page.box):
            key = id(mark.content)
            contents[key] = mark
            shown[key].setdefault(at, _Shown(motion, window))
    return {key: on for key, on in shown.items() if _moves(on)}, contents


def _forms(
    content: Content, by: Affine, window: Box, layer: Key | None = None, depth: int = 0
) -> Iterator[tuple[Placed, Affine, Box]]:
    """Iterate over the forms that a page draws, and those in them, with their motion to page mm and what is seen there.

    ``layer``: of those that have none of their own.
    """
    for mark in content.marks:
        if isinstance(mark, Placed):
            motion, seen = mark.motion.then(by), meet(window, moved_box(mark.clip, by))
            own = mark.layer if mark.layer is not None else layer
            yield replace(mark, layer=own), motion, seen
            if depth < _DEEPEST:
                yield from _forms(mark.content, motion, seen, own, depth + 1)


def _moves(on: Mapping[int, _Shown]) -> bool:
    """Say whether a form lies at another place of each page."""
    if len(on) < 2:
        return False
    places = [complex(each.motion.e, each.motion.f) for each in on.values()]
    return min(abs(places[0] - place) for place in places[1:]) > _APART


def _shift(one: _Shown, other: _Shown) -> complex | None:
    """Return the vector by which the other page's mm become the one's; None where its form is turned or scaled."""
    a, b = one.motion, other.motion
    if max(abs(a.a - b.a), abs(a.b - b.b), abs(a.c - b.c), abs(a.d - b.d)) > 1e-6:
        return None
    return complex(a.e - b.e, a.f - b.f)


# -- shapes ----------------------------------------------------------------------------------------------------------


def by_shapes(pages: Sequence[Sequence[Line | Writing]]) -> tuple[Placing, ...]:
    """Place pages that show the same shapes (in page mm, furniture left out), moved; a placing for each group of them.

    Groups that share nothing with each other are placed each by itself.
    """
    places: dict[tuple[object, ...], dict[int, list[complex]]] = defaultdict(lambda: defaultdict(list))
    for at, marks in enumerate(pages):
        for mark in marks:
            if isinstance(mark, Line) and longer_side(extent(mark)) >= _LONG:
                places[_key(mark)][at].append(mark.subpaths[0].start)
    votes: dict[tuple[int, int], list[complex]] = defaultdict(list)
    for on in places.values():
        if len(on) > 1 and max(map(len, on.values())) <= _MOST_ALIKE:
            for one in on:
                for other in on:
                    if one < other:
                        votes[one, other] += [a - b for a in on[one] for b in on[other]]
    links = [_Link(count, *pair, shift) for pair, each in votes.items() for shift, count in [most_agreed(each)]]
    links = sorted((link for link in links if abs(link.shift) > _APART), key=lambda link: (-link.shapes, link.one))
    found: list[Placing] = []
    while links:
        shifts = _spread(links)
        own = [link for link in links if link.one in shifts]
        links = [link for link in links if link.one not in shifts]
        found.append(_proved(shifts, own))
    return tuple(found)


class _Link(NamedTuple):
    """Two pages that show so many ``shapes`` alike; the other's mm become the one's by ``shift``."""

    shapes: int
    one: int
    other: int
    shift: complex


def _proved(shifts: Mapping[int, complex], links: Sequence[_Link]) -> Placing:
    """Count what speaks for pages lying so, and against it.

    Two shapes may be alike, as the grain lines of two pieces: where they are few beside the shapes that hold both
    their pages where they are, they are taken for two.
    """
    fits = [abs(shifts[link.one] + link.shift - shifts[link.other]) <= 2 * _SAME for link in links]
    speaking: dict[bool, Counter[int]] = {True: Counter(), False: Counter()}
    for link, fit in zip(links, fits, strict=True):
        for page in (link.one, link.other):
            speaking[fit][page] += link.shapes
    doubtful = {page for page, against in speaking[False].items() if _HELD * against > speaking[True][page]}
    wrong = sum(not fit and not doubtful.isdisjoint(link[1:3]) for link, fit in zip(links, fits, strict=True))
    proof = sum(link.shapes for link, fit in zip(links, fits, strict=True) if fit)
    return Placing(shifts, proof, wrong)


def _spread(links: Sequence[_Link]) -> dict[int, complex]:
    """Place all pages that hang together with the strongest link, along strong links first."""
    shifts: dict[int, complex] = {links[0].one: 0j}
    while True:
        new = next((link for link in links if (link.one in shifts) != (link.other in shifts)), None)
        if new is None:
            return shifts
        if new.one in shifts:
            shifts[new.other] = shifts[new.one] + new.shift
        else:
            shifts[new.one] = shifts[new.other] - new.shift


def most_agreed(votes: Sequence[complex]) -> tuple[complex, int]:
    """Return the vector on which most votes agree, and how many; of several the one voted for first.

    Votes are sorted into cells, and only cells are looked into that may hold more than the best so far: there may be
    thousands, and comparing each with each took gigabytes.
    """
    points = np.array(votes)
    wide = 2 * _SAME
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for number, point in enumerate(votes):
        cells[round(point.real / wide), round(point.imag / wide)].append(number)
    around = {
        (x, y): [each for a in (-1, 0, 1) for b in (-1, 0, 1) for each in cells.get((x + a, y + b), ())]
        for x, y in list(cells)
    }
    best, agreeing = len(votes), np.array([], dtype=int)
    for cell in sorted(cells, key=lambda cell: -len(around[cell])):
        near = np.array(sorted(around[cell]))
        if len(near) < len(agreeing):
            break
        for number in cells[cell]:
            own = near[np.abs(points[near] - points[number]) < wide]
            if len(own) > len(agreeing) or (len(own) == len(agreeing) and number < best):
                best, agreeing = number, own
    return complex(points[agreeing].mean()), len(agreeing)


def _key(mark: Line) -> tuple[object, ...]:
    """Give what two drawings of one shape have in common, wherever they lie."""
    shape = tuple((len(path.segments), path.closed) for path in mark.subpaths)
    start = mark.subpaths[0].start
    points = [segment[-1] - start for path in mark.subpaths for segment in path.segments]
    total = sum(points, 0j)
    dash = tuple(round(part, 1) for part in mark.style.dash)
    return mark.layer, mark.style.stroke, dash, shape, round(total.real), round(total.imag), round(abs(points[-1]) * 2)
