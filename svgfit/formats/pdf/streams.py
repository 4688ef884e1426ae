"""The bytes of a stream, unpacked no farther than a drawing may be long."""

from __future__ import annotations

import base64
import binascii
import logging
import re
import zlib
from collections.abc import Generator
from contextlib import contextmanager
from io import BytesIO
from typing import Any

import pikepdf

from svgfit.formats.pdf.limits import DAMAGED, MOST_STREAM, TOO_MUCH, Unreadable

_BROKEN = (
    pikepdf.PdfError,
    ValueError,
    TypeError,
    KeyError,
    AttributeError,
    IndexError,
    OverflowError,
    RuntimeError,
    NotImplementedError,
)
"""What looking at an object of a damaged file can throw; caught around such looks alone: slips of ours throw it too."""
_LOGS = ("pikepdf", "pikepdf._core")
_SMALL = 1 << 16
"""Of other packings no more bytes than this are unpacked: they can't be stopped on the way."""


@contextmanager
def damage_told(what: str = "is damaged") -> Generator[None]:
    """Raise Unreadable for what pikepdf throws over a damaged file: to be put around calls of it, and nothing else."""
    try:
        yield
    except pikepdf.PasswordError:
        todo = "save it without a password in a program that opens it"
        raise Unreadable("is locked with a password", todo) from None
    except _BROKEN as fault:
        raise Unreadable(f"{what} ({_one_line(fault)})", DAMAGED) from None


@contextmanager
def quiet_library() -> Generator[None]:
    """Keep what the library has to say of damaged files off the terminal meanwhile: a warning of ours says it."""
    logs = [logging.getLogger(name) for name in _LOGS]
    before = [log.disabled for log in logs]
    for log in logs:
        log.disabled = True
    try:
        yield
    finally:
        for log, was in zip(logs, before, strict=True):
            log.disabled = was


def open_pdf(data: bytes) -> pikepdf.Pdf:
    """Open a PDF, damaged ones too as far as they can be mended. Raises Unreadable for what can't, or is locked."""
    with damage_told("is damaged or no PDF that can be read"):
        return pikepdf.open(BytesIO(data), suppress_warnings=True)


def get(holder: Any, key: str) -> Any:
    """Look up an entry of a dictionary or stream; None where it is missing or can't be read."""
    try:
        return holder.get(key) if holder is not None else None
    except _BROKEN:
        return None


def entries(holder: Any) -> list[tuple[str, Any]]:
    """List a dictionary's entries; none where it is no dictionary."""
    try:
        return [(str(key), value) for key, value in holder.items()] if holder is not None else []
    except _BROKEN:
        return []


def elements(holder: Any) -> list[Any]:
    """List an array's elements; none where it is no array."""
    try:
        return list(holder) if isinstance(holder, pikepdf.Array) else []
    except _BROKEN:
        return []


def to_number(value: Any) -> float | None:
    """Take a value for a finite number; None for what is none."""
    try:
        found = float(value)
    except (*_BROKEN, ArithmeticError):
        return None
    return found if abs(found) < 1e12 else None


def numbers_of(holder: Any, count: int) -> tuple[float, ...] | None:
    """Take an array for so many numbers; None for what is none."""
    found = [to_number(value) for value in elements(holder)]
    kept = tuple(value for value in found if value is not None)
    return kept if len(kept) == count == len(found) else None


def text_of(value: Any) -> str:
    """Take a value for a text; "" for what is none."""
    try:
        return str(value) if isinstance(value, pikepdf.String) else ""
    except _BROKEN:
        return ""


def name_of(value: Any) -> str:
    """Take a value for a name, with its slash; "" for what is none."""
    try:
        return str(value) if isinstance(value, pikepdf.Name) else ""
    except _BROKEN:
        return ""


def key_of(value: Any) -> tuple[int, int] | None:
    """Give the number of an object that others can refer to; None for what stands in its place."""
    try:
        return value.objgen if value.is_indirect else None
    except _BROKEN:
        return None


def unpack(stream: Any) -> bytes:
    """Return a stream's bytes. Raises Unreadable where they are damaged, or far too many."""
    with damage_told():
        raw: bytes = stream.read_raw_bytes()
        named: Any = stream.get("/Filter")
        filters = [str(each) for each in named] if isinstance(named, pikepdf.Array) else [str(named)] if named else []
        parameters: Any = stream.get("/DecodeParms")
    if len(raw) > MOST_STREAM:
        raise Unreadable(f"holds a drawing of more than {MOST_STREAM >> 20} MB", TOO_MUCH)
    if not raw:
        return raw
    plain = {"/FlateDecode", "/Fl", "/ASCII85Decode", "/A85", "/ASCIIHexDecode", "/AHx"}
    if set(filters) <= plain and not _predicts(parameters):
        for name in filters:
            raw = _step(raw, name)
        return raw
    if len(raw) > _SMALL:
        raise Unreadable(f"is packed in a way that is not read here ({', '.join(filters)})", DAMAGED)
    with damage_told():
        return stream.read_bytes()


def _predicts(parameters: Any) -> bool:
    each = elements(parameters) or [parameters]
    return any((to_number(get(one, "/Predictor")) or 1) > 1 for one in each if isinstance(one, pikepdf.Dictionary))


def _step(data: bytes, name: str) -> bytes:
    try:
        if name in ("/FlateDecode", "/Fl"):
            unpacker = zlib.decompressobj()
            found = unpacker.decompress(data, MOST_STREAM + 1)
            if len(found) > MOST_STREAM:
                raise Unreadable(f"holds a drawing of more than {MOST_STREAM >> 20} MB", TOO_MUCH)
            if not unpacker.eof:
                raise Unreadable("is damaged: a part of its drawing is cut off", DAMAGED)
            return found
        if name in ("/ASCIIHexDecode", "/AHx"):
            digits = re.sub(rb"[^0-9A-Fa-f]", b"", data.partition(b">")[0])
            return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode("ascii"))
        return base64.a85decode(data.strip().removesuffix(b"~>").removeprefix(b"<~"))
    except (zlib.error, ValueError, binascii.Error):
        raise Unreadable("is damaged: a part of its drawing can't be unpacked", DAMAGED) from None


def _one_line(fault: BaseException) -> str:
    return " ".join(re.sub(r"<_io\S* object at \w+>", "", str(fault)).split())[:90] or type(fault).__name__
