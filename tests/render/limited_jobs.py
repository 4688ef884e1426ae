"""Jobs that die, each in its own way; run by test_limited in processes of their own."""

from __future__ import annotations

import ctypes
import os
import sys
import time


def give(text: str, times: int) -> bytes:
    return text.encode() * times


def talk() -> bytes:
    print("not an answer")
    os.write(1, b"nor this")
    sys.stderr.write("x" * 1_000_000)
    return b"answer"


def fail() -> bytes:
    raise ValueError("the third line\nis odd")


def work_for_ever() -> bytes:
    while True:
        pass


def sleep_for_ever() -> bytes:
    time.sleep(1000)
    return b""


def take_all_memory() -> bytes:
    taken = []
    while True:
        taken.append(b"\1" * 10_000_000)


def crash() -> bytes:
    return ctypes.string_at(0)


def leave() -> bytes:
    os._exit(7)
