"""A limit that a refusal tells can be asked for as it is told; shapes that can't be sewn are told of."""

from __future__ import annotations

import json
import re

import pytest

FIGURE = r"(-?[\d/ ]+ in) \((-?[\d.]+) mm\)"


def asked(svgfit, step: str, *more: str):
    return svgfit("adjust", "smock.svg", "--do", step, "--dry-run", *more)


@pytest.mark.slow
def test_a_limit_told_in_inches_can_be_asked_for(svgfit, refused, here):
    line = refused("adjust", "smock.svg", "--do", "armhole-adjust scoop='5/8 in'", "--dry-run", "--both-units")
    found = re.search(rf"tangents allow {FIGURE}", line)
    assert found, line
    assert asked(svgfit, f"armhole-adjust scoop='{found[1]}'").status in (0, 1)
    assert asked(svgfit, f"armhole-adjust scoop='{found[2]} mm'").status in (0, 1)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("step", "key"),
    [
        ("cap-redraw ease='-1 in' outwards='9 in' inwards='9 in'", "ease"),
        ("cap-redraw ease='6 in' outwards='9 in' inwards='9 in'", "ease"),
        ("cap-redraw cap-length='30 in' within=whole", "cap-length"),
        ("armhole-adjust length='30 in'", "length"),
        ("armhole-adjust length='3 in' by=scoop", "length"),
    ],
)
def test_both_ends_of_a_range_can_be_asked_for_as_told(svgfit, refused, here, step, key):
    line = refused("adjust", "smock.svg", "--do", step, "--dry-run", "--both-units")
    found = re.search(rf"reaches {FIGURE} to {FIGURE}", line)
    assert found, line
    for end in (found[1], found[3], f"{found[2]} mm", f"{found[4]} mm"):
        done = asked(svgfit, re.sub(rf"{key}='[^']*'", f"{key}='{end}'", step))
        assert done.status in (0, 1), done.err


@pytest.mark.slow
@pytest.mark.parametrize(
    ("step", "advice"),
    [("ease='-1 in'", "ask for more"), ("ease='6 in'", "ask for less"), ("cap-length='10 in'", "ask for more")],
)
def test_who_asked_for_too_little_is_told_to_ask_for_more(refused, here, step, advice):
    assert f"; {advice}" in refused("adjust", "smock.svg", "--do", f"cap-redraw {step}", "--dry-run")


@pytest.mark.slow
@pytest.mark.parametrize("ease", ["6 in", "-2 in"])
def test_an_end_out_of_reach_both_ways_is_one_line_that_advises_nothing_tried(svgfit, here, ease):
    done = svgfit("adjust", "smock.svg", "--ends", f"cap-ease='{ease}'", "--dry-run", "--json")
    (message,) = [one["message"] for one in json.loads(done.out)["checks"] if one["name"] == "end: cap ease"]
    assert "within=whole" not in message
    assert message.count("out of reach") == message.count("cap-raise") == 1
    assert "redrawing the whole cap reaches" in message


def test_what_is_told_of_a_way_not_asked_for_is_why_not_what_else(svgfit, here):
    done = svgfit("adjust", "smock.svg", "--ends", "cap-ease='7/8 in'", "--dry-run", "--json")
    (warning,) = [text for text in json.loads(done.out)["warnings"] if "cap ease by cap-redraw" in text]
    assert "outwards, more than" in warning
    assert "within=whole" not in warning


def test_a_cap_that_overhangs_is_told_of_whatever_was_allowed(svgfit, here):
    done = asked(svgfit, "cap-redraw ease='2 1/4 in' outwards='3 in'")
    assert done.status == 1  # its ease is met, but by a cap that can't be sewn
    assert "overhangs" in done.err
    assert "but by a cap that can't be sewn: it overhangs" in done.out
    assert "overhangs" not in asked(svgfit, "cap-redraw ease='1 1/4 in' outwards='3 in'").err


@pytest.mark.slow
def test_the_range_told_holds_only_caps_that_do_not_overhang(svgfit, refused, here):
    line = refused("adjust", "smock.svg", "--do", "cap-redraw ease='6 in'", "--dry-run", "--both-units")
    found = re.search(rf"reaches {FIGURE} to {FIGURE}", line)
    assert found, line
    for end in (found[1], found[3]):
        assert "overhangs" not in asked(svgfit, f"cap-redraw ease='{end}' outwards='9 in'").err


def test_a_cap_higher_than_most_arms_take_is_told_of(svgfit, here):
    assert "higher than most arms take" in asked(svgfit, "cap-raise height='11 in'").err
    assert "higher than most arms take" not in asked(svgfit, "cap-raise height='6 in'").err


def test_an_outline_of_many_edges_is_not_listed_to_its_end(svgfit, tmp_path):
    points = " ".join(f"{10 * k} {100 * (k % 2) + 5 * (k % 3)}" for k in range(150))
    path = tmp_path / "scan.svg"
    layer = f'<g inkscape:groupmode="layer" inkscape:label="Scan stitch line"><path d="M{points} L700 900Z"/></g>'
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f'width="1500mm" height="900mm" viewBox="0 0 1500 900">{layer}</svg>'
    )
    status, out, _ = svgfit("inspect", str(path))
    assert status == 0
    assert out.count("\nedge ") == 101  # the head and a hundred
    assert "and 51 edges more; --json lists them all" in out


@pytest.mark.parametrize("name", ["Front stitch line", "Sleeve stitch line", "Sleeve notches"])
@pytest.mark.parametrize("by", ["0", "1e-9"])
def test_a_line_shrunk_to_a_point_is_no_fault(svgfit, here, name, by):
    text = (here / "smock.svg").read_text(encoding="utf-8")
    at = text.index("<path", text.index(f'label="{name}"')) + len("<path")
    (here / "point.svg").write_text(f'{text[:at]} transform="scale({by})"{text[at:]}', encoding="utf-8")
    assert svgfit("inspect", "point.svg").status in (0, 2)
