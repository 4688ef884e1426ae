"""Tasks in several processes give what they give in turn."""

import os
import sys
import threading

import pytest

from svgfit.app.process_pool import side_by_side
from svgfit.geometry.curve import Curve
from svgfit.model.refusal import Refusal


@pytest.mark.parametrize("workers", [1, 2, 3, 8])
@pytest.mark.parametrize("count", [0, 1, 4, 7])
def test_results_come_in_the_order_of_the_tasks(workers, count):
    assert side_by_side([lambda k=k: k * k for k in range(count)], workers=workers) == [k * k for k in range(count)]


@pytest.mark.skipif(sys.platform != "linux", reason="forks only on Linux")
def test_several_processes_do_them():
    assert len(set(side_by_side([os.getpid] * 6, workers=3))) == 3


def test_where_the_program_has_several_threads_all_is_done_in_this_process():
    held = threading.Event()
    other = threading.Thread(target=held.wait)
    other.start()
    try:
        assert set(side_by_side([os.getpid] * 6)) == {os.getpid()}
    finally:
        held.set()
        other.join()


def test_the_first_failing_task_is_what_is_raised():
    def fails(k):
        if k in (3, 5):
            raise Refusal("here", f"task {k}", "")
        return k

    with pytest.raises(Refusal, match="task 3"):
        side_by_side([lambda k=k: fails(k) for k in range(6)], workers=2)


def test_what_cannot_be_handed_over_is_made_here():
    found = side_by_side([lambda: lambda: 5 for _ in range(4)], workers=2)
    assert [give() for give in found] == [5] * 4


def test_curves_stay_read_only():
    for curve in side_by_side([lambda: Curve.polyline([0j, 1 + 1j])] * 4, workers=2):
        assert curve.end == 1 + 1j
        with pytest.raises(ValueError, match="read-only"):
            curve.segments[0, 0] = 5
