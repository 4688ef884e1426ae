"""PDFs that are broken at random are read or refused in a line; nothing hangs, and nothing takes the memory."""

from __future__ import annotations

import random
import re
import subprocess
import sys
from pathlib import Path

import pytest

from svgfit.formats.pdf.read import read_pdf
from svgfit.model.file_format import Wishes
from svgfit.model.refusal import Refusal
from tests.formats.pdf.making import Document, one_page
from tests.formats.pdf.tiling import LAYERS, PAGE, drawn, sheet, tiled

SWAPS = [b"", b"9", b" ", b"(", b")", b"Q q", b"<<", b"[", b"1e99 ", b"-", b"\xff", b"BI ID ", b"/OC", b"m l c h S "]


def whole():
    """PDFs to break."""
    document = Document()
    document.page(drawn(sheet(1, 1)) + " BT /F1 9 Tf 60 25 Td (Size 12) Tj ET", box=PAGE, layers=LAYERS)
    return [
        document.bytes(order=["Sizes", list(LAYERS)], off=("Size 10",)),
        tiled(columns=2, rows=2),
        tiled(how="form"),
    ]


def plain(data):
    """The same PDF with its streams as plain text, so that breaking it reaches them."""
    import io

    import pikepdf

    out = io.BytesIO()
    pikepdf.open(io.BytesIO(data)).save(
        out, stream_decode_level=pikepdf.StreamDecodeLevel.generalized, compress_streams=False
    )
    return out.getvalue()


def broken(data, chance):
    """Break it in one of several ways."""
    found = bytearray(data)
    way = chance.randrange(5)
    if way == 0:
        del found[chance.randrange(len(found)) :]
    elif way == 1:
        for _ in range(chance.choice((1, 5, 50, 500))):
            found[chance.randrange(len(found))] = chance.randrange(256)
    elif way == 2:
        at = chance.randrange(len(found))
        del found[at : at + chance.randrange(2000)]
    elif way == 3:
        for _ in range(chance.choice((1, 3, 30))):
            at = chance.randrange(len(found))
            found[at : at + chance.randrange(8)] = chance.choice(SWAPS)
    else:
        digits = list(re.finditer(rb"\d+", bytes(found)))
        for place in chance.sample(digits, min(5, len(digits))):
            wide = place.end() - place.start()
            found[place.start() : place.end()] = chance.choice((b"0", b"9" * wide, b"-1", b"65536"))[:wide].ljust(wide)
    return bytes(found)


def read_or_refused(data):
    try:
        return read_pdf("maker.pdf", data, Wishes()).svg.startswith(b"<?xml")
    except Refusal as refusal:
        said = refusal.line()
    assert "\n" not in said
    assert said.startswith("maker.pdf: ")
    return None


@pytest.mark.parametrize("seed", range(3))
def test_some_broken_ones(seed):
    chance = random.Random(seed)
    for data in whole():
        for _ in range(4):
            read_or_refused(broken(chance.choice((data, plain(data))), chance))


def peak_megabytes() -> int:
    """Most memory that this process had; what it was forked from does not count, as it does for getrusage on Linux."""
    if sys.platform == "linux":
        return int(Path("/proc/self/status").read_text().partition("VmHWM:")[2].split()[0]) // 1024
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // (1024**2 if sys.platform == "darwin" else 1024)


@pytest.mark.slow
def test_three_hundred_broken_ones_in_bounded_memory():
    code = (
        "import random\n"
        "from tests.formats.pdf.test_broken import broken, peak_megabytes, plain, read_or_refused, whole\n"
        "chance, files = random.Random(7), whole()\n"
        "files += [plain(data) for data in files]\n"
        "found = [read_or_refused(broken(chance.choice(files), chance)) for _ in range(300)]\n"
        "print(found.count(True), found.count(None), peak_megabytes())\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=600)
    read, refused, megabytes = map(int, done.stdout.split())
    assert read + refused == 300
    assert min(read, refused) > 20
    assert megabytes < 500
    assert not done.stderr


ODD = ["-nan 0 0 RG", "1e400 w", "BT /F1 1e400 Tf 50 50 Td (a) Tj ET", "BT /F1 9 Tf [(a) -nan (b)] TJ ET"]


@pytest.mark.parametrize("odd", ODD)
def test_what_is_no_number_draws_nothing(odd):
    found = read_pdf("maker.pdf", one_page(f"{odd} 10 10 m 100 300 l 10 300 l s"), Wishes())
    assert found.svg.count(b"<path") == 1
    assert not re.search(rb"\b(nan|inf)\b", found.svg)
    assert "could not be understood" in found.warnings[0]


@pytest.mark.parametrize("slip", [TypeError, AttributeError, ValueError, ZeroDivisionError])
def test_a_slip_of_our_own_is_not_blamed_on_the_file(monkeypatch, slip):
    def broken(*_):
        raise slip("ours")

    monkeypatch.setattr("svgfit.formats.pdf.read.put_together", broken)
    with pytest.raises(slip, match="ours"):
        read_pdf("maker.pdf", whole()[0], Wishes())


def test_nothing_but_a_warning_of_ours_is_said_of_a_damaged_file(capfd):
    data = whole()[0]
    found = read_pdf("maker.pdf", data[: data.rindex(b"xref")], Wishes())
    assert found.warnings[0].startswith("is damaged and was repaired")
    assert capfd.readouterr() == ("", "")
