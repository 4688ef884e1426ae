"""DXF as pairs of lines, a group code and a value: decoding, and reading them one after another.

The format: "DXF Reference", chapters "ASCII DXF files" and "Group codes"; from memory.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

from msgspec import Struct

from svgfit.model.refusal import Refusal

LARGEST = 40_000_000
"""Bytes of a file that is read; patterns have been seen with some MB."""
_BINARY = b"AutoCAD Binary DXF"
_CODE_PAGES = {
    "ANSI_874": "cp874",
    "ANSI_932": "cp932",
    "ANSI_936": "gbk",
    "ANSI_949": "cp949",
    "ANSI_950": "cp950",
    **{f"ANSI_{number}": f"cp{number}" for number in range(1250, 1259)},
    "DOS932": "cp932",
    "DOS437": "cp437",
    "DOS850": "cp850",
    "DOS852": "cp852",
    "MACINTOSH": "mac-roman",
    "ISO8859-1": "latin-1",
    "ASCII": "ascii",
    "UTF-8": "utf-8",
}
"""``$DWGCODEPAGE`` → Python's name (DXF Reference, header variables)."""
_SINCE_UTF8 = "AC1021"
"""``$ACADVER`` from which on files are UTF-8 (DXF Reference)."""
CAPITALS = 0.73
"""Height of capitals as a share of the font size; DXF states the former. About so for most faces."""
_ESCAPE = re.compile(r"\\[Uu]\+([0-9A-Fa-f]{4})")
_SIGNS = (("%%d", "°"), ("%%c", "Ø"), ("%%p", "±"), ("%%u", ""), ("%%o", ""), ("%%%", "%"))


class Tag(Struct, frozen=True):
    """A group code and its value, spaces at the ends taken off; ``line`` counts from 1 and is the value's."""

    code: int
    value: str
    line: int


class Decoded(Struct, frozen=True):
    """A file's text, and what there is to mind about its letters."""

    text: str
    warnings: tuple[str, ...] = ()


def is_dxf(head: bytes) -> bool:
    """Say whether a file that begins so is DXF: a binary one, or a section or a comment as its first pair."""
    if head.startswith(_BINARY):
        return True
    text = head.decode("utf-16", "replace") if head[:2] in (b"\xff\xfe", b"\xfe\xff") else head.decode("latin-1")
    lines = [line.strip() for line in text.lstrip("\xef\xbb\xbf\ufeff\r\n\t ").splitlines()[:400]]
    pairs = zip(lines[::2], lines[1::2], strict=False)
    first = next(((code, value) for code, value in pairs if code != "999"), ("", ""))
    return first == ("0", "SECTION")


def decode(where: str, data: bytes) -> Decoded:
    """Decode a DXF's bytes: by a byte-order mark, its version, its code page, or as UTF-8 where it is valid.

    Raises Refusal for a binary DXF, and for one that is too large.
    """
    if data.startswith(_BINARY):
        raise Refusal(where, "is a binary DXF, which svgfit does not read", "export it as an ASCII (text) DXF")
    if len(data) > LARGEST:
        what = f"has {len(data) / 1e6:.0f} MB; more than {LARGEST / 1e6:.0f} MB no pattern needs"
        raise Refusal(where, what, "export the pattern's pieces alone")
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return Decoded(data.decode("utf-16", "replace"))
    if data.startswith(b"\xef\xbb\xbf"):
        return _as(data[3:], "utf-8")
    if data.isascii():
        return Decoded(data.decode("ascii"))
    head = data[:20_000].decode("latin-1")
    version, page = _variable(head, "$ACADVER"), _variable(head, "$DWGCODEPAGE").upper()
    try:
        return Decoded(data.decode("utf-8"))  # other letters hardly ever happen to be valid UTF-8
    except UnicodeDecodeError:
        pass
    if version >= _SINCE_UTF8 and page in ("", "ANSI_1252"):
        return _as(data, "utf-8")
    if page in _CODE_PAGES:
        return _as(data, _CODE_PAGES[page])
    said = f"of the code page {page}, which svgfit does not know" if page else "of a code page that it does not state"
    warning = f"it has letters {said}; they are read as Western European ones: look at the names of pieces"
    return Decoded(data.decode("cp1252", "replace"), (warning,))


def _as(data: bytes, name: str) -> Decoded:
    text = data.decode(name, "replace")
    if "�" not in text:
        return Decoded(text)
    return Decoded(text, ("some of its letters are damaged; they are shown as �",))


def _variable(head: str, name: str) -> str:
    """Look up a variable of the header in a file's beginning; "" where it is not there."""
    lines = [line.strip() for line in head.splitlines()]
    at = lines.index(name) if name in lines else -1
    return lines[at + 2] if 0 <= at < len(lines) - 2 else ""


def tags(where: str, text: str) -> Iterator[Tag]:
    """Read the pairs one after another, without comments; blank lines after the last one are no matter.

    Raises Refusal with the line where a group code is none, or a value is missing.
    """
    lines = io.StringIO(text, newline=None)
    number = 0
    while True:
        code = lines.readline()
        number += 1
        if not code:
            return
        stripped = code.strip().lstrip("\ufeff")
        if not stripped and not lines.readline().strip():
            if any(line.strip() for line in lines):
                raise damaged(where, number, "a line is empty where a group code is due")
            return
        if not re.fullmatch(r"-?\d{1,5}", stripped):
            raise damaged(where, number, f"{shown(stripped)} is no group code")
        value = lines.readline()
        number += 1
        if not value:
            raise cut_short(where)
        if int(stripped) != 999:
            yield Tag(int(stripped), value.strip(), number)


def damaged(where: str, line: int, what: str) -> Refusal:
    """Make the refusal of a file that can't be what its maker wrote."""
    return Refusal(f"{where}: line {line}", what, "the file is damaged; get it again, or export it again as DXF R12")


def cut_short(where: str) -> Refusal:
    """Make the refusal of a file that ends too early."""
    return Refusal(where, "ends in the middle: pieces may be missing", "get the file again, or export it again")


def shown(value: str) -> str:
    """Quote a value for a message, shortened."""
    return repr(value if len(value) <= 24 else f"{value[:23]}…")


def number(where: str, tag: Tag) -> float:
    """Read a value as a finite number. Raises Refusal with its line."""
    try:
        found = float(tag.value)
    except ValueError:
        raise damaged(where, tag.line, f"{shown(tag.value)} is no number") from None
    if not abs(found) < 1e15:  # neither too large nor no number at all
        raise damaged(where, tag.line, f"{shown(tag.value)} is no coordinate")
    return found


def whole(where: str, tag: Tag) -> int:
    """Read a value as a whole number. Raises Refusal with its line."""
    found = number(where, tag)
    if found != int(found):
        raise damaged(where, tag.line, f"{shown(tag.value)} is no whole number")
    return int(found)


def plain_text(value: str) -> str:
    r"""Resolve ``\U+00E9`` and ``%%d`` in a text.

    >>> plain_text(r"D\U+00E9but %%d")
    'Début °'
    """
    text = _ESCAPE.sub(lambda found: chr(int(found[1], 16)), value)
    for sign, meant in _SIGNS:
        text = text.replace(sign, meant).replace(sign.upper(), meant)
    return "".join(letter if letter.isprintable() else " " for letter in text).strip()
