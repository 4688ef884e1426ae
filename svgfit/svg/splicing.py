"""Splicing: new layers into the bytes that came in, our earlier ones out; everything else stays to the byte.

With I the drawing without the layers that go and O the result, both after gunzip: O[:i] + O[j:] == I, and O[i:j] is
exactly the new layers. Only an empty root (``<svg/>``) has to be opened; the first layer then says so, which lets the
next run close it again.
"""

from __future__ import annotations

import codecs
from collections.abc import Collection, Sequence

from svgfit.svg.markup import Node
from svgfit.svg.reader import Drawing
from svgfit.svg.source import Source, gzipped
from svgfit.svg.svgfit_layers import EMPTY_ROOT, SvgfitLayer, stamp


def kept_layers(drawing: Drawing, *, discard_edits: bool) -> tuple[SvgfitLayer, ...]:
    """Return our earlier layers that stay, because a person has edited them."""
    return () if discard_edits else tuple(layer for layer in drawing.svgfit_layers if layer.edited)


def free_name(drawing: Drawing, wanted: str, *, discard_edits: bool, also_taken: Collection[str] = ()) -> str:
    """Choose a layer's name: the wanted one, or ``NAME (2)``, ``NAME (3)`` … where a layer that stays has it."""
    taken = {layer.name for layer in drawing.layers if layer.ours is None}
    taken.update(layer.name for layer in kept_layers(drawing, discard_edits=discard_edits))
    taken.update(also_taken)
    return _numbered(wanted, taken, "{} ({})")


def free_id(drawing: Drawing, wanted: str, *, discard_edits: bool, also_taken: Collection[str] = ()) -> str:
    """Choose an element's id: the wanted one, or ``ID-2``, ``ID-3`` … where something that stays has it."""
    taken = set(drawing.ids)
    for layer in kept_layers(drawing, discard_edits=discard_edits):
        taken.update(layer.ids)
    taken.update(also_taken)
    return _numbered(wanted, taken, "{}-{}")


def splice(
    drawing: Drawing, layers: Sequence[Node | str], *, discard_edits: bool = False, kinds: Collection[str] | None = None
) -> bytes:
    """Write the drawing's file with new layers in place of our earlier ones; gzipped where it came gzipped.

    Args:
        drawing: as read.
        layers: each new layer as a record or as text: one element with ``data-svgfit-layer`` that declares its own
            namespaces (also the default one). Stamped here with the digest of its content. None: only the earlier ones
            go.
        discard_edits: whether layers of ours that a person has edited go too; otherwise they stay where they are.
        kinds: which of our earlier layers may go (``data-svgfit-layer``); None: all.
    """
    source = drawing.source
    going = [
        layer
        for layer in drawing.svgfit_layers
        if (discard_edits or not layer.edited) and layer.end > layer.start and (kinds is None or layer.kind in kinds)
    ]
    spans = _spans(source, going)
    head, rest = _without(source.data, spans, source.insert_at), source.data[source.insert_at :]
    close = b""
    empty = source.empty_root
    if not empty and any(layer.was_empty_root for layer in going):
        content = _without(source.data, spans, source.insert_at, source.content_at)
        if not content:  # nothing but our layers was in it: back to "<svg/>"
            name_end = source.data.index(_encode(source, ">"), source.insert_at) + len(_encode(source, ">"))
            head = source.data[: source.content_at - len(_encode(source, ">"))] + _encode(source, "/>")
            rest, empty = source.data[name_end:], True
    if not layers:
        return _packed(source, head + rest)
    if empty:
        head = head[: -len(_encode(source, "/>"))] + _encode(source, ">")
        close = _encode(source, f"</{source.root_name}>")
    first = ((EMPTY_ROOT, "empty"),) if empty else ()
    texts = (layer.strip() if isinstance(layer, str) else layer for layer in layers)
    block = "".join(f"{stamp(layer, *(() if k else first))}\n" for k, layer in enumerate(texts))
    return _packed(source, head + _encode(source, block) + close + rest)


def _spans(source: Source, going: Sequence[SvgfitLayer]) -> list[tuple[int, int]]:
    """Find the bytes to take out: each layer with the line end that was written behind it."""
    newline = _encode(source, "\n")
    spans: list[tuple[int, int]] = []
    for layer in going:
        after = layer.end + len(newline)
        spans.append((layer.start, after if source.data[layer.end : after] == newline else layer.end))
    return spans


def _without(data: bytes, spans: Sequence[tuple[int, int]], end: int, start: int = 0) -> bytes:
    parts: list[bytes] = []
    at = start
    for first, last in spans:
        parts.append(data[at:first])
        at = last
    parts.append(data[at:end])
    return b"".join(parts)


def _packed(source: Source, data: bytes) -> bytes:
    return gzipped(data) if source.gz else data


def _encode(source: Source, text: str) -> bytes:
    """Encode for the file; characters that its encoding lacks, or takes for others, become character references."""
    if source.encoding.startswith("utf-"):
        return text.encode(source.encoding)
    if not text.isascii():
        odd = {letter for letter in set(text) if not letter.isascii() and not _survives(letter, source.encoding)}
        for letter in odd:
            text = text.replace(letter, f"&#x{ord(letter):x};")
    return text.encode(source.encoding)


def _survives(letter: str, encoding: str) -> bool:
    try:
        return codecs.decode(codecs.encode(letter, encoding), encoding) == letter
    except UnicodeError:
        return False


def _numbered(wanted: str, taken: Collection[str], form: str) -> str:
    name, count = wanted, 2
    while name in taken:
        name, count = form.format(wanted, count), count + 1
    return name
