"""Body sheets: what is read, and that each slip is one clear line."""

from __future__ import annotations

import pytest

from svgfit.app.body_sheet import read_body
from svgfit.model.body import AS_DRAWN
from svgfit.model.refusal import Refusal
from svgfit.rules.body_measures import MEASURES

IN = 25.4


def sheet(tmp_path, text, name="people.toml", encoding="utf-8"):
    path = tmp_path / name
    path.write_bytes(text.encode(encoding))
    return str(path)


def line_of(tmp_path, text, name="people.toml"):
    with pytest.raises(Refusal) as raised:
        read_body(sheet(tmp_path, text, name))
    line = raised.value.line()
    assert "\n" not in line
    return line.replace(str(tmp_path), "")


def one(tmp_path, text):
    (person,) = read_body(sheet(tmp_path, f'[[person]]\nname = "Ines Marlow"\n{text}')).people
    return person


def test_measures_are_read_under_any_of_their_names_and_spellings(tmp_path):
    person = one(tmp_path, '"Upper Arm-Girth" = "12 1/2 in"\n"scye_depth" = "18,5 cm"\n"shoulder to bicep" = "140mm"\n')
    assert person.measures == pytest.approx(
        {"upper arm girth": 12.5 * IN, "armhole depth": 185.0, "shoulder tip to bicep line": 140.0}
    )


def test_every_measure_says_how_it_is_taken_and_no_two_share_a_name():
    names = [name for measure in MEASURES for name in (measure.name, *measure.also)]
    assert len(set(names)) == len(names)
    assert all(measure.taken.endswith(".") and measure.used for measure in MEASURES)


def test_what_stands_above_the_people_holds_for_all_unless_said_otherwise(tmp_path):
    text = (
        'style = "shirt"\n"seam sits" = "As Drawn"\n[[person]]\nname = "A"\n'
        '[[person]]\nname = "B"\nstyle = "coat"\n"seam sits" = "1/2 in"\nunit = "cm"\nsize = 12\n'
    )
    first, second = read_body(sheet(tmp_path, text)).people
    assert (first.style, first.sits, first.unit) == ("shirt", AS_DRAWN, None)
    assert (second.style, second.sits, second.unit, second.size) == ("coat", pytest.approx(12.7), "cm", "12")


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ('"2 in"', (2, 2)),
        ('["1 1/2 in", "2 in"]', (1.5, 2)),
        ('"1 1/2 to 2 in"', (1.5, 2)),
        ('"1 1/2 in to 2 in"', (1.5, 2)),
    ],
)
def test_an_ease_is_one_length_or_two(tmp_path, written, read):
    assert one(tmp_path, f'"bicep ease" = {written}\n').bicep_ease == pytest.approx(tuple(IN * x for x in read))


def test_each_ease_has_a_key(tmp_path):
    person = one(tmp_path, '"across back ease" = "1 in"\n"chest girth ease" = "2 in"\n"sleeve length ease" = "0 in"\n')
    assert (person.back_ease, person.bust_ease, person.length_ease) == ((IN, IN), (2 * IN, 2 * IN), (0.0, 0.0))


def test_share_and_choices_are_read(tmp_path):
    person = one(
        tmp_path, '"share back" = "55 %"\nchoose = "bicep: height kept; cap ease: left as it is"\nnotes = "x"\n'
    )
    assert person.share_back == pytest.approx(0.55)
    assert person.choices == ("bicep: height kept", "cap ease: left as it is")


@pytest.mark.parametrize("divider", [",", ";", "\t"])
@pytest.mark.parametrize("start", ["", "\ufeff"])
def test_csv_with_units_in_head_or_cell(tmp_path, divider, start):
    head = divider.join(["Name", "upper arm girth (cm)", "armhole depth", "note"])
    rows = [divider.join(["Ines Marlow", '"31,5"', "8 in", ""]), divider.join(["Tobias Reed", "35 cm", "", "tall"])]
    first, second = read_body(sheet(tmp_path, start + "\r\n".join([head, *rows, ""]), "people.csv")).people
    assert first.measures == pytest.approx({"upper arm girth": 315.0, "armhole depth": 8 * IN})
    assert second.measures == pytest.approx({"upper arm girth": 350.0})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('"upper arm girth" = "0 in"', ("line 3", "Ines", "upper arm girth", "nothing or less")),
        ('"upper arm girth" = "-12 in"', ("nothing or less",)),
        ('"upper arm girth" = 12.5', ("has no unit", "12.5 in")),
        ('"upper arm girth" = "12 1/2"', ("has no unit",)),
        ('"upper arm girth" = "big"', ("is not a length",)),
        ('"upper arm girth" = "125 in"', ("more than any body has", "unit")),
        ('"upper arm girth" = "12 mm"', ("less than any body has",)),
        ('"uper arm girt" = "12 in"', ("line 3", "did you mean 'upper arm girth'?")),
        ('"biseps" = "12 in"', ("did you mean 'upper arm girth'?",)),
        ('"hip girth" = "38 in"', ("no measure known here",)),
        ('"bicep girth" = "12 in"\n"upper arm" = "12 in"', ("line 4", "is the same as bicep girth")),
        ('"shoulder tip to bicep line" = "6 in"\n"arm length" = "22 cm"', ()),
        ('"shoulder tip to bicep line" = "9 in"\n"arm length" = "22 cm"', ("no cap is as high as its arm is long",)),
        ('"wrist girth" = "11 in"\n"upper arm girth" = "10 in"', ("no wrist is wider",)),
        ('"bicep ease" = ["3 in", "2 in"]', ("larger length",)),
        ('"bicep ease" = ["3 in", "2 in", "1 in"]', ("not one length or two",)),
        ('"bicep ease" = 2', ("has no unit",)),
        ('"share back" = 55', ("part of the ease", "0.55")),
        ('unit = "furlong"', ("in, mm, cm",)),
        ("style = true", ("is not a text",)),
        ("choose = [3]", ("is not a text or a list of texts",)),
    ],
)
def test_each_slip_in_toml_is_one_clear_line(tmp_path, text, words):
    if not words:
        assert one(tmp_path, text).measures
        return
    line = line_of(tmp_path, f'[[person]]\nname = "Ines Marlow"\n{text}\n')
    assert all(word in line for word in words), line


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", ("names no person", "[[person]]")),
        ('name = "Ines"\n"upper arm girth" = "12 in"', ("names no person", "write [[person]] above the measures")),
        ('[person]\nname = "Ines"', ("[[person]]", "two brackets")),
        ('[[person]]\n"upper arm girth" = "12 in"', ("has no name", "line 1")),
        ('[[person]]\nname = "Ines"\n[[person]]\nname = "INES"', ("line 4", "INES is there twice", "line 1")),
        ('"upper arm girth" = "12 in"\n[[person]]\nname = "Ines"', ("holds for all",)),
        ("[[person]\nname = 3", ("is not TOML",)),
    ],
)
def test_a_sheet_that_is_none_is_one_clear_line(tmp_path, text, words):
    line = line_of(tmp_path, text)
    assert all(word in line for word in words), line


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name,upper arm girth\n", ("holds no person",)),
        ("who,upper arm girth\nInes,12 in\n", ("no measure known", "who")),
        ("upper arm girth\n12 in\n", ("no column is headed name",)),
        ("name,upper arm girth\nInes,12\n", ("line 2: Ines: upper arm girth", "has no unit")),
        ("name,upper arm girth (cm)\nInes,31,5\n", ("3 cells", "decimal comma")),
        ("name,bicep,upper arm\nInes,12 in,13 in\n", ("head of two columns",)),
        ("name,upper arm girth,\nInes,12 in,tall\n", ("column without a head",)),
        ("name,upper arm girth\n,12 in\n", ("line 2", "has no name")),
        ("name,upper arm girth\nInes,12 in\nInes,13 in\n", ("line 3", "twice", "line 2")),
    ],
)
def test_each_slip_in_csv_is_one_clear_line(tmp_path, text, words):
    line = line_of(tmp_path, text, "people.csv")
    assert all(word in line for word in words), line


def test_a_sheet_that_is_no_text_is_refused(tmp_path):
    for name in ("people.csv", "people.toml"):
        (tmp_path / name).write_bytes(b"name,\xff\xfe\n")
        with pytest.raises(Refusal, match="not UTF-8"):
            read_body(str(tmp_path / name))
    with pytest.raises(Refusal, match="can't be read"):
        read_body(str(tmp_path / "none.csv"))


# -- the unit in which people are answered -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "unit"),
    [
        ('"wrist girth" = "16 cm"\n"upper arm girth" = "28,5cm"\n', "cm"),
        ('"wrist girth" = "160 mm"\n', "mm"),
        ('"wrist girth" = "6 1/2 in"\n"upper arm girth" = \'11"\'\n', "in"),
        ('"wrist girth" = "16 cm"\n"upper arm girth" = "11 in"\n', None),
        ('"wrist girth" = "16 cm"\nunit = "mm"\n', "mm"),
        ("", None),
    ],
)
def test_a_person_is_answered_in_the_unit_of_the_measures(tmp_path, written, unit):
    assert one(tmp_path, written).unit == unit


def test_a_csv_head_in_cm_answers_in_cm(tmp_path):
    people = read_body(sheet(tmp_path, "name,upper arm girth (cm),wrist girth [cm]\nIda,28.5,16\n", "a.csv")).people
    assert people[0].unit == "cm"


def test_an_unknown_unit_in_a_csv_head_is_what_is_not_known(tmp_path):
    line = line_of(tmp_path, "name,upper arm girth (zoll)\nIda,11\n", "a.csv")
    assert "'zoll' is no unit known here" in line
    assert "mm, cm, m, in" in line


def test_a_share_with_a_decimal_comma_is_read(tmp_path):
    assert one(tmp_path, '"share back" = "0,55"\n').share_back == pytest.approx(0.55)
