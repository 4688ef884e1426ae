"""What the reader owes any bytes at all, as one check: for the fuzzer, for drawn examples, and for what they found."""

from __future__ import annotations

import gzip
import importlib.util
import math
import warnings
from collections.abc import Sequence
from pathlib import Path

from svgfit.model.dialect import Dialect
from svgfit.model.refusal import Refusal
from svgfit.svg import Drawing, read_drawing, splice

DIALECTS = Path(__file__).parents[2] / "plugins" / "dialects"
FARTHEST = 1e6
"""Nothing that is read lies farther from the page's corner, mm."""
LAYER = (
    '<g xmlns="http://www.w3.org/2000/svg" id="svgfit-promise" data-svgfit-layer="working-lines">'
    '<path d="M 0,0 L 10,10"/><text x="1" y="1" style="font-size:5px">袖 ½ \\ ~</text></g>'
)


def stock_dialects() -> tuple[Dialect, ...]:
    """All that come with svgfit."""
    found: list[Dialect] = []
    for path in sorted(DIALECTS.glob("*.py")):
        spec = importlib.util.spec_from_file_location(path.stem, path)
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        found += module.svgfit_dialects()
    return tuple(found)


def read(path: Path, scale: float | None, dialects: Sequence[Dialect]) -> Drawing | None:
    """The drawing, or None where it is refused, in one line that says what is wrong and what to do."""
    try:
        return read_drawing(path, scale=scale, dialects=dialects)
    except Refusal as refusal:
        assert len(refusal.line().splitlines()) == 1, refusal.line()  # noqa: PT017
        assert refusal.what.strip(), refusal.line()  # noqa: PT017
        assert refusal.todo.strip(), refusal.line()  # noqa: PT017
        return None


def plain(data: bytes) -> bytes:
    """Without gzip."""
    return gzip.decompress(data) if data.startswith(b"\x1f\x8b") else data


def hold(data: bytes, path: Path, dialects: Sequence[Dialect], scale: float | None = 96.0) -> bool:
    """Read bytes (written to ``path``) and splice them; raises for anything but a drawing or a refusal in one line.

    Of a drawing: every number is one a pattern can have, every warning is one line; a layer put in leaves the other
    bytes alone, can be read again, is the same in a second run, and taken out again leaves what came in. False where
    it is refused.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("error")  # people would see them between the lines
        return _hold(data, path, dialects, scale)


def _hold(data: bytes, path: Path, dialects: Sequence[Dialect], scale: float | None) -> bool:
    path.write_bytes(data)
    drawing = read(path, scale, dialects)
    if drawing is None:
        return False
    _is_sane(drawing)
    source = drawing.source
    replaced = any(not own.edited for own in drawing.svgfit_layers)
    assert replaced or plain(splice(drawing, [])) == source.data, "nothing put in changes bytes"
    spliced = splice(drawing, [LAYER])
    after = plain(spliced)
    if not source.empty_root and not replaced:
        at, added = source.insert_at, len(after) - len(source.data)
        assert added > 0, "no layer"
        assert after[:at] + after[at + added :] == source.data, "a layer put in changes other bytes"
    path.write_bytes(spliced)
    again = read(path, scale, dialects)
    assert again is not None, "what was spliced cannot be read"
    assert splice(again, [LAYER]) == spliced, "a second run gives other bytes"
    if not drawing.svgfit_layers:
        assert [own.edited for own in again.svgfit_layers] == [False], "a layer just written counts as edited"
        assert plain(splice(again, [])) == source.data, "a layer taken out leaves other bytes"
    return True


def _is_sane(drawing: Drawing) -> None:
    for warning in drawing.warnings:
        assert len(warning.splitlines()) == 1, warning
    assert math.isfinite(drawing.canvas.mm_per_user_unit)
    assert drawing.canvas.mm_per_user_unit > 0
    for layer in drawing.layers:
        for shape in layer.shapes:
            assert shape.curves, "a shape of nothing"
            for curve in shape.curves:
                assert max(map(abs, curve.bounds())) <= 2 * FARTHEST, "too far away, or no number"
        for drawn in layer.texts:
            assert math.isfinite(abs(drawn.text.at)), "writing at no place"
            assert math.isclose(abs(drawn.text.direction), 1.0), "writing in no direction"
