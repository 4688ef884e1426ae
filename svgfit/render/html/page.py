"""One HTML page that holds everything: the drawing's layers, before and after, figures, walks, cautions.

It works offline. Each layer stands in it as a picture (an ``img`` with a ``data:`` address), never as part of the page:
whatever might be in a drawing, browsers run no script of a picture and fetch nothing for it. The page's own style and
script are the only ones its Content-Security-Policy lets in, by their digests.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Sequence
from hashlib import sha256
from html import escape
from pathlib import Path

from msgspec import Struct

from svgfit.geometry.box import Box
from svgfit.model.length import Units
from svgfit.model.report import Check, MeasurementRow, PieceRow
from svgfit.model.vocabulary import Status
from svgfit.model.walk import Walk
from svgfit.render.annotate.block import block_document, pixels
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.annotate.scene import ADJUSTED, MEASUREMENTS, WORKING
from svgfit.render.annotate.tables import CAUTIONS
from svgfit.render.annotate.walk_strips import walk_blocks
from svgfit.render.format_values import (
    UNCHANGED,
    ZONE_HEADS,
    before_after,
    cell_text,
    has_changed,
    notable_rows,
    verdict_text,
    walk_title,
    without_contradicted,
    worst_first,
    zone_rows,
)
from svgfit.render.html.sheet import Window
from svgfit.render.layer_selection import ORIGINAL
from svgfit.rules.lettering import STRIP_ON_SCREEN
from svgfit.version import __version__

HERE = Path(__file__).resolve().parent
LABELS = {ORIGINAL: "as drawn", WORKING: "working lines", ADJUSTED: "adjusted", MEASUREMENTS: "measurements"}
"""What the switch of each part says."""
_SEEN = {
    ORIGINAL: "The drawing as it was drawn",
    WORKING: "Working lines: slashes, hinges, how the parts moved, edges as they were",
    ADJUSTED: "The adjusted pieces: stitch lines, cut lines, notches, grain lines",
    MEASUREMENTS: "Dimensions and labels; the figures are in the tables below",
}
_STRIPS, _EDGE, _PIXELS = 190.0, 4.0, 4
"""Of a walk's strips on the screen: width and white round them, mm, and the pixels of a mm where there is room."""
_FEW = 2
"""More walks than these are folded away, each under its name."""


class Page(Struct, frozen=True):
    """What is to stand on the page."""

    title: str
    window: Window
    """The part of the drawing's page shown, mm."""
    sheets: tuple[tuple[str, str], ...]
    """Each part shown and its SVG, bottom to top."""
    units: Units
    boxes: tuple[tuple[str, Box], ...] = ()
    """Adjusted pieces to look at closely: name, and left, top, right, bottom in page mm."""
    rows: tuple[PieceRow, ...] = ()
    walks: tuple[Walk, ...] = ()
    checks: tuple[Check, ...] = ()
    plan: tuple[Check, ...] = ()
    """What the plan that adjusted the drawing checked."""
    also: tuple[str, ...] = ()
    """What its steps left to be changed elsewhere."""
    says: tuple[str, ...] = ()
    """What the plan's writer says of it and its steps, and which steps were not done."""
    notes: tuple[str, ...] = ()


def html(page: Page) -> str:
    """Write the whole page; the same record gives the same text."""
    style = (HERE / "page.css").read_text(encoding="utf-8")
    script = (HERE / "page.js").read_text(encoding="utf-8")
    policy = (
        f"default-src 'none'; img-src data:; style-src '{_digest(style)}'; script-src '{_digest(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    parts = [part for part, _ in page.sheets]
    shown = ", ".join(LABELS[part] for part in parts)
    return "".join(
        [
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n',
            '<meta name="viewport" content="width=device-width, initial-scale=1">\n',
            '<meta name="referrer" content="no-referrer">\n',
            f"<title>{escape(page.title)}</title>\n<style>{style}</style>\n</head>\n<body>\n",
            '<a class="skip" href="#figures">To the measurements</a>\n',
            f"<header><h1>{escape(page.title)}</h1><p>{escape(shown)}</p></header>\n<main>\n",
            *_failed(page),
            _picture(page, parts),
            '<section id="figures" aria-labelledby="h-figures"><h2 id="h-figures">Measurements</h2>\n',
            *_figures(page),
            "</section>\n",
            *_walks(page),
            *_checks(page),
            _list("The plan", page.says),
            _list("Also to be changed", tuple(f"{text[0].upper()}{text[1:]}." for text in page.also)),
            _list("Notes", page.notes),
            _list("Before you cut", CAUTIONS),
            f"</main>\n<footer>Made by svgfit {escape(__version__)}. This page is complete in itself: it needs "
            f"no network, and nothing in it is sent anywhere.</footer>\n<script>{script}</script>\n</body>\n</html>\n",
        ]
    )


def _digest(text: str) -> str:
    """Digest an inline style or script (Content-Security-Policy level 2), https://www.w3.org/TR/CSP2/#source-list."""
    return "sha256-" + b64encode(sha256(text.encode()).digest()).decode()


def _picture(page: Page, parts: Sequence[str]) -> str:
    comparing = ORIGINAL in parts and len(parts) > 1
    switches = "".join(
        f'<label><input type="checkbox" data-part="{part}" checked>{LABELS[part]}</label>' for part in parts
    )
    compare = (
        '<div class="compare"><label for="split">Before and after</label><div class="row"><span>all after</span>'
        '<input type="range" id="split" min="0" max="100" step="1" value="50"><span>all before</span></div></div>\n'
    )
    window = page.window
    whole: Box = (window.left, window.top, window.left + window.width, window.top + window.height)
    views = "".join(
        f'<button type="button" data-box="{_shares(window, box)}" aria-pressed="{str(not k).lower()}">'
        f"{escape(name)}</button>"
        for k, (name, box) in enumerate([("whole page", whole), *page.boxes])
    )
    images = [
        f'<img data-part="{part}" src="{_address(text)}" alt="{_SEEN[part]}" width="1600" '
        f'height="{round(1600 * window.height / window.width)}">\n'
        for part, text in page.sheets
    ]
    if comparing:
        # The veil pales the drawing where the adjusted one lies on it: so it stands over the first picture only.
        images.insert(1, '<div id="veil" hidden></div>\n')
    edge = '<div id="edge" aria-hidden="true" hidden><div><span>before</span><span>after</span></div></div>\n'
    return (
        '<section aria-labelledby="h-picture"><h2 id="h-picture">Picture</h2>\n<div class="controls" id="controls" '
        f'hidden><fieldset><legend>Layers</legend><div class="layers">{switches}</div></fieldset>\n'
        f'{compare if comparing else ""}<div class="views" role="group" aria-label="What is looked at">{views}'
        '<button type="button" id="closer" aria-label="closer">+</button>'
        '<button type="button" id="farther" aria-label="farther">−</button></div></div>\n'
        '<div id="frame"><div id="view" tabindex="0" role="region" aria-label="The drawing; arrow keys move it">'
        f'<div id="stage">\n{"".join(images)}</div></div>{edge if comparing else ""}</div></section>\n'
    )


def _address(text: str) -> str:
    return f"data:image/svg+xml;base64,{b64encode(text.encode()).decode()}"


def _shares(window: Window, box: Box) -> str:
    """Write left, top, width and height of a box in shares of the window."""
    left, top = (box[0] - window.left) / window.width, (box[1] - window.top) / window.height
    return f"{left:.4f} {top:.4f} {(box[2] - box[0]) / window.width:.4f} {(box[3] - box[1]) / window.height:.4f}"


# -- figures ---------------------------------------------------------------------------------------------------------


def _figures(page: Page) -> Iterable[str]:
    rows = sorted((row for row in page.rows if row.measurements), key=lambda row: not _has_changed(row))
    if not rows:
        yield "<p>No piece was measured.</p>\n"
        return
    if any(row.after is not None for piece in rows for row in piece.measurements):
        yield "<p>In bold: what changed. All on the stitch line.</p>\n"
    yield '<div class="tables">\n'
    yield from (_table(row, page.units) for row in rows)
    yield "</div>\n"


def _has_changed(piece: PieceRow) -> bool:
    return any(row.before is not None and row.after is not None and has_changed(row) for row in piece.measurements)


def _table(piece: PieceRow, units: Units) -> str:
    title = f"{piece.name} (size {piece.size})" if piece.size else piece.name
    both = any(row.after is not None for row in piece.measurements)
    heads = ["measurement", "before", "after", "change"] if both else ["measurement", "as drawn"]
    body = "".join(_row(row, units, both=both) for row in notable_rows(piece.measurements))
    return _scrolling(f"Measurements of {title}", title, heads, body)


def _scrolling(label: str, title: str, heads: Sequence[str], body: str) -> str:
    head = "".join(f'<th scope="col">{escape(text)}</th>' for text in heads)
    return (
        f'<div class="wide" tabindex="0" role="region" aria-label="{escape(label)}"><table><caption>{escape(title)}'
        f"</caption><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>\n"
    )


def _row(row: MeasurementRow, units: Units, *, both: bool) -> str:
    texts = [cell_text(row.before, row.unit, units)]
    changed = False
    if both:
        before, after, change = before_after(row, units)
        changed = change not in ("", UNCHANGED)
        texts = [before, after, change or "–"]
    inner = "".join(f"<td>{_cell(text)}</td>" for text in texts)
    return f'<tr{" class=changed" if changed else ""}><th scope="row">{escape(row.name)}</th>{inner}</tr>'


def _cell(text: str) -> str:
    """Split a fraction from the decimal beside it, which go on two lines where there is little room."""
    first, bracket, rest = text.partition(" (")
    more = f" <span>({escape(rest)}</span>" if bracket else ""
    return f"<span>{escape(first)}</span>{more}"


# -- walks, checks, lists --------------------------------------------------------------------------------------------


def _walks(page: Page) -> Iterable[str]:
    if not page.walks:
        return
    yield '<section aria-labelledby="h-walks"><h2 id="h-walks">Cap walked along the armhole</h2>\n'
    for walk in page.walks:
        title = walk_title(walk)
        yield _walk_table(walk, title, page.units)
        pictures = "".join(
            f'<p><img class="walk" src="{_address(text)}" alt="{escape(alt)}" width="{width}" height="{height}"></p>\n'
            for alt, text, width, height in strips_svg(walk, page.units)
        )
        many = len(page.walks) > _FEW
        yield f"<details><summary>{escape(title)} as strips</summary>{pictures}</details>\n" if many else pictures
        yield from _verdicts(_walk_verdicts(page, walk))
    yield "</section>\n"


def strips_svg(walk: Walk, units: Units) -> Iterable[tuple[str, str, int, int]]:
    """Draw a walk's strips: what each drawing shows in words, its SVG, and its width and height in pixels."""
    for block in walk_blocks([walk], PageStyle(STRIP_ON_SCREEN, units=units), _STRIPS, scaled=False):
        text, width, height = block_document(block, complex(_EDGE, _EDGE), 1.0, per_mm=_PIXELS)
        yield ". ".join(line.text for line in block.writing), text, *pixels(width, height, _PIXELS)


def _walk_table(walk: Walk, title: str, units: Units) -> str:
    body = "".join(
        f'<tr><th scope="row">{escape(name)}</th>' + "".join(f"<td>{_cell(text)}</td>" for text in texts) + "</tr>"
        for name, *texts in zone_rows(walk, units)
    )
    return _scrolling(f"Walk of {title}", title, ZONE_HEADS, body)


def _walk_verdicts(page: Page, walk: Walk) -> tuple[Check, ...]:
    return without_contradicted(walk.verdicts, walk.sleeve, page.plan)


def _failed(page: Page) -> Iterable[str]:
    """Write what failed, first of all and large."""
    walks = [check for walk in page.walks for check in _walk_verdicts(page, walk)]
    failed = dict.fromkeys(
        f"{check.title}: {check.message}" for check in (*page.plan, *walks, *page.checks) if check.status == Status.FAIL
    )
    if failed:
        count = "A check" if len(failed) == 1 else f"{len(failed)} checks"
        rows = "".join(f"<p>{escape(text)}</p>" for text in failed)
        yield f'<section class="failed" aria-labelledby="h-failed"><h2 id="h-failed">{count} failed; don\'t cut yet'
        yield f"</h2>{rows}</section>\n"


def _checks(page: Page) -> Iterable[str]:
    """Write what the plan checked, and the seams that no walk tells of; what failed first."""
    checks = worst_first((*page.plan, *page.checks))
    if checks:
        yield '<section aria-labelledby="h-checks"><h2 id="h-checks">Checks</h2>\n'
        yield from _verdicts(checks)
        yield "</section>\n"


def _verdicts(checks: Sequence[Check]) -> Iterable[str]:
    if checks:
        rows = "".join(
            f"<dt>{escape(verdict_text(check))}</dt><dd>{escape(check.title)}: {escape(check.message)}</dd>"
            for check in checks
        )
        yield f'<dl class="checks">{rows}</dl>\n'


def _list(title: str, lines: Sequence[str]) -> str:
    if not lines:
        return ""
    items = "".join(f"<li>{escape(line)}</li>" for line in lines)
    name = title.lower().replace(" ", "-")
    return f'<section aria-labelledby="h-{name}"><h2 id="h-{name}">{title}</h2><ul>{items}</ul></section>\n'
