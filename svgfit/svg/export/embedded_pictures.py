"""Pictures within a drawing, a scan above all: scaled down where they have more dots than can be drawn.

What draws them unpacks them whole, at four bytes a dot: a sheet scanned in black and white is a small file, and takes
gigabytes. A PNG (https://www.w3.org/TR/png-3/) is unpacked here a strip at a time, and dots are averaged to fewer. Of
the other kinds only the size is read.
"""

from __future__ import annotations

import binascii
import math
import struct
import zlib
from base64 import b64encode
from collections.abc import Iterator
from typing import Any
from urllib.parse import unquote_to_bytes

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.model.dialect import Element
from svgfit.model.refusal import Refusal
from svgfit.svg.tree import XLINK_HREF

MOST_DOTS = 64_000_000
"""No drawing is drawn with more dots in its pictures, all together: 256 MB where they are unpacked."""
_MOST_UNPACKED = 1 << 28
"""No picture is scaled down that is larger than this many bytes where it is unpacked."""
_STRIP = 1 << 24
"""About so many bytes are unpacked at a time."""
_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
"""Channels of a dot by the kind of colour (section 11.2.1)."""

Bytes = NDArray[np.uint8]


class _Header(Struct, frozen=True):
    """What a PNG says of itself."""

    width: int
    height: int
    depth: int
    colour: int
    interlaced: bool

    @property
    def row(self) -> int:
        """Bytes of a row of dots."""
        return (self.width * self.depth * _CHANNELS[self.colour] + 7) // 8

    @property
    def step(self) -> int:
        """Bytes from a dot to its left neighbour, as filters count."""
        return max(self.depth * _CHANNELS[self.colour] // 8, 1)


def scale_down(file: str, root: Element) -> None:
    """Scale down, in place, the pictures of a copy of a drawing where they have too many dots in all.

    Raises Refusal for one that has too many and can't be scaled down.
    """
    images = [(element, data) for element in root.iter("{*}image") if (data := _data(element))]
    sizes = [_size(data) for _, data in images]
    total = sum(width * height for width, height in sizes)
    if total <= MOST_DOTS:
        return
    share = MOST_DOTS // (4 * len(images))  # a quarter, since halving a picture is not worth its while
    for (element, data), (width, height) in zip(images, sizes, strict=True):
        if width * height <= share:
            continue
        made = _scaled(data, math.ceil(math.sqrt(width * height / share)))
        if made is None:
            what = f"holds a picture of {width} by {height} dots, more than can be drawn"
            raise Refusal(file, what, "save that picture with fewer dots, or leave it out")
        for name, size in (("width", width), ("height", height)):
            if element.get(name) is None:
                element.set(name, str(size))
        element.set(_address(element), f"data:image/png;base64,{b64encode(made).decode()}")


def _address(element: Element) -> str:
    """Return which of two attributes counts (https://www.w3.org/TR/SVG2/linking.html#XLinkRefAttrs)."""
    return "href" if element.get("href") is not None else XLINK_HREF


def _data(element: Element) -> bytes:
    """Unpack an address that holds a picture; b"" for any other."""
    address = (element.get(_address(element)) or "").strip()
    head, _, body = address.partition(",")
    if not head.startswith("data:"):
        return b""
    plain = unquote_to_bytes(body)
    if not head.rstrip().endswith("base64"):
        return plain
    try:
        return binascii.a2b_base64(plain)
    except binascii.Error:
        return b""


# -- the size of any ---------------------------------------------------------------------------------------------------


def _size(data: bytes) -> tuple[int, int]:
    """Read width and height of a PNG, GIF, JPEG or WebP in dots; (0, 0) where they can't be read."""
    try:
        if data.startswith(_SIGNATURE):
            return struct.unpack(">II", data[16:24])
        if data.startswith(b"GIF8"):
            return struct.unpack("<HH", data[6:10])
        if data.startswith(b"RIFF"):
            return _webp_size(data)
        return _jpeg_size(data) if data.startswith(b"\xff\xd8") else (0, 0)
    except (struct.error, IndexError):
        return 0, 0


def _jpeg_size(data: bytes) -> tuple[int, int]:
    """Read the frame header of a JPEG (ITU-T T.81, annex B.2.2)."""
    at = 2
    while data[at] == 0xFF:
        kind, length = data[at + 1], int.from_bytes(data[at + 2 : at + 4])
        if 0xC0 <= kind <= 0xCF and kind not in (0xC4, 0xC8, 0xCC):
            height, width = struct.unpack(">HH", data[at + 5 : at + 9])
            return width, height
        at += 1 if kind == 0xFF else 2 + length
    return 0, 0


def _webp_size(data: bytes) -> tuple[int, int]:
    """Read the first chunk of a WebP (RFC 9649, sections 2.5 to 2.7)."""
    kind = data[12:16]
    if kind == b"VP8X":
        return int.from_bytes(data[24:27], "little") + 1, int.from_bytes(data[27:30], "little") + 1
    if kind == b"VP8L":
        both = int.from_bytes(data[21:25], "little")
        return (both & 0x3FFF) + 1, (both >> 14 & 0x3FFF) + 1
    width, height = struct.unpack("<HH", data[26:30])
    return width & 0x3FFF, height & 0x3FFF


# -- a PNG with fewer dots ---------------------------------------------------------------------------------------------


def _scaled(data: bytes, by: int) -> bytes | None:
    """Average each ``by`` by ``by`` dots of a PNG to one; None for what is none, is interlaced, broken or too large."""
    if not data.startswith(_SIGNATURE):
        return None
    try:
        header = _Header(*struct.unpack(">IIBB", data[16:26]), interlaced=bool(data[28]))
        chunks = [*_chunks(data)]
    except (struct.error, IndexError):
        return None
    usable = header.colour in _CHANNELS and header.depth in (1, 2, 4, 8, 16) and min(header.width, header.height) > 0
    if not usable or header.interlaced or header.row * header.height > _MOST_UNPACKED:
        return None
    palette = _palette(chunks) if header.colour == 3 else None
    try:
        strips = [
            _averaged(_dots(rows, header, palette), by)
            for rows in _strips(header, (body for kind, body in chunks if kind == b"IDAT"), by)
        ]
    except (zlib.error, ValueError):
        return None
    return _png(np.concatenate(strips))


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(_SIGNATURE)
    while at + 8 <= len(data):
        length, kind = struct.unpack(">I4s", data[at : at + 8])
        yield kind, data[at + 8 : at + 8 + length]
        at += 12 + length


def _palette(chunks: list[tuple[bytes, bytes]]) -> Bytes:
    """Read the palette: 256 rows of red, green, blue and how opaque."""
    found = np.full((256, 4), 255, np.uint8)
    for kind, body in chunks:
        if kind == b"PLTE":
            colours = np.frombuffer(body[:768], np.uint8)
            found[: len(colours) // 3, :3] = colours[: len(colours) // 3 * 3].reshape(-1, 3)
        elif kind == b"tRNS":
            found[: len(body[:256]), 3] = np.frombuffer(body[:256], np.uint8)
    return found


def _strips(header: _Header, parts: Iterator[bytes], by: int) -> Iterator[Bytes]:
    """Unpack rows, some ``by`` at a time, filters undone; what is missing at the end is white or nothing."""
    unpacker = zlib.decompressobj()
    count = max(_STRIP // ((header.row + 1) * by), 1) * by
    above = np.zeros(header.row, np.uint8)
    held, left = b"", header.height
    pending = b""
    while left > 0:
        wanted = min(count, left) * (header.row + 1)
        while len(held) < wanted:
            pending = pending or next(parts, b"")
            if not pending:
                break
            held += unpacker.decompress(pending, wanted - len(held))
            pending = unpacker.unconsumed_tail
            if unpacker.eof:
                break
        if len(held) < wanted:
            raise ValueError("cut off")
        rows = np.frombuffer(held[:wanted], np.uint8).reshape(-1, header.row + 1)
        held = held[wanted:]
        plain = _unfiltered(rows[:, 0], rows[:, 1:], above, header.step)
        above, left = plain[-1], left - len(plain)
        yield plain


def _unfiltered(kinds: Bytes, rows: Bytes, above: Bytes, step: int) -> Bytes:
    """Undo the filters of rows (section 9); ``step``: bytes from a dot to its left neighbour."""
    if int(kinds.max(initial=0)) > 4:
        raise ValueError("no filter")
    if not kinds.any():
        return rows
    if np.isin(kinds, (3, 4)).any():
        return _by_diagonals(kinds, rows, above, step)
    made = np.empty_like(rows)
    for k, kind in enumerate(kinds.tolist()):
        row = rows[k]
        if kind == 1:
            padded = np.zeros(-(-len(row) // step) * step, np.uint8)
            padded[: len(row)] = row
            row = np.add.accumulate(padded.reshape(-1, step), axis=0, dtype=np.uint8).ravel()[: len(row)]
        elif kind == 2:
            row = row + above
        made[k] = above = row
    return made


def _by_diagonals(kinds: Bytes, rows: Bytes, above: Bytes, step: int) -> Bytes:
    """Undo filters that look left and up at once: along each diagonal dots don't wait for one another."""
    count, dots = len(rows), rows.shape[1] // step
    # One row and one dot more, above and to the left; dots lie ``step`` deep.
    made = np.zeros((count + 1, dots + 1, step), np.uint8)
    made[0, 1:] = above[: dots * step].reshape(dots, step)
    made[1:, 1:] = rows[:, : dots * step].reshape(count, dots, step)
    flat = made.reshape(-1, step)
    wide = dots + 1
    which = kinds.astype(np.int16)[:, None]
    for diagonal in range(count + dots - 1):
        first = max(0, diagonal - dots + 1)
        last = min(count - 1, diagonal)
        start = (first + 1) * wide + diagonal - first + 1
        here = slice(start, start + (last - first) * (wide - 1) + 1, wide - 1)
        before = slice(here.start - 1, here.stop - 1, wide - 1)
        over = slice(here.start - wide, here.stop - wide, wide - 1)
        corner = slice(here.start - wide - 1, here.stop - wide - 1, wide - 1)
        kind = which[first : last + 1]
        left, up, upper_left = (flat[part].astype(np.int16) for part in (before, over, corner))
        guess = np.where(kind == 4, _paeth(left, up, upper_left), (left + up) >> 1)
        guess = np.where(kind == 1, left, np.where(kind == 2, up, np.where(kind == 0, 0, guess)))
        flat[here] += guess.astype(np.uint8)
    return made[1:, 1:].reshape(count, -1)


def _paeth(left: NDArray[np.int16], up: NDArray[np.int16], upper_left: NDArray[np.int16]) -> NDArray[np.int16]:
    """Choose of three neighbours the one nearest to what they foretell together (section 9.4)."""
    a, b, c = np.abs(up - upper_left), np.abs(left - upper_left), np.abs(left + up - 2 * upper_left)
    chosen: NDArray[np.int16] = np.where((a <= b) & (a <= c), left, np.where(b <= c, up, upper_left))
    return chosen


def _dots(rows: Bytes, header: _Header, palette: Bytes | None) -> Bytes:
    """Read rows of bytes as dots: (rows, dots, channels), 8 bits each."""
    channels = _CHANNELS[header.colour]
    if header.depth == 16:
        rows = rows[:, ::2]
    elif header.depth == 1:
        rows = np.unpackbits(rows, axis=1) if palette is not None else np.unpackbits(rows, axis=1) * np.uint8(255)
    elif header.depth < 8:
        each = 8 // header.depth
        shifts = np.arange(each - 1, -1, -1, dtype=np.uint8) * np.uint8(header.depth)
        most = (1 << header.depth) - 1
        rows = ((rows[:, :, None] >> shifts) & np.uint8(most)).reshape(len(rows), -1)
        if palette is None:
            rows = rows * np.uint8(255 // most)
    dots = rows[:, : header.width * channels].reshape(len(rows), header.width, channels)
    return dots if palette is None else palette[dots[:, :, 0]]


def _averaged(dots: Bytes, by: int) -> Bytes:
    """Average squares of dots; at the right and lower edge the last dots count again. Clear dots have no colour."""
    channels = dots.shape[2]
    if channels in (1, 3):
        return _mean(_summed(dots, by), by * by)
    opaque = dots[..., -1:].astype(np.uint16)
    weights = _summed(opaque, by)
    mixed = _summed(dots[..., :-1] * opaque, by) // np.maximum(weights, 1)
    return np.concatenate([mixed.astype(np.uint8), _mean(weights, by * by)], axis=2)


def _summed(dots: NDArray[Any], by: int) -> NDArray[np.uint32]:
    """Sum squares of dots, rows first: those lie one behind the other in memory."""
    height, width, channels = dots.shape
    right, below = -width % by, -height % by
    if below:
        dots = np.concatenate([dots, np.repeat(dots[-1:], below, axis=0)])
    rows = np.zeros(((height + below) // by, width, channels), np.uint32)
    for k in range(by):
        rows += dots[k::by]
    if right:
        rows = np.concatenate([rows, np.repeat(rows[:, -1:], right, axis=1)], axis=1)
    made = np.zeros((len(rows), (width + right) // by, channels), np.uint32)
    for k in range(by):
        made += rows[:, k::by]
    return made


def _mean(total: NDArray[np.uint32], count: int) -> Bytes:
    return ((total + count // 2) // count).astype(np.uint8)


def _png(dots: Bytes) -> bytes:
    """Write dots of 1 to 4 channels as a PNG."""
    height, width, channels = dots.shape
    colour = next(kind for kind in (0, 4, 2, 6) if _CHANNELS[kind] == channels)
    rows = np.zeros((height, 1 + width * channels), np.uint8)
    rows[:, 1:] = dots.reshape(height, -1)
    parts = (
        (b"IHDR", struct.pack(">IIBBBBB", width, height, 8, colour, 0, 0, 0)),
        (b"IDAT", zlib.compress(rows.tobytes(), 6)),
        (b"IEND", b""),
    )
    chunks = (
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body)) for kind, body in parts
    )
    return _SIGNATURE + b"".join(chunks)
