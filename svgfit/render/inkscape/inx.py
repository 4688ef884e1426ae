"""The file of one dialog: Inkscape's extension description, as its own schema (inkscape.extension.rng) has it.

Pure text. A ``Field`` is one thing to fill in, a ``Label`` a paragraph, a ``Page`` a tab.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from msgspec import Struct

MARK = "written by svgfit editor-menu"
"""Stands in a comment of every file of ours, and only there: by it they are known again."""
MENU = "svgfit"
"""The submenu that holds all dialogs."""
SPACE = "http://www.inkscape.org/namespace/inkscape/extension"


class Field(Struct, frozen=True):
    """One thing to fill in."""

    name: str
    """As it is handed over: ``--name=value``."""
    title: str
    meaning: str = ""
    """Shown when the pointer rests on it."""
    value: str = ""
    kind: str = "string"
    """"string", "bool" (value "true" or "false"), "choice", "open" or "save" (a file's path)."""
    choices: tuple[tuple[str, str], ...] = ()
    """Of a "choice": value and words; an empty value is not handed over."""
    ends: str = ""
    """Of "open" and "save": the file's ending, such as "toml"."""


class Label(Struct, frozen=True):
    """A paragraph to read."""

    text: str
    heading: bool = False


class Page(Struct, frozen=True):
    """One tab of a dialog."""

    name: str
    title: str
    parts: tuple[Field | Label, ...]


class Dialog(Struct, frozen=True):
    """One entry of the menu and what opens behind it."""

    identity: str
    title: str
    tip: str
    fixed: tuple[tuple[str, str], ...]
    """What is handed over without being shown."""
    pages: tuple[Page, ...]


def inx(dialog: Dialog, script: str) -> str:
    """Write the dialog's file; ``script`` is the launcher's name, in the same folder.

    >>> text = inx(Dialog("svgfit.plan", "A plan", "Runs it.", (), (Page("a", "A", (Label("Hello"),)),)), "run.py")
    >>> MARK in text and "<id>svgfit.plan</id>" in text
    True
    """
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f"<!-- {MARK}, which writes it again each time; its option to remove takes it out again -->",
        f"<inkscape-extension xmlns={quoteattr(SPACE)}>",
        f"  <name>{escape(dialog.title)}</name>",
        f"  <id>{escape(dialog.identity)}</id>",
        *(
            f'  <param name={quoteattr(name)} type="string" gui-hidden="true">{escape(value)}</param>'
            for name, value in dialog.fixed
        ),
        '  <param name="svgfit-page" type="notebook">',
        *(line for page in dialog.pages for line in _page(page)),
        "  </param>",
        '  <effect needs-live-preview="false">',
        "    <object-type>all</object-type>",
        f"    <effects-menu><submenu name={quoteattr(MENU)}/></effects-menu>",
        f"    <menu-tip>{escape(dialog.tip)}</menu-tip>",
        "  </effect>",
        "  <script>",
        f'    <command location="inx" interpreter="python">{escape(script)}</command>',
        "  </script>",
        "</inkscape-extension>",
    ]
    return "".join(f"{line}\n" for line in lines)


def _page(page: Page) -> Iterable[str]:
    yield f"    <page name={quoteattr(page.name)} gui-text={quoteattr(page.title)}>"
    for part in page.parts:
        yield f"      {_label(part) if isinstance(part, Label) else _field(part)}"
    yield "    </page>"


def _label(label: Label) -> str:
    look = ' appearance="header"' if label.heading else ""
    return f"<label{look}>{escape(label.text)}</label>"


def _field(field: Field) -> str:
    shown = f"gui-text={quoteattr(field.title)}"
    if field.meaning:
        shown += f" gui-description={quoteattr(field.meaning)}"
    start = f"<param name={quoteattr(field.name)}"
    if field.kind == "choice":
        options = "".join(
            f"<option value={quoteattr(value)}>{escape(words)}</option>" for value, words in field.choices
        )
        return f'{start} type="optiongroup" appearance="combo" {shown}>{options}</param>'
    if field.kind in ("open", "save"):
        mode = "file" if field.kind == "open" else "file_new"
        return f'{start} type="path" mode="{mode}" filetypes={quoteattr(field.ends)} {shown}></param>'
    return f'{start} type="{field.kind}" {shown}>{escape(field.value)}</param>'
