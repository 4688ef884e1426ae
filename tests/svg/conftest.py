"""Small drawings, written to a file and read with the stock dialects."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

from svgfit.svg import read_drawing

DIALECTS = Path(__file__).parents[2] / "plugins" / "dialects"


def _dialects(stem):
    spec = importlib.util.spec_from_file_location(stem, DIALECTS / f"{stem}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return tuple(module.svgfit_dialects())


@pytest.fixture(scope="session")
def dialects():
    return _dialects("ids") + _dialects("inkscape")


@pytest.fixture
def read(tmp_path, dialects):
    """read(content, name="d.svg", **options): content as text (UTF-8) or bytes."""

    def run(content, name="d.svg", **options):
        path = tmp_path / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return read_drawing(path, **{"dialects": dialects, **options})

    return run


@pytest.fixture
def mm(read):
    """mm(inner, **options): a drawing 200 × 100 mm, one user unit a millimetre, with ``inner`` in it."""

    def run(inner, **options):
        head = (
            '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
            ' xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
            ' xmlns:sodipodi="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"'
            ' width="200mm" height="100mm" viewBox="0 0 200 100">'
        )
        return read(f"{head}{inner}</svg>", **options)

    return run


@pytest.fixture
def shape(mm):
    """shape(element): the one shape of a drawing in millimetres that holds only this element."""

    def run(element):
        (layer,) = mm(element).layers
        (found,) = layer.shapes
        return found

    return run
