"""From pages to one sheet: a page alone, tiles that belong together, or sheets that lie side by side."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.formats.pdf.limits import Unreadable
from svgfit.formats.pdf.pages import Page
from svgfit.formats.pdf.records import Line, Writing, extent
from svgfit.geometry.box import Box
from svgfit.model.file_format import Wishes


class Sheet(Struct, frozen=True):
    """A sheet as it was drawn, before it was spread over pages; mm from its top left corner, y down."""

    width: float
    height: float
    marks: tuple[Line | Writing, ...]
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def put_together(pages: Sequence[Page], wishes: Wishes) -> Sheet:
    """Put the pages together to one sheet.

    Raises Unreadable where how they belong together can't be proved, with what to give.
    """
    only = [page for page in pages if page.content.points]
    if len(only) == 1:
        page = only[0]
        return Sheet(page.width, page.height, tuple(drawn_on(page)))
    raise Unreadable(f"spreads its lines over {len(only)} pages", "give the file that has them on one sheet")


def drawn_on(page: Page) -> list[Line | Writing]:
    """List what is drawn on a page, without the ground that it is drawn on."""
    return [mark for mark in page.marks() if isinstance(mark, Writing) or not is_paper(mark, page.box)]


def is_paper(mark: Line, page: Box) -> bool:
    """Say whether a shape is none of the drawing: white without a line, or a ground under the whole page."""
    if mark.style.stroke is not None:
        return False
    if mark.style.fill == "#ffffff":
        return True
    box = extent(mark)
    return box[0] <= page[0] + 1 and box[1] <= page[1] + 1 and box[2] >= page[2] - 1 and box[3] >= page[3] - 1
