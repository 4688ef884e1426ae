"""Where plug-ins come from. Nothing here imports one: a Source only says that a plug-in is there and where.

Three places: the stock folder, installed packages (entry-point group ``svgfit``), and folders that a person named.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from svgfit.model.refusal import Refusal
from svgfit.version import PACKAGE

GROUP = "svgfit"
_HOOKS = (
    ("dialect", "svgfit_dialects"),
    ("recognise", "svgfit_recognisers"),
    ("measure", "svgfit_measurers"),
    ("reader", "svgfit_readers"),
    ("writer", "svgfit_writers"),
)
FOLDERS = {
    "operations": ("", "svgfit_operations"),
    "dialects": ("dialect", "svgfit_dialects"),
    "recognisers": ("recognise", "svgfit_recognisers"),
    "measurers": ("measure", "svgfit_measurers"),
    "readers": ("reader", "svgfit_readers"),
    "writers": ("writer", "svgfit_writers"),
}
"""Subfolders of a folder of plug-ins: what the name of each file in them begins with, and the hook that it has."""
_ENTRY = r"(?P<name>[^=]+?)\s*=\s*(?P<module>[\w.]+)\s*(?::\s*(?P<attribute>[\w.]+))?\s*(?:\[.*\])?"
_DIST_INFO = (".dist-info", ".egg-info")


class Source(Struct, frozen=True):
    """A plug-in that was found, not yet imported."""

    name: str
    """File stem or entry-point name in lower case, with hyphens."""
    origin: str
    """"stock", "package NAME" or "folder PATH"."""
    where: str
    """For people: the file's path, or the package with module (and attribute)."""
    file: str | None = None
    module: str | None = None
    attribute: str | None = None
    subfolder: str = ""
    """The one of ``FOLDERS`` in which the file lies; "" where its name alone says what it supplies."""

    @property
    def hook(self) -> str:
        """The one hook that a plug-in of this name may implement."""
        if self.subfolder:
            return FOLDERS[self.subfolder][1]
        return next((hook for prefix, hook in _HOOKS if self.name.startswith(prefix)), "svgfit_operations")

    def answers_to(self, text: str) -> bool:
        """Tell whether a person means this one by ``text``: its name, or ``origin:name``."""
        origin, _, name = text.rpartition(":")
        return plain_name(name) == self.name and origin in ("", self.origin)


def version_text(source: Source) -> str:
    """Name a plug-in and its version: a package's own, of a file a digest of its bytes; "" for svgfit's own."""
    if source.origin == "stock":
        return ""
    if source.file is None:
        from importlib.metadata import PackageNotFoundError, version  # only where a plug-in of a package was used

        package = source.origin.removeprefix("package ")
        try:
            return f"{package} {version(package)}"
        except PackageNotFoundError:
            return package
    from hashlib import sha256

    name = os.path.basename(source.file)
    try:
        with open(source.file, "rb") as stream:
            return f"{name} sha256 {sha256(stream.read()).hexdigest()[:16]}"
    except OSError:
        return name


def plain_name(text: str) -> str:
    """Fold a name to compare it: hyphens and underscores alike, case ignored.

    >>> plain_name("My_Tuck")
    'my-tuck'
    """
    return text.strip().replace("_", "-").lower()


def stock_folder() -> str:
    """Return the folder of svgfit's own plug-ins: inside the installed package, else beside its sources."""
    package = PACKAGE
    installed = os.path.join(package, "stock")
    if os.path.isdir(installed):
        return installed
    root = os.path.dirname(package)
    beside = os.path.join(root, "plugins")
    if os.path.isdir(beside) and os.path.isfile(os.path.join(root, "pyproject.toml")):
        return beside
    raise Refusal("", "svgfit's own plug-ins are missing from its installation", "install svgfit again")


def folder_sources(folder: str, origin: str) -> tuple[Source, ...]:
    """Find the plug-ins of a folder: one a ``.py`` file, in it or in one of its ``FOLDERS``; nothing is imported.

    A file in ``dialects/`` is named as one beside it whose name begins with ``dialect`` (``dialects/ids.py`` is
    ``dialect-ids``), and so are those of the other subfolders. Names beginning with ``_``, ``.`` or
    ``test_``, and ``conftest.py``, don't count. Raises Refusal where a folder can't be read.
    """
    found = [Source(plain_name(stem), origin, path, file=path) for stem, path in _python_files(folder)]
    for subfolder, (prefix, _) in FOLDERS.items():
        place = os.path.join(folder, subfolder)
        for stem, path in _python_files(place) if os.path.isdir(place) else ():
            name = plain_name(stem)
            name = name if name.startswith(prefix) else f"{prefix}-{name}"
            found.append(Source(name, origin, path, file=path, subfolder=subfolder))
    return tuple(found)


def _python_files(folder: str) -> Iterator[tuple[str, str]]:
    """Yield stem and path of each plug-in's file in one folder, in alphabetical order."""
    try:
        names = sorted(os.listdir(folder))
    except NotADirectoryError:
        raise Refusal(folder, "is a file, not a folder of plug-ins", "give the folder that it lies in") from None
    except OSError as error:
        raise Refusal(folder, f"can't be read as a folder of plug-ins ({error.strerror})", "check its name") from None
    for name in names:
        if name.endswith(".py") and not name.startswith(("_", ".", "test_")) and name != "conftest.py":
            yield name[:-3], os.path.join(folder, name)


def package_sources(path: Sequence[str] | None = None) -> tuple[Source, ...]:
    """Plug-ins of installed packages, from their ``entry_points.txt``.

    Read directly, as importlib.metadata would (first of a name on the path wins): importing that module costs more than
    reading a drawing. The current folder is left out even where Python has it on its path: nothing is loaded from there
    unasked.
    """
    here = os.path.realpath(os.getcwd()) if os.path.isdir(".") else ""
    seen: set[str] = set()
    found: list[Source] = []
    for folder in sys.path if path is None else path:
        if not folder or (os.path.realpath(folder) == here and "-packages" not in os.path.basename(here)):
            continue
        for package, text in _entry_point_files(folder):
            if package not in seen:
                seen.add(package)
                found += _entries(package, text)
    return tuple(sorted(found, key=lambda source: (source.origin, source.name)))


def _entry_point_files(folder: str) -> Iterator[tuple[str, str]]:
    try:
        names = sorted(os.listdir(folder))
    except OSError:
        return
    for name in names:
        if not name.endswith(_DIST_INFO):
            continue
        package = re.sub(r"[-_.]+", "-", name.rpartition(".")[0].split("-")[0]).lower()
        try:
            with open(os.path.join(folder, name, "entry_points.txt"), encoding="utf-8") as file:
                text = file.read()
        except (OSError, UnicodeDecodeError):
            text = ""
        yield package, text


def _entries(package: str, text: str) -> Iterator[Source]:
    if GROUP not in text:
        return
    section = ""
    for line in map(str.strip, text.splitlines()):
        if line.startswith("[") and line.endswith("]"):
            section = line[1:-1].strip()
        elif section == GROUP and (found := re.fullmatch(_ENTRY, line)) and not line.startswith(("#", ";")):
            module, attribute = found["module"], found["attribute"]
            where = f"package {package} ({module}:{attribute})" if attribute else f"package {package} ({module})"
            yield Source(plain_name(found["name"]), f"package {package}", where, module=module, attribute=attribute)


def find_sources(
    folders: Iterable[str] = (), *, stock: str | None = None, only_stock: bool = False
) -> tuple[Source, ...]:
    """Find all plug-ins: stock, packages, then the folders a person named; one file counts once.

    ``only_stock``: packages and folders are not looked into.

    Raises Refusal where a folder can't be read.
    """
    stock = stock_folder() if stock is None else stock
    found = [*folder_sources(stock, "stock"), *(() if only_stock else package_sources())]
    for folder in () if only_stock else folders:
        found += folder_sources(folder, f"folder {folder}")
    kept: dict[str, Source] = {}
    for source in found:
        kept.setdefault(os.path.realpath(source.file) if source.file else f"{source.name} {source.where}", source)
    return tuple(kept.values())
