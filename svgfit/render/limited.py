"""Renderers in a process of their own, with a large stack and limits of time and memory.

What draws and typesets is compiled code: a stack that overflows or memory that runs out there takes its whole process
along, and a drawing can be made to keep it busy for ever. So it has a process that may die; whatever becomes of it is
one refusal. Linux and macOS hold processor time, Linux memory too (``resource``); a limit of time by the clock holds on
every system. Only this file and the jobs are imported over there, nothing else of svgfit.
"""

from __future__ import annotations

import contextlib
import marshal
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Sequence
from importlib import import_module
from types import TracebackType
from typing import Any, NamedTuple

from svgfit.version import PACKAGE

_PATIENCE = 4.0 if sys.platform in ("linux", "darwin") else 1.25
"""By the clock a job may take so many times its seconds, more where processor time is held as well: a busy machine is
no fault of a drawing."""
STACK = 128 << 20
"""Bytes of stack: what draws takes some 50 KB for each group in a group, and so for a thousand."""

_START = (
    "import marshal, sys; path, *job = marshal.load(sys.stdin.buffer); sys.path[:] = path; "
    "from svgfit.render.limited import serve; serve(*job)"
)
_MADE, _REFUSED, _NO_ROOM = b"+", b"-", b"!"
"""How an answer begins: what was made, why it can't be, no room for it."""
_THREADS = 2
"""Stacks over there: the job's own and one of the renderer's threads."""


class Limits(NamedTuple):
    """What a job may take."""

    seconds: int = 10
    """Processor time."""
    memory: int = 600 << 20
    """Bytes, beside stacks."""


PLAIN = Limits()
"""What is enough for a drawing that a person made."""


class NotRendered(Exception):
    """Raised where a renderer gives nothing: its text is a reason for people, what to leave out is in ``todo``."""

    def __init__(self, reason: str, todo: str) -> None:
        self.todo = todo
        super().__init__(reason)


_SIMPLIFY = "leave out pictures, and patterns, masks, clips and markers that lie in one another"


class Rendering:
    """A job that was begun; used as a context, so that nothing of it is left whatever happens."""

    def __init__(self, process: subprocess.Popen[bytes], limits: Limits) -> None:
        self._process, self._limits = process, limits

    def __enter__(self) -> Rendering:
        """Give itself."""
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        """End the process if it still runs."""
        with contextlib.suppress(OSError):
            self._process.kill()
        for pipe in (self._process.stdin, self._process.stdout, self._process.stderr):
            if pipe is not None:
                with contextlib.suppress(OSError):
                    pipe.close()
        self._process.wait()

    def result(self) -> bytes:
        """Wait for what the job gives. Raises NotRendered where it gives nothing, or takes too much."""
        try:
            made, said = self._process.communicate(timeout=_PATIENCE * self._limits.seconds)
        except subprocess.TimeoutExpired:
            raise self._too_long() from None
        if made.startswith(_MADE):
            return made[1:]
        if made.startswith(_REFUSED):
            raise NotRendered(" ".join(made[1:].decode(errors="replace").split()), _SIMPLIFY)
        if made.startswith(_NO_ROOM) or b"memory allocation" in said or b"MemoryError" in said:
            raise NotRendered("drawing it takes too much memory", _SIMPLIFY)
        if self._process.returncode in _CPU_TIME:
            raise self._too_long()
        if b"overflow" in said or self._process.returncode in _CRASHES:
            raise NotRendered("what lies in one another in it goes too deep to be drawn", _SIMPLIFY)
        raise NotRendered(f"drawing it broke off ({self._process.returncode})", _SIMPLIFY)

    def _too_long(self) -> NotRendered:
        return NotRendered(f"drawing it takes longer than {self._limits.seconds} s", _SIMPLIFY)


_CPU_TIME = (-24, -9)
"""SIGXCPU, and SIGKILL for one that goes on all the same."""
_CRASHES = (-11, -10, -7, 0xC00000FD, 0xC0000005, -0x3FFFFF03, -0x3FFFFFFB)
"""SIGSEGV and SIGBUS; Windows' own numbers for a stack that overflowed and for a wrong address."""


def begin(job: str, arguments: Sequence[Any], limits: Limits = PLAIN) -> Rendering:
    """Begin a job in a process of its own.

    Args:
        job: the function, as "module:name"; it gives bytes.
        arguments: what it is handed: texts, bytes, numbers, and lists and tables of such.
        limits: what it may take.

    Raises:
        NotRendered: where no process can be started.
    """
    path = [os.path.abspath(each) for each in (*sys.path, os.path.dirname(PACKAGE))]
    flags = subprocess.CREATE_NO_WINDOW if sys.platform == "win32" else 0
    threads = {"RUST_MIN_STACK": str(STACK), "RAYON_NUM_THREADS": "1"}
    try:
        process = subprocess.Popen(
            [sys.executable, "-I", "-S", "-X", "utf8", "-c", _START],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={**os.environ, **threads},
            creationflags=flags,
        )
    except (OSError, ValueError, TypeError) as fault:
        raise NotRendered(
            f"no process can be started to draw it ({fault})", "see what keeps programs from starting"
        ) from None
    rendering = Rendering(process, limits)
    try:
        if process.stdin is not None:
            marshal.dump((path, job, [*arguments], *limits), process.stdin)
            process.stdin.flush()
    except OSError:
        pass  # it is dead already; how, the result tells
    except BaseException:
        rendering.__exit__(None, None, None)
        raise
    return rendering


def render(job: str, arguments: Sequence[Any], limits: Limits = PLAIN) -> bytes:
    """Do a job in a process of its own and wait for what it gives; arguments and refusals are those of ``begin``."""
    with begin(job, arguments, limits) as rendering:
        return rendering.result()


# -- over there --------------------------------------------------------------------------------------------------------


def serve(job: str, arguments: Sequence[Any], seconds: int, memory: int) -> None:
    """Do the job and write its answer to stdout; the process ends with it."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what a renderer prints is no answer
    _limit(seconds, memory)
    answer: list[bytes] = []

    def work() -> None:
        module, _, name = job.partition(":")
        answer.extend(_answer(getattr(import_module(module), name), arguments))

    threading.stack_size(STACK)
    worker = threading.Thread(target=work)
    worker.start()
    worker.join()
    for part in answer:
        answers.write(part)
    answers.flush()
    os._exit(0)


def _answer(job: Callable[..., bytes], arguments: Sequence[Any]) -> tuple[bytes, ...]:
    try:
        return _MADE, job(*arguments)
    except MemoryError:
        return (_NO_ROOM,)
    except BaseException as fault:  # noqa: BLE001  what compiled code breaks off with is no Exception
        broken = type(fault).__name__ == "PanicException"
        return _REFUSED, b"the renderer broke off at something in it" if broken else str(fault).encode()


def _limit(seconds: int, memory: int) -> None:
    """Limit this process's processor time and memory where the system can."""
    try:
        import resource
    except ImportError:  # Windows
        return
    for kind, most in (
        ("RLIMIT_CPU", seconds),
        ("RLIMIT_DATA", memory + _THREADS * STACK),
        ("RLIMIT_CORE", 0),
    ):
        with contextlib.suppress(OSError, ValueError, AttributeError):
            limit = getattr(resource, kind)
            hard = resource.getrlimit(limit)[1]
            resource.setrlimit(limit, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))
