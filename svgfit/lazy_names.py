"""Modules whose names are fetched when first used: each name is written once for type checkers and once for Python."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from warnings import warn

Fetch = Callable[[str], object]
"""A module's ``__getattr__``."""
Listing = Callable[[], list[str]]
"""A module's ``__dir__``."""


def lazy_names(
    module: str, homes: Mapping[str, str], *, modules: Mapping[str, str] | None = None, parts: Sequence[str] = ()
) -> tuple[Fetch, Listing]:
    """Make the ``__getattr__`` and ``__dir__`` of a module that only offers what others define.

    ``homes``: names, with blanks between them, by the module that defines them. ``modules``: modules that are offered
    themselves, by the name they have here. ``parts``: those of them whose names can also be had here, though they are
    not listed, with a DeprecationWarning. ``__all__`` is what is listed; a package's own submodules can be had too. The
    names stand once more in the module, for type checkers, in an ``if TYPE_CHECKING:`` block; tests hold the two alike.

    What is made raises AttributeError, with the names there are, for any other.
    """
    home = {name: place for place, names in homes.items() for name in names.split()}
    offered = dict(modules or {})
    listed = sorted((*home, *offered))

    def fetch(name: str) -> object:
        if name == "__all__":
            return listed
        if name in home:
            return getattr(import_module(home[name]), name)
        if name in offered:
            return import_module(offered[name])
        if name.startswith("_"):
            raise AttributeError(f"{module} has no {name!r}")
        try:
            return import_module(f"{module}.{name}")
        except ModuleNotFoundError as missing:
            if missing.name != f"{module}.{name}":
                raise
        for part in parts:
            found = import_module(offered[part])
            if name in found.__all__:
                old = f"{module}.{name} is deprecated: write {offered[part]}.{name}"
                warn(old, DeprecationWarning, stacklevel=2)
                return getattr(found, name)
        raise AttributeError(f"{module} has no {name!r}; it has: {', '.join(listed)}")

    return fetch, lambda: listed
