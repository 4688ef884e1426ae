"""What a handout has behind its true-to-size pages, and what the plans in its drawings proved."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.open_drawings import Desk, Wishes, read_one
from svgfit.model.refusal import Refusal
from svgfit.pattern.convention import TEST_SQUARE
from svgfit.svg import read_own

if TYPE_CHECKING:
    from svgfit.app.replay import Again
    from svgfit.model.report import Check
    from svgfit.render.pdf.build import Handout
    from svgfit.render.pdf.choosing import Printable


class Behind(Struct, frozen=True):
    """Pages, each a PDF, what is to be warned of, and the checks that failed."""

    pages: tuple[bytes, ...] = ()
    warnings: tuple[str, ...] = ()
    failed: tuple[Check, ...] = ()


def read_printables(files: Iterable[str], desk: Desk, wish: Wishes) -> tuple[Printable, ...]:
    """Read drawings with their elements, to be printed. Raises Refusal for what can't be read."""
    return tuple(_read_printable(file, desk, wish) for file in files)


def redrawn(again: Callable[[], Again], desk: Desk, wish: Wishes) -> Callable[[str], Printable | None]:
    """Make what gives a drawing with our layers as they are for the sizes that ``again`` runs; None where it can't."""

    def redraw(file: str) -> Printable | None:
        from svgfit.app.nest_redraw import redrawing

        data = redrawing(again)(file)
        return None if data is None else _read_printable(file, desk, wish, data)

    return redraw


def _read_printable(file: str, desk: Desk, wish: Wishes, data: bytes | None = None) -> Printable:
    from svgfit.render.pdf.choosing import printable
    from svgfit.svg.reader import read_with_tree

    def is_test_square(path: tuple[str, ...]) -> bool:
        role = desk.convention.role_of(path)
        return role is not None and role.role == TEST_SQUARE

    drawing, tree = read_with_tree(
        file,
        scale=wish.scale,
        dialects=desk.registry.dialects(),
        is_test_square=is_test_square,
        test_square_mm=desk.convention.test_square_size,
        data=data,
    )
    return printable(drawing, tree, desk.convention)


def what_lies_behind(
    files: Sequence[str],
    desk: Desk,
    wish: Wishes,
    how: Handout,
    *,
    teaching: bool,
    mini: str | None,
) -> Behind:
    """Minis if asked for, teaching sheets, and the verdicts of all plans.

    The drawings that one plan adjusted are taken together; drawings besides need not fit to them. Where a plan can't
    be done again its sheet is left out with a warning. Raises Refusal for minis that can't be made.
    """
    plans: dict[str, list[str]] = {}
    for file in files:
        plan = next((layer.plan for layer in reversed(read_own(file)) if layer.plan), None)
        if plan is not None:
            plans.setdefault(plan, []).append(file)
    if not plans and mini is None:
        return Behind()
    found = Behind()
    for group in list(plans.values()) or [list(files)]:
        besides = files if len(plans) == 1 else group
        one = _of_plan(group, besides, desk, wish, how, teaching=teaching, mini=mini)
        found = Behind(found.pages + one.pages, found.warnings + one.warnings, found.failed + one.failed)
    return replace(found, warnings=tuple(dict.fromkeys(found.warnings)))


def _of_plan(
    group: Sequence[str],
    files: Sequence[str],
    desk: Desk,
    wish: Wishes,
    how: Handout,
    *,
    teaching: bool,
    mini: str | None,
) -> Behind:
    """What comes of one plan; ``files`` are the drawings that may belong to it besides its ``group``."""
    from svgfit.app.teaching import mini_pdf, teaching_pdf, went_on
    from svgfit.app.verdicts import verdicts_of
    from svgfit.render.pdf.build import MANY
    from svgfit.render.pdf.mini_pages import Laid
    from svgfit.render.pdf.papers import for_hands

    try:
        again = _again(group, files, desk, wish, how.unit)
    except Refusal as refusal:
        if mini is not None:
            raise
        what = "teaching sheet is left out" if teaching else "plan's checks are not told"
        words = f"{', '.join(group)}: the {what}, since its plan can't be done again: {refusal.line()}"
        return Behind(warnings=(words,), failed=_written(group, desk, wish))
    hand = for_hands(how.paper)
    turned = hand.landscape if how.orientation == "landscape" else hand.portrait
    paper = (turned.width, turned.height)
    laid = Laid(how.orientation, how.margin, how.overlap, None if how.many else MANY)
    pages = [mini_pdf(again.job, again.runs, paper, how.unit, mini, laid)] if mini is not None else []
    failed = verdicts_of(again).failed
    if again.no_steps:
        failed += _written(group, desk, wish)
    if teaching and (again.plan.steps or again.plan.ends or again.no_steps):
        told = again.no_steps or went_on(again.earlier)
        pages.append(teaching_pdf(again.job, again.runs, paper, how.unit, told))
    return Behind(tuple(pages), again.warnings, failed)


def _again(group: Sequence[str], files: Sequence[str], desk: Desk, wish: Wishes, unit: str) -> Again:
    """The plan done again on its own drawings; on all where those alone can't be done, or have nothing to walk."""
    from svgfit.app.replay import run_again
    from svgfit.app.walk_strips import every_walk

    if len(group) == len(files):
        return run_again(group, desk, wish, unit)
    try:
        alone = run_again(group, desk, wish, unit)
    except Refusal as refusal:
        try:
            return run_again(files, desk, wish, unit)
        except Refusal:
            raise refusal from None
    if every_walk(alone.runs, alone.job.gathered.seams, desk.convention, unit) is not None:
        return alone
    try:
        return run_again(files, desk, wish, unit)
    except Refusal:
        return alone


def _written(group: Sequence[str], desk: Desk, wish: Wishes) -> tuple[Check, ...]:
    """A failed check for each drawing in which one is written."""
    from svgfit.app.verdicts import WRITTEN, written_failure

    return tuple(
        replace(WRITTEN, name=os.path.basename(file))
        for file in group
        if written_failure(read_one(file, desk, wish).layers)
    )
