"""Output files: written whole or not at all, and never over an input."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable

from svgfit.model.refusal import Refusal

Path = str | os.PathLike[str]


def write_output(path: Path, data: bytes, *, inputs: Iterable[Path], force: bool) -> None:
    """Write a file so that it appears whole or not at all.

    Refuses a path that is one of ``inputs`` (by whatever name or link), even with ``force``; another existing file
    without it; a folder; a folder that is not there.
    """
    check_output(path, inputs=inputs, force=force)
    target = os.path.realpath(path)
    folder, name = os.path.split(target)
    passing = os.path.join(folder, f".{name[:100]}.{os.getpid()}.tmp")
    try:
        _write(passing, data, _mode(target))
        os.replace(passing, target)
        _sync_folder(folder)
    except OSError as fault:
        reason = fault.strerror or str(fault)
        raise Refusal(os.fspath(path), f"cannot be written ({reason})", "check the folder and your rights") from None
    finally:
        with contextlib.suppress(OSError):
            os.unlink(passing)


def check_output(path: Path, *, inputs: Iterable[Path], force: bool) -> None:
    """Refuse as ``write_output`` does without writing, for asking before the work begins."""
    file = os.fspath(path)
    for each in inputs:
        try:
            same = os.path.samefile(path, each)
        except OSError:
            same = os.path.realpath(path) == os.path.realpath(each)
        if same:
            raise Refusal(file, "is one of the drawings read", "give another name behind -o")
    if os.path.isdir(path):
        raise Refusal(file, "is a folder", "give the name of a file behind -o")
    if os.path.exists(path) and not os.path.isfile(path):
        raise Refusal(file, "is no ordinary file", "give the name of a file behind -o")
    if os.path.lexists(path) and not force:
        raise Refusal(file, "exists already", "give another name, or --force to replace it")
    folder = os.path.dirname(os.path.realpath(path))
    if not os.path.isdir(folder):
        raise Refusal(file, "there is no such folder", "make the folder first, or give another name behind -o")


def _mode(target: str) -> int | None:
    """Return the rights of the file that is replaced."""
    try:
        return os.stat(target).st_mode & 0o7777
    except OSError:
        return None


def _write(passing: str, data: bytes, mode: int | None) -> None:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    with contextlib.suppress(FileNotFoundError):  # what an interrupted run of the same number left
        os.unlink(passing)
    with os.fdopen(os.open(passing, flags, 0o666), "wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
    if mode is not None:
        os.chmod(passing, mode)


def _sync_folder(folder: str) -> None:
    """Make the new name last through a power cut, where the system can."""
    if os.name != "posix":
        return
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
