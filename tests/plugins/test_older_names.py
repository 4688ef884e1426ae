"""Parameters that have another name today are still read by their older one."""

import pytest

from tests.fitting.sleeves import Shape, sleeve

from .running import refused_line, run_steps


@pytest.mark.parametrize(
    ("older", "today"),
    [
        ("cap-raise amount='1/4 in' reach='2 in'", "cap-raise amount='1/4 in' redraw='2 in'"),
        ("bicep-widen amount='1/4 in' over='8 in'", "bicep-widen amount='1/4 in' taper='8 in'"),
        ("ease-spread amount='1/4 in' drop='1 in'", "ease-spread amount='1/4 in' hinge-down='1 in'"),
    ],
)
def test_plans_of_before_may_use_the_older_names(older, today):
    before = (sleeve(Shape()),)
    first, second = run_steps(before, older), run_steps(before, today)
    assert first.measured_after == second.measured_after != second.measured_before
    _, _, twice = older.partition("' ")
    told = refused_line(before, f"{today} {twice}")
    assert "is given twice" in told
