"""Output files: all of them written whole, or none, and never over a file that was read."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import stat
import sys
import time
import zlib
from collections.abc import Collection, Generator, Iterable, Sequence
from typing import NamedTuple

from svgfit.model.refusal import Refusal

Path = str | os.PathLike[str]

_LEFT = re.compile(r"\.svgfit-([0-9a-f]{8})-(\d+)-[0-9a-f]{8}\.(?:tmp|old)")
"""A file of a run on the way: machine, process, and a number that no two writes share."""
_STALE = 600.0
"""Where it can't be asked whether a process still runs, what is older than this, seconds, is a leftover."""


class Output(NamedTuple):
    """A file to write."""

    path: Path
    data: bytes


def write_output(path: Path, data: bytes, *, inputs: Iterable[Path], force: bool) -> None:
    """Write one file: ``write_outputs``, with its refusals."""
    write_outputs([Output(path, data)], inputs=inputs, force=force)


def write_outputs(
    outputs: Sequence[Output], *, inputs: Iterable[Path], force: bool, folder: Path | None = None
) -> None:
    """Write files so that all appear, each whole, or none.

    They are written under passing names first, and only then put into their places; where that fails for one, those
    before it are put back. What a run that was killed left in these folders is removed. ``folder`` is made where it is
    missing. Refuses, as ``check_output`` does, before anything is written; and where something can't be written.
    """
    read = tuple(inputs)
    made = _make_folder(folder) if folder is not None else False
    passing: list[str] = []
    try:
        for number, output in enumerate(outputs):
            check_output(output.path, inputs=(*read, *(other.path for other in outputs[:number])), force=force)
        targets = [os.path.realpath(output.path) for output in outputs]
        for each in dict.fromkeys(map(os.path.dirname, targets)):
            _sweep(each)
        for output, target in zip(outputs, targets, strict=True):
            passing.append(_passing(target, "tmp"))
            with _refusing(output.path):
                _write(passing[-1], output.data, _mode(target))
        _put(outputs, targets, passing)
    except BaseException:
        for each in passing:
            with contextlib.suppress(OSError):
                os.unlink(each)
        if made:
            with contextlib.suppress(OSError):
                os.rmdir(os.fspath(folder or ""))
        raise
    for each in dict.fromkeys(map(os.path.dirname, targets)):
        _sync_folder(each)


def check_output(path: Path, *, inputs: Iterable[Path], force: bool) -> None:
    """Raise Refusal for a path that can't be written to, without writing; for asking before the work begins.

    Refused is one of ``inputs``, all the files that were read (by whatever name or link), even with ``force``; another
    existing file without it; one that is write-protected; a folder; a folder that is not there.
    """
    file = os.fspath(path)
    if any(_is_same(path, each) for each in inputs):
        raise Refusal(file, "is one of the files read", "give another name behind -o")
    if os.path.isdir(path):
        raise Refusal(file, "is a folder", "give the name of a file behind -o")
    if os.path.exists(path) and not os.path.isfile(path):
        raise Refusal(file, "is no ordinary file", "give the name of a file behind -o")
    if os.path.lexists(path) and not force:
        raise Refusal(file, "exists already", "give another name, or --force to replace it")
    if os.path.exists(path) and _is_protected(path):
        raise Refusal(file, "is write-protected", "give another name, or take the protection off first")
    folder = os.path.dirname(os.path.realpath(path))
    if not os.path.isdir(folder):
        raise Refusal(file, "there is no such folder", "make the folder first, or give another name behind -o")


def advice_on(fault: OSError) -> str:
    """Say what to do about a file or folder that can't be written."""
    if fault.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)):
        return "make room on the disk, or write to another one"
    if fault.errno == errno.ENAMETOOLONG:
        return "give a shorter name"
    if fault.errno == errno.EROFS:
        return "write to another disk"
    return "check the folder and your rights"


def _is_same(path: Path, other: Path) -> bool:
    try:
        return os.path.samefile(path, other)
    except (OSError, ValueError):
        return os.path.normcase(os.path.realpath(path)) == os.path.normcase(os.path.realpath(other))


def _is_protected(path: Path) -> bool:
    """Tell whether nobody may write to a file; also for one who may write to all."""
    return not os.stat(path).st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH) or not os.access(path, os.W_OK)


@contextlib.contextmanager
def _refusing(path: Path) -> Generator[None, None, None]:
    try:
        yield
    except OSError as fault:
        reason = fault.strerror or str(fault)
        raise Refusal(os.fspath(path), f"cannot be written ({reason})", advice_on(fault)) from None


def _make_folder(folder: Path) -> bool:
    """Make a folder where it is missing; tell whether it was."""
    if os.path.isdir(folder):
        return False
    try:
        os.makedirs(folder, exist_ok=True)
    except OSError as fault:
        raise Refusal(os.fspath(folder), f"can't be made ({fault.strerror or fault})", "give another folder") from None
    return True


def _mode(target: str) -> int | None:
    """Return the rights of the file that is replaced."""
    try:
        return os.stat(target).st_mode & 0o7777
    except OSError:
        return None


def _write(passing: str, data: bytes, mode: int | None) -> None:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    with os.fdopen(os.open(passing, flags, 0o666), "wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
    if mode is not None:
        os.chmod(passing, mode)


def _put(outputs: Sequence[Output], targets: Sequence[str], passing: Sequence[str]) -> None:
    """Put what is written into its places; where one fails, put back those before it."""
    kept: list[tuple[str, str | None]] = []
    try:
        for output, target, written in zip(outputs, targets, passing, strict=True):
            with _refusing(output.path):
                before = _keep(target) if len(outputs) > 1 else None
                kept.append((target, before))
                try:
                    os.replace(written, target)
                except OSError:
                    kept.pop()
                    _forget([(target, before)])
                    raise
    except BaseException:
        for target, before in reversed(kept):
            with contextlib.suppress(OSError):
                if before is None:
                    os.unlink(target)
                else:
                    os.replace(before, target)
        raise
    _forget(kept)


def _keep(target: str) -> str | None:
    """Keep a file that is about to be replaced under another name, until all are in their places."""
    if not os.path.lexists(target):
        return None
    kept = _passing(target, "old")
    try:
        os.link(target, kept)
    except (OSError, NotImplementedError, AttributeError):  # no links there
        import shutil

        shutil.copy2(target, kept)
    return kept


def _forget(kept: Collection[tuple[str, str | None]]) -> None:
    for _, before in kept:
        if before is not None:
            with contextlib.suppress(OSError):
                os.unlink(before)


# -- passing names -----------------------------------------------------------------------------------------------------


def _passing(target: str, end: str) -> str:
    """Name a file on the way beside its target: of bounded length, whatever the target is called."""
    name = f".svgfit-{_machine()}-{os.getpid()}-{os.urandom(4).hex()}.{end}"
    return os.path.join(os.path.dirname(target), name)


def _machine() -> str:
    """Name this machine, since folders are shared over networks and processes are numbered on each."""
    name = os.uname().nodename if sys.platform != "win32" else os.environ.get("COMPUTERNAME", "")
    return f"{zlib.crc32(name.encode()):08x}"


def _sweep(folder: str) -> None:
    """Remove what runs left in a folder that were killed on this machine."""
    with contextlib.suppress(OSError):
        for name in os.listdir(folder):
            found = _LEFT.fullmatch(name)
            if found is not None and found[1] == _machine() and _is_over(int(found[2]), os.path.join(folder, name)):
                with contextlib.suppress(OSError):
                    os.unlink(os.path.join(folder, name))


def _is_over(process: int, path: str) -> bool:
    """Tell whether a process has ended."""
    if process == os.getpid():
        return False
    if sys.platform == "win32":  # asking there would end it
        with contextlib.suppress(OSError):
            return time.time() - os.stat(path).st_mtime > _STALE
        return False
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return False


def _sync_folder(folder: str) -> None:
    """Make the new names last through a power cut, where the system can."""
    if os.name != "posix":
        return
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
