"""Layers added to a maker's PDF by an incremental update: its own bytes are the exact beginning of what is written.

What is appended: the pages and the catalogue once more, changed, the layers' forms and groups, and a section of
cross-references of the kind that the file has (ISO 32000-1, 7.5.6 "Incremental updates", 7.5.4 and 7.5.8, 8.11).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from copy import copy
from io import BytesIO
from typing import Any

import pikepdf
from msgspec import Struct

from svgfit.formats.pdf.limits import DAMAGED, Unreadable
from svgfit.formats.pdf.pages import MM_PER_POINT, inherited
from svgfit.formats.pdf.streams import elements, get, open_pdf, quiet_library
from svgfit.geometry.affine import Affine
from svgfit.model.file_format import PagePlace
from svgfit.model.refusal import Refusal

_START = re.compile(rb"startxref\s+(\d+)\s+%%EOF\s*\Z")
_STREAM_OF_REFERENCES = re.compile(rb"\d+\s+\d+\s+obj\b")
_WHOLE = "convert the drawing without --onto: it has the maker's lines too"


class Painted(Struct, frozen=True, kw_only=True):
    """Layers to add: a PDF with a page for each, their names, and where its pages' upper left corner lies, sheet mm."""

    pdf: bytes
    names: tuple[str, ...]
    """One at least."""
    corner: complex = 0j


class _Change(Struct, frozen=True):
    """An object to append: its number and generation, and how it is written."""

    number: int
    generation: int
    body: bytes


def add_layers(file: str, maker: bytes, painted: Painted, places: Sequence[PagePlace]) -> bytes:
    """Add the layers to every page that is part of the sheet; the same input gives the same bytes.

    Raises Refusal where the file is locked or damaged, so that nothing can be appended to it.
    """
    last = _START.search(maker[-2048:])
    if not maker.startswith(b"%PDF-") or last is None:
        raise Refusal(file, "does not begin or end as a PDF does, so nothing can be added to it", _WHOLE)
    try:
        return _added(file, maker, int(last[1]), painted, places)
    except Unreadable as fault:
        raise Refusal(file, fault.what, fault.todo) from None
    except pikepdf.PdfError as fault:
        raise Refusal(file, f"is damaged ({' '.join(str(fault).split())[:90]})", DAMAGED) from None


def _added(file: str, maker: bytes, start: int, painted: Painted, places: Sequence[PagePlace]) -> bytes:
    with quiet_library(), open_pdf(maker) as document, pikepdf.open(BytesIO(painted.pdf)) as layers:
        if document.is_encrypted:
            raise Refusal(file, "is encrypted, so nothing can be added to it", _WHOLE)
        if document.get_warnings():
            raise Refusal(file, "is damaged and was repaired on reading, so nothing can be added to it", _WHOLE)
        groups = [
            document.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=pikepdf.String(name)))
            for name in painted.names
        ]
        known = groups[0].objgen[0] - 1  # new objects are numbered on from the file's own
        forms = [document.copy_foreign(page.as_form_xobject()) for page in layers.pages]
        forms = [form if form.objgen[0] else document.make_indirect(form) for form in forms]
        height = float(layers.pages[0].mediabox[3]) * MM_PER_POINT
        to_sheet = Affine(MM_PER_POINT, 0, 0, -MM_PER_POINT, painted.corner.real, painted.corner.imag + height)
        changed = [document.Root]
        for place in places:
            page = document.pages[place.number - 1].obj
            _show(document, page, [_clip(place), *_drawn(page, forms, groups, to_sheet.then(place.motion.inverse()))])
            changed.append(page)
        document.Root.OCProperties = _properties(document.Root, groups)
        changes = {each.number: each for each in _changes(changed, known)}
        return maker + _update(file, maker, start, document, changes)


def _clip(place: PagePlace) -> str:
    """Keep what is added within the page's part of the sheet, as far as it has one."""
    if place.window is None:
        return ""
    left, top, right, bottom = place.window
    corners = (complex(left, top), complex(right, top), complex(right, bottom), complex(left, bottom))
    there = [place.motion.inverse().apply(corner) for corner in corners]
    first, *others = (f"{point.real:.4f} {point.imag:.4f}" for point in there)
    return f"{first} m {' l '.join(others)} l h W n"


def _drawn(page: Any, forms: Sequence[Any], groups: Sequence[Any], motion: Affine) -> list[str]:
    """Name the forms and groups among the page's resources; write how each form is drawn within its layer's marks."""
    resources = _copy(inherited(page, "/Resources"))
    things, marks = (_copy(get(resources, key)) for key in ("/XObject", "/Properties"))
    matrix = " ".join(f"{part:.9g}" for part in (motion.a, motion.b, motion.c, motion.d, motion.e, motion.f))
    shown: list[str] = []
    for number, (form, group) in enumerate(zip(forms, groups, strict=True)):
        thing, mark = _free(things, f"SvgfitForm{number}"), _free(marks, f"SvgfitLayer{number}")
        things[thing], marks[mark] = form, group
        shown.append(f"/OC {mark} BDC q {matrix} cm {thing} Do Q EMC")
    resources.XObject, resources.Properties = things, marks
    page.Resources = resources
    return shown


def _show(document: Any, page: Any, shown: Sequence[str]) -> None:
    """Put operators behind a page's own, which are enclosed so that they leave no state behind."""
    own = get(page, "/Contents")
    streams = [each for each in elements(own) or [own] if isinstance(each, pikepdf.Stream)]
    before = document.make_stream(b"q\n")
    after = document.make_stream("\n".join(("Q q", *shown, "Q")).encode() + b"\n")
    page.Contents = pikepdf.Array([before, *streams, after])


def _copy(holder: Any) -> Any:
    """Copy a dictionary of the file, but not what its entries refer to; an empty one for what is none."""
    return copy(holder) if isinstance(holder, pikepdf.Dictionary) else pikepdf.Dictionary()


def _free(names: Any, wanted: str) -> str:
    name = f"/{wanted}"
    while name in names:
        name += "x"
    return name


def _properties(root: Any, groups: Sequence[Any]) -> Any:
    """Add the groups to the file's own; they are on, whatever is usual for its own."""
    own = _copy(get(root, "/OCProperties"))
    before = elements(get(own, "/OCGs"))
    shown = _copy(get(own, "/D"))
    order = elements(get(shown, "/Order")) or before
    shown.Order = pikepdf.Array([*groups[::-1], *order])
    if "/ON" in shown or shown.get("/BaseState") == pikepdf.Name.OFF:
        shown.ON = pikepdf.Array([*elements(get(shown, "/ON")), *groups])
    own.OCGs, own.D = pikepdf.Array([*before, *groups]), shown
    return own


# -- what is appended -------------------------------------------------------------------------------------------------


def _changes(changed: Sequence[Any], known: int) -> Iterator[_Change]:
    """Iterate over the objects changed, and all new ones that they refer to."""
    seen: set[int] = set()
    waiting = list(changed)
    while waiting:
        each = waiting.pop()
        number, generation = each.objgen
        if number in seen:
            continue
        seen.add(number)
        yield _Change(number, generation, _body(each))
        waiting += [other for other in _referred(each) if other.objgen[0] > known]


def _referred(holder: Any) -> Iterator[Any]:
    """Iterate over the indirect objects that an object names, also within what stands in it."""
    named = isinstance(holder, (pikepdf.Dictionary, pikepdf.Stream))
    for each in [value for _, value in holder.items()] if named else list(holder):
        if not isinstance(each, pikepdf.Object):
            continue
        if each.is_indirect:
            yield each
        elif isinstance(each, (pikepdf.Dictionary, pikepdf.Array)):
            yield from _referred(each)


def _body(each: Any) -> bytes:
    if not isinstance(each, pikepdf.Stream):
        return each.unparse(resolved=True)
    data = each.read_raw_bytes()
    entries = {name: value for name, value in each.items() if name != "/Length"}
    head = pikepdf.Dictionary({**entries, "/Length": len(data)})
    return head.unparse(resolved=True) + b"\nstream\n" + data + b"\nendstream"


def _update(file: str, maker: bytes, start: int, document: Any, changes: Mapping[int, _Change]) -> bytes:
    """Write the objects and the cross-references behind the maker's bytes."""
    out = b"" if maker.endswith(b"\n") else b"\n"
    places: dict[int, tuple[int, int]] = {}
    for number in sorted(changes):
        each = changes[number]
        places[number] = (len(maker) + len(out), each.generation)
        out += b"%d %d obj\n%s\nendobj\n" % (number, each.generation, each.body)
    size = max(int(document.trailer.Size), *(number + 1 for number in changes))
    trailer: dict[str, Any] = {"/Root": document.Root, "/Prev": start}
    if "/Info" in document.trailer:
        trailer["/Info"] = document.trailer["/Info"]
    if names := elements(get(document.trailer, "/ID")):
        trailer["/ID"] = pikepdf.Array([names[0], pikepdf.String(hashlib.md5(out).digest())])
    at = len(maker) + len(out)
    if maker[start : start + 4] == b"xref":
        head = pikepdf.Dictionary({**trailer, "/Size": size}).unparse(resolved=True)
        out += _table(places) + b"trailer\n" + head + b"\n"
    elif _STREAM_OF_REFERENCES.match(maker[start : start + 40]):
        places[size] = (at, 0)
        out += _stream(places, size, {**trailer, "/Size": size + 1})
    else:
        raise Refusal(file, "its cross-references are not where it says, so nothing can be added to it", _WHOLE)
    return out + b"startxref\n%d\n%%%%EOF\n" % at


def _runs(numbers: Sequence[int]) -> list[tuple[int, int]]:
    """Part ascending numbers into runs without gaps: the first of each, and how many."""
    found: list[tuple[int, int]] = []
    for number in numbers:
        if found and number == sum(found[-1]):
            found[-1] = (found[-1][0], found[-1][1] + 1)
        else:
            found.append((number, 1))
    return found


def _table(places: Mapping[int, tuple[int, int]]) -> bytes:
    out = b"xref\n"
    for first, count in _runs(sorted(places)):
        out += b"%d %d\n" % (first, count)
        out += b"".join(b"%010d %05d n \n" % places[number] for number in range(first, first + count))
    return out


def _stream(places: Mapping[int, tuple[int, int]], own: int, trailer: Mapping[str, Any]) -> bytes:
    numbers = sorted(places)
    rows = b"".join(
        b"\x01" + places[number][0].to_bytes(5, "big") + places[number][1].to_bytes(2, "big") for number in numbers
    )
    index = pikepdf.Array([part for run in _runs(numbers) for part in run])
    entries = {"/Type": pikepdf.Name.XRef, "/W": pikepdf.Array([1, 5, 2]), "/Index": index, "/Length": len(rows)}
    head = pikepdf.Dictionary({**trailer, **entries}).unparse(resolved=True)
    return b"%d 0 obj\n%s\nstream\n%s\nendstream\nendobj\n" % (own, head, rows)
