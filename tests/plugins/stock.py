"""Modules of the stock plug-ins, for tests of what is inside one."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pathlib import Path
from types import ModuleType

from svgfit.plugin.loading import import_file

PLUGINS = Path(__file__).parents[2] / "plugins"


@cache
def stock(path: str, inside: str = "") -> ModuleType:
    """A plug-in by its place in ``plugins/``, such as ``recognisers/sleeve``; of a package also a module ``inside``."""
    file, folder = PLUGINS / f"{path}.py", PLUGINS / path
    if file.is_file():
        return import_file(str(file), None)
    package = import_file(str(folder / "__init__.py"), str(folder))
    return import_module(f"{package.__name__}.{inside}") if inside else package
