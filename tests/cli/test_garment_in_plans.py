"""What plug-ins measure: figures of the garment on the drawn table and in plans; numbers and shares in plans."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal

PLUGIN = """
from svgfit.plugin import GarmentMeasurer, Measurement, Measurer, Operation, Outcome, Parameter, hookimpl, sewing

def across(subject):
    rows = [sewing.sewn_length(piece, "armhole") for piece in subject.pieces if piece.kind in ("front", "back")]
    yield Measurement("armholes", sum(rows))
    yield Measurement("armhole in the back", rows[-1] / sum(rows), "share")
    yield Measurement("cap over armhole", sewing.sewn_length(subject.named("Sleeve"), "cap") / sum(rows), "number")
    yield Measurement("seams", len(subject.seams), "number")
    yield Measurement("cloth", 1e6, "mm2")

def own(piece):
    yield Measurement("pins", 7.0, "number")
    yield Measurement("half", 0.5, "share")

def mark(job):
    values = {name: value for name, value in job.values.items()}
    return Outcome(job.pieces, got=tuple(Measurement(name, float(value), "number") for name, value in values.items()))

@hookimpl
def svgfit_measurers():
    return [
        Measurer("own", ("sleeve",), own),
        GarmentMeasurer(name="across", measure=across),
    ]

@hookimpl
def svgfit_operations():
    pins = Parameter("pins", "count", "how many pins", maximum=50)
    part = Parameter("part", "number", "which part", minimum=0.0, maximum=2.0)
    return [Operation("pin-it", "Say where pins go.", (pins, part), mark, kinds=("sleeve",))]
"""
RAISE = '[[step]]\ndo = "cap-raise"\npiece = "Sleeve"\n'
PIN = '[[step]]\ndo = "pin-it"\n'
WITH = ("--plugins", "mine")


@pytest.fixture
def mine(here: Path) -> Path:
    (here / "mine").mkdir()
    (here / "mine" / "across.py").write_text(PLUGIN, encoding="utf-8")
    return here


@pytest.fixture
def adjusted(svgfit, mine: Path):
    def run(plan: str, drawing: str = "smock.svg"):
        (mine / "plan.toml").write_text(plan, encoding="utf-8")
        files = ("--plan", "plan.toml", "-o", "out.svg", "--report", "out.json", "--force")
        done = svgfit("adjust", drawing, *files, *WITH)
        assert done.status in (0, 1), done.err
        return json.loads((mine / "out.json").read_text(encoding="utf-8")), done

    return run


@pytest.fixture
def refuses(refused, mine: Path):
    """Give the line of a plan that is refused; nothing may be written."""

    def run(plan: str, *plugins: str) -> str:
        (mine / "plan.toml").write_text(plan, encoding="utf-8")
        line = refused("adjust", "smock.svg", "--plan", "plan.toml", "-o", "out.svg", *plugins)
        assert not (mine / "out.svg").exists()
        return line

    return run


def garment(report, name):
    rows = report["garment"][0]["measurements"]
    return next((row["before"], row["after"]) for row in rows if row["name"] == name)


def written(path: Path) -> str:
    """Join what stands in the measurements layer of a drawing, a bar between texts."""
    layer = path.read_text(encoding="utf-8").partition('data-svgfit-layer="measurements"')[2]
    return "|".join(re.findall(r">([^<>\n]+)<", layer))


# -- on the drawn table -----------------------------------------------------------------------------------------------


def test_the_drawn_table_has_the_garments_figures_before_and_after(adjusted, mine: Path):
    report, _ = adjusted(RAISE + 'amount = "1/2 in"\n')
    before, after = garment(report, "cap over armhole")
    assert after > before
    drawn = written(mine / "out.svg")
    assert "|The garment|" in drawn
    table = drawn.partition("|The garment|")[2]
    assert f"|cap over armhole|{before:.3f}|{after:.3f}|" in table
    assert "|armholes|" in table


def test_a_garment_that_did_not_change_is_said_to_be_unchanged(adjusted, mine: Path):
    adjusted('[[step]]\ndo = "seam-allowance"\npiece = "Front"\nedge = "hem"\nwidth = "1/2 in"\n')
    drawn = written(mine / "out.svg")
    assert "the garment: unchanged" in drawn.replace("|", " ")
    assert "The garment" not in drawn


def test_a_nests_drawn_table_has_a_column_a_size(adjusted, mine: Path):
    report, _ = adjusted(RAISE + 'amount = "1/2 in"\n', "smock-sizes.svg")
    sizes = [row["size"] for row in report["garment"]]
    assert len(sizes) > 1
    assert f"|The garment, size|{'|'.join(sizes)}|" in written(mine / "out.svg")


def test_each_of_several_drawings_has_it(svgfit, mine: Path):
    step = ("--do", "cap-raise piece=Sleeve amount='1/4 in'")
    assert svgfit("adjust", "smock.svg", "teaching-sleeve.svg", *step, *WITH, "-o", "both").status == 0
    for name in ("smock.svg", "teaching-sleeve.svg"):
        assert "|The garment|" in written(mine / "both" / name)


# -- in plans ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("word", ["garment", "Garment"])
def test_an_amount_is_taken_from_the_garment(adjusted, word):
    report, done = adjusted(RAISE + f'amount = {{ of = "{word}", measure = "armholes", times = 0.01 }}\n')
    before, _ = garment(report, "armholes")
    heights = next(row for row in report["pieces"] if row["name"] == "Sleeve")["measurements"]
    height = next(row for row in heights if row["name"] == "cap height")
    assert height["after"] - height["before"] == pytest.approx(0.01 * before, abs=1e-3)
    assert "(0.01 × the armholes of the garment)" in done.out


def test_it_is_measured_when_the_steps_turn_comes(adjusted):
    """The second step asks for the ratio as the first left it, which is over the limit that it was under before."""
    first, _ = adjusted(RAISE + 'amount = "1/2 in"\n')
    before, after = garment(first, "cap over armhole")
    limit = (before + after) / 2
    when = f'when = {{ of = "garment", measure = "cap over armhole", over = {limit:.6f} }}\n'
    both, _ = adjusted(RAISE + 'amount = "1/2 in"\n' + RAISE + 'amount = "1/8 in"\n' + when)
    assert len(both["steps"]) == 2
    one, done = adjusted(RAISE + 'amount = "1/8 in"\n' + when)
    assert one["steps"] == []
    assert one["not_done"][0]["why"] == f"the cap over armhole of the garment is {before:.3f}, not over {limit:.3f}"
    assert "cap-raise, Sleeve: not done, since the cap over armhole of the garment" in done.out


@pytest.mark.parametrize(
    ("limits", "done"),
    [
        ('measure = "armhole in the back", over = "40 %", under = 0.6', True),
        ('measure = "armhole in the back", over = "60 %"', False),
        ('measure = "seams", under = 1', False),
        ('measure = "seams", over = "1/2"', True),
        ('measure = "armholes", over = "1 in"', True),
    ],
)
def test_shares_and_numbers_are_held_against_limits(adjusted, limits, done):
    report, _ = adjusted(RAISE + f'amount = "1/8 in"\nwhen = {{ of = "garment", {limits} }}\n')
    assert len(report["steps"]) == done


def test_a_recorded_plan_that_measures_the_garment_gives_the_same_bytes_again(adjusted, svgfit, mine: Path):
    adjusted(RAISE + 'amount = { of = "garment", measure = "armholes", times = 0.01 }\n')
    shown = svgfit("plan", "show", "out.svg")
    assert 'of = "garment"' in shown.out
    assert re.search(r"^# measured by plug-ins: across\.py sha256 [0-9a-f]{16}$", shown.out, re.MULTILINE)
    (mine / "again.toml").write_text(shown.out, encoding="utf-8")
    assert svgfit("adjust", "smock.svg", "--plan", "again.toml", "-o", "again.svg", *WITH).status == 0
    assert (mine / "again.svg").read_bytes() == (mine / "out.svg").read_bytes()


@pytest.mark.slow
def test_that_another_version_measures_now_is_told_and_svgfits_own_figures_name_nobody(adjusted, svgfit, mine: Path):
    adjusted(
        RAISE + 'amount = { of = "garment", measure = "armholes", times = 0.01 }\n' + RAISE + 'amount = "1/8 in"\n'
    )
    (mine / "mine" / "across.py").write_text(PLUGIN + "# changed\n", encoding="utf-8")
    done = svgfit("adjust", "out.svg", "--from", "adjusted", "--undo", "1", "-o", "back.svg", *WITH)
    assert "what cap-raise looks at was measured by across.py sha256 " in done.err
    assert ", here by across.py sha256 " in done.err
    adjusted(RAISE + 'amount = { measure = "cap ease" }\n')
    assert "measured by" not in svgfit("plan", "show", "out.svg").out


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (
            'amount = { of = "garment", measure = "armhols" }',
            "amount: the garment has no measurement 'armhols' when this step's turn comes; did you mean armholes?",
        ),
        (
            'amount = { of = "garmet", measure = "armholes" }',
            "amount: there is no piece 'garmet'; did you mean garment? The pieces are Front, Back and Sleeve",
        ),
        (
            'amount = { of = "garment", measure = "seams" }',
            "amount: takes a length, and the seams of the garment is none (it is a number)",
        ),
        (
            'amount = { of = "garment", measure = "cloth" }',
            "amount: takes a length, and the cloth of the garment is none (it is an area)",
        ),
        (
            'amount = "1 in"\nwhen = { of = "garment", measure = "cloth", over = "1 in" }',
            "when: the cloth of the garment is an area, which no limit can be written for; choose another",
        ),
        (
            'amount = "1 in"\nwhen = { of = "garment", measure = "seams", over = "1 in" }',
            "when: over = '1 in' is not a number, as the seams of the garment is",
        ),
        (
            'amount = "1 in"\nwhen = { of = "garment", measure = "armholes", over = 3 }',
            "when: over = '3' has no unit, and the armholes of the garment is a length; write for example 3 mm or 3 in",
        ),
    ],
)
def test_a_slip_about_the_garment_is_refused_with_its_line(refuses, line, words):
    said = refuses(RAISE + line + "\n", *WITH)
    number = 4 + line.count("\n")
    assert said.startswith(f"svgfit: plan.toml line {number}: cap-raise: {words}")


def test_without_a_plug_in_that_measures_it_the_garment_has_no_figures(refuses):
    said = refuses(RAISE + 'amount = { of = "garment", measure = "armholes" }\n')
    words = "nothing measures the garment as a whole, so that it has no 'armholes'; add the plug-in that does"
    assert said.startswith(f"svgfit: plan.toml line 4: cap-raise: amount: {words}")


def test_a_piece_that_is_named_as_the_garment_is_leaves_no_choice_to_svgfit(mine: Path, refused):
    drawn = (mine / "smock.svg").read_text(encoding="utf-8")
    (mine / "smock.svg").write_text(drawn.replace("Back", "Garment"), encoding="utf-8")
    (mine / "plan.toml").write_text(RAISE + 'amount = { of = "garment", measure = "armholes", times = 0.1 }\n')
    said = refused("adjust", "smock.svg", "--plan", "plan.toml", "-o", "out.svg", *WITH)
    assert "a piece is named 'Garment', as all pieces together are; give the piece another name" in said


@pytest.mark.slow
def test_what_rests_on_the_guess_of_any_piece_is_told(svgfit, mine: Path):
    from tests.pattern.smocks import convention, smock, svg, traced

    parts = [traced(part, 2.0, 0.15, smooth=True) for part in smock()]
    (mine / "drawn.svg").write_text(svg(parts))
    (mine / "svgfit.toml").write_text(convention(parts))
    (mine / "plan.toml").write_text(RAISE + 'amount = { of = "garment", measure = "armholes", times = 0.01 }\n')
    done = svgfit("adjust", "drawn.svg", "--plan", "plan.toml", "--dry-run", *WITH)
    assert "taken from the armholes of the garment, which may rest on what was guessed of Sleeve" in done.err


# -- numbers, counts and shares ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "got"),
    [
        ('pins = { measure = "pins" }', {"pins": 7.0}),
        ('pins = { of = "garment", measure = "seams", times = 2 }', {"pins": None}),
        ('part = { measure = "half" }', {"part": 0.5}),
        ('part = { measure = "pins", times = 0.125 }', {"part": 0.875}),
        ('part = { of = "garment", measure = "armhole in the back" }', {"part": None}),
    ],
)
def test_counts_numbers_and_shares_are_taken_from_measurements(adjusted, line, got):
    report, _ = adjusted(PIN + line + "\n")
    ((name, value),) = got.items()
    seen = report["steps"][0]["got"][name]
    if value is None:
        value = 2 * garment(report, "seams")[0] if name == "pins" else garment(report, "armhole in the back")[0]
    assert seen == pytest.approx(value, abs=1e-12)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (
            'pins = { measure = "pins", times = 0.5 }',
            "pins: takes a whole number, none or more, and 0.5 times the pins of",
        ),
        (
            'pins = { measure = "pins", times = -1 }',
            "pins: takes a whole number, none or more, and -1 times the pins of",
        ),
        ('pins = { measure = "pins", times = 10 }', "pins: 70 is too much; give 50 or less"),
        ('pins = { measure = "half" }', "pins: takes a number, and the half of Sleeve is none (it is a share)"),
        (
            'pins = { measure = "cap ease" }',
            "pins: takes a number, and the cap ease of Sleeve is none (it is a length)",
        ),
        ('part = { measure = "pins" }', "part: 7 is too much; give 0 to 2"),
        (
            'part = { measure = "underarm corner" }',
            "part: takes a number or a share, and the underarm corner of Sleeve is",
        ),
    ],
)
def test_a_figure_that_does_not_fit_is_refused_in_words(refuses, line, words):
    assert refuses(PIN + line + "\n", *WITH).startswith(f"svgfit: plan.toml line 3: pin-it: {words}")


def test_the_limits_of_svgfits_own_figures_need_their_unit_when_the_plan_is_read():
    with pytest.raises(Refusal, match="1 has no unit"):
        Plan.from_toml(RAISE + 'amount = "1 in"\nwhen = { measure = "cap ease", over = 1 }\n')
    with pytest.raises(Refusal, match="they are not of one kind"):
        Plan.from_toml(RAISE + 'amount = "1 in"\nwhen = { measure = "x", over = 1, under = "5 deg" }\n')


# -- looked at without drawings ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('amount = { of = "garment", measure = "armholes" }', "amount: nothing measures the garment as a whole"),
        ('amount = { measure = "cap eese" }', "amount: nothing measures 'cap eese'; did you mean cap ease?"),
        (
            'amount = { measure = "underarm corner" }',
            "amount: takes a length, and the underarm corner is none (it is an",
        ),
        (
            'amount = "1 in"\nwhen = { measure = "cap ease", over = "9 deg" }',
            "when: over = '9 deg' is not a length, as",
        ),
    ],
)
def test_plan_check_knows_svgfits_figures_and_whether_anything_measures_the_garment(svgfit, mine: Path, line, words):
    (mine / "plan.toml").write_text(RAISE + line + "\n")
    done = svgfit("plan", "check", "plan.toml")
    assert done.status == 2
    assert done.err.startswith(f"svgfit: plan.toml line {4 + line.count(chr(10))}: cap-raise: {words}")
    assert done.err.count("\n") == 1


def test_plan_check_leaves_to_plug_ins_what_they_measure(svgfit, mine: Path):
    (mine / "plan.toml").write_text(
        RAISE + 'amount = { measure = "pin room" }\n' + PIN + 'pins = { measure = "pins" }\n'
    )
    assert svgfit("plan", "check", "plan.toml", *WITH).status == 0


def test_plan_check_tells_a_name_near_to_garment(svgfit, mine: Path):
    (mine / "plan.toml").write_text(RAISE + 'amount = { of = "garmet", measure = "armholes", times = 0.1 }\n')
    done = svgfit("plan", "check", "plan.toml", *WITH)
    assert done.status == 0
    assert (
        "svgfit: warning: plan.toml line 4: cap-raise: amount: of = 'garmet' is a piece's name; did you mean garment?"
        in (done.err)
    )
