"""``svgfit compare``: what differs between two fittings, against figures known from elsewhere."""

from __future__ import annotations

import json
import re

import jsonschema
import pytest

from svgfit.render.text.report import schema_text, to_json
from tests.pattern.smocks import convention, smock, svg, traced

RAISE = ("--do", "cap-raise piece=Sleeve amount='1/4 in'")


@pytest.fixture
def compared(svgfit, here):
    """Adjust the smock by steps (none: as drawn), and compare it with the smock raised by 1/4 in."""
    assert svgfit("adjust", "smock.svg", *RAISE, "-o", "a.svg").status == 0

    def run(*steps, more=("--json",)):
        words = [word for step in steps for word in ("--do", step)]
        assert svgfit("adjust", "smock.svg", *words, "-o", "b.svg", "--force").status in (0, 1)
        done = svgfit("compare", "a.svg", "b.svg", *more)
        assert done.status == 0, done.err
        return json.loads(done.out) if "--json" in more else done

    return run


def piece(found, name):
    return next(row for row in found["pieces"] if row["name"] == name)


def figures(row):
    return {item["name"]: (item["a"], item["b"]) for item in row["measurements"]}


def test_a_cap_raised_further_is_so_much_higher_and_its_top_moved_by_it(compared, svgfit):
    found = compared("cap-raise piece=Sleeve amount='5/8 in'")
    sleeve = piece(found, "Sleeve")
    was, now = figures(sleeve)["cap height"]
    assert now - was == pytest.approx(9.525, abs=0.01)
    measured = {}
    for file in ("a.svg", "b.svg"):
        report = json.loads(svgfit("measure", file, "--from", "adjusted", "--json").out)
        row = next(row for row in report["pieces"] if row["name"] == "Sleeve")
        measured[file] = {item["name"]: item["before"] for item in row["measurements"]}
    assert figures(sleeve) == {name: (value, measured["b.svg"][name]) for name, value in measured["a.svg"].items()}
    cap = next(edge for edge in sleeve["edges"] if edge["edge"] == "cap")
    assert cap["outwards"] is True
    assert 9.525 - 0.05 <= cap["moved"] < 15
    assert cap["length_b"] - cap["length_a"] == pytest.approx(
        measured["b.svg"]["cap length"] - measured["a.svg"]["cap length"], abs=0.01
    )
    assert {edge["edge"] for edge in sleeve["edges"]} == {"cap", "cut line"}
    shoulder = next(mark for mark in sleeve["marks"] if mark["kind"] == "shoulder notch")
    assert shoulder["moved"] == pytest.approx(9.525, abs=0.01)
    for name in ("Front", "Back"):
        row = piece(found, name)
        assert [row[what] for what in ("edges", "marks", "allowances", "lines")] == [[], [], [], []]


def test_a_lower_cap_lies_inwards(compared):
    cap = next(edge for edge in piece(compared("cap-raise piece=Sleeve amount='1/8 in'"), "Sleeve")["edges"])
    assert cap["outwards"] is False
    assert cap["length_b"] < cap["length_a"]


def test_an_allowance_that_was_set_is_told_with_the_cut_line(compared):
    found = compared("cap-raise piece=Sleeve amount='1/4 in'", "seam-allowance piece=Front edge=hem width='1/2 in'")
    front = piece(found, "Front")
    assert front["allowances"] == [{"edge": "hem", "a": pytest.approx(25.4), "b": pytest.approx(12.7)}]
    (cut,) = front["edges"]
    assert (cut["edge"], cut["outwards"]) == ("cut line", False)
    assert cut["moved"] == pytest.approx(12.7, abs=0.5)


def test_two_that_are_alike_are_said_to_be(compared):
    done = compared("cap-raise piece=Sleeve amount='1/4 in'", more=())
    assert done.out == "a is a.svg, b is b.svg\n\nalike in both: Sleeve, Front and Back\n"
    assert done.err == ""


def test_people_read_their_own_unit(compared):
    steps = ("cap-raise piece=Sleeve amount='5/8 in'", "seam-allowance piece=Front edge=hem width='1/2 in'")
    out = compared(*steps, more=()).out
    words = [" ".join(line.split()) for line in out.splitlines()]
    assert "cap height 5 3/4 in 6 1/8 in +3/8 in" in words
    assert "hem 1 in 1/2 in" in words
    assert "alike in both: Back" in words
    assert " mm" not in out
    assert "cap height 146.3 mm 155.9 mm +9.5 mm" in " ".join(compared(*steps, more=("--unit", "mm")).out.split())


@pytest.mark.slow
def test_guesses_and_drawings_that_differ_already_are_told(svgfit, here):
    for name, coarse in (("one", 2.0), ("two", 3.0)):
        parts = [traced(part, coarse, 0.15, smooth=True) for part in smock()]
        (here / f"{name}.svg").write_text(svg(parts))
        (here / "svgfit.toml").write_text(convention(parts))
    done = svgfit("compare", "one.svg", "two.svg")
    assert done.status == 0
    for name in ("one", "two"):
        assert f"svgfit: warning: {name}.svg: Sleeve: guessed: outline: it is jagged as a tracing is" in done.err
    assert "two.svg: Sleeve is drawn otherwise in the two already" in done.err


def test_what_can_not_be_compared_is_refused(refused, here):
    assert "is held against itself" in refused("compare", "smock.svg", "./smock.svg")
    assert "has no piece in common with smock.svg (its pieces are Class sleeve)" in refused(
        "compare", "smock.svg", "teaching-sleeve.svg"
    )
    assert "none.svg" in refused("compare", "smock.svg", "none.svg")


def test_a_grain_line_that_lies_elsewhere_is_told(svgfit, here):
    drawn = (here / "smock.svg").read_text(encoding="utf-8")
    moved = drawn.replace('d="M 104,244.3321 L 104,680"', 'd="M 104,274.3321 L 104,710"')
    assert moved != drawn
    (here / "moved.svg").write_text(moved, encoding="utf-8")
    found = json.loads(svgfit("compare", "smock.svg", "moved.svg", "--json").out)
    (line,) = piece(found, "Front")["lines"]
    assert line["line"] == "grain line"
    assert line["moved"] == pytest.approx(30, abs=0.02)
    done = svgfit("compare", "smock.svg", "moved.svg")
    assert "grain line" in done.out
    assert "alike in both: Back and Sleeve" in done.out


# -- texts ------------------------------------------------------------------------------------------------------------


@pytest.fixture
def retouched(svgfit, here):
    """Compare the smock with itself after texts were replaced, each one once."""

    def run(*changes, more=("--json",)):
        text = (here / "smock.svg").read_text(encoding="utf-8")
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        (here / "other.svg").write_text(text, encoding="utf-8")
        done = svgfit("compare", "smock.svg", "other.svg", *more)
        assert done.status == 0, done.err
        return json.loads(done.out) if "--json" in more else done.out

    return run


def text_of(here, content):
    """Give the whole element of a text in the smock."""
    lines = (here / "smock.svg").read_text(encoding="utf-8").splitlines()
    (line,) = [line for line in lines if f">{content}</text>" in line]
    return line


def test_a_text_that_reads_otherwise_is_told(retouched, here):
    found = retouched((">cut 2<", ">cut 4<"), ("measure after printing", "check it"))
    assert piece(found, "Sleeve")["texts"] == [{"a": "cut 2", "b": "cut 4", "moved": 0.0}]
    assert found["texts"] == [{"a": "50 mm: measure after printing", "b": "50 mm: check it", "moved": 0.0}]
    assert piece(found, "Front")["texts"] == []
    out = retouched((">cut 2<", ">cut 4<"), ("measure after printing", "check it"), more=())
    assert 'text "cut 2" – in b "cut 4"' in " ".join(out.split())
    assert "Texts on no piece" in out
    assert "alike in both: Front and Back" in out


def test_a_text_that_only_one_has_is_told(retouched, here):
    element = text_of(here, "cut 2")
    found = retouched((element, ""))
    assert piece(found, "Sleeve")["texts"] == [{"a": "cut 2", "b": None, "moved": None}]
    more = element.replace("cut 2", "nap down").replace('id="', 'id="more')
    more = re.sub(r' y="([\d.]+)"', lambda at: f' y="{float(at[1]) + 40}"', more)
    found = retouched((element, f"{element}\n{more}"))
    assert piece(found, "Sleeve")["texts"] == [{"a": None, "b": "nap down", "moved": None}]
    assert 'text "nap down" – only in b' in " ".join(retouched((element, f"{element}\n{more}"), more=()).split())


def test_a_text_that_stands_elsewhere_is_told_by_how_much(retouched, here):
    element = text_of(here, "cut 2")
    there = re.sub(r' y="([\d.]+)"', lambda at: f' y="{float(at[1]) + 30}"', element)
    (text,) = piece(retouched((element, there)), "Sleeve")["texts"]
    assert (text["a"], text["b"]) == ("cut 2", "cut 2")
    assert text["moved"] == pytest.approx(30, abs=0.01)


def test_of_two_texts_that_read_alike_each_is_held_against_the_nearest(svgfit, here):
    """Front and back both say the same; on one piece, the second of two is told where only it moved."""
    element = text_of(here, "cut 2")
    base = (here / "smock.svg").read_text(encoding="utf-8")

    def both(down: float) -> str:
        second = re.sub(r' y="([\d.]+)"', lambda at: f' y="{float(at[1]) + down}"', element).replace('id="', 'id="b')
        return base.replace(element, f"{element}\n{second}")

    (here / "one.svg").write_text(both(40.0), encoding="utf-8")
    (here / "two.svg").write_text(both(70.0), encoding="utf-8")
    found = json.loads(svgfit("compare", "one.svg", "two.svg", "--json").out)
    (text,) = piece(found, "Sleeve")["texts"]
    assert text["moved"] == pytest.approx(30, abs=0.01)


def test_a_text_that_only_the_drawn_piece_has_otherwise_is_warned_of(svgfit, here):
    assert svgfit("adjust", "smock.svg", *RAISE, "-o", "a.svg").status == 0
    text = (here / "a.svg").read_text(encoding="utf-8")
    element = text_of(here, "cut 2")
    assert text.count(element) == 1
    (here / "b.svg").write_text(text.replace(element, element.replace("cut 2", "cut 3")), encoding="utf-8")
    done = svgfit("compare", "a.svg", "b.svg")
    assert 'b.svg: Sleeve as drawn has another text than in a.svg: "cut 3"' in done.err


# -- for programs -----------------------------------------------------------------------------------------------------

ACROSS = """
from svgfit.plugin import GarmentMeasurer, Measurement, hookimpl, sewing

@hookimpl
def svgfit_measurers():
    def measure(subject):
        yield Measurement("cap", sewing.sewn_length(subject.named("Sleeve"), "cap"))
    return [GarmentMeasurer(name="across", measure=measure)]
"""


def test_the_garments_figures_are_compared_too(compared, svgfit, here):
    (here / "mine").mkdir()
    (here / "mine" / "across.py").write_text(ACROSS, encoding="utf-8")
    found = compared("cap-raise piece=Sleeve amount='5/8 in'", more=("--json", "--plugins", "mine"))
    was, now = figures(piece(found, "Sleeve"))["cap length"]
    assert found["garment"] == [{"size": None, "measurements": [{"name": "cap", "unit": "mm", "a": was, "b": now}]}]
    out = svgfit("compare", "a.svg", "b.svg", "--plugins", "mine").out
    assert "The garment\n" in out


def test_what_is_printed_fits_the_schema_and_is_what_the_library_gives(compared, here, monkeypatch):
    import svgfit as library

    steps = ("cap-raise piece=Sleeve amount='5/8 in'", "seam-allowance piece=Front edge=hem width='1/2 in'")
    found = compared(*steps)
    jsonschema.validate(found, json.loads(schema_text("compare")))
    monkeypatch.chdir(here)
    given = library.compare(*(library.open_drawings(file) for file in ("a.svg", "b.svg")))
    assert json.loads(to_json(given)) == found
    assert isinstance(given, library.Differences)
    assert all(isinstance(one, library.ComparedPiece) for one in given.pieces)


def test_the_library_refuses_sessions_of_several_drawings(here, monkeypatch):
    import svgfit as library

    monkeypatch.chdir(here)
    several = library.open_drawings("smock.svg", "teaching-sleeve.svg")
    with pytest.raises(library.Refusal, match=r"several drawings.*open each by itself"):
        library.compare(library.open_drawings("smock.svg"), several)
