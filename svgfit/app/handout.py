"""A handout: true-to-size pages, behind them minis and teaching sheets, and what the plans in the drawings proved."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.nest_redraw import redrawn_drawing
from svgfit.app.replay import Replay, replay
from svgfit.app.session import Session
from svgfit.app.teaching import mini_pdf, teaching_pdf, went_on
from svgfit.app.verdicts import WRITTEN, check_line, verdicts_of, written_failure
from svgfit.model.length import parse_length
from svgfit.model.refusal import Refusal
from svgfit.model.report import Check
from svgfit.render.layer_selection import read_parts
from svgfit.render.pdf.build import MANY, Handout, Ready, make_handout, prepare
from svgfit.render.pdf.choosing import Printable, Wanted, is_all_dropped, printable
from svgfit.render.pdf.mini_pages import Laid
from svgfit.render.pdf.papers import for_hands, read_paper


class HandoutOptions(Struct, frozen=True):
    """How a handout is to be printed, as a person says it."""

    paper: str = "a4"
    """"a4", "letter", "a0" …, "610mmx914mm", or "a4+letter" for pages that print on either."""
    orientation: str | None = None
    """"portrait" or "landscape"; None: what needs fewer pages."""
    layers: str | None = None
    """Which of original, adjusted, measurements and working-lines, separated by commas."""
    pieces: str | None = None
    """Some pieces, such as "Front,Sleeve"; None: all."""
    size: str | None = None
    """Some sizes of a nest; None: all."""
    margin: str = "12.7 mm"
    overlap: str = "12 mm"
    as_drawn: bool = False
    """Whether lines too pale or too thin for a laser printer are left so."""
    many: bool = False
    """Whether more than 100 pages may be printed."""

    def read(self) -> Handout:
        """Read what was said. Raises Refusal for what can't be read."""
        wanted = Wanted(read_parts(self.layers), _pieces(self.pieces), self.size)
        paper = read_paper(self.paper)
        margin, overlap = _length("--margin", self.margin), _length("--overlap", self.overlap)
        return Handout(paper, self.orientation, margin, overlap, wanted, many=self.many, as_drawn=self.as_drawn)


def handout_pdf(
    session: Session, options: HandoutOptions | None = None, *, teaching: bool = True, mini: str | None = None
) -> FinishedHandout:
    """Make the handout of a session's drawings: true-to-size pages, and behind them the plan as a teaching sheet.

    Args:
        session: the drawings.
        options: paper, pieces, margins …
        teaching: whether a teaching sheet lies behind the pages of a drawing that svgfit adjusted.
        mini: the scale of minis of the pieces that changed, such as "1/4"; None: none.

    Raises:
        Refusal: for what can't be read, is not there, or takes too many pages.
    """
    prepared = prepare_handout(session, (options or HandoutOptions()).read())
    return prepared.finish(teaching=teaching, mini=mini)


class BackMatter(Struct, frozen=True):
    """The pages behind the true-to-size ones, as PDFs; warnings; and the checks that failed."""

    pages: tuple[bytes, ...] = ()
    warnings: tuple[str, ...] = ()
    failed: tuple[Check, ...] = ()


class FinishedHandout(Struct, frozen=True):
    """A handout's PDF and what is to be said of it."""

    pdf: bytes
    lines: tuple[str, ...]
    """One a drawing: what of it is printed on how many pages."""
    failed: tuple[str, ...]
    """Checks of the drawings' plans that failed, each in one line."""
    warnings: tuple[str, ...]


class PreparedHandout(Struct, frozen=True):
    """Drawings chosen from and divided into pages, before anything is typeset."""

    session: Session
    how: Handout
    ready: tuple[Ready, ...]
    warnings: tuple[str, ...] = ()

    def finish(self, *, teaching: bool = True, mini: str | None = None) -> FinishedHandout:
        """Typeset it all. Raises Refusal for minis that can't be made."""
        back_matter = _back_matter(self.session, self.how, teaching=teaching, mini=mini)
        failed = tuple(map(check_line, back_matter.failed))
        made = make_handout(self.ready, self.how, back_matter.pages, failed)
        return FinishedHandout(made.pdf, made.said, failed, (*self.warnings, *made.warnings, *back_matter.warnings))


def prepare_handout(session: Session, how: Handout) -> PreparedHandout:
    """Choose what of each drawing is printed and on which pages.

    Raises Refusal for what can't be read, is not there, or takes too many pages.
    """
    how = replace(how, units=session.units, redraw=_redraw(session))
    every = [_printable(session, file) for file in session.files]
    gone = [is_all_dropped(one, how.wanted) for one in every]
    if all(gone):
        return PreparedHandout(session, how, prepare(every, how))  # which refuses, with what to do
    there = [one for one, is_gone in zip(every, gone, strict=True) if not is_gone]
    warnings = tuple(
        f"{file}: not printed, since the plan dropped every piece of it"
        for file, is_gone in zip(session.files, gone, strict=True)
        if is_gone
    )
    return PreparedHandout(session, how, prepare(there, how), warnings)


def _printable(session: Session, file: str) -> Printable:
    drawing, tree = session.fresh_copy(file)
    return printable(drawing, tree, session.convention)


def _redraw(session: Session) -> Callable[[str], Printable | None]:
    """Make what gives a drawing with the figures of the sizes that are printed; None where these can't be had."""

    def redraw(file: str) -> Printable | None:
        data = redrawn_drawing(session, file)
        if data is None:
            return None
        return _printable(session.on_bytes({file: data}, session.options), file)

    return redraw


def _back_matter(session: Session, how: Handout, *, teaching: bool, mini: str | None) -> BackMatter:
    """Make minis if asked for and teaching sheets, and collect the verdicts of all plans.

    The drawings that one plan adjusted are taken together; the others need not fit to them. Where a plan can't be run
    again its sheet is left out with a warning. Raises Refusal for minis that can't be made.
    """
    plans: dict[str, list[str]] = {}
    for file in session.files:
        plan = next((layer.plan for layer in reversed(session.svgfit_layers(file)) if layer.plan), None)
        if plan is not None:
            plans.setdefault(plan, []).append(file)
    if not plans and mini is None:
        return BackMatter()
    found = BackMatter()
    for group in list(plans.values()) or [list(session.files)]:
        companions = session.files if len(plans) == 1 else group
        one = _of_plan(session, group, companions, how, teaching=teaching, mini=mini)
        found = BackMatter(found.pages + one.pages, found.warnings + one.warnings, found.failed + one.failed)
    return replace(found, warnings=tuple(dict.fromkeys(found.warnings)))


def _of_plan(
    session: Session, group: Sequence[str], companions: Sequence[str], how: Handout, *, teaching: bool, mini: str | None
) -> BackMatter:
    """Make what comes of one plan; ``companions`` are the drawings that may belong to it beside its ``group``."""
    try:
        found = _replay(session, group, companions)
    except Refusal as refusal:
        if mini is not None:
            raise
        what = "teaching sheet is left out" if teaching else "plan's checks are not told"
        words = f"{', '.join(group)}: the {what}, since its plan can't be done again: {refusal.line(session.units)}"
        return BackMatter(warnings=(words,), failed=_written(session, group))
    units = session.units
    hand = for_hands(how.paper)
    turned = hand.landscape if how.orientation == "landscape" else hand.portrait
    laid = Laid(how.orientation, how.margin, how.overlap, None if how.many else MANY)
    pages = [mini_pdf(found.run, turned.size, units, mini, laid)] if mini is not None else []
    failed = verdicts_of(found).failed
    if found.no_steps:
        failed += _written(session, group)
    if teaching and found.has_plan:
        pages.append(teaching_pdf(found.run, turned.size, units, found.no_steps or went_on(found.earlier)))
    return BackMatter(tuple(pages), found.warnings, failed)


def _replay(session: Session, group: Sequence[str], companions: Sequence[str]) -> Replay:
    """Run the plan again on its own drawings; on all where those alone can't be run, or have nothing to walk."""
    if len(group) == len(companions):
        return session.narrowed(group).once(replay)
    try:
        alone = session.narrowed(group).once(replay)
    except Refusal as refusal:
        try:
            return session.narrowed(companions).once(replay)
        except Refusal:
            raise refusal from None
    if alone.run.walked is not None:
        return alone
    try:
        return session.narrowed(companions).once(replay)
    except Refusal:
        return alone


def _pieces(text: str | None) -> tuple[str, ...] | None:
    """Read the names of ``Front,Sleeve``; None for nothing said. Raises Refusal where none is named."""
    if text is None:
        return None
    named = tuple(part.strip() for part in text.split(",") if part.strip())
    if named:
        return named
    raise Refusal("--pieces", "names no piece", "name some, such as Front,Sleeve, or leave it out for all")


def _length(name: str, text: str) -> float:
    try:
        return parse_length(text)
    except ValueError as fault:
        raise Refusal(name, str(fault)) from None


def _written(session: Session, group: Sequence[str]) -> tuple[Check, ...]:
    """Give a failed check for each drawing in which one is written."""
    return tuple(
        replace(WRITTEN, name=os.path.basename(file)) for file in group if written_failure(session.drawing(file).layers)
    )
