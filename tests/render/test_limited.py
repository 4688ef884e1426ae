"""Renderers in processes of their own: whatever becomes of such a process is one reason, and this one goes on."""

from __future__ import annotations

import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from svgfit.render import limited
from svgfit.render.limited import Limits, NotRendered, begin, render

HERE = "limited_jobs"


@pytest.fixture(autouse=True)
def _jobs_are_found(monkeypatch):
    monkeypatch.syspath_prepend(str(Path(__file__).parent))


def reason(job: str, limits: Limits = Limits(2, 100 << 20)) -> str:  # noqa: B008
    with pytest.raises(NotRendered) as found:
        render(f"{HERE}:{job}", (), limits)
    assert found.value.todo
    assert "\n" not in str(found.value)
    return str(found.value)


def test_an_answer_of_any_length_comes_back() -> None:
    assert render(f"{HERE}:give", ("袖", 1_000_000)) == "袖".encode() * 1_000_000
    assert render(f"{HERE}:give", ("", 0)) == b""


def test_what_a_job_prints_is_no_answer() -> None:
    assert render(f"{HERE}:talk", ()) == b"answer"


def test_a_fault_is_told_in_one_line() -> None:
    assert reason("fail") == "the third line is odd"


@pytest.mark.slow
@pytest.mark.skipif(sys.platform not in ("linux", "darwin"), reason="no limit of processor time there")
def test_one_that_works_for_ever_is_ended() -> None:
    assert reason("work_for_ever") == "drawing it takes longer than 2 s"


def test_one_that_waits_for_ever_is_ended(monkeypatch) -> None:
    monkeypatch.setattr(limited, "_PATIENCE", 0.5)
    start = time.monotonic()
    assert reason("sleep_for_ever") == "drawing it takes longer than 2 s"
    assert time.monotonic() - start < 20


@pytest.mark.skipif(sys.platform != "linux", reason="no limit of memory there")
def test_one_that_takes_all_memory_is_ended() -> None:
    assert reason("take_all_memory", Limits(30, 100 << 20)) == "drawing it takes too much memory"


def test_one_that_crashes_or_leaves_is_no_harm() -> None:
    assert reason("crash")
    assert "broke off (7)" in reason("leave")


def test_nothing_of_it_is_left_when_the_result_is_not_asked_for() -> None:
    with begin(f"{HERE}:sleep_for_ever", ()) as rendering:
        process = rendering._process
        assert process.poll() is None
    assert process.returncode is not None


def test_threads_have_their_own() -> None:
    with ThreadPoolExecutor(8) as threads:
        found = list(threads.map(lambda k: render(f"{HERE}:give", (str(k), 100_000)), range(24)))
    assert found == [str(k).encode() * 100_000 for k in range(24)]


def test_where_no_process_can_be_started_it_says_so(monkeypatch) -> None:
    monkeypatch.setattr(sys, "executable", "")
    assert "no process can be started" in reason("leave")
