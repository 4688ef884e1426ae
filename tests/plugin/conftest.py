from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

OPERATION = """
from svgfit.plugin import Operation, Outcome, Parameter, hookimpl

def run(job):
    return Outcome(pieces=job.pieces)

@hookimpl
def svgfit_operations():
    return [Operation({name!r}, "Does nothing.", {parameters}, run, kinds=("sleeve",){more})]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Callable[..., str]:
    """Makes a folder of plug-ins from texts by file name."""

    def make(name: str = "plug-ins", **files: str) -> str:
        made = tmp_path / name
        made.mkdir(exist_ok=True)
        for stem, text in files.items():
            (made / f"{stem}.py").write_text(text, encoding="utf-8")
        return str(made)

    return make


@pytest.fixture
def operation_text() -> Callable[..., str]:
    def text(name: str, parameters: str = "()", more: str = "") -> str:
        return OPERATION.format(name=name, parameters=parameters, more=more)

    return text


@pytest.fixture
def empty_stock(tmp_path: Path) -> str:
    stock = tmp_path / "stock"
    stock.mkdir()
    return str(stock)


@pytest.fixture
def make_piece() -> Callable[..., object]:
    """A square piece, 100 mm a side."""

    def make(name: str = "Sleeve", kind: str = "sleeve") -> object:
        from svgfit.geometry.affine import Affine
        from svgfit.geometry.curve import Curve
        from svgfit.model.piece import Edge, Piece

        corners = [0j, 100 + 0j, 100 + 100j, 100j]
        edges = tuple(Edge(f"side {k + 1}", Curve.polyline([corners[k], corners[(k + 1) % 4]]), 10.0) for k in range(4))
        return Piece("a.svg", name, kind, edges, Affine())

    return make
