"""Every sleeve of every size walked along its armhole, every other seam compared, every fold looked at; one report."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.advice.styles import style_in
from svgfit.app.own_rules import tell_matching
from svgfit.app.seam_checks import seam_checks
from svgfit.fitting.armhole import cap_and_armhole, doubt_refusal
from svgfit.fitting.smoothness import fold_checks
from svgfit.fitting.walking import WalkLimits, walk_sleeve
from svgfit.model.drawing import Canvas
from svgfit.model.length import Units
from svgfit.model.piece import Doubt, Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.report import Check, DrawingRow
from svgfit.model.vocabulary import PieceKind, Status
from svgfit.model.walk import Walk, is_judged
from svgfit.pattern.convention import Convention
from svgfit.pattern.seam_inference import cut_after
from svgfit.pattern.seam_map import seams_of_size
from svgfit.plugin.abilities import seam_truer
from svgfit.plugin.registry import Registry
from svgfit.version import __version__


class ZoneRow(Struct, frozen=True):
    """A zone in the report."""

    zone: str
    cap: float
    armhole: float
    ease: float


class WalkRow(Struct, frozen=True):
    """A walk in the report."""

    sleeve: str
    size: str | None
    zones: tuple[ZoneRow, ...]
    ease: float
    verdicts: tuple[Check, ...]


class WalkReport(Struct, frozen=True):
    """What ``svgfit walk --json`` prints (svgfit/render/text/walk-schema.json). Lengths in mm, unrounded."""

    svgfit: str
    drawings: tuple[DrawingRow, ...]
    walks: tuple[WalkRow, ...]
    checks: tuple[Check, ...]
    warnings: tuple[str, ...]


class Walked(Struct, frozen=True):
    """Every walk, and the checks of all that is not a cap in its armhole."""

    walks: tuple[Walk, ...]
    checks: tuple[Check, ...]

    @property
    def failed(self) -> bool:
        """Whether a verdict or a check failed."""
        every = (*(verdict for walk in self.walks for verdict in walk.verdicts), *self.checks)
        return any(check.status == Status.FAIL for check in every)


def rules_of(
    convention: Convention, registry: Registry, style: str | None = None, *, mends: bool = False
) -> WalkLimits:
    """Find what walks are held to: as the convention says, ``style`` first. Raises Refusal for an unknown style.

    ``mends``: whether verdicts name the step that mends what they found, for which every operation is imported.
    """
    rule = convention.walk
    if style is not None:
        try:
            found = style_in(convention, style, registry)
        except Refusal as refusal:
            raise refusal.within(f"--style {style}") from None
    else:
        try:
            found = style_in(convention, rule.style, registry) if rule.style is not None else None
        except Refusal as refusal:
            raise rule.refusal(refusal) from None
    tell_matching(convention, registry)
    truer = partial(seam_truer, registry) if mends else None
    return WalkLimits(rule.careful, rule.workable, found, rule.gathered, truer)


def walk_all(groups: Sequence[Sequence[Piece]], seams: Sequence[Seam], rules: WalkLimits, units: Units) -> Walked:
    """Walk all sleeves and check all seams, size by size; each group holds the pieces of one.

    What can't be walked is a failed check where something else can (a lining's sleeve: a warning). Raises Refusal
    where nothing can, with the first reason.
    """
    walks: list[Walk] = []
    checks: list[Check] = []
    refusals: list[tuple[str, str, Refusal]] = []
    for pieces in groups:
        size = next((piece.size for piece in pieces if piece.size is not None), None)
        ending = f" ({size})" if size is not None and len(groups) > 1 else ""
        own = seams_of_size(pieces, seams)
        sleeves = [piece for piece in pieces if piece.kind == PieceKind.SLEEVE]
        if not sleeves:
            refusals.append((f"walk{ending}", "fail", no_sleeve(pieces)))
        for sleeve in sleeves:
            try:
                walks.append(walk_sleeve(sleeve, pieces, own, rules, units))
            except Refusal as refusal:
                # A lining drawn in part is no fault of the garment.
                status = "fail" if cut_after(sleeve.name) is None else "warn"
                refusals.append((f"walk of {sleeve.name}{ending}", status, refusal))
        others = [seam for seam in own if cap_and_armhole(seam) is None]
        found = seam_checks(pieces, others, units, tolerance=rules.careful, workable=rules.workable)
        checks += [replace(check, name=f"{check.name}{ending}") for check in found]
        checks += [check for piece in pieces for check in fold_checks(piece)]
        checks += [left_out(piece.title, piece.doubt) for piece in pieces if piece.doubt is not None]
    if not walks:
        raise min(refusals, key=lambda one: one[1] == Status.WARN)[2]
    checks += [Check(name, status, refusal.line(units)) for name, status, refusal in refusals]
    return Walked(tuple(walks), tuple({(check.name, check.message): check for check in checks}.values()))


def page_checks(walked: Walked) -> tuple[Check, ...]:
    """List verdicts and checks as they stand on a page.

    Of several sizes what is not ``pass`` first, alike ones once, with their sizes; then what passes, a line for all
    sizes of which the same does. A cap ease that nothing was held against is left to the tables of figures.
    """
    every = [*((walk.size, verdict) for walk in walked.walks for verdict in walk.verdicts)]
    sizes = tuple(dict.fromkeys(walk.size for walk in walked.walks if walk.size))
    if len(sizes) < 2:
        return (*(verdict for _, verdict in every), *walked.checks)
    every = [(size, verdict) for size, verdict in every if is_judged(verdict)]
    every += [(None, check) for check in walked.checks]
    by_message: dict[tuple[str, str, str], list[str]] = {}
    passed: dict[str, list[str]] = {}
    for size, check in every:
        mine = size or next((one for one in sizes if f"({one})" in check.name or f"size {one})" in check.name), "")
        name = check.name.replace(f" ({mine})", "").replace(f" (size {mine})", "")
        if check.status == Status.PASS:
            passed.setdefault(name, []).append(mine)
        else:
            by_message.setdefault((check.status, name, check.message), []).append(mine)
    rows = [Check(_of_sizes(name, found), status, words) for (status, name, words), found in by_message.items()]
    alike: dict[tuple[str, ...], list[str]] = {}
    for name, found in passed.items():
        alike.setdefault(tuple(dict.fromkeys(found)), []).append(name)
    for found, names in alike.items():
        which = ", ".join(filter(None, found))
        rows.append(
            Check(f"size{'s' if len(found) > 1 else ''} {which}" if which else "all", Status.PASS, "; ".join(names))
        )
    return tuple(rows)


def _of_sizes(name: str, sizes: Sequence[str]) -> str:
    found = ", ".join(dict.fromkeys(filter(None, sizes)))
    return f"{name} ({found})" if found else name


def left_out(title: str, doubt: Doubt) -> Check:
    """Warn of a piece that looks like a part of the garment but could not be taken for it, so that it is not walked."""
    looks = " or ".join(doubt.kinds)
    return Check(
        f"piece {title}", Status.WARN, f"it looks like a {looks}, but {doubt.what}, so it is left out; {doubt.todo}"
    )


def no_sleeve(pieces: Sequence[Piece]) -> Refusal:
    """Make the refusal that says that there is no sleeve, and why."""
    names = ", ".join(dict.fromkeys(piece.name for piece in pieces)) or "there are none"
    doubtful = doubt_refusal(pieces, "sleeve", "walk")
    return doubtful or Refusal(
        "walk", f"there is no sleeve among the pieces ({names})", "give the sleeve's drawing too"
    )


def walk_report(canvases: Iterable[Canvas], walked: Walked, warnings: Iterable[str]) -> WalkReport:
    """Make the report of walks."""
    rows = tuple(
        WalkRow(
            walk.sleeve,
            walk.size,
            tuple(ZoneRow(zone.zone, zone.cap, zone.armhole, zone.ease) for zone in walk.zones),
            walk.ease,
            walk.verdicts,
        )
        for walk in walked.walks
    )
    drawings = tuple(DrawingRow(canvas.file, canvas.mm_per_user_unit, canvas.scale_from) for canvas in canvases)
    return WalkReport(__version__, drawings, rows, walked.checks, tuple(dict.fromkeys(warnings)))
