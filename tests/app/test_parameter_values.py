"""Which piece a step means, and why one that looks right is not taken."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from svgfit.app.parameter_values import Unfit, resolve_piece
from svgfit.model.operation import Operation, Outcome
from svgfit.model.piece import Doubt
from svgfit.model.plan import Step
from tests.fitting.sleeves import Shape, sleeve

RAISE = Operation("cap-raise", "raises", (), lambda job: Outcome(job.pieces), ("sleeve",))


@pytest.mark.parametrize("named", [None, "Sleeve"])
def test_a_piece_that_only_looks_like_a_sleeve_is_refused_with_its_reason(named: str | None) -> None:
    doubt = Doubt(("sleeve",), "front and back can't be told apart", "draw one notch on the front")
    piece = replace(sleeve(Shape()), kind="other", doubt=doubt)
    with pytest.raises(Unfit) as caught:
        resolve_piece(RAISE, Step("cap-raise", named), [piece])
    assert "Sleeve looks like a sleeve, but front and back can't be told apart" in caught.value.what
    assert caught.value.todo == "draw one notch on the front"
    assert ("there is no sleeve among the pieces" in caught.value.what) == (named is None)
