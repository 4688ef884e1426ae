"""Steps taken back: the drawing is then as if they had never been done, byte for byte."""

from __future__ import annotations

import pytest

RAISE = "cap-raise piece=Sleeve amount='1/4 in'"
SPREAD = "ease-spread piece=Sleeve amount='1/8 in'"
HEM = "seam-allowance piece=Front edge=hem width='1/2 in'"


@pytest.fixture
def adjust(svgfit, here):
    """Adjust a drawing by steps; gives the bytes written."""

    def run(drawing, *steps, out, more=()):
        words = [word for step in steps for word in ("--do", step)]
        done = svgfit("adjust", drawing, *words, *more, "-o", out, "--force")
        assert done.status in (0, 1), done.err
        return (here / out).read_bytes()

    return run


def undo(count):
    return ("--from", "adjusted", "--undo", str(count))


def test_the_last_steps_are_as_never_done(adjust):
    one, two = adjust("smock.svg", RAISE, out="1.svg"), adjust("smock.svg", RAISE, SPREAD, out="2.svg")
    adjust("smock.svg", RAISE, SPREAD, HEM, out="3.svg")
    assert adjust("3.svg", out="back.svg", more=undo(1)) == two
    assert adjust("3.svg", out="back.svg", more=undo(2)) == one
    assert adjust("back.svg", out="back.svg.svg", more=("--from", "adjusted", "--undo", "1", "--do", RAISE)) == one


def test_steps_of_plans_run_one_on_the_other_are_taken_back_too(adjust):
    one = adjust("smock.svg", RAISE, out="1.svg")
    two = adjust("1.svg", SPREAD, out="2.svg", more=("--from", "adjusted"))
    adjust("2.svg", HEM, out="3.svg", more=("--from", "adjusted"))
    assert adjust("3.svg", out="back.svg", more=undo(1)) == two
    assert adjust("3.svg", out="back.svg", more=undo(2)) == one
    again = adjust("1.svg", HEM, out="4.svg", more=("--from", "adjusted"))
    assert adjust("3.svg", HEM, out="back.svg", more=undo(2)) == again
    assert adjust("3.svg", HEM, out="back.svg", more=undo(3)) == adjust("smock.svg", HEM, out="5.svg")


def test_ends_are_a_step_and_come_last(adjust):
    one = adjust("smock.svg", RAISE, out="1.svg")
    adjust("smock.svg", RAISE, out="2.svg", more=("--ends", "cap-ease='3/4 in'"))
    assert adjust("2.svg", out="back.svg", more=undo(1)) == one


def test_a_size_stays_the_one_that_was_done(adjust):
    one = adjust("smock-sizes.svg", RAISE, out="1.svg", more=("--size", "12"))
    adjust("smock-sizes.svg", RAISE, SPREAD, out="2.svg", more=("--size", "12"))
    assert adjust("2.svg", out="back.svg", more=undo(1)) == one


def test_what_can_not_be_taken_back_is_refused(adjust, svgfit, refused, here):
    adjust("smock.svg", RAISE, SPREAD, out="2.svg")
    out = ("-o", "out.svg")
    assert "it remembers 2 steps, not 3; give --undo 1; svgfit" in refused("adjust", "2.svg", *undo(3), *out)
    assert "without its last 2 steps nothing of its plan is left" in refused("adjust", "2.svg", *undo(2), *out)
    assert "no plan stands in it" in refused("adjust", "smock.svg", *undo(1), *out)
    assert "give --from adjusted too" in refused("adjust", "2.svg", "--undo", "1", *out)
    assert "'--undo': 0 is not in the range" in refused("adjust", "2.svg", *undo(0), *out)
    assert "there is no place to write to" in refused("adjust", "2.svg", *undo(1))
    assert not (here / "out.svg").exists()


def test_an_edit_is_not_lost_unasked(adjust, svgfit, refused, here):
    one = adjust("smock.svg", RAISE, out="1.svg")
    adjust("smock.svg", RAISE, SPREAD, out="2.svg")
    text = (here / "2.svg").read_text()
    end = text.index("</g>", text.index('data-svgfit-layer="adjusted"'))
    (here / "2.svg").write_text(f"{text[:end]}<path d='M 1 1 L 2 2' style='stroke:#000'/>{text[end:]}")
    assert "was edited since svgfit wrote it, and doing the steps again would lose that" in refused(
        "adjust", "2.svg", *undo(1), "-o", "out.svg"
    )
    assert adjust("2.svg", out="back.svg", more=(*undo(1), "--discard-edits")) == one
