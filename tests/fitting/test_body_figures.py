"""What a body is held against, on garments whose measures are known: plain ones, and shirts with a yoke as sewn."""

from __future__ import annotations

import pytest

from svgfit.app.session import open_drawings
from svgfit.fitting.armhole import armhole_row
from svgfit.fitting.body_figures import body_figures, level_cut_gains, whole_sleeve
from svgfit.model.plan import Plan
from tests.app.bodies import IN, Cut, drawing

SHIRT = {"shoulder": 6.25, "depth": 10.5, "back_width": 18.5, "chest": 48, "bicep": 19.25, "cap": 5.0, "ease": 0.5}


@pytest.fixture
def measured(tmp_path):
    def measure(cut: Cut):
        path = tmp_path / "garment.svg"
        path.write_text(drawing(cut), encoding="utf-8")
        session = open_drawings(str(path))
        sleeve = next(piece for piece in session.pieces if piece.kind == "sleeve")
        row = armhole_row(sleeve, session.pieces, session.seams)
        assert row is not None
        measure.session, measure.row = session, row
        return body_figures(row), sleeve

    return measure


@pytest.mark.parametrize("yoke", [0.0, 3.0, 4.5])
@pytest.mark.parametrize("shoulder", [5.5, 6.25])
def test_a_yoke_is_measured_as_sewn(measured, yoke, shoulder):
    """The shoulder lies where the notch on the yoke's armhole says; depth and width as if back and yoke were one."""
    cut = Cut(**{**SHIRT, "yoke": yoke, "shoulder": shoulder})
    found, _ = measured(cut)
    assert found["shoulder"].value == pytest.approx(shoulder * IN, abs=0.05)
    assert found["armhole depth"].value == pytest.approx(10.5 * IN, abs=0.05)
    assert found["back width"].value == pytest.approx(18.5 * IN, abs=0.1)
    assert found["bust"].value == pytest.approx(48 * IN, abs=0.05)
    assert not any(one.guessed for one in found.values())


def test_where_the_shoulder_lies_on_a_yoke_is_told_as_guessed_without_a_notch(measured):
    found, _ = measured(Cut(**SHIRT, yoke=4.0, yoke_notch=False))
    assert "guessed" in found["shoulder"].guessed
    assert found["armhole depth"].value == pytest.approx(10.5 * IN, abs=0.05)


def test_a_back_pleated_into_its_yoke_has_no_width_of_the_body(measured):
    found, _ = measured(Cut(**SHIRT, yoke=4.0, pleat=1.0))
    assert found["back width"].value is None
    assert "pleated" in found["back width"].why


def test_what_a_level_cut_gives_armhole_and_cap(measured):
    """The armhole runs along the grain where it is cut and gains all; the cap slopes and gains less: ease is lost.

    Against the cap really cut there and trued by another way, for an opening of half an inch: within a quarter of it.
    """
    _, sleeve = measured(Cut())
    session, row = measured.session, measured.row
    armhole, cap = level_cut_gains(row, sleeve)
    assert armhole == pytest.approx(2.0, abs=0.01)
    assert cap < 1.7
    level = 70.9  # the cap at the armhole's half height, from the bicep line
    run = session.run(Plan.from_steps(f"cap-raise amount=12.7mm at={level}mm"))
    before, after = (
        {one.name: one.value for one in measured_}["cap length"]
        for measured_ in (run.sizes[0].measured_before["Sleeve"], run.sizes[0].measured_after["Sleeve"])
    )
    assert (after - before) / 12.7 == pytest.approx(cap, abs=0.25)


def test_front_depth_and_the_whole_sleeve(measured):
    found, sleeve = measured(Cut(front_depth=9.0, sleeve=22.5))
    assert found["front armhole depth"].value == pytest.approx(9.0 * IN, abs=0.05)
    assert whole_sleeve(sleeve) == pytest.approx(22.5 * IN, abs=0.05)
