"""Sheets spread over pages as programs do it: lines cut at the pages' windows, whole behind a clip, or in one form."""

from __future__ import annotations

import math
from itertools import pairwise

from tests.formats.pdf.making import MM, Document

WIDE, HIGH = 180.0, 250.0
"""What a page shows, mm."""
MARGIN = 12.0
PAGE = (0, 0, (WIDE + 2 * MARGIN) * MM, (HIGH + 2 * MARGIN) * MM)


def sheet(columns=4, rows=3, overlap=0.0):
    """Closed lines (layer, dash, points in mm, y up): two round pieces over all of the sheet, in three sizes."""
    found = []
    wide, high = WIDE + (columns - 1) * (WIDE - overlap), HIGH + (rows - 1) * (HIGH - overlap)
    for piece, across in enumerate((0.27, 0.74)):
        middle = complex(across * wide, 0.5 * high)
        for size in range(3):
            least = 0.2 * wide - 12 + 6 * size, 0.46 * high - 26 + 7 * size
            turns = [step * math.tau / 120 for step in range(120)]
            waves = [1 + 0.05 * math.cos(3 * turn + piece) for turn in turns]
            points = [
                middle + wave * complex(least[0] * math.cos(turn), least[1] * math.sin(turn))
                for turn, wave in zip(turns, waves, strict=True)
            ]
            found.append((f"Size {10 + 2 * size}", ("[] 0", "[6 3] 0", "[2 2] 0")[size], points))
    grain = [complex(0.27 * wide, 0.2 * high), complex(0.27 * wide, 0.8 * high)]
    return [*found, ("Grain", "[] 0", grain)]


def length_of(points, *, closed=True):
    """The length of a polyline, mm."""
    ends = points[1:] + points[:1] if closed else points[1:]
    return sum(abs(one - other) for one, other in zip(points, ends, strict=False))


def inside_parts(points, box, *, closed):
    """What of a polyline lies in a box: runs of points."""
    left, low, right, top = box
    nodes = [*points, points[0]] if closed else points
    runs, last = [], None
    for a, b in pairwise(nodes):
        t0, t1, d = 0.0, 1.0, b - a
        for p, q in (
            (-d.real, a.real - left),
            (d.real, right - a.real),
            (-d.imag, a.imag - low),
            (d.imag, top - a.imag),
        ):
            if p == 0:
                if q < 0:
                    t0, t1 = 1.0, 0.0
            elif p < 0:
                t0 = max(t0, q / p)
            else:
                t1 = min(t1, q / p)
        if t0 >= t1:
            last = None
            continue
        start, end = a + t0 * d, a + t1 * d
        if last is not None and abs(last - start) < 1e-9:
            runs[-1].append(end)
        else:
            runs.append([start, end])
        last = end if t1 == 1.0 else None
    if closed and len(runs) > 1 and abs(runs[-1][-1] - runs[0][0]) < 1e-9:
        runs[0] = runs.pop() + runs[0][1:]
    return runs


def path(points, end="S"):
    """A path through points in mm."""
    return (
        " ".join(f"{p.real * MM:.3f} {p.imag * MM:.3f} {'l' if k else 'm'}" for k, p in enumerate(points)) + f" {end}"
    )


LAYERS = ("Size 10", "Size 12", "Size 14", "Grain")


def drawn(lines, cut=None):
    """Content that draws lines, in mm of the sheet; cut to a box, or whole."""
    words = []
    for layer, dash, points in lines:
        closed = layer != "Grain"
        runs = [points] if cut is None else inside_parts(points, cut, closed=closed)
        whole = cut is None or (len(runs) == 1 and len(runs[0]) > len(points))
        paths = " ".join(path(run, "s" if closed and whole else "S") for run in runs)
        words.append(f"/OC /L{LAYERS.index(layer)} BDC q {dash} d {paths} Q EMC")
    return "\n".join(words)


def tiled(*, how="cut", columns=4, rows=3, overlap=0.0, blank=True, order=None, furniture=True, keep=None, **keys):
    """A tiled PDF. ``how``: "cut", "clip" (whole shapes behind a clip) or "form"; ``order``: of the pages' numbers."""
    document = Document()
    lines = sheet(columns, rows, overlap)
    form = None
    if how == "form":
        from pikepdf import Dictionary

        names = Dictionary(Properties=Dictionary({f"/L{k}": document.group(name) for k, name in enumerate(LAYERS)}))
        form = document.form(drawn(lines), box=(-100, -100, 9000, 9000), resources=names)
    step_x, step_y = WIDE - overlap, HIGH - overlap
    high = (rows - 1) * step_y + HIGH
    cells = [(column, row) for row in range(rows) for column in range(columns)]
    for number, (column, row) in enumerate(cells[k] for k in order or range(len(cells))):
        box = (column * step_x, high - row * step_y - HIGH, column * step_x + WIDE, high - row * step_y)
        if not blank and not any(inside_parts(p, box, closed=g != "Grain") for g, _, p in lines):
            continue
        if keep is not None and number not in keep:
            continue
        shift = f"1 0 0 1 {(MARGIN - box[0]) * MM:.3f} {(MARGIN - box[1]) * MM:.3f} cm"
        window = f"{MARGIN * MM:.3f} {MARGIN * MM:.3f} {WIDE * MM:.3f} {HIGH * MM:.3f} re"
        inner = drawn(lines, box) if how == "cut" else "/Fm Do" if form else drawn([
            line for line in lines if inside_parts(line[2], box, closed=line[0] != "Grain")
        ])  # fmt: skip
        clip = "" if how == "cut" else f"{window} W n"
        content = f"q {clip} {shift}\n{inner}\nQ\n"
        if furniture:
            content += f"0.5 w [] 0 d {window} S 100 20 m 120 20 l 110 30 l h f "
            content += f"BT /F1 9 Tf 60 25 Td (Page {number + 1}) Tj ET"
        document.page(content, box=PAGE, layers=LAYERS, forms={"/Fm": form} if form else None, **keys)
    return document.bytes()
