"""Where plug-ins come from. Nothing here imports one: a Source only says that a plug-in is there and where.

Three places: the stock folder, installed packages (entry-point group ``svgfit``), and folders that a person named. What
a plug-in may supply is read off its text: running one operation imports only what may hold it.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Container, Iterable, Iterator, Sequence
from types import ModuleType

from msgspec import Struct
from msgspec.structs import replace

from svgfit.model.refusal import Refusal
from svgfit.plugin import source_text
from svgfit.version import PACKAGE

GROUP = "svgfit"
_HOOKS = (
    ("dialect", "svgfit_dialects"),
    ("recognise", "svgfit_recognisers"),
    ("measure", "svgfit_measurers"),
    ("check", "svgfit_checks"),
    ("line", "svgfit_line_kinds"),
    ("seams", "svgfit_seams"),
    ("rules", "svgfit_rules"),
    ("reader", "svgfit_readers"),
    ("writer", "svgfit_writers"),
)
FOLDERS = {
    "operations": ("", "svgfit_operations"),
    "dialects": ("dialect", "svgfit_dialects"),
    "recognisers": ("recognise", "svgfit_recognisers"),
    "measurers": ("measure", "svgfit_measurers"),
    "checks": ("check", "svgfit_checks"),
    "line_kinds": ("line", "svgfit_line_kinds"),
    "seams": ("seams", "svgfit_seams"),
    "rules": ("rules", "svgfit_rules"),
    "readers": ("reader", "svgfit_readers"),
    "writers": ("writer", "svgfit_writers"),
}
"""Subfolders of a folder of plug-ins: what the name of each file in them begins with, and the hook that it has."""
OPERATIONS = source_text.OPERATION_HOOK
HOOKS = tuple(hook for _, hook in FOLDERS.values())
"""All hooks (svgfit.plugin.hookspecs)."""
_PACKAGE = "__init__.py"
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
    """Of a plug-in in a folder: its file, of a package ``__init__.py``."""
    module: str | None = None
    attribute: str | None = None
    module_file: str | None = None
    """The module's file, where it was found without importing it."""
    subfolder: str = ""
    """The one of ``FOLDERS`` in which the file lies; "" where its name alone says what it supplies."""
    mentioned: tuple[str, ...] = ()
    """The hooks that its text mentions; () where it mentions none, or was not read."""
    several: bool = False
    """Whether it may hold other operations than one that has its name: it is imported to know their names."""
    instead_of: str = ""
    """The installed package of the same modules, for people, in whose place this one of a named folder is used."""

    @property
    def hook(self) -> str:
        """The hook that its place and name announce."""
        if self.subfolder:
            return FOLDERS[self.subfolder][1]
        return next((hook for prefix, hook in _HOOKS if self.name.startswith(prefix)), OPERATIONS)

    @property
    def hooks(self) -> tuple[str, ...]:
        """The hooks that it may implement: those that its text mentions, else the one that its name announces."""
        return self.mentioned or (self.hook,)

    @property
    def code(self) -> str | None:
        """The file that is run when it is imported; None where it is not known."""
        return self.file or self.module_file

    @property
    def is_package(self) -> bool:
        """Whether it is a folder whose files can import one another."""
        return self.code is not None and os.path.basename(self.code) == _PACKAGE

    @property
    def folder(self) -> str | None:
        """The folder whose modules it may share code with; None for a plug-in of one file."""
        if self.code is None or not (self.is_package or (self.module and "." in self.module)):
            return None
        up = self.module.count(".") + self.is_package if self.module else 1
        path = self.code
        for _ in range(up):
            path = os.path.dirname(path)
        return path

    def files(self) -> tuple[str, ...]:
        """List the files that it is made of, its package's modules among them; () where it was not found as a file."""
        if self.code is None or self.folder is None:
            return () if self.code is None else (self.code,)
        found = (os.path.join(place, name) for place, _, names in os.walk(self.folder) for name in names)
        return tuple(sorted(path for path in found if path.endswith(".py")))

    def answers_to(self, text: str, *, operation: str | None = None) -> bool:
        """Tell whether a person means this one (or its ``operation``) by ``text``: its name, or ``origin:name``."""
        origin, _, name = text.rpartition(":")
        return plain_name(name) == (operation or self.name) and origin in ("", self.origin)


def version_text(source: Source) -> str:
    """Name a plug-in and its version: a package's own, of files a digest of their bytes; "" for svgfit's own."""
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

    name, digest = os.path.basename(source.folder or source.file), sha256()
    try:
        for file in source.files():
            with open(file, "rb") as stream:
                digest.update(stream.read())
    except OSError:
        return name
    return f"{name} sha256 {digest.hexdigest()[:16]}"


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
    """Find the plug-ins of a folder: a ``.py`` file or a package, in it or in one of its ``FOLDERS``; none is imported.

    A file in ``dialects/`` is named as one beside it whose name begins with ``dialect`` (``dialects/ids.py`` is
    ``dialect-ids``), and so are those of the other subfolders. Names beginning with ``_``, ``.`` or
    ``test_``, ``tests`` and ``conftest.py`` don't count. Raises Refusal where a folder can't be read, or is itself a
    package.
    """
    _refuse_inner_folder(folder)
    found = [_read(Source(plain_name(stem), origin, path, file=path)) for stem, path in _modules(folder, FOLDERS)]
    for subfolder, (prefix, _) in FOLDERS.items():
        place = os.path.join(folder, subfolder)
        for stem, path in _modules(place) if os.path.isdir(place) else ():
            name = plain_name(stem)
            name = name if name.startswith(prefix) else f"{prefix}-{name}"
            found.append(_read(Source(name, origin, path, file=path, subfolder=subfolder)))
    return tuple(found)


def _modules(folder: str, left_out: Container[str] = ()) -> Iterator[tuple[str, str]]:
    """Yield name and file of each plug-in in one folder, in alphabetical order; of a package its ``__init__.py``."""
    try:
        names = sorted(os.listdir(folder))
    except NotADirectoryError:
        raise Refusal(folder, "is a file, not a folder of plug-ins", "give the folder that it lies in") from None
    except OSError as error:
        raise Refusal(folder, f"can't be read as a folder of plug-ins ({error.strerror})", "check its name") from None
    for name in names:
        if name.startswith(("_", ".", "test_")) or name in ("conftest.py", "tests") or name in left_out:
            continue
        path = os.path.join(folder, name)
        if name.endswith(".py"):
            yield name[:-3], path
        elif os.path.isfile(inside := os.path.join(path, _PACKAGE)):
            yield name, inside


def _refuse_inner_folder(folder: str) -> None:
    """Raise Refusal for the inside of a package, which is one plug-in: its files can't be imported one by one."""
    text = source_text.read_text(os.path.join(folder, _PACKAGE))
    if text and (source_text.mentioned_hooks(text, HOOKS) or source_text.is_inside_package(text)):
        above = os.path.normpath(os.path.join(folder, os.pardir))
        raise Refusal(folder, "is itself a plug-in, a package of files", f"give the folder above it: {above}")


def _read(source: Source) -> Source:
    """Read off a plug-in's text which hooks it mentions, and whether its operations are known without importing it.

    Known is one that surely gives back a single operation of the plug-in's name. Of stock plug-ins all is known from
    their place.
    """
    if source.code is None or (source.origin == "stock" and source.subfolder):
        return source
    text = source_text.read_text(source.code)
    if text is None:
        return source
    mentioned = source_text.mentioned_hooks(text, HOOKS)
    inside = source.files() if source.file is not None and source.is_package else (source.code,)
    slips = any(source_text.may_slip(source_text.read_text(file) or "", HOOKS) for file in inside)
    if slips or (source.is_package and not mentioned):
        mentioned = HOOKS  # its other files may hold them; what is no hook as it stands is told whatever is asked for
    several = OPERATIONS in mentioned and plain_name(source_text.only_operation(text) or "") != source.name
    return replace(source, mentioned=mentioned, several=several)


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
                found += _entries(package, text, folder)
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


def _entries(package: str, text: str, folder: str) -> Iterator[Source]:
    if GROUP not in text:
        return
    section = ""
    for line in map(str.strip, text.splitlines()):
        if line.startswith("[") and line.endswith("]"):
            section = line[1:-1].strip()
        elif section == GROUP and (found := re.fullmatch(_ENTRY, line)) and not line.startswith(("#", ";")):
            module, attribute = found["module"], found["attribute"]
            where = f"package {package} ({module}:{attribute})" if attribute else f"package {package} ({module})"
            source = Source(plain_name(found["name"]), f"package {package}", where, module=module, attribute=attribute)
            yield _read(replace(source, module_file=_module_file(module, folder)))


def _module_file(module: str, folder: str) -> str | None:
    """Find a module's file without importing anything: in ``folder``, else where Python has its outermost package."""
    from importlib.util import find_spec

    outermost, *inner = module.split(".")
    places = [os.path.join(folder, outermost)]
    try:
        spec = find_spec(outermost)
    except (ImportError, ValueError):
        spec = None
    if spec is not None:
        places += list(spec.submodule_search_locations or ())
        places += [spec.origin[:-3]] if not inner and spec.origin is not None and spec.origin.endswith(".py") else []
    for place in (os.path.join(each, *inner) for each in places):
        for path in (os.path.join(place, _PACKAGE), f"{place}.py"):
            if os.path.isfile(path):
                return path
    return None


def module_source(module: ModuleType) -> Source:
    """Say where a plug-in comes from that is imported already, for tests: named as its installed package names it."""
    name = module.__name__
    known = next((source for source in package_sources() if source.module == name and not source.attribute), None)
    path = module.__file__
    if known is not None:
        return _read(replace(known, module_file=path))  # which may be another copy than the installed one
    stem = plain_name(name.rpartition(".")[2])
    return _read(Source(stem, "module", path or name, module=name, module_file=path))


def find_sources(
    folders: Iterable[str] = (), *, stock: str | None = None, only_stock: bool = False
) -> tuple[Source, ...]:
    """Find all plug-ins: stock, packages, then the folders a person named; one file counts once.

    ``only_stock``: packages and folders are not looked into. A module of an installed package that lies in a folder
    too, in another copy, is the folder's: it is ``instead_of`` the other. Raises Refusal where a folder can't be read.
    """
    stock = stock_folder() if stock is None else stock
    found = [*folder_sources(stock, "stock"), *(() if only_stock else package_sources())]
    for folder in () if only_stock else folders:
        found += folder_sources(folder, f"folder {folder}")
    return one_of_each(found)


def one_of_each(found: Sequence[Source]) -> tuple[Source, ...]:
    """Leave out what is found twice: one file counts once, of an installed module's copies the named folder's."""
    hidden = {source.where: other for source in found if (other := _same_modules(source, found)) is not None}
    hides = {other.where: source.where for source in found if (other := hidden.get(source.where)) is not None}
    kept: dict[str, Source] = {}
    installed = {os.path.realpath(source.module_file) for source in found if source.module_file}
    for source in found:
        if source.where in hidden:
            continue
        if not source.file:
            kept.setdefault(f"{source.name} {source.where}", source)
        elif (path := os.path.realpath(source.file)) not in installed:
            kept.setdefault(path, replace(source, instead_of=hides.get(source.where, source.instead_of)))
    return tuple(kept.values())


def _same_modules(source: Source, others: Iterable[Source]) -> Source | None:
    """Find the plug-in of a named folder that is the same module as an installed one, another copy."""
    if source.module is None or source.module_file is None:
        return None
    inner = source.module.split(".")
    tail = os.path.join(*inner, _PACKAGE) if source.is_package else f"{os.path.join(*inner)}.py"
    own = os.path.realpath(source.module_file)
    for other in others:
        path = os.path.realpath(other.file) if other.file and other.origin != "stock" else ""
        if path and path != own and path.endswith(os.sep + tail):
            return other
    return None
