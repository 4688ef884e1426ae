# ruff: noqa: E501  one line a drawing reads best
"""Copies made fit to be drawn: what shows too much is refused, what is made lighter looks as it did."""

from __future__ import annotations

import struct
import zlib
from base64 import b64decode, b64encode

import numpy as np
import pymupdf
import pytest
import resvg_py
from lxml import etree

from svgfit.model.refusal import Refusal
from svgfit.svg.export import drawable as limits
from svgfit.svg.export import embedded_pictures
from svgfit.svg.export.drawable import drawable

SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
MARK = '<path d="M0 0L1 1" {}/>'


def tree(inner: str):
    text = f'<svg {SPACES} width="100" height="100">{inner}</svg>'
    return etree.fromstring(text, etree.XMLParser(huge_tree=True))


def chain(kind: str, link: str, times: int, depth: int) -> str:
    """Things that each show ``times`` of the one before: {} in ``link`` is its address."""
    first = f'<{kind} id="k0"><rect width="9" height="9"/></{kind}>'
    more = (
        f'<{kind} id="k{k}">' + f'<rect width="9" height="9" {link.format(f"k{k - 1}")}/>' * times + f"</{kind}>"
        for k in range(1, depth)
    )
    return f"<defs>{first}{''.join(more)}</defs><rect width='9' height='9' {link.format(f'k{depth - 1}')}/>"


CHAINS = {
    "markers": chain("marker", 'marker-start="url(#{})"', 3, 25).replace("rect width='9'", "path d='M0 0L9 9'").replace('<rect width="9"', '<path d="M0 0L9 9"'),
    "patterns": chain("pattern", 'fill="url(#{})"', 3, 25),
    "patterns as strokes": chain("pattern", 'style="stroke: url( \'#{}\' )"', 3, 25),
    "masks": chain("mask", 'mask="url(#{})"', 3, 25),
    "clips": chain("clipPath", 'clip-path="url(#{})"', 3, 25),
    "masks one in another": chain("mask", 'mask="url(#{})"', 1, 200),
    "copies": "<defs>" + '<g id="u0"><rect/></g>' + "".join(f'<g id="u{k}">' + f'<use href="#u{k - 1}"/>' * 10 + "</g>" for k in range(1, 9)) + '</defs><use xlink:href="#u8"/>',
    "markers inherited": '<defs><marker id="m">' + MARK.format("") * 1000 + '</marker></defs><g style="marker:url(#m)">' + MARK.format("") * 200 + "</g>",
    "markers at every corner": '<defs><marker id="m">' + MARK.format("") * 100 + '</marker></defs><path marker-mid="url(#m)" d="M0 0' + "L1 1 2 0" * 3000 + '"/>',
    "markers by a style sheet": '<style>path{marker-start:url(#m)}</style><defs><marker id="m"><g>' + "<rect/>" * 1000 + "</g></marker></defs>" + MARK.format("") * 400,
    "gradients that name one another": '<defs><pattern id="p">' + "<rect/>" * 1000 + '</pattern><pattern id="q" href="#p"/></defs>' + '<rect fill="url(#q)"/>' * 400,
}  # fmt: skip


@pytest.mark.parametrize("what", CHAINS)
def test_what_shows_far_too_much_is_refused(what) -> None:
    with pytest.raises(Refusal, match="shows more than can be drawn") as found:
        drawable("a.svg", tree(CHAINS[what]))
    assert "leave out" in found.value.todo


def test_it_names_what_shows_so_much() -> None:
    with pytest.raises(Refusal, match=r"mask 'k1\d'"):
        drawable("a.svg", tree(CHAINS["masks"]))


@pytest.mark.parametrize(
    "inner",
    [
        '<defs><marker id="a"><path d="M0 0L1 1" marker-start="url(#a)"/></marker></defs><path d="M0 0L1 1" marker-start="url(#a)"/>',
        '<defs><pattern id="a" href="#b"/><pattern id="b" href="#a"/></defs><rect fill="url(#a)"/>',
        '<path d="M0 0L1 1" marker-start="url(#none)" fill="url(x.svg#a)" mask="none"/>',
        chain("mask", 'mask="url(#{})"', 1, 20),
        '<defs><marker id="m"><path d="M0 0L1 1L2 2Z"/></marker></defs>' + MARK.format('marker-end="url(#m)"') * 20_000,
        "<g>" * 900 + "<rect/>" + "</g>" * 900,
        '<defs><path id="h" d="M0 0"/></defs>' + '<use href="#h"/>' * 20_000,
    ],
)
def test_what_can_be_drawn_is_not_refused(inner) -> None:  # a circle shows nothing
    drawable("a.svg", tree(inner))


def test_groups_nested_too_deep_are_refused() -> None:
    with pytest.raises(Refusal, match="more than 1000 deep") as found:
        drawable("a.svg", tree("<g>" * 1000 + "<rect/>" + "</g>" * 1000))
    assert "ungroup" in found.value.todo


def test_looking_ends(monkeypatch) -> None:
    monkeypatch.setattr(limits, "_MOST_WORK", 100)
    with pytest.raises(Refusal, match="shows more than can be drawn"):
        drawable("a.svg", tree('<use href="#a"/><g id="a">' + "<rect/>" * 200 + "</g>"))


# -- opacity -----------------------------------------------------------------------------------------------------------

ONE_PAINT = (
    '<path d="M0 0L100 100" stroke="red" opacity=".5" fill="none" stroke-width="9"/>',
    '<path d="M0 0L100 100" stroke="red" style="opacity:50%" stroke-width="9"/>',
    '<g stroke="#00f" fill="none" stroke-opacity=".5"><path d="M5 5C90 0 90 90 5 90" opacity=".4" stroke-width="9"/></g>',
    '<rect width="50" height="50" fill="green" opacity=".25" fill-opacity=".5"/>',
    '<line x2="90" y2="80" stroke="#000" opacity=".3" stroke-width="5"/>',
    '<style>rect{opacity:.5;fill:red}</style><rect width="50" height="50"/>',
    '<path d="M0 0L100 100L50 50z" stroke="red" opacity=".5" stroke-width="9"/>',
)
SEVERAL = (
    '<rect width="50" height="50" fill="green" stroke="red" stroke-width="9" opacity=".5"/>',
    '<path d="M9 9L90 90L90 9" stroke="red" opacity=".5" stroke-width="9"/>',
    '<defs><marker id="m" markerWidth="9"><rect width="9" height="9"/></marker></defs>'
    '<path d="M0 0L90 90" fill="none" stroke="red" opacity=".5" stroke-width="3" marker-end="url(#m)"/>',
    '<g opacity=".5"><rect width="50" height="50"/></g>',
    '<g fill="none"><rect id="r" width="50" height="50" stroke="red" stroke-width="9" opacity=".5"/></g>'
    '<use href="#r" x="40" fill="blue"/>',
    '<style>rect{opacity:.5!important}</style><rect width="50" height="50"/>',
    '<rect width="50" height="50" style="opacity:.5!important"/>',
)


def drawn(root) -> np.ndarray:
    data = resvg_py.svg_to_bytes(svg_string=etree.tostring(root).decode(), background="white", skip_system_fonts=True)
    page = pymupdf.Pixmap(bytes(data))
    return np.frombuffer(page.samples, np.uint8).astype(int)


@pytest.mark.parametrize("inner", [*ONE_PAINT, *SEVERAL])
def test_an_opacity_that_is_folded_looks_as_it_did(inner) -> None:
    before = drawn(tree(inner))
    assert before.min() < 250
    away = np.abs(drawn(drawable("a.svg", tree(inner))) - before)
    assert away.max() <= 8  # at the edge of a faint line, where eight bits are coarse
    assert away.mean() < 0.5


@pytest.mark.parametrize("inner", ONE_PAINT)
def test_an_opacity_of_one_paint_is_folded(inner) -> None:
    shape = list(drawable("a.svg", tree(inner)).iter("{*}path", "{*}rect", "{*}line"))[-1]
    assert "opacity:1;" in shape.get("style")


@pytest.mark.parametrize("inner", SEVERAL)
def test_one_of_several_paints_is_left(inner) -> None:
    assert etree.tostring(drawable("a.svg", tree(inner))) == etree.tostring(tree(inner))


# -- pictures ----------------------------------------------------------------------------------------------------------


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def paeth(a: int, b: int, c: int) -> int:
    return min((abs(b - c), 0, a), (abs(a - c), 1, b), (abs(a + b - 2 * c), 2, c))[2]


def png_of(
    width: int, height: int, depth: int, colour: int, filters, palette: bytes = b"", interlaced: int = 0
) -> bytes:
    """A PNG of noise, its rows filtered in turn by ``filters``; written by the specification, dot by dot."""
    channels = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colour]
    row, step = (width * depth * channels + 7) // 8, max(depth * channels // 8, 1)
    noise = np.random.default_rng(7).integers(0, 256, (height, row)).astype(np.uint8)
    if width * depth * channels % 8:
        noise[:, -1] &= (0xFF00 >> width * depth * channels % 8) & 0xFF
    lines, above = [], [0] * row
    for k, line in enumerate(noise.tolist()):
        kind = filters[k % len(filters)]
        left = [0] * step + line
        corner = [0] * step + above
        guess = [
            (0, left[i], above[i], (left[i] + above[i]) // 2, paeth(left[i], above[i], corner[i]))[kind]
            for i in range(row)
        ]
        lines.append(bytes([kind, *((value - told) % 256 for value, told in zip(line, guess, strict=True))]))
        above = line
    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, interlaced)
    data = zlib.compress(b"".join(lines))
    parts = [chunk(b"IHDR", head), *([chunk(b"PLTE", palette)] if palette else [])]
    parts += [chunk(b"IDAT", data[:20]), chunk(b"IDAT", data[20:]), chunk(b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def image(data: bytes, kind: str = "png", size: str = 'width="60" height="60"') -> str:
    return f'<image {size} xlink:href="data:image/{kind};base64,{b64encode(data).decode()}"/>'


def dots(data: bytes) -> np.ndarray:
    page = pymupdf.Pixmap(data)
    return np.frombuffer(page.samples, np.uint8).reshape(page.height, page.width, page.n)


ALL = (0, 1, 2, 3, 4)


@pytest.mark.parametrize(
    ("depth", "colour", "filters"),
    [(1, 0, (0,)), (1, 0, ALL), (2, 0, ALL), (4, 0, (0, 2)), (8, 0, ALL), (8, 0, (1, 2)), (8, 2, ALL), (8, 2, (1,)), (16, 2, ALL), (8, 6, (0, 4)), (8, 4, ALL), (1, 3, (0,)), (4, 3, ALL), (8, 3, (0, 1, 2))],
)  # fmt: skip
@pytest.mark.parametrize("size", [(37, 23), (64, 64)])
def test_a_png_is_averaged(monkeypatch, depth, colour, filters, size) -> None:
    width, height = size
    palette = bytes(np.random.default_rng(3).integers(0, 256, 3 << depth).astype(np.uint8)) if colour == 3 else b""
    data = png_of(width, height, depth, colour, filters, palette)
    monkeypatch.setattr(embedded_pictures, "MOST_DOTS", 800)
    monkeypatch.setattr(embedded_pictures, "_STRIP", 500)
    made = drawable("a.svg", tree(image(data)))[0].get("{http://www.w3.org/1999/xlink}href")
    head, _, body = made.partition(",")
    assert head == "data:image/png;base64"
    found, whole = dots(b64decode(body)), dots(data)
    by = -(-width // found.shape[1])
    assert found.shape[:2] == (-(-height // by), -(-width // by))
    assert by > 1
    if colour in (4, 6):  # colours count by how opaque they are; pymupdf gives them as such
        whole, found = (each.astype(float) for each in (whole, found))
    padded = np.pad(whole.astype(float), ((0, -height % by), (0, -width % by), (0, 0)), mode="edge")
    wanted = padded.reshape(found.shape[0], by, found.shape[1], by, -1).mean(axis=(1, 3))
    if found.shape[2] < wanted.shape[2]:
        wanted = wanted[:, :, : found.shape[2]]
    if colour == 3:
        found = found[:, :, : wanted.shape[2]]
    assert np.abs(found - wanted).max() <= 2


def test_a_picture_that_is_small_enough_stays(monkeypatch) -> None:
    data = png_of(30, 30, 8, 2, ALL)
    assert (
        drawable("a.svg", tree(image(data)))[0]
        .get("{http://www.w3.org/1999/xlink}href")
        .endswith(b64encode(data).decode())
    )


def test_one_without_a_size_of_its_own_keeps_the_one_it_has(monkeypatch) -> None:
    monkeypatch.setattr(embedded_pictures, "MOST_DOTS", 400)
    made = drawable("a.svg", tree(image(png_of(40, 30, 8, 0, (0,)), size="")))[0]
    assert (made.get("width"), made.get("height")) == ("40", "30")


JPEG = b"\xff\xd8\xff\xe0\x00\x04ab\xff\xc2\x00\x11\x08" + struct.pack(">HH", 14043, 9933) + b"\x03"
GIF = b"GIF89a" + struct.pack("<HH", 60_000, 50_000)
WEBP = b"RIFFxxxxWEBPVP8X" + bytes(8) + (19_999).to_bytes(3, "little") + (9_999).to_bytes(3, "little")
LOSSLESS = b"RIFFxxxxWEBPVP8L" + bytes(5) + ((15_999) | (15_999 << 14)).to_bytes(4, "little")


@pytest.mark.parametrize(
    ("data", "size"),
    [
        (JPEG, "9933 by 14043"), (GIF, "60000 by 50000"), (WEBP, "20000 by 10000"), (LOSSLESS, "16000 by 16000"),
        (png_of(8, 8, 8, 0, (0,))[:16] + struct.pack(">II", 50_000, 50_000) + png_of(8, 8, 8, 0, (0,))[24:], "50000 by 50000"),
        (png_of(8, 8, 8, 0, (0,))[:16] + struct.pack(">II", 10_000, 10_000) + png_of(8, 8, 8, 0, (0,))[24:], "10000 by 10000"),
    ],
)  # fmt: skip
def test_one_that_is_too_large_and_cannot_be_scaled_down_is_refused(data, size) -> None:
    with pytest.raises(Refusal, match=f"a picture of {size} dots") as found:
        drawable("a.svg", tree(image(data)))
    assert "leave it out" in found.value.todo


@pytest.mark.parametrize("data", [b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF", b"GIF8", b"what is this"])
def test_one_that_cannot_be_read_is_left_to_the_renderer(data) -> None:
    drawable("a.svg", tree(image(data)))
