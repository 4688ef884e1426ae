"""Reads many drawings that nobody here made: each is read, or refused with one line, in time; nothing crashes.

    python .ci/run_corpus.py FOLDER [FOLDER ...]

Every .svg and .svgz below the folders is read with 96 user units an inch. What can be read, so or by its own scale,
also gets a layer spliced in and taken out again: with I the file and O what is written, O[:i] + O[j:] == I, and O[i:j]
is the layer. Every refusal is printed with its reason, then how many drawings were read, and the time of the lot. Exit
status 1 for a crash, other bytes, or a file that took more than 5 s.
"""

from __future__ import annotations

import gzip
import re
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from svgfit.model.refusal import Refusal
from svgfit.plugin.registry import open_registry
from svgfit.svg import read_drawing, splice

SLOWEST = 5.0
LAYER = (
    '<g xmlns="http://www.w3.org/2000/svg" id="svgfit-corpus-layer" data-svgfit-layer="working-lines">'
    '<path d="M 0,0 L 10,10"/></g>'
)
STAMPS = re.compile(r' data-svgfit-(?:digest|root)="[^"]*"')
"""What splicing itself writes into a layer's start tag."""


def plain(data: bytes) -> bytes:
    return gzip.decompress(data) if data.startswith(b"\x1f\x8b") else data


def read(path: Path, dialects: tuple, scale: float | None):
    """The drawing, or the one clear line that refuses it."""
    try:
        return read_drawing(str(path), scale=scale, dialects=dialects), ""
    except Refusal as refusal:
        if not refusal.what or len(refusal.line().splitlines()) != 1:
            raise AssertionError(f"a refusal that is not one clear line: {refusal.line()!r}") from refusal
        return None, refusal.line()


def check_splice(path: Path, drawing, dialects: tuple, scale: float | None, folder: Path) -> None:
    """Raises where a layer put in changes any byte of the file but those it is put between, or cannot be taken out."""
    if any(not layer.edited for layer in drawing.svgfit_layers):  # these go where new ones come: looked at without them
        path = folder / f"without{path.suffix}"
        path.write_bytes(splice(drawing, []))
        drawing = read_drawing(str(path), scale=scale, dialects=dialects)
    before, source = plain(path.read_bytes()), drawing.source
    at, codec = source.insert_at, source.encoding
    with_layer = splice(drawing, [LAYER])
    after = plain(with_layer)
    head, tail = before[:at], before[at:]
    if source.empty_root:
        head = head[: -len("/>".encode(codec))] + ">".encode(codec)
        tail = f"</{source.root_name}>".encode(codec) + tail
    if not (after.startswith(head) and after.endswith(tail) and len(after) >= len(head) + len(tail)):
        raise AssertionError("splicing a layer in changed other bytes")
    put_in = after[len(head) : len(after) - len(tail)].decode(codec)
    if STAMPS.sub("", put_in) != LAYER + "\n":
        raise AssertionError(f"what is spliced in is not the layer: {put_in!r}")
    again = folder / f"again{path.suffix}"
    again.write_bytes(with_layer)
    taken_out = plain(splice(read_drawing(str(again), scale=scale, dialects=dialects), []))
    if taken_out != before:
        raise AssertionError("a layer spliced in and taken out again leaves other bytes")


def try_one(path: Path, dialects: tuple, folder: Path) -> tuple[str, str]:
    """``read`` or ``read with warnings``, or ``refused`` and why; raises what is wrong."""
    scale: float | None = 96
    drawing, why = read(path, dialects, scale)
    what = "refused" if drawing is None else "read with warnings" if drawing.warnings else "read without"
    if drawing is None:  # it may have a size of its own, at which it can be read
        scale = None
        drawing, _ = read(path, dialects, scale)
        why += " (read and spliced without --scale)" if drawing is not None else ""
    if drawing is not None:
        check_splice(path, drawing, dialects, scale, folder)
    return what, why


def main(folders: list[str]) -> int:
    files = sorted(path for folder in folders for path in Path(folder).rglob("*.svg*") if path.is_file())
    dialects = open_registry().dialects()
    counts: Counter[str] = Counter()
    faults, slowest, began = [], (0.0, ""), time.perf_counter()
    with tempfile.TemporaryDirectory() as name:
        for path in files:
            start = time.perf_counter()
            try:
                what, why = try_one(path, dialects, Path(name))
                counts[what] += 1
                if why:
                    print(f"refused: {why}")
            except Exception as error:  # noqa: BLE001 - the point is to find any
                counts["broken"] += 1
                faults.append(f"{path}: {type(error).__name__}: {error}")
            spent = time.perf_counter() - start
            slowest = max(slowest, (spent, path.name))
            if spent > SLOWEST:
                faults.append(f"{path}: took {spent:.1f} s")
    for fault in faults:
        print(fault)
    told = counts["read with warnings"]
    print(
        f"corpus: {len(files)} drawings, {told + counts['read without']} read ({told} with warnings),"
        f" {counts['refused']} refused, {counts['broken']} broken; {len(faults)} faults;"
        f" {time.perf_counter() - began:.1f} s in all, slowest {slowest[0]:.2f} s ({slowest[1]})"
    )
    return 1 if faults or not files else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
