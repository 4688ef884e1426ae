"""A package with one working operation, its test, its README and its entry point, to begin a plug-in with."""

from __future__ import annotations

import os
import re

from svgfit.model.plan import ENDS
from svgfit.model.refusal import Refusal
from svgfit.plugin.registry import Registry
from svgfit.svg import Output, write_outputs
from svgfit.version import API_VERSION, __version__

_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_TEMPLATES = os.path.join(os.path.dirname(os.path.abspath(__file__)), "plugin_template")


def new_plugin(name: str, folder: str | None, registry: Registry) -> tuple[str, tuple[str, ...]]:
    """Write the package and return its folder and files; ``folder``: None for ``svgfit-NAME`` in the current one.

    No file is ever replaced. Raises Refusal for a name that is none, or that a plan or a plug-in has already, and where
    one of the files is there.
    """
    if not _NAME.fullmatch(name):
        what = f"{name!r} can't be an operation's name"
        raise Refusal("new-plugin", what, "use small letters and digits, joined with hyphens, such as hem-drop")
    if name == ENDS:
        raise Refusal("new-plugin", f"{name!r} is a word of the plan, no operation's name", "use another")
    if name in registry.operation_names():
        raise Refusal(
            "new-plugin", f"there is an operation {name} already ({registry.source(name).where})", "use another"
        )
    known = next((source for source in registry.sources if source.name == name), None)
    if known is not None:
        raise Refusal("new-plugin", f"there is a plug-in {name} already ({known.where})", "use another")
    package = f"svgfit-{name}"
    module = package.replace("-", "_")
    place = folder or package
    words = {"NAME": name, "PACKAGE": package, "MODULE": module, "API": str(API_VERSION), "VERSION": __version__}
    words["FOLDER"] = os.path.basename(os.path.abspath(place))
    files = {
        "pyproject.toml": "pyproject",
        "README.md": "readme",
        os.path.join(module, "__init__.py"): "operation",
        os.path.join("tests", f"test_{name.replace('-', '_')}.py"): "test",
    }
    paths = {os.path.join(place, file): template for file, template in files.items()}
    if there := [path for path in paths if os.path.lexists(path)]:
        raise Refusal(there[0], "is there already, and is left as it is", "give another folder with -o")
    if os.path.lexists(place) and not os.path.isdir(place):
        raise Refusal(place, "is a file, not a folder", "give another folder with -o")
    try:
        for path in paths:
            os.makedirs(os.path.dirname(path), exist_ok=True)
    except OSError as error:
        raise Refusal(place, f"can't be made ({error.strerror})", "give another folder with -o") from None
    outputs = [Output(path, _filled(template, words).encode()) for path, template in paths.items()]
    write_outputs(outputs, inputs=(), force=False, folder=place)
    return place, tuple(paths)


def _filled(template: str, words: dict[str, str]) -> str:
    with open(os.path.join(_TEMPLATES, f"{template}.txt"), encoding="utf-8") as file:
        text = file.read()
    return re.sub("@([A-Z]+)@", lambda found: words[found[1]], text)
