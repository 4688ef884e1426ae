"""svgfit operations --for: causes in order, what to measure, operations."""

from __future__ import annotations


def test_it_says_causes_in_order_with_what_to_measure_and_operations(svgfit) -> None:
    done = svgfit("operations", "--for", "strain across shoulder blades")
    assert done.status == 0
    lines = done.out.splitlines()
    assert lines[0] == "strain across the shoulder blades: look for, in this order"
    assert "1. the back is too narrow" in done.out
    assert "operations  back-width" in done.out
    assert done.out.index("1. ") < done.out.index("2. ")
    assert "no source" in done.out


def test_what_nobody_knows_is_refused_with_what_is_known(refused) -> None:
    line = refused("operations", "--for", "the buttonholes fray")
    assert "nothing is known of" in line
    assert "the hem rises at the back" in line


def test_it_goes_with_no_name(refused) -> None:
    assert "leave one out" in refused("operations", "slash", "--for", "hem rises")
