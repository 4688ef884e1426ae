"""svgfit reads drawings of pattern pieces, adjusts them, trues the edges and proves that the seams still fit."""

from __future__ import annotations

__version__ = "0.2.0"


def __getattr__(name: str) -> object:
    from importlib import import_module

    try:
        return import_module(f"svgfit.{name}")
    except ModuleNotFoundError as missing:
        if missing.name != f"svgfit.{name}":
            raise
    raise AttributeError(f"module 'svgfit' has no attribute {name!r}")
