# ruff: noqa: E501  one line a drawing reads best
"""Drawings made to harm what draws them: each is drawn or refused in one line, within 20 s of processor time and 1 GB."""

from __future__ import annotations

import struct
import zlib
from base64 import b64encode

import pytest

from tests.hostile.running import held, run

SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
PIECE = '<g id="Panel_stitch_line"><path d="M40 90L40 40L90 10L140 40L140 90Z" fill="none" stroke="#000"/></g>'
SECONDS = 20
DRAWN = ("picture.png", "picture.html", "handout.pdf")


def drawing(inner: str) -> str:
    """A panel, and on its layer what is to be drawn: so handouts print it too."""
    return f'<svg {SPACES} width="1300mm" height="914mm" viewBox="0 0 1300 914">{PIECE.replace("</g>", inner + "</g>")}</svg>'


def chain(kind: str, shape: str, link: str, times: int, depth: int) -> str:
    more = "".join(
        f'<{kind} id="k{k}" width="9" height="9">{shape.format(link.format(k - 1) if k else "") * times}</{kind}>'
        for k in range(depth)
    )
    return f"<defs>{more}</defs>{shape.format(link.format(depth - 1))}"


RECT, LINE = '<rect width="1000" height="900" {}/>', '<path d="M0 0L1000 900" stroke="#000" {}/>'


def scan(width: int, height: int, depth: int = 1, colour: int = 0) -> str:
    """A white PNG of so many dots."""
    row = (width * depth * (3 if colour == 2 else 1) + 7) // 8
    packer = zlib.compressobj(6)
    data = b"".join(packer.compress(b"\0" + b"\xff" * row) for _ in range(height)) + packer.flush()

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    png = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")
    return f'<image width="841" height="914" href="data:image/png;base64,{b64encode(png).decode()}"/>'


CASES = {
    "groups in groups": lambda: "<g>" * 250 + LINE.format("") + "</g>" * 250,
    "a chain of markers": lambda: chain("marker", LINE, 'marker-start="url(#k{})"', 3, 25),
    "a scan of A0 at 600 dpi": lambda: scan(19866, 28087),
    "long faint lines": lambda: LINE.format('opacity=".5"') * 100,
    "groups in groups, deeper": lambda: "<g>" * 980 + LINE.format("") + "</g>" * 980,
    "groups in groups, too deep": lambda: "<g>" * 1500 + LINE.format("") + "</g>" * 1500,
    "faint groups in groups": lambda: '<g opacity=".99">' * 250 + RECT.format("") + "</g>" * 250,
    "a chain of masks": lambda: chain("mask", RECT, 'mask="url(#k{})"', 3, 25),
    "a chain of patterns": lambda: chain("pattern", RECT, 'fill="url(#k{})"', 3, 25),
    "a chain of clips": lambda: chain("clipPath", RECT, 'clip-path="url(#k{})"', 3, 25),
    "a chain of masks, each once": lambda: chain("mask", RECT, 'mask="url(#k{})"', 1, 90),
    "a chain of patterns, each once": lambda: chain("pattern", RECT, 'fill="url(#k{})"', 1, 90),
    "a chain of clips, each once": lambda: chain("clipPath", RECT, 'clip-path="url(#k{})"', 1, 90),
    "masks side by side": lambda: '<mask id="m"><rect width="1300" height="914" fill="#fff"/></mask>' + RECT.format('mask="url(#m)"') * 2000,
    "faint shapes": lambda: RECT.format('opacity=".5" stroke="red"') * 1000,
    "a scan in colour": lambda: scan(9933, 14043, 8, 2),
    "a scan of a million square dots": lambda: scan(1_000_000, 1_000),
    "scans side by side": lambda: scan(4000, 4000, 8) * 12,
    "a pattern of the smallest tiles": lambda: '<defs><pattern id="p" width="1e-4" height="1e-4" patternUnits="userSpaceOnUse"><rect width="1" height="1"/></pattern></defs>' + RECT.format('fill="url(#p)"'),
    "the smallest dashes": lambda: LINE.format('stroke-dasharray="1e-5"') * 50,
    "the widest stroke": lambda: LINE.format('stroke-width="1e200"'),
    "a long text": lambda: f'<text x="5" y="50">{"word " * 100_000}</text>',
    "the largest letters": lambda: '<text x="5" y="50" font-size="1e30">word</text>',
    "a style sheet nested deep": lambda: f"<style>path{':not(' * 3000}g{')' * 3000}{{fill:red}} rect{{a:{'(' * 3000}{')' * 3000}}}</style>",
    "crossing curves": lambda: "".join(f'<path d="M0 {k}C1300 {1800 - k} 0 {k * 3} 1300 {900 - k}" fill="none" stroke="#000"/>' for k in range(900)),
}  # fmt: skip


def drawn(tmp_path, made: str, text: str):
    path = tmp_path / "d.svg"
    path.write_text(text)
    command, _, kind = made.partition(".")
    ran = run(command, path, "-o", str(tmp_path / f"o.{kind}"))
    assert held(ran, SECONDS)
    return ran


@pytest.mark.slow_after(4)
@pytest.mark.parametrize("what", CASES)
@pytest.mark.parametrize("made", DRAWN)
def test_it_is_drawn_or_refused_in_time_and_memory(tmp_path, made, what):
    drawn(tmp_path, made, drawing(CASES[what]()))


@pytest.mark.parametrize("made", DRAWN)
def test_a_chain_is_refused_before_it_is_drawn(tmp_path, made):
    ran = drawn(tmp_path, made, drawing(CASES["a chain of markers"]()))
    assert ran.status == 2
    assert "shows more than can be drawn" in ran.err
    assert ran.seconds < 5


def test_markers_nested_deep_are_refused_soon(tmp_path):
    """What a handout prints darker is looked for in every marker, from each element upwards."""
    deep = f'<marker id="m">{"<g>" * 1900}{LINE.format("")}{"</g>" * 1900}</marker>'
    ran = drawn(tmp_path, "handout.pdf", drawing(deep))
    assert ran.status == 2
    assert "more than 1000 deep" in ran.err
    assert ran.seconds < 5


def test_a_large_scan_is_drawn(tmp_path):
    assert drawn(tmp_path, "picture.png", drawing(CASES["a scan of A0 at 600 dpi"]())).status == 0


def test_groups_in_groups_are_drawn(tmp_path):
    assert drawn(tmp_path, "picture.png", drawing(CASES["groups in groups"]())).status == 0
