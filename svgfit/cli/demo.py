"""``svgfit demo``: the main job, on the drawings that come with svgfit."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from svgfit.cli.options import DrawingOptions, PluginOptions, plugin_options

if TYPE_CHECKING:
    from svgfit.model.length import Units
    from svgfit.model.report import Report

_PLAN, _DRAWING, _RESULT, _REPORT = "smock.plan.toml", "smock.svg", "smock-fitted.svg", "smock-fitted.json"
_LIST = "demo-files.sha256"


@click.command()
@click.argument("folder", metavar="[DIR]", default="svgfit-demo")
@plugin_options
def command(folder: str, shared: PluginOptions) -> int:
    """Run the main job on the drawings that come with svgfit.

    Copies them to DIR [svgfit-demo], does the plan that lies with them, and says what to open. A file of an earlier
    demo is replaced, unless it was changed since; no other file is touched.
    """
    from svgfit.cli.console import say, warn
    from svgfit.model.plan import Plan
    from svgfit.render.text.report import to_json

    sources = demo_files()
    known = _known(folder)
    refuse_foreign(folder, {**sources, _RESULT: None, _REPORT: None}, known)
    _write(folder, sources, known)
    drawing, plan = os.path.join(folder, _DRAWING), os.path.join(folder, _PLAN)
    session = DrawingOptions(shared=shared).session([drawing])
    _ = session.pattern
    run = session.run(Plan.read(plan))
    report, fitted = run.report, run.drawings[drawing]
    _write(folder, {**sources, _RESULT: fitted, _REPORT: to_json(report).encode()}, known)
    if not shared.quiet:
        say(_story(folder, report, run.also, session.units))
    warn(report.warnings, quiet=shared.quiet)
    return int(run.failed)


def demo_files() -> dict[str, bytes]:
    """Read names and bytes of the demo's files, as installed or beside the sources; Refusal where they are missing."""
    from svgfit.app.demo_folder import demo_folder

    folder = demo_folder()
    found: dict[str, bytes] = {}
    for name in sorted(name for name in os.listdir(folder) if name.endswith((".svg", ".toml"))):
        with open(os.path.join(folder, name), "rb") as file:
            found[name] = file.read()
    return found


def _known(folder: str) -> dict[str, str]:
    """Read the digests of the files that earlier demos wrote here, by name, from the list they left."""
    try:
        with open(os.path.join(folder, _LIST), encoding="ascii") as file:
            lines = [line.split() for line in file]
    except (OSError, UnicodeDecodeError):
        return {}
    return {line[1]: line[0] for line in lines if len(line) == 2}


def refuse_foreign(folder: str, wanted: dict[str, bytes | None], known: dict[str, str]) -> None:
    """Raise Refusal where a file that is to be written is there, and is neither ours as we left it nor the same."""
    from svgfit.model.refusal import Refusal

    if os.path.lexists(folder) and not os.path.isdir(folder):
        raise Refusal(folder, "is a file, and the demo needs a folder", "give another name")
    for name, data in wanted.items():
        path = os.path.join(folder, name)
        if not os.path.lexists(path):
            continue
        try:
            with open(path, "rb") as file:
                there = file.read()
        except OSError as error:
            raise Refusal(path, f"can't be replaced ({error.strerror})", "give another folder") from None
        if there != data and _digest(there) != known.get(name):
            what = "was not written by the demo, or was changed since"
            raise Refusal(path, what, "move it away, or give another folder")


def _write(folder: str, files: dict[str, bytes], known: dict[str, str]) -> None:
    """Write the files and the list of them (with what it held before): a run cut short can be repeated."""
    from svgfit.svg import Output, write_outputs

    digests = {**known, **{name: _digest(data) for name, data in files.items()}}
    listed = "".join(f"{digest}  {name}\n" for name, digest in sorted(digests.items()))
    outputs = [Output(os.path.join(folder, name), data) for name, data in {_LIST: listed.encode(), **files}.items()]
    write_outputs(outputs, inputs=(), force=True, folder=folder)


def _digest(data: bytes) -> str:
    from hashlib import sha256

    return sha256(data).hexdigest()


def _story(folder: str, report: Report, also: Sequence[str], units: Units) -> str:
    """Say what was done and what to open, in a few lines."""
    from svgfit.cli.summary import Detail, Done, adjust_summary
    from svgfit.render.text.table import columns

    paths = {name: os.path.join(folder, name) for name in (_DRAWING, _PLAN, _RESULT, _REPORT)}
    copy = os.path.join(folder, "my-smock.svg")
    rows = [
        (paths[_RESULT], "the fitted smock: open it in your vector program, and look at its three last layers"),
        (paths[_DRAWING], "the smock as drawn"),
        (paths[_PLAN], "the steps: change a figure and run it again with the line below"),
        (paths[_REPORT], "everything measured, for other programs"),
    ]
    line = f"  svgfit adjust {paths[_DRAWING]} --plan {paths[_PLAN]} -o {copy}"
    told = Done(also, (), [paths[_DRAWING]], [paths[_RESULT]])
    summary = adjust_summary(report, told, units, Detail())
    return f"{summary}\n\nnow look at\n{columns(rows)}\n{line}"
