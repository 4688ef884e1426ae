"""What a plan can say, through the command line: several pieces, measured values, conditions, notes, includes."""

from __future__ import annotations

import json

import pymupdf
import pytest

from tests.pattern.smocks import convention, smock, svg, traced

RAISE = '[[step]]\ndo = "cap-raise"\npiece = "Sleeve"\n'


@pytest.fixture
def adjusted(svgfit, here):
    """Run a plan on the demo's smock and give back the report, and what was said."""

    def run(plan, *more, drawing="smock.svg"):
        (here / "plan.toml").write_text(plan, encoding="utf-8")
        done = svgfit(
            "adjust", drawing, "--plan", "plan.toml", "-o", "out.svg", "--report", "out.json", "--force", *more
        )
        assert done.status in (0, 1), done.err
        return json.loads((here / "out.json").read_text(encoding="utf-8")), done

    return run


def figure(report, name, when, piece="Sleeve"):
    row = next(row for row in report["pieces"] if row["name"] == piece)
    return next(item[when] for item in row["measurements"] if item["name"] == name)


def test_the_same_bytes_however_several_pieces_are_written(svgfit, here, adjusted):
    adjusted('[[step]]\ndo = "seam-allowance"\npiece = ["Front", "Back"]\nedge = "hem"\nwidth = "1/2 in"\n')
    one = (here / "out.svg").read_bytes()
    steps = [
        word for name in ("Front", "Back") for word in ("--do", f"seam-allowance piece={name} edge=hem width='1/2 in'")
    ]
    assert svgfit("adjust", "smock.svg", *steps, "-o", "two.svg").status == 0
    assert (here / "two.svg").read_bytes() == one


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("seam-allowance piece=Front+Bck width=1in", "there is no piece 'Bck'; did you mean Back?"),
        ("seam-allowance piece=Front+Front width=1in", "names Front twice"),
        ("seam-allowance piece=Front+ width=1in", "lacks a name beside a +"),
        ("cap-raise piece=Sleeve+Front amount=1mm", "Front is a front, and cap-raise works on a sleeve"),
    ],
)
def test_a_slip_among_several_pieces_names_step_and_piece(refused, here, step, words):
    line = refused("adjust", "smock.svg", "--do", step, "-o", "out.svg")
    assert line.startswith("svgfit: --do 1: ")
    assert words in line
    assert not (here / "out.svg").exists()


@pytest.mark.parametrize("times", [1.0, 0.5, -0.25])
def test_a_measured_value_is_what_is_measured_when_the_steps_turn_comes(adjusted, times):
    """The height gained is the ease as the step before left it, times so much; both figures from the report itself."""
    first, _ = adjusted(RAISE + 'amount = "1/4 in"\n')
    ease, height = figure(first, "cap ease", "after"), figure(first, "cap height", "after")
    report, done = adjusted(
        RAISE + 'amount = "1/4 in"\n' + RAISE + f'amount = {{ of = "Sleeve", measure = "Cap-ease", times = {times} }}\n'
    )
    assert figure(report, "cap height", "after") == pytest.approx(height + times * ease, abs=1e-3)
    factor = "" if times == 1 else f"{times:g} × "
    assert report["steps"][1]["asked"]["amount"].endswith(f"in ({factor}the cap ease of Sleeve)")
    assert "the cap ease of Sleeve)" in done.out


def test_a_length_is_no_number_and_a_word_is_taken_from_no_measurement(refused, here):
    step = '[[step]]\ndo = "ease-spread"\namount = "1mm"\n'
    (here / "plan.toml").write_text(step + 'at = { measure = "cap ease" }\n')
    said = refused("adjust", "smock.svg", "--plan", "plan.toml", "-o", "out.svg")
    what = "takes a number or a share, and the cap ease of Sleeve is none (it is a length)"
    assert f"plan.toml line 4: ease-spread: at: {what}" in said
    (here / "plan.toml").write_text(step.replace("ease-spread", "cap-redraw") + 'within = { measure = "cap ease" }\n')
    said = refused("adjust", "smock.svg", "--plan", "plan.toml", "-o", "out.svg")
    what = "is no length, angle or number, and can't be taken from a measurement"
    assert f"plan.toml line 4: cap-redraw: within: {what}" in said


def test_a_measured_end_is_held_to_what_was_measured(adjusted):
    """A figure to reach that is another piece's is checked at the end as any is."""
    report, done = adjusted(
        RAISE + 'height = { of = "Sleeve", measure = "cap height", times = 1.05 }\n' + RAISE + 'amount = "1/8 in"\n'
    )
    check = next(check for check in report["checks"] if check["name"] == "end: cap-raise height")
    assert check["status"] == "fail"
    assert check["values"]["asked"] == pytest.approx(1.05 * figure(report, "cap height", "before"), abs=1e-6)
    assert done.status == 1


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (
            'amount = { of = "Sleve", measure = "cap ease" }',
            "line 4: cap-raise: amount: there is no piece 'Sleve'; did you",
        ),
        (
            'amount = { of = "Front", measure = "cap ease" }',
            "Front has no measurement 'cap ease' when this step's turn",
        ),
        ('amount = { measure = "cap eese" }', "did you mean cap ease? It has "),
        (
            'amount = { measure = "underarm corner" }',
            "amount: takes a length, and the underarm corner of Sleeve is none",
        ),
        ('hight = { measure = "cap ease" }', "line 4: cap-raise: hight: cap-raise has no such parameter; did you mean"),
        ('height = { measure = "cap ease", times = 0.0 }', "line 4: cap-raise: height: just under 0"),
        ('amount = { measure = "cap ease" }\nheight = "6 in"', "exclude each other"),
        (
            'amount = "1 in"\nwhen = { of = "Slv", measure = "cap ease", over = "1 in" }',
            "line 5: cap-raise: when: there is",
        ),
        (
            'amount = "1 in"\nwhen = { measure = "x", over = "1 in" }',
            "line 5: cap-raise: when: Sleeve has no measurement",
        ),
        (
            'amount = "1 in"\nwhen = { measure = "cap ease", over = "1 deg" }',
            "over = '1 deg' is not a length, as the cap",
        ),
        ('amount = "1 in"\nwhen = { measure = "underarm corner", over = "1 in" }', "is not an angle"),
        ('amount = "1 in"\nwhen = "later"', "line 5: cap-raise: when: is no table that compares"),
    ],
)
def test_what_can_not_be_measured_or_used_is_refused_with_its_line(refused, here, line, words):
    (here / "plan.toml").write_text(RAISE + line + "\n", encoding="utf-8")
    said = refused("adjust", "smock.svg", "--plan", "plan.toml", "-o", "out.svg")
    if "height = {" in line:
        words = "line 4: cap-raise: height: "
    assert words in said
    assert "plan.toml line " in said
    assert not (here / "out.svg").exists()


@pytest.mark.parametrize(
    ("limits", "done"),
    [
        ('over = "1/4 in"', True),
        ('over = "1/2 in"', False),
        ('under = "1/2 in"', True),
        ('under = "1/4 in"', False),
        ('over = "1/4 in", under = "1/2 in"', True),
        ('over = "1/8 in", under = "1/4 in"', False),
    ],
)
def test_a_step_is_done_where_its_condition_holds_and_told_where_not(svgfit, here, adjusted, limits, done):
    """The smock's cap ease is 3/8 in."""
    report, said = adjusted(RAISE + f'amount = "1/4 in"\nwhen = {{ measure = "cap ease", {limits} }}\n')
    gained = figure(report, "cap height", "after") - figure(report, "cap height", "before")
    assert gained == pytest.approx(6.35 if done else 0.0, abs=1e-6)
    assert len(report["steps"]) == done
    if done:
        assert "not_done" not in report
        return
    (row,) = report["not_done"]
    assert (row["do"], row["piece"]) == ("cap-raise", "Sleeve")
    assert row["why"].startswith("the cap ease of Sleeve is 3/8 in, not ")
    assert "cap-raise, Sleeve: not done, since the cap ease of Sleeve is 3/8 in, not " in said.out
    assert svgfit("picture", "out.svg", "-o", "out.html").status == 0
    assert "not done, since the cap ease of Sleeve is 3/8 in" in (here / "out.html").read_text(encoding="utf-8")
    assert "not done, since the cap ease of" in (here / "out.svg").read_text(encoding="utf-8").replace("</tspan>", "")


def test_a_figure_on_the_limit_is_neither_over_nor_under(adjusted):
    """An ease that was brought to a length, to the hundredth of a millimetre, is not over it by what is left."""
    for word in ("over", "under"):
        report, _ = adjusted(
            '[[step]]\ndo = "cap-redraw"\npiece = "Sleeve"\nease = "3/4 in"\n'
            + RAISE
            + f'amount = "1/4 in"\nwhen = {{ measure = "cap ease", {word} = "3/4 in" }}\n'
        )
        assert len(report["not_done"]) == 1
        assert report["not_done"][0]["why"] == f"the cap ease of Sleeve is 3/4 in, not {word} 3/4 in"


def test_sizes_are_asked_one_by_one(adjusted):
    """In a nest each size has its own measurement, condition and amount."""
    plan = (
        RAISE
        + 'amount = { measure = "cap height", times = 0.02 }\nwhen = { measure = "cap height", over = "5 1/2 in" }\n'
    )
    report, _ = adjusted(plan, drawing="smock-sizes.svg")
    rows = {row["size"]: row for row in report["pieces"] if row["name"] == "Sleeve"}
    heights = {
        size: next((item["before"], item["after"]) for item in row["measurements"] if item["name"] == "cap height")
        for size, row in rows.items()
    }
    taller = {size for size, (before, _) in heights.items() if before > 5.5 * 25.4 + 0.01}
    assert 0 < len(taller) < len(heights), "some sizes are to be asked for nothing"
    for size, (before, after) in heights.items():
        assert after == pytest.approx(before * (1.02 if size in taller else 1.0), abs=1e-3)
    assert {row["piece"] for row in report["not_done"]} == {
        f"Sleeve ({size})" for size in heights if size not in taller
    }


def test_what_rests_on_a_guess_is_told(svgfit, here):
    parts = [traced(part, 2.0, 0.15, smooth=True) for part in smock()]
    (here / "drawn.svg").write_text(svg(parts))
    (here / "svgfit.toml").write_text(convention(parts))
    (here / "plan.toml").write_text(
        '[[step]]\ndo = "cap-raise"\namount = { measure = "bicep width", times = 0.01 }\n'
        'when = { measure = "cap ease", under = "50 in" }\n'
    )
    done = svgfit("adjust", "drawn.svg", "--plan", "plan.toml", "--dry-run")
    step = "svgfit: warning: plan.toml step 1: cap-raise: "
    rests = "which may rest on what was guessed of Sleeve"
    assert f"{step}amount is 3.5 mm, taken from the bicep width of Sleeve, {rests}\n" in done.err
    assert f"{step}its condition looks at the cap ease of Sleeve, {rests}, Front and Back\n" in done.err
    assert "Sleeve: guessed: outline: it is jagged" in done.err


def test_notes_go_to_the_report_the_drawing_the_page_and_the_handout(svgfit, here, adjusted):
    plan = 'note = "For Puck & the second cast."\n' + RAISE + 'amount = "1/4 in"\nnote = "His arm is high."\n'
    report, done = adjusted(plan)
    assert report["note"] == "For Puck & the second cast."
    assert report["steps"][0]["note"] == "His arm is high."
    assert "For Puck & the second cast." in done.out
    assert "note: His arm is high." in done.out
    drawn = (here / "out.svg").read_text(encoding="utf-8")
    assert "His arm is high." in drawn
    assert svgfit("picture", "out.svg", "-o", "out.html").status == 0
    page = (here / "out.html").read_text(encoding="utf-8")
    assert "<li>For Puck &amp; the second cast.</li>" in page
    assert "His arm is high." in page


def test_a_plan_without_notes_and_conditions_leaves_no_trace_of_them(adjusted, here):
    report, _ = adjusted(RAISE + 'amount = "1/4 in"\n')
    assert not {"note", "not_done"} & set(report)
    assert "note" not in report["steps"][0]
    assert "&quot;svgfit-plan&quot;:1," in (here / "out.svg").read_text(encoding="utf-8")


@pytest.mark.slow
def test_notes_are_printed_on_the_teaching_sheet(svgfit, here, adjusted):
    adjusted(
        'note = "For the second cast."\n'
        + RAISE
        + 'amount = "1/4 in"\nnote = "His arm is high."\n'
        + RAISE
        + 'amount = "1/4 in"\nwhen = { measure = "cap ease", under = "1/8 in" }\n'
    )
    assert svgfit("handout", "out.svg", "-o", "out.pdf").status == 0
    text = " ".join(" ".join(page.get_text() for page in pymupdf.open(here / "out.pdf")).split())
    assert "For the second cast." in text
    assert "Note: His arm is high." in text
    assert "Cap-raise, Sleeve: not done, since the cap ease of Sleeve is" in text


@pytest.mark.parametrize("output", [("-o", "base.toml"), ("-o", "new.svg", "--report", "base.toml")])
def test_an_included_plan_is_an_input_that_no_output_replaces(refused, here, output):
    (here / "base.toml").write_text(RAISE + 'amount = "1/4 in"\n')
    (here / "plan.toml").write_text('include = "base.toml"\n')
    before = (here / "base.toml").read_bytes()
    assert "is one of the files read" in refused("adjust", "smock.svg", "--plan", "plan.toml", *output, "--force")
    assert (here / "base.toml").read_bytes() == before
    assert not (here / "new.svg").exists()


def test_what_is_wrong_in_an_included_plan_names_its_own_line(refused, here):
    (here / "more").mkdir()
    (here / "more" / "base.toml").write_text("\n" + RAISE + 'amount = "1/4"\n')
    (here / "plan.toml").write_text(RAISE + 'amount = "1 in"\n[[step]]\ninclude = "more/base.toml"\n')
    said = refused("adjust", "smock.svg", "--plan", "plan.toml", "-o", "out.svg")
    assert said.startswith("svgfit: more/base.toml line 5: cap-raise: amount: '1/4' has no unit")
