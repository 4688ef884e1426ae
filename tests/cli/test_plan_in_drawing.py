"""The plan that adjust keeps in the drawing."""

from __future__ import annotations

from lxml import etree

SPREAD = "ease-spread piece=Sleeve amount='1/2 in'"


def plan_of(file):
    root = etree.parse(str(file)).getroot()
    (layer,) = [child for child in root if child.get("data-svgfit-layer") == "measurements"]
    return layer.get("data-svgfit-plan")


def test_the_plan_stands_in_the_drawing_and_a_rerun_gives_the_same_bytes(svgfit, here):
    from svgfit.app.plan_record import read_recorded

    assert svgfit("adjust", "smock.svg", "--do", SPREAD, "-o", "one.svg").status == 0
    assert svgfit("adjust", "one.svg", "--do", SPREAD, "-o", "two.svg").status == 0
    assert (here / "one.svg").read_bytes() == (here / "two.svg").read_bytes()
    plan = read_recorded(plan_of(here / "one.svg"), "one.svg").plan
    assert [(step.do, step.piece, step.asked) for step in plan.steps] == [
        ("ease-spread", "Sleeve", (("amount", "1/2 in"),))
    ]


def test_a_damaged_or_respaced_plan_is_no_edit_of_the_layer(svgfit, here):
    svgfit("adjust", "smock.svg", "--do", SPREAD, "-o", "one.svg")
    text = (here / "one.svg").read_bytes()
    for old, new in ((b",&quot;asked", b" ,\n  &quot;asked"), (b"{&quot;svgfit-plan", b"{&quot;svgfit plan")):
        assert old in text
        (here / "odd.svg").write_bytes(text.replace(old, new))
        done = svgfit("adjust", "odd.svg", "--do", SPREAD, "-o", "again.svg", "--force")
        assert done.status == 0
        assert "edited" not in done.err
        assert (here / "again.svg").read_bytes() == text
