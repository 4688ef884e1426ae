"""The bytes of a drawing: gunzip, encoding, where the root ends, and which of its children svgfit wrote earlier.

Nothing here builds a tree. pyexpat tells byte offsets in the text as UTF-8; they are mapped back to the encoding the
file came in, so that new layers can be spliced in without touching anything else.
"""

from __future__ import annotations

import codecs
import os
import pyexpat
import re
import zlib

from msgspec import Struct

from svgfit.model.refusal import Refusal

OUR_MARK = "data-svgfit-layer"
LARGEST = 1 << 27
"""No drawing is larger than this many bytes after gunzip (a guard against files made to fill the memory)."""
MOST_NODES = 1_000_000
"""No drawing has more elements, comments and instructions than this, or three times as many attributes."""
MOST_BY_ENTITIES = 1 << 23
"""By entities of its own no drawing gets longer than this many letters."""
DEEPEST = 2000
"""Elements do not lie in each other deeper than this (libxml2 itself ends at 2048)."""
MOST_NESTED = 100
"""No drawing declares more entities that name others than this: parsers nest as deep as these do."""

_GZIP = b"\x1f\x8b"
_DECLARED = re.compile(rb"""^\s*<\?xml[^>]*?\sencoding\s*=\s*["']([A-Za-z0-9._:\-]+)["']""")
_START_TAG = re.compile(rb"""<(?:[^<>"']|"[^"]*"|'[^']*')*>""")
# Names that files use and Python does not know.
_ALIASES = {"x-sjis": "shift_jis", "x-mac-roman": "mac_roman", "x-gbk": "gbk", "x-big5": "big5"}
# Python codecs that are no encodings of text files.
_NO_TEXT = {"unicode_escape", "raw_unicode_escape", "idna", "punycode", "undefined", "utf-7", "mbcs", "oem"}
# Byte order marks, longest first; each with the codec of what follows it.
_BOMS = (
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# How "<" begins a file without a mark (https://www.w3.org/TR/xml/#sec-guessing-no-ext-info).
_STARTS = (
    (b"<\x00\x00\x00", "utf-32-le"),
    (b"\x00\x00\x00<", "utf-32-be"),
    (b"<\x00", "utf-16-le"),
    (b"\x00<", "utf-16-be"),
)


class LayerSpan(Struct, frozen=True):
    """A child of the root that svgfit wrote: which one, and its bytes in the gunzipped file."""

    kind: str
    start: int
    end: int


class Source(Struct, frozen=True):
    """A drawing's bytes and what is needed to put layers into them."""

    file: str
    data: bytes
    """After gunzip."""
    utf8: bytes
    """The same text as UTF-8 without a byte order mark; what the parsers are given."""
    encoding: str
    """Python's name of the codec, without the byte order mark."""
    gz: bool
    insert_at: int
    """Byte offset in ``data`` where layers go: at the root's end tag, or just behind ``/>`` of an empty root."""
    content_at: int
    """Byte offset in ``data`` just behind the root's start tag."""
    empty_root: bool
    root_name: str
    """The root's name as written, with its prefix."""
    layer_spans: tuple[LayerSpan, ...]


def load_source(path: str | os.PathLike[str]) -> Source:
    """Read a drawing's bytes; refuses what is no readable XML text."""
    return source_of(os.fspath(path), read_bytes(path))


def may_be_svg(head: bytes) -> bool:
    """Tell from a file's first bytes whether it may be SVG: text that begins with ``<``, or gzipped."""
    if head.startswith((_GZIP, *(start for start, _ in _STARTS))):
        return True
    bom = next((mark for mark, _ in _BOMS if head.startswith(mark)), b"")
    return head[len(bom) :].lstrip(b"\x00 \t\r\n").startswith(b"<")


def read_bytes(path: str | os.PathLike[str]) -> bytes:
    """Read a file's bytes, as many as a drawing may have and one more; refuses what can't be opened."""
    file = os.fspath(path)
    try:
        with open(file, "rb") as stream:
            return stream.read(LARGEST + 1)
    except FileNotFoundError:
        raise Refusal(file, "there is no such file", "check the name and the folder") from None
    except IsADirectoryError:
        raise Refusal(file, "this is a folder", "name the drawing in it") from None
    except (OSError, ValueError) as fault:
        reason = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
        raise Refusal(file, f"cannot be read ({reason})", "check the file and your rights to it") from None


def source_of(file: str, raw: bytes) -> Source:
    """Read a drawing from bytes at hand, likewise; ``file`` is for messages."""
    gz = raw.startswith(_GZIP)
    data = _gunzip(file, raw) if gz and len(raw) <= LARGEST else raw
    if len(data) > LARGEST:
        raise Refusal(file, f"is larger than {LARGEST >> 20} MB", "leave out pictures and old versions")
    if not data.strip(b"\x00 \t\r\n"):
        raise Refusal(file, "is empty", "export or save the drawing again")
    bom, encoding = _sniff(file, data)
    body = data[len(bom) :] if bom else data
    utf8 = body if encoding == "utf-8" else _decode(file, body, encoding).encode("utf-8")
    scan = _Scan(file, utf8)
    at = _Mapper(file, data, len(bom), utf8, encoding)
    layer_spans = tuple(LayerSpan(kind, at(start), at(end)) for kind, start, end in scan.layer_spans)
    return Source(
        file=file,
        data=data,
        utf8=utf8,
        encoding=encoding,
        gz=gz,
        insert_at=at(scan.root_end),
        content_at=at(scan.content_at),
        empty_root=scan.empty,
        root_name=scan.root_name,
        layer_spans=layer_spans,
    )


def gzipped(data: bytes) -> bytes:
    """Compress with no time stamp, so that the same drawing gives the same bytes."""
    packer = zlib.compressobj(9, zlib.DEFLATED, 31)
    return packer.compress(data) + packer.flush()


def _gunzip(file: str, raw: bytes) -> bytes:
    parts: list[bytes] = []
    room = LARGEST + 1
    while raw.startswith(_GZIP) and room > 0:
        unpacker = zlib.decompressobj(31)
        try:
            part = unpacker.decompress(raw, room)
        except zlib.error:
            raise Refusal(file, "the compressed drawing is damaged", "export or save it again") from None
        parts.append(part)
        room -= len(part)
        if room > 0 and not unpacker.eof:
            raise Refusal(file, "the compressed drawing is cut off", "export or save it again")
        raw = unpacker.unused_data
    return b"".join(parts)


def _sniff(file: str, data: bytes) -> tuple[bytes, str]:
    """Find the byte order mark (maybe none) and the codec of what follows."""
    for bom, codec in _BOMS:
        if data.startswith(bom):
            return bom, codec
    for start, codec in _STARTS:
        if data.startswith(start):
            return b"", codec
    found = _DECLARED.match(data[:512])
    if not found:
        return b"", "utf-8"
    declared = found[1].decode("ascii").lower()
    if declared.startswith(("utf-16", "utf-32", "ucs-", "iso-10646")):
        return b"", "utf-8"  # cannot be true: the declaration itself is written one byte a letter
    try:
        codec = codecs.lookup(_ALIASES.get(declared, declared)).name
    except LookupError:
        codec = "undefined"
    if codec.replace("_", "-") in {name.replace("_", "-") for name in _NO_TEXT}:
        raise Refusal(f"{file}: line 1", f"the encoding {declared!r} is not known", "save the drawing as UTF-8")
    return b"", codec


def _decode(file: str, body: bytes, encoding: str) -> str:
    try:
        text = body.decode(encoding)
        same = text.encode(encoding) == body
    except (UnicodeError, LookupError):
        same, text = False, ""
    if not same:
        raise Refusal(file, f"is not written in the encoding it says ({encoding})", "save the drawing as UTF-8")
    return text


class _Mapper:
    """Map from offsets in the UTF-8 text to offsets in the file, proved by decoding what follows."""

    def __init__(self, file: str, data: bytes, skip: int, utf8: bytes, encoding: str) -> None:
        self._file, self._data, self._skip, self._utf8, self._encoding = file, data, skip, utf8, encoding

    def __call__(self, offset: int) -> int:
        if self._encoding == "utf-8":
            return self._skip + offset
        at = self._skip + len(self._utf8[:offset].decode("utf-8").encode(self._encoding))
        try:
            kept = self._data[at:].decode(self._encoding).encode("utf-8") == self._utf8[offset:]
        except UnicodeError:
            kept = False
        if not kept:
            raise Refusal(self._file, f"cannot be changed in its encoding ({self._encoding})", "save it as UTF-8")
        return at


class _TooMuch(Exception):
    """Raised where the text holds more than any drawing does."""


class _Scan:
    """A run of pyexpat over the text: the root's end and the spans of our layers, as offsets in the UTF-8 text.

    ``CurrentByteIndex`` at an element's end stands *at* ``</`` where it has content and *behind* ``/>`` where not.
    """

    def __init__(self, file: str, utf8: bytes) -> None:
        self._utf8 = utf8
        self._depth = 0
        self._nodes = self._attributes = self._letters = self._nested = 0
        self._entities = False
        self._open: tuple[str, int] | None = None
        self.root_name = ""
        self.root_end = -1
        self.content_at = -1
        self.empty = False
        self.layer_spans: list[tuple[str, int, int]] = []
        self._parser = pyexpat.ParserCreate("utf-8")
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.CommentHandler = self._node
        self._parser.ProcessingInstructionHandler = self._node
        self._parser.EntityDeclHandler = self._entity
        try:
            self._parser.Parse(utf8, True)
        except _TooMuch as fault:
            raise Refusal(file, str(fault), "leave out what is no pattern, and save the drawing again") from None
        except pyexpat.ExpatError as fault:
            raise _broken(file, utf8, fault, self.root_name) from None

    def _node(self, *_: str) -> None:
        self._nodes += 1
        if self._nodes > MOST_NODES:
            raise _TooMuch(f"holds more than {MOST_NODES} elements")

    def _entity(self, _name: str, _parameter: bool, value: str | None, *_: object) -> None:
        self._entities = True
        self._nested += bool(value) and "&" in (value or "")
        if self._nested > MOST_NESTED:
            raise _TooMuch(f"holds more than {MOST_NESTED} entities that stand for others")
        self._parser.CharacterDataHandler = self._text

    def _text(self, text: str) -> None:
        self._letters += len(text)
        if self._letters > len(self._utf8) + MOST_BY_ENTITIES:
            raise _TooMuch("holds entities that stand for far too much")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._node()
        if self._depth > DEEPEST:
            raise _TooMuch(f"nests its groups more than {DEEPEST} deep")
        self._attributes += len(attributes)
        if self._attributes > 3 * MOST_NODES:
            raise _TooMuch(f"holds more than {3 * MOST_NODES} attributes")
        if self._entities:
            for value in attributes.values():
                self._text(value)
        if self._depth == 0:
            self.root_name = name
            self.content_at, self.empty = self._start_tag(self._parser.CurrentByteIndex)
        elif self._depth == 1 and OUR_MARK in attributes:
            self._open = attributes[OUR_MARK], self._parser.CurrentByteIndex
        self._depth += 1

    def _end(self, _name: str) -> None:
        self._depth -= 1
        if self._depth == 0:
            self.root_end = self._parser.CurrentByteIndex
        elif self._depth == 1 and self._open is not None:
            kind, start = self._open
            self._open = None
            end, empty = self._start_tag(start)
            if end > start and not empty:
                end = self._utf8.find(b">", self._parser.CurrentByteIndex) + 1
            self.layer_spans.append((kind, start, end))

    def _start_tag(self, start: int) -> tuple[int, bool]:
        found = _START_TAG.match(self._utf8, start)
        if not found:  # the element stands in an entity, not in the text: no span of its own
            return start, False
        return found.end(), found[0].endswith(b"/>")


# expat.h, enum XML_Error: the codes that mean "the text stops too early".
_CUT_OFF = {3, 5, 20}
# … and those that bytes of another encoding give.
_NOT_TEXT = {4, 6}


def _broken(file: str, utf8: bytes, fault: pyexpat.ExpatError, root_name: str) -> Refusal:
    head = utf8[:4096].lstrip()
    known = root_name.rpartition(":")[2] == "svg" if root_name else b"<svg" in utf8 or b":svg" in utf8
    if not known or not head.startswith(b"<"):
        return Refusal(file, "is not an SVG drawing", "export or save it as SVG from your drawing program")
    where = f"{file}: line {fault.lineno}"
    if fault.code in _CUT_OFF:
        return Refusal(where, "the drawing is cut off here", "export, save or copy it again")
    if fault.code in _NOT_TEXT and not _is_utf8(utf8):
        return Refusal(where, "is not written in the encoding it says (utf-8)", "save the drawing as UTF-8")
    reason = pyexpat.ErrorString(fault.code) or "not well-formed"
    return Refusal(where, f"the SVG is broken here ({reason})", "open it in your drawing program and save it again")


def _is_utf8(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True
