"""What the bytes of a shown text mean: ToUnicode, else the font's encoding (ISO 32000-1, 9.6.6 and 9.10)."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from svgfit.formats.pdf.limits import Unreadable
from svgfit.formats.pdf.streams import elements, get, name_of, to_number, unpack
from svgfit.formats.pdf.tokens import instructions

_USUAL = 0.55
"""How far a letter moves on, in its font's size, where the font does not say: about that of plain upright letters."""
_ACCENTS = {
    "acute": "\u0301", "grave": "\u0300", "circumflex": "\u0302", "dieresis": "\u0308", "tilde": "\u0303",
    "cedilla": "\u0327", "ring": "\u030a", "caron": "\u030c",
}  # fmt: skip
_GLYPH_NAMES = (
    "zero one two three four five six seven eight nine space exclam quotedbl numbersign dollar percent ampersand "
    "quotesingle quoteright quoteleft parenleft parenright asterisk plus comma hyphen minus period slash colon "
    "semicolon less equal greater question at bracketleft backslash bracketright underscore bar degree germandbls "
    "endash emdash quotedblleft quotedblright ae oe AE OE oslash Oslash onehalf onequarter threequarters multiply "
    "fraction bullet"
)
_GLYPH_LETTERS = "0123456789 !\"#$%&'’‘()*+,--./:;<=>?@[\\]_|°ß–—“”æœÆŒøØ½¼¾×⁄•"
_GLYPHS = dict(zip(_GLYPH_NAMES.split(), _GLYPH_LETTERS, strict=True))
_MOST_CODES = 1 << 16


class Font(Struct, frozen=True):
    """How to read texts set in one font."""

    to_unicode: Mapping[bytes, str]
    letters: tuple[str, ...]
    """For one-byte codes without an entry in ``to_unicode``; () where codes have two bytes."""
    widths: Mapping[int, float]
    """In the font's size, by code."""
    usual: float = _USUAL

    @property
    def wide(self) -> bool:
        """Whether codes have two bytes."""
        return not self.letters

    def read(self, data: bytes) -> tuple[str, float, int, int]:
        """Read a shown string: its text, width in the font's size, number of codes, and of blanks among them."""
        step = 2 if self.wide else 1
        codes = [data[at : at + step] for at in range(0, len(data), step)]
        text = "".join(self._letter(code) for code in codes)
        width = sum(self.widths.get(int.from_bytes(code, "big"), self.usual) for code in codes)
        return text, width, len(codes), 0 if self.wide else data.count(b" ")

    def _letter(self, code: bytes) -> str:
        found = self.to_unicode.get(code)
        if found is not None:
            return found
        return "\ufffd" if self.wide else self.letters[code[0]]


def read_font(font: Any) -> Font:
    """Read a font's dictionary; what is missing or damaged in it is as usual."""
    known = _to_unicode(get(font, "/ToUnicode"))
    if name_of(get(font, "/Subtype")) == "/Type0":
        below = next(iter(elements(get(font, "/DescendantFonts"))), None)
        usual = to_number(get(below, "/DW"))
        return Font(known, (), _wide_widths(get(below, "/W")), 1.0 if usual is None else usual / 1000)
    first = int(to_number(get(font, "/FirstChar")) or 0)
    widths = [to_number(each) for each in elements(get(font, "/Widths"))[:256]]
    scale = 1.0 if name_of(get(font, "/Subtype")) == "/Type3" else 1000.0
    each = {first + k: width / scale for k, width in enumerate(widths) if width}
    return Font(known, _letters(get(font, "/Encoding"), name_of(get(font, "/BaseFont"))), each)


UNKNOWN = Font({}, tuple(bytes((code,)).decode("cp1252", errors="replace") for code in range(256)), {})
"""A font that the file does not hold."""


def _letters(encoding: Any, name: str) -> tuple[str, ...]:
    """List what each one-byte code stands for."""
    base = get(encoding, "/BaseEncoding") if elements(get(encoding, "/Differences")) else encoding
    codec = "mac_roman" if name_of(base) == "/MacRomanEncoding" else "cp1252"
    found = [bytes((code,)).decode(codec, errors="replace") for code in range(256)]
    code = 0
    for each in elements(get(encoding, "/Differences")):
        glyph = name_of(each)
        start = None if glyph else to_number(each)
        if start is not None:
            code = int(start)
        elif 0 <= code < 256:
            found[code] = glyph_letter(glyph[1:], found[code])
            code += 1
    return tuple(found)


def glyph_letter(name: str, other: str = "\ufffd") -> str:
    """Tell which letter a glyph of this name is; ``other`` where the name says nothing.

    >>> glyph_letter("A"), glyph_letter("seven"), glyph_letter("adieresis"), glyph_letter("uni00FC")
    ('A', '7', 'ä', 'ü')
    """
    name = name.partition(".")[0]
    if len(name) == 1:
        return name
    if name in _GLYPHS:
        return _GLYPHS[name]
    if found := re.fullmatch(r"(?:uni|u)([0-9A-Fa-f]{4,6})", name):
        code = int(found[1], 16)
        return chr(code) if code < 0x110000 and not 0xD800 <= code < 0xE000 else other
    accent = _ACCENTS.get(name[1:])
    return unicodedata.normalize("NFC", name[0] + accent) if accent else other


def _wide_widths(holder: Any) -> dict[int, float]:
    """Read the widths of a font with two-byte codes: ``c [w1 w2 …]`` and ``c1 c2 w``."""
    found: dict[int, float] = {}
    items = elements(holder)[:_MOST_CODES]
    at = 0
    while at + 1 < len(items):
        first, own = to_number(items[at]), elements(items[at + 1])
        if first is None:
            break
        if own:
            found |= {int(first) + k: (to_number(width) or 0.0) / 1000 for k, width in enumerate(own[:_MOST_CODES])}
            at += 2
            continue
        last = to_number(items[at + 1])
        width = to_number(items[at + 2]) if at + 2 < len(items) else None
        if last is None or width is None or not 0 <= last - first < _MOST_CODES:
            break
        found |= dict.fromkeys(range(int(first), int(last) + 1), width / 1000)
        at += 3
    return found


def _to_unicode(stream: Any) -> dict[bytes, str]:
    """Read a ToUnicode map; empty where there is none or it is damaged."""
    if get(stream, "/Length") is None:
        return {}
    try:
        data = unpack(stream)
    except Unreadable:
        return {}
    found: dict[bytes, str] = {}
    for operator, operands in instructions(data):
        if operator == b"endbfchar":
            for code, text in zip(operands[::2], operands[1::2], strict=False):
                if isinstance(code, bytes) and isinstance(text, bytes):
                    found[code] = _utf16(text)
        elif operator == b"endbfrange":
            for first, last, to in zip(operands[::3], operands[1::3], operands[2::3], strict=False):
                if isinstance(first, bytes) and isinstance(last, bytes) and first:
                    start, end = int.from_bytes(first, "big"), int.from_bytes(last, "big")
                    for step in range(min(max(end - start + 1, 0), _MOST_CODES)):
                        if isinstance(to, list):
                            text = to[step] if step < len(to) else None
                        else:
                            text = _counted_on(to, step) if isinstance(to, bytes) else None
                        if isinstance(text, bytes) and start + step < 256 ** len(first):
                            found[(start + step).to_bytes(len(first), "big")] = _utf16(text)
        if len(found) > _MOST_CODES:
            break
    return found


def _counted_on(text: bytes, step: int) -> bytes | None:
    value = int.from_bytes(text, "big") + step
    return value.to_bytes(len(text), "big") if text and value < 256 ** len(text) else None


def _utf16(data: bytes) -> str:
    return data.decode("utf-16-be", errors="replace") if len(data) > 1 else data.decode("latin-1")
