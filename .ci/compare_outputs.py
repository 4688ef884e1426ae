"""Runs the same commands in two checkouts and says which outputs differ, byte for byte.

    python .ci/compare_outputs.py OLD NEW [--shared FOLDER] [--quick] [--only PATTERN] [--jobs N] [--cache FOLDER]
                                  [--expected FILE] [--keep FOLDER] [--pages FOLDER] [--python PYTHON] [--limit SECONDS]

Commands: every ``sh`` block of OLD's README and docs, one after another in a copy of each checkout; many on the demo
drawings; and with ``--shared`` some on every drawing in FOLDER/cases (or FOLDER). Of each command the exit status,
stdout, stderr and every file that it made, changed or removed are compared. A checkout is copied and the copy run as
``PYTHON -P -m svgfit``, both at one path, so that no path differs; the folder's own name (random and always as long, so
that several runs go at once) is put back to noughts in all that is compared. Both copies bear OLD's version. Masked
beside that: the clock before each line of ``watch``. Left out: the lines of the docs that set the project up.

``--cache`` keeps what OLD gave, by commit, case, inputs, Python and the packages needed (not where OLD has changes that
are not committed). A line of FILE is ``case pattern :: file pattern :: reason``: differences that are meant, listed
apart, and so is what NEW gives where OLD died of a signal. ``--keep`` writes both sides of what differs, ``--pages``
the pages of PDFs that look different, side by side (needs pymupdf). Exit status 1 where anything differs that is not
meant.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import json
import os
import re
import secrets
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path

from compare_cases import Case, Step, chosen_cases

FORMAT = 1
"""Of the records in a cache."""
LEFT_OUT = shutil.ignore_patterns(
    ".git", ".venv", "__pycache__", ".*_cache", ".hypothesis", "demo-out", "build", "dist"
)
VERSION = re.compile(r'^__version__ = "([^"]*)"', re.MULTILINE)
CLOCK = re.compile(rb"^\d\d:\d\d:\d\d", re.MULTILINE)
TOO_LONG = b"ended after too long"
DIGEST = re.compile(rb'digest="[^"]*"')
"""Of a layer's content: left out where a difference is shown, as what stands behind it tells more."""
PASSED_ON = ("PATH", "LANG", "LC_ALL", "TZ")
EXCERPT = 60
"""Bytes of a text shown from a little before where it differs."""


@dataclass(frozen=True)
class Stage:
    """Where commands run: a copy of one checkout and folders for the cases, under a name of a fixed length."""

    folder: Path
    python: str
    limit: float

    @property
    def project(self) -> Path:
        return self.folder / "project"

    def mask(self, content: bytes) -> bytes:
        return content.replace(self.folder.name.encode(), b"svgfit-00000000")


@dataclass(frozen=True)
class Difference:
    case: str
    file: str
    old: bytes | None
    new: bytes | None
    died: bool  # OLD's command, of a signal: nothing to compare with


def key_of(case: Case, surroundings: str) -> str:
    told = repr(
        (FORMAT, surroundings, case.steps, case.project, [(n, hashlib.sha256(c).hexdigest()) for n, c in case.inputs])
    )
    return f"{case.name.replace('/', '-')}-{hashlib.sha256(told.encode()).hexdigest()[:16]}"


def put(store: Path, content: bytes) -> str:
    digest = hashlib.sha256(content).hexdigest()
    place = store / digest
    if not place.exists():
        passing = store / f"{digest}.{secrets.token_hex(4)}"
        passing.write_bytes(content)
        passing.replace(place)
    return digest


def snapshot(folder: Path) -> dict[str, tuple[int, int, int]]:
    found = {}
    for base, _, names in os.walk(folder):
        if os.path.basename(base) == "__pycache__":
            continue
        for name in names:
            path = os.path.join(base, name)
            state = os.lstat(path)
            found[os.path.relpath(path, folder)] = (state.st_mtime_ns, state.st_size, state.st_ino)
    return found


def run_step(step: Step, work: Path, stage: Stage) -> tuple[bytes, bytes, bytes]:
    """What was the exit status, printed to stdout, to stderr; too long a run is ended with all that it started."""
    words = [stage.python, "-P", "-m", "svgfit", *([] if step.shell else shlex.split(step.command))]
    environment = {name: os.environ[name] for name in PASSED_ON if name in os.environ}
    environment |= {
        "PATH": f"{stage.folder / 'venv' / 'bin'}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": str(stage.project),
        "HOME": str(work.parent / "home"),
        "NO_COLOR": "1",
    }
    with subprocess.Popen(
        ["bash", "-euo", "pipefail", "-c", step.command] if step.shell else words,
        cwd=work,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    ) as running:
        try:
            out, fault = running.communicate(timeout=stage.limit)
        except subprocess.TimeoutExpired:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(running.pid, signal.SIGKILL)
            running.communicate()
            return TOO_LONG, b"", b""
    if "svgfit watch" in step.command:
        out = CLOCK.sub(b"hh:mm:ss", out)
    return str(running.returncode).encode(), out, fault


def run_case(case: Case, stage: Stage, store: Path) -> list[dict]:
    """A record a step; what it gave lies in the store by digest."""
    folder = stage.folder / "run" / case.name.replace("/", "-")
    work = folder / "work"
    (folder / "home").mkdir(parents=True)
    if case.project:
        shutil.copytree(stage.project, work, ignore=LEFT_OUT)
        (work / ".venv").symlink_to(stage.folder / "venv")
    else:
        work.mkdir()
    for name, content in case.inputs:
        (work / name).write_bytes(content)
    records, before = [], snapshot(folder)
    for step in case.steps:
        began = time.monotonic()
        status, out, fault = run_step(step, work, stage)
        seconds, after = time.monotonic() - began, snapshot(folder)
        given = {"status": status, "stdout": out, "stderr": fault}
        given |= {name: (folder / name).read_bytes() for name in after if after[name] != before.get(name)}
        given |= {f"{name} (removed)": b"" for name in before if name not in after}
        files = {name: put(store, stage.mask(content)) for name, content in sorted(given.items())}
        records.append({"name": step.name, "seconds": round(seconds, 3), "files": files})
        before = after
    shutil.rmtree(folder)
    return records


def version_file(checkout: Path) -> Path:
    """Returns the file of a checkout that says its version."""
    of_its_own = checkout / "svgfit" / "version.py"
    return of_its_own if of_its_own.exists() else checkout / "svgfit" / "__init__.py"


def set_stage(stage: Stage, checkout: Path, version: str) -> None:
    """Copies the checkout with the version given; raises SystemExit where another svgfit would run."""
    shutil.rmtree(stage.folder, ignore_errors=True)
    shutil.copytree(checkout, stage.project, ignore=LEFT_OUT)
    package = stage.project / "svgfit"
    told = version_file(stage.project)
    told.write_text(VERSION.sub(f'__version__ = "{version}"', told.read_text(encoding="utf-8")), encoding="utf-8")
    programs = stage.folder / "venv" / "bin"
    programs.mkdir(parents=True)
    (programs / "activate").touch()
    for name, words in (("svgfit", "-P -m svgfit"), ("python", "")):
        (programs / name).write_text(f'#!/bin/sh\nexec {shlex.quote(stage.python)} {words} "$@"\n')
        (programs / name).chmod(0o755)
    asked = [stage.python, "-P", "-c", "import svgfit; print(svgfit.__file__, svgfit.__version__)"]
    found = subprocess.run(
        asked, env={**os.environ, "PYTHONPATH": str(stage.project)}, capture_output=True, text=True, check=False
    ).stdout.split()
    if found != [str(package / "__init__.py"), version]:
        raise SystemExit(f"{checkout}: not this svgfit would run, but {found}")


def run_all(cases: list[Case], stage: Stage, jobs: int, store: Path, done: Callable[[Case, list[dict]], None]) -> None:
    """Each case's records are handed to ``done`` as soon as it has ended."""

    def one(case: Case) -> None:
        done(case, run_case(case, stage, store))

    with ThreadPoolExecutor(jobs) as pool:
        try:
            for ended in [pool.submit(one, case) for case in cases]:
                ended.result()
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def differences(case: Case, old: list[dict], new: list[dict], stores: tuple[Path, Path]) -> Iterable[Difference]:
    for before, after in zip(old, new, strict=True):
        died = (stores[0] / before["files"]["status"]).read_bytes().startswith(b"-")
        for name in sorted({*before["files"], *after["files"]}):
            digests = before["files"].get(name), after["files"].get(name)
            if digests[0] != digests[1]:
                sides = [
                    (store / each).read_bytes() if each else None for store, each in zip(stores, digests, strict=True)
                ]
                yield Difference(case.name, f"{before['name']}/{name.removeprefix('work/')}", sides[0], sides[1], died)


def first_offset(old: bytes, new: bytes) -> int:
    low, high = 0, min(len(old), len(new))
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if old[:middle] == new[:middle] else (low, middle - 1)
    return low


def pdf_pages(content: bytes) -> int | None:
    try:
        import pymupdf
    except ModuleNotFoundError:
        return None
    with pymupdf.open(stream=content, filetype="pdf") as document:
        return document.page_count


def told(found: Difference) -> str:
    """One difference in a line, and of a text the places where it first differs."""
    line = f"{found.case} :: {found.file}"
    if found.old is None or found.new is None:
        there = found.new if found.old is None else found.old
        return f"{line}: only in {'NEW' if found.old is None else 'OLD'} ({len(there or b'')} bytes)"
    offset = first_offset(found.old, found.new)
    line += f": {len(found.old)} and {len(found.new)} bytes, from byte {offset}"
    if found.file.endswith(".pdf"):
        return f"{line}, pages {pdf_pages(found.old)} and {pdf_pages(found.new)}"
    if b"\0" in found.old:
        return line
    texts = [DIGEST.sub(b'digest="..."', content) for content in (found.old, found.new)]
    start = max(0, first_offset(*texts) - EXCERPT // 3)
    shown = [content[start : start + EXCERPT].decode("utf-8", "replace") for content in texts]
    return f"{line}\n    old {shown[0]!r}\n    new {shown[1]!r}"


def write_pages(found: Difference, folder: Path) -> None:
    """Pages that look different as PNGs, OLD to the left; raises ImportError without pymupdf."""
    import pymupdf

    sides = [pymupdf.open(stream=content, filetype="pdf") for content in (found.old, found.new)]
    for number in range(max(map(len, sides))):
        drawn = [side[number].get_pixmap(dpi=72) if number < len(side) else None for side in sides]
        if drawn[0] and drawn[1] and (drawn[0].irect, drawn[0].samples) == (drawn[1].irect, drawn[1].samples):
            continue
        wide, high = max(each.width for each in drawn if each), max(each.height for each in drawn if each)
        sheet = pymupdf.open().new_page(width=2 * wide + 8, height=high)
        sheet.draw_rect((wide, 0, wide + 8, high), color=(1, 0, 0), fill=(1, 0, 0))
        for place, each in enumerate(drawn):
            if each:
                left = place * (wide + 8)
                sheet.insert_image((left, 0, left + each.width, each.height), pixmap=each)
        name = f"{found.case}-{found.file}-{number + 1}.png".replace("/", "-").replace(" ", "-")
        sheet.get_pixmap(dpi=72).save(folder / name)


def expected_in(path: Path | None) -> list[list[str]]:
    lines = path.read_text(encoding="utf-8").splitlines() if path else []
    return [[part.strip() for part in line.split("::", 2)] for line in lines if line.strip() and line[0] != "#"]


def git_state(checkout: Path) -> str | None:
    """The commit, where all is committed."""
    asked = [["git", "-C", str(checkout), *words.split()] for words in ("rev-parse HEAD", "status --porcelain")]
    commit, changes = (subprocess.run(each, capture_output=True, text=True, check=False) for each in asked)
    return None if commit.returncode or changes.stdout.strip() else commit.stdout.strip()


def surroundings_of(python: str, checkout: Path) -> str:
    """Python, the packages that the checkout needs, and where folders for passing files are."""
    project = tomllib.loads((checkout / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = sorted(re.split("[^A-Za-z0-9._-]", each)[0] for each in project["dependencies"])
    asked = "import sys, importlib.metadata as m; print(sys.version, [(n, m.version(n)) for n in sys.argv[1:]])"
    told = subprocess.run([python, "-P", "-c", asked, *names], capture_output=True, text=True, check=True).stdout
    return f"{python} {tempfile.gettempdir()} {told}"


def report(found: list[Difference], meant: list[list[str]], options: argparse.Namespace) -> int:
    """Prints the differences, those that are meant apart, and says how many are not."""
    unexpected, reasons = [], {}
    for each in found:
        reason = next((m[2] for m in meant if fnmatchcase(each.case, m[0]) and fnmatchcase(each.file, m[1])), None)
        if each.died:
            reason = reason or "OLD died of a signal there and gave nothing to compare with"
        if reason is None:
            unexpected.append(each)
        else:
            reasons.setdefault(reason, []).append(each)
    for reason, group in reasons.items():
        print(f"meant: {reason} ({len(group)})")
        for each in group:
            print(f"  {each.case} :: {each.file}")
    for each in unexpected:
        print(told(each))
    for each in found:
        plain = re.sub(r"[^\w./-]+", "-", f"{each.case}/{each.file}")
        for side, content in (("old", each.old), ("new", each.new)):
            if options.keep and content is not None:
                place = options.keep / side / plain
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(content)
        if options.pages and each.file.endswith(".pdf") and each.old and each.new:
            options.pages.mkdir(parents=True, exist_ok=True)
            write_pages(each, options.pages)
    return len(unexpected)


def records_of(
    cases: list[Case], checkout: Path, version: str, stage: Stage, jobs: int, store: Path, kept: dict[Case, Path]
) -> dict[str, list[dict]]:
    """Records by the case's name: read where they are kept, else run and, where they have a place, kept."""
    found = {case.name: json.loads(kept[case].read_text()) for case in cases if case in kept and kept[case].exists()}
    rest = [case for case in cases if case.name not in found]

    def done(case: Case, records: list[dict]) -> None:
        found[case.name] = records
        if case in kept and not any(took_too_long(records, store)):
            passing = kept[case].with_suffix(f".{secrets.token_hex(4)}")
            passing.write_text(json.dumps(records, indent=1))
            passing.replace(kept[case])
        if sys.stderr.isatty():
            print(f"{checkout.name}: {len(found)} of {len(cases)}: {case.name}", file=sys.stderr)

    if rest:
        set_stage(stage, checkout, version)
        run_all(rest, stage, jobs, store, done)
    return found


def took_too_long(records: list[dict], store: Path) -> Iterable[str]:
    for record in records:
        if (store / record["files"]["status"]).read_bytes() == TOO_LONG:
            yield record["name"]


def compare(options: argparse.Namespace, base: Path, stage: Stage) -> int:
    """Runs all and tells; the exit status."""
    old, new, began = options.old.resolve(), options.new.resolve(), time.monotonic()
    cases, slow = chosen_cases(old, options.shared, options.quick, options.only)
    if not cases:
        raise SystemExit(f"no case is called {options.only}")
    version = VERSION.search(version_file(old).read_text(encoding="utf-8"))
    if version is None:
        raise SystemExit(f"{version_file(old)} says no version")
    commit, kept, stores = git_state(old), {}, (base / "old", base / "new")
    if options.cache and commit:
        folder, stores = options.cache / commit[:12], (options.cache / "contents", base / "new")
        folder.mkdir(parents=True, exist_ok=True)
        surroundings = surroundings_of(stage.python, old)
        kept = {case: folder / f"{key_of(case, surroundings)}.json" for case in cases}
    for store in stores:
        store.mkdir(parents=True, exist_ok=True)
    ready = sum(place.exists() for place in kept.values())
    before = records_of(cases, old, version[1], stage, options.jobs, stores[0], kept)
    cases.sort(key=lambda case: -sum(record["seconds"] for record in before[case.name]))
    halfway = time.monotonic()
    after = records_of(cases, new, version[1], stage, options.jobs, stores[1], {})
    found = [each for case in cases for each in differences(case, before[case.name], after[case.name], stores)]
    count = report(found, expected_in(options.expected), options)
    for side, records, store in (("OLD", before, stores[0]), ("NEW", after, stores[1])):
        for case in cases:
            for step in took_too_long(records[case.name], store):
                print(f"took too long in {side}: {case.name} :: {step}")
    for name in slow:
        print(f"left out, as it takes minutes: {name}; --only {name} runs it")
    files = sum(len(record["files"]) for records in after.values() for record in records)
    spent = [sum(r["seconds"] for records in side.values() for r in records) for side in (before, after)]
    print(
        f"{len(cases)} cases ({ready} of OLD kept from before), {sum(len(case.steps) for case in cases)} commands, "
        f"{files} outputs and files compared: {count} differ, {len(found) - count} differ as meant\n"
        f"{halfway - began:.0f} s for OLD, {time.monotonic() - halfway:.0f} s for NEW; "
        f"the commands alone took {spent[0]:.0f} s and {spent[1]:.0f} s"
    )
    return int(count > 0)


def main() -> int:
    options = argparse.ArgumentParser(description="Run the same commands in two checkouts and compare what they give.")
    options.add_argument("old", type=Path, metavar="OLD")
    options.add_argument("new", type=Path, metavar="NEW")
    options.add_argument("--shared", type=Path, help="folder with cases/, drawings not kept in the project")
    options.add_argument("--quick", action="store_true", help="some cases, at least one of each command")
    options.add_argument("--only", metavar="PATTERN", help="cases with that in their names")
    options.add_argument("--jobs", type=int, default=2, help="commands at a time [2]")
    options.add_argument("--cache", type=Path, help="folder for what OLD gave")
    options.add_argument("--expected", type=Path, help="file of differences that are meant")
    options.add_argument("--keep", type=Path, help="folder for both sides of what differs")
    options.add_argument("--pages", type=Path, help="folder for pages of PDFs that look different")
    options.add_argument("--python", default=sys.executable, help="the Python that runs svgfit [this one]")
    options.add_argument("--limit", type=float, default=120, help="seconds for one command [120]")
    chosen = options.parse_args()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))  # so that nothing is left behind
    base = Path(tempfile.mkdtemp(prefix="compare-outputs-"))
    folder = Path(tempfile.gettempdir()) / f"svgfit-{secrets.token_hex(4)}"
    try:
        return compare(chosen, base, Stage(folder, chosen.python, chosen.limit))
    finally:
        shutil.rmtree(base, ignore_errors=True)
        shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    sys.exit(main())
