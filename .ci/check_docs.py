"""Runs every command in README.md and the pages of docs/ as printed, each page in a fresh copy of the project.

    python .ci/check_docs.py [--bin FOLDER] [--write] [PAGE ...]

Blocks marked ``sh`` are run, one after another, by bash in the copy's root, with FOLDER (else the running Python's own)
first on PATH and as ``.venv``. A block ends well, or as its mark says (``sh exit=2``). Where a block marked ``text``
follows directly, what was printed must be that: a line ``…`` stands for any lines, ``…`` within a line for any text.
A block below a line ``<!-- file: PATH -->`` is written into that file, as a reader would; one below
``<!-- change: PATH -->`` is a ``diff`` of whole lines, and its lines with ``+`` come in, those with ``-`` go out.
The lines that set the project up (``python3 -m venv``) are not run. ``--write`` puts the real output into the ``text``
blocks that differ, keeping as many lines before and after a line ``…`` as there were.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BLOCK = re.compile(r"^```sh(?: exit=(\d+))?\n(.*?)^```\n(?:^```text\n(.*?)^```\n)?", re.MULTILINE | re.DOTALL)
EDIT = re.compile(r"^<!-- (file|change): (\S+) -->\n+```\w+\n(.*?)^```\n", re.MULTILINE | re.DOTALL)
SET_UP = "python3 -m venv"
LEFT_OUT = shutil.ignore_patterns(
    ".git", ".venv", "__pycache__", ".*_cache", ".hypothesis", ".coverage", "demo-out", "build", "dist"
)


@dataclass(frozen=True)
class Edit:
    """What a reader is to write into a file."""

    is_change: bool
    path: str
    text: str
    span: tuple[int, int]

    def do(self, folder: Path) -> str:
        """Do it; say what is wrong."""
        path = folder / self.path
        if not self.is_change:
            path.write_text(self.text, encoding="utf-8")
            return ""
        lines = self.text.splitlines(keepends=True)
        old, new = ("".join(line[1:] for line in lines if line[0] != mark) for mark in "+-")
        found = path.read_text(encoding="utf-8")
        if found.count(old) != 1:
            return f"its lines stand {found.count(old)} times in {self.path}"
        path.write_text(found.replace(old, new), encoding="utf-8")
        return ""


@dataclass(frozen=True)
class Example:
    status: int
    commands: str
    output: str | None
    span: tuple[int, int]  # of the output in the page
    at: tuple[int, int]  # of the block


def examples(text: str) -> list[Example | Edit]:
    """List the blocks of commands, and what is to be written into files, in the page's order."""
    found: list[Example | Edit] = [
        Edit(match[1] == "change", match[2], match[3], match.span()) for match in EDIT.finditer(text)
    ]
    for match in BLOCK.finditer(text):
        lines = [line for line in match[2].splitlines() if not line.startswith(SET_UP)]
        if lines:
            found.append(Example(int(match[1] or 0), "\n".join(lines), match[3], match.span(3), match.span()))
    return sorted(found, key=lambda one: one.span if isinstance(one, Edit) else one.at)


def run(example: Example, folder: Path, bin_folder: Path) -> tuple[int, str]:
    """Exit status and all that was printed, in order."""
    environment = {**os.environ, "PATH": f"{bin_folder}{os.pathsep}{os.environ['PATH']}", "NO_COLOR": "1"}
    environment.pop("PYTHONPATH", None)
    done = subprocess.run(
        ["bash", "-euo", "pipefail", "-c", example.commands],
        cwd=folder,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=300,
        check=False,
    )
    return done.returncode, done.stdout


def as_printed(expected: str, printed: str) -> bool:
    parts = []
    for line in expected.splitlines():
        parts.append(r"(?:.*\n)*?" if line == "…" else ".*".join(map(re.escape, line.split("…"))) + r"[ ]*\n")
    return re.fullmatch("".join(parts), printed) is not None


def rewritten(expected: str, printed: str) -> str:
    old, new = expected.splitlines(), [line.rstrip() for line in printed.splitlines()]
    if old.count("…") == 1:
        before, after = old.index("…"), len(old) - old.index("…") - 1
        if before + after < len(new):
            new = [*new[:before], "…", *new[len(new) - after :]]
    return "".join(f"{line}\n" for line in new)


def check(page: Path, bin_folder: Path, write: bool) -> tuple[int, list[str]]:
    """How many blocks were run, and what is wrong."""
    text = page.read_text(encoding="utf-8")
    wrong, changes = [], []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "svgfit"
        shutil.copytree(ROOT, folder, ignore=LEFT_OUT)
        (folder / ".venv").symlink_to(bin_folder.parent)
        found = examples(text)
        for example in found:
            if isinstance(example, Edit):
                fault = example.do(folder)
                wrong += [f"{page.relative_to(ROOT)}: {fault}:\n{example.text}"] if fault else []
                continue
            status, printed = run(example, folder, bin_folder)
            where = f"{page.relative_to(ROOT)}: {example.commands}"
            if status != example.status:
                wrong.append(f"{where}\n  ended with {status} instead of {example.status}:\n{printed}")
            elif example.output is not None and not as_printed(example.output, printed):
                changes.append((example.span, rewritten(example.output, printed)))
                if not write:
                    wrong.append(f"{where}\n  printed\n{printed}  instead of\n{example.output}")
    if write and changes:
        for (start, end), new in reversed(changes):
            text = text[:start] + new + text[end:]
        page.write_text(text, encoding="utf-8")
    return len(found), wrong


def main() -> int:
    options = argparse.ArgumentParser(description="Run every command in the documentation as printed.")
    options.add_argument("--bin", type=Path, default=Path(sys.executable).parent, help="folder with svgfit in it")
    options.add_argument("--write", action="store_true", help="put the real output into the pages")
    options.add_argument("pages", nargs="*", type=Path)
    chosen = options.parse_args()
    pages = [page.resolve() for page in chosen.pages] or [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
    total, wrong = 0, []
    for page in pages:
        count, faults = check(page, chosen.bin.absolute(), chosen.write)
        total, wrong = total + count, wrong + faults
    for fault in wrong:
        print(fault)
    print(f"documentation: {total} blocks of commands run, {len(wrong)} not as printed")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
