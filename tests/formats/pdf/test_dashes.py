"""Dashed lines that were written stroke by stroke are lines again, with their dashes and their true length."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from tests.formats.pdf.making import MM, convert, drawing, one_page

PATTERNS = {
    "[6 3]": (6.0, 3.0),
    "[1 1]": (1.0, 1.0),
    "[12 2 2 2]": (12.0, 2.0, 2.0, 2.0),
    "[9 2 1 1 1 2]": (9, 2, 1, 1, 1, 2),
}
SHAPES = {
    "a circle": [120 + 150j + 60 * complex(math.cos(t / 100), math.sin(t / 100)) for t in range(628)] + [180 + 150j],
    "a square": [40 + 40j, 150 + 40j, 150 + 170j, 40 + 170j, 40 + 40j],
    "an open curve": [30 + 40 * complex(t / 40, math.sin(t / 40)) + 100j for t in range(150)],
}


def strokes(points, pattern):
    """Cut a polyline (mm) into the strokes of a pattern; a corner within one stays in it."""
    found, run, k, left = [], [points[0]], 0, pattern[0]
    for a, b in pairwise(points):
        at, way = a, (b - a) / (abs(b - a) or 1)
        while abs(b - at) > left:
            at += left * way
            if k % 2 == 0:
                found.append([*run, at])
            k += 1
            left, run = pattern[k % len(pattern)], [at]
        left -= abs(b - at)
        if k % 2 == 0 and abs(b - run[-1]) > 1e-9:
            run.append(b)
    return [*found, run] if k % 2 == 0 and len(run) > 1 else found


def drawn(runs, end="S"):
    return "\n".join(
        " ".join(f"{p.real * MM:.4f} {p.imag * MM:.4f} {'l' if j else 'm'}" for j, p in enumerate(run)) + f" {end}"
        for run in runs
    )


def length(points):
    return sum(abs(b - a) for a, b in pairwise(points))


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("one_path", [False, True])
def test_strokes_become_one_dashed_line(shape, pattern, one_path):
    runs = strokes(SHAPES[shape], PATTERNS[pattern])
    data = one_page(drawn(runs, "") + "\nS" if one_path else drawn(runs))
    (found,) = [shape for layer in drawing(data).layers for shape in layer.shapes]
    ((line,), (closed,)) = found.curves, found.closed
    whole = length(SHAPES[shape])
    if shape == "an open curve":
        assert not closed
        assert whole - PATTERNS[pattern][-1] - 0.1 < line.length() < whole + 0.1
    else:
        assert closed
        assert line.length() == pytest.approx(whole, abs=0.1)
    text = convert(data).svg.decode()
    assert f'stroke-dasharray="{" ".join(f"{part:g}" for part in PATTERNS[pattern])}"' in text
    assert convert(data).notes == (f"{len(runs)} single strokes are the dashes of 1 lines",)


def test_sizes_of_different_dashes_stay_apart():
    inner = [0.9 * (point - 120 - 150j) + 120 + 150j for point in SHAPES["a circle"]]
    content = drawn(strokes(SHAPES["a circle"], (6, 3))) + "\n" + drawn(strokes(inner, (2, 2)))
    shapes = [shape for layer in drawing(one_page(content)).layers for shape in layer.shapes]
    assert [round(shape.curves[0].length()) for shape in shapes] == [377, 339]


OTHERS = {
    "hatching": [[complex(20 + 3 * k, 50), complex(30 + 3 * k, 80)] for k in range(20)],
    "ticks": [[complex(20 + 24 * k, 50), complex(20 + 24 * k, 56)] for k in range(8)],
    "a split outline": [[complex(20 + 20 * k, 50), complex(40 + 20 * k, 50)] for k in range(5)],
    "letters": [[complex(20 + 4 * k, 50), complex(21 + 4 * k, 53 + k % 3), complex(22 + 4 * k, 50)] for k in range(12)],
}


def test_marks_of_several_strokes_stay_one_mark():
    marks = [[[complex(x, 50), complex(x, 56)], [complex(x - 3, 56), complex(x + 3, 56)]] for x in range(20, 180, 20)]
    found = convert(one_page("\n".join(drawn(mark, "") + " S" for mark in marks)))
    assert found.svg.decode().count("<path") == len(marks)


@pytest.mark.parametrize("name", OTHERS)
def test_what_are_no_dashes_stays_as_it_is(name):
    found = convert(one_page(drawn(OTHERS[name])))
    assert "dasharray" not in found.svg.decode()
    assert found.notes == ()
    assert found.svg.decode().count("<path") == len(OTHERS[name])
