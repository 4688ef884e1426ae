"""``svgfit editor-menu``: a menu of svgfit's in the vector program; and what runs when one of its dialogs is used."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

import click

from svgfit.cli.options import PluginOptions, loading_options

if TYPE_CHECKING:
    from svgfit.render.inkscape.menu_files import Change

_EXAMPLE = """\b
For example:
  svgfit editor-menu
  svgfit editor-menu --remove"""


@click.command(epilog=_EXAMPLE)
@click.argument("dialog", metavar="", nargs=-1, type=click.UNPROCESSED)
@click.option("--remove", is_flag=True, help="Take the menu out again.")
@click.option("--to", metavar="FOLDER", help="Another folder of extensions [the one that Inkscape names].")
@click.option("--dry-run", is_flag=True, help="Only say what would be done.")
@click.option("--json", "as_json", is_flag=True, help="Say it as JSON.")
@click.option("--call", is_flag=True, hidden=True, help="What a dialog asks for: its values, then the drawing.")
@loading_options
def command(
    dialog: tuple[str, ...],
    remove: bool,
    to: str | None,
    dry_run: bool,
    as_json: bool,
    call: bool,
    shared: PluginOptions,
) -> int:
    """Write a menu for Inkscape: svgfit without a terminal.

    A dialog for each operation, one for a plan, one for figures to reach, one for a handout, under Extensions, svgfit.
    The dialogs load the same plug-ins, and give them as long, as is said here.
    Run it again after svgfit or its folder has changed, or plug-ins have come or gone; then start Inkscape again.
    """
    if call:
        from svgfit.cli.inkscape_dialog import called

        return called(dialog, shared)
    if dialog:
        raise click.UsageError(f"{dialog[0]!r} is one word too many; a folder is given with --to")
    from svgfit.cli.console import say, warn
    from svgfit.render.inkscape.extension_folder import extensions_folder
    from svgfit.render.inkscape.menu_files import remove_menu, write_menu

    extensions = _given(to) if to is not None else extensions_folder()
    warnings: tuple[str, ...] = ()
    if remove:
        change = remove_menu(extensions, dry=dry_run)
    else:
        files, warnings = _files(shared)
        change = write_menu(extensions, files, dry=dry_run)
    if as_json:
        import json

        kinds = {kind: list(getattr(change, kind)) for kind in ("written", "removed", "kept")}
        say(json.dumps({"folder": change.folder, **kinds, "warnings": list(warnings)}, ensure_ascii=False, indent=2))
    elif not shared.quiet:
        say(_summary(change, remove=remove, dry=dry_run))
    foreign = (f"{os.path.join(change.folder, name)}: stays, svgfit did not write it" for name in change.kept)
    warn((*foreign, *warnings), quiet=shared.quiet)
    return 0


def _given(folder: str) -> str:
    from svgfit.model.refusal import Refusal

    if not os.path.isdir(folder):
        raise Refusal(folder or "--to", "there is no such folder", "make it first, or check its name behind --to")
    return os.path.abspath(folder)


def _files(shared: PluginOptions) -> tuple[dict[str, str], tuple[str, ...]]:
    """Make the menu's files, and warnings of operations that failed."""
    from svgfit.app.targets import ENDS
    from svgfit.model.refusal import Refusal
    from svgfit.plugin.registry import open_registry
    from svgfit.render.inkscape.dialogs import Printing, menu_files
    from svgfit.render.inkscape.launcher import Start
    from svgfit.render.layer_selection import PARTS
    from svgfit.render.pdf.papers import NAMES
    from svgfit.version import PACKAGE

    registry = open_registry(
        tuple(os.path.abspath(folder) for folder in shared.plugins),
        without=shared.without,
        to_stderr=True,
        only_stock=shared.no_plugins,
        step_timeout=shared.step_timeout,
    )
    plugins = [plugin for plugin in registry.all() if "svgfit_operations" in plugin.source.hooks]
    found = sorted((one for plugin in plugins for one in plugin.operations), key=lambda one: one.name)
    if not found:
        raise Refusal("", "there are no operations", "svgfit plugins says what was found and what failed")
    faults = tuple(
        f"plug-in {item.source.name} ({item.source.where}) {item.status}; it is not in the menu"
        for item in plugins
        if item.status.startswith("failed")
    )
    start = Start(sys.executable, os.path.dirname(PACKAGE), shared.words())
    return menu_files(found, ENDS, Printing(NAMES, PARTS), start), faults


def _summary(change: Change, *, remove: bool, dry: bool) -> str:
    would = "would be " if dry else ""
    if remove:
        if not change.removed:
            return f"there is no menu of svgfit's in {change.folder}"
        return f"{len(change.removed)} files {would}removed from {change.folder}; start Inkscape again"
    lines = [f"{len(change.written)} files {would}written to {change.folder}"]
    if change.removed:
        lines.append(f"no longer there, {would}removed: {', '.join(change.removed)}")
    lines.append("start Inkscape again: Extensions, svgfit")
    return "\n".join(lines)
