from __future__ import annotations

import copy
import csv
import gzip
import io
import json
import os

import jsonschema
import pytest
from lxml import etree

from svgfit.render.text.report import schema_text

SPREAD = "ease-spread piece=Sleeve amount='1/2 in'"


def schema():
    return json.loads(schema_text())


# -- looking ----------------------------------------------------------------------------------------------------------


def test_inspect_tells_layers_pieces_and_guesses(svgfit, here):
    done = svgfit("inspect", "smock.svg")
    assert done.status == 0
    for words in (
        "25.4 units of the drawing are 1 in",
        "Sleeve stitch line",
        "Sleeve (sleeve)",
        "shoulder notch",
        "guessed",
    ):
        assert words in done.out


def test_inspect_json_has_exactly_the_promised_keys(svgfit, here):
    found = json.loads(svgfit("inspect", "smock.svg", "--json").out)
    assert set(found) == {"drawings", "layers", "pieces"}
    assert {frozenset(row) for row in found["drawings"]} == {frozenset({"file", "mm_per_user_unit", "scale_from"})}
    layer = {"file", "name", "path", "id", "role", "piece", "size", "hidden", "locked", "extent"}
    assert {frozenset(row) for row in found["layers"]} == {frozenset(layer)}
    piece = {"file", "name", "kind", "size", "edges", "landmarks", "marks", "guessed"}
    assert {frozenset(row) for row in found["pieces"]} == {frozenset(piece)}
    sleeve = next(row for row in found["pieces"] if row["kind"] == "sleeve")
    assert {frozenset(row) for row in sleeve["edges"]} == {frozenset({"name", "length"})}
    assert {frozenset(row) for row in sleeve["marks"]} == {frozenset({"kind", "edge", "at"})}
    assert all(len(at) == 2 for at in sleeve["landmarks"].values())
    cap = next(edge["length"] for edge in sleeve["edges"] if edge["name"] == "cap")
    assert all(0 < mark["at"] < cap for mark in sleeve["marks"] if mark["edge"] == "cap")
    assert found["drawings"][0]["file"] == "smock.svg"


def test_measure_speaks_in_three_ways_of_the_same_figures(svgfit, here):
    report = json.loads(svgfit("measure", "smock.svg", "--json").out)
    jsonschema.validate(report, schema())
    assert report["steps"] == []
    rows = list(csv.DictReader(io.StringIO(svgfit("measure", "smock.svg", "--csv").out)))
    assert list(rows[0]) == ["file", "piece", "size", "name", "unit", "before", "after"]
    figures = {
        (piece["name"], row["name"]): (row["before"], row["after"])
        for piece in report["pieces"]
        for row in piece["measurements"]
    }
    assert {(row["piece"], row["name"]): (float(row["before"]), float(row["after"])) for row in rows} == figures
    assert all(before == after for before, after in figures.values())
    table = svgfit("measure", "smock.svg", "--unit", "mm").out
    assert f"{figures['Sleeve', 'cap height'][0]:.1f} mm" in table


def test_check_passes_on_the_smock_and_fails_where_seams_differ(svgfit, here):
    done = svgfit("check", "smock.svg", "--json")
    assert done.status == 0
    report = json.loads(done.out)
    jsonschema.validate(report, schema())
    assert {check["status"] for check in report["checks"]} == {"pass"}
    convention = here / "odd.toml"
    convention.write_text('[[seams]]\na = ["Front/side seam"]\nb = ["Back/shoulder"]\n')
    done = svgfit("check", "smock.svg", "--convention", "odd.toml")
    assert done.status == 1
    assert "fail" in done.out


def test_check_without_seams_says_so(svgfit, here):
    (here / "none.toml").write_text('[[seams]]\na = ["Collar/edge"]\nb = ["Band/edge"]\n')
    done = svgfit("check", "smock.svg", "--convention", "none.toml")
    assert done.status == 0
    assert "no seam could be checked" in done.err
    assert "no seam" not in svgfit("check", "smock.svg", "--convention", "none.toml", "--quiet").err


def test_operations_and_plugins_list_what_there_is(svgfit):
    done = svgfit("operations")
    assert done.status == 0
    assert all(name in done.out for name in ("cap-raise", "ease-spread", "edge-blend", "seam-check"))
    one = svgfit("operations", "ease_spread").out
    assert all(name in one for name in ("amount=", "at=", "hinge-down=", "if left out: 0.8", "0 to 1"))
    assert svgfit("plugins").out.count("ok") >= 8


def test_the_example_that_operations_gives_can_be_read(svgfit):
    from svgfit.app.parameter_values import resolve_values
    from svgfit.model.plan import parse_do
    from svgfit.plugin.registry import open_registry

    registry = open_registry()
    for name in registry.operation_names():
        example = svgfit("operations", name).out.strip().splitlines()[-1].split("--do ", 1)[1].strip('"')
        step = parse_do(example)
        assert step.do == name
        resolve_values(registry.operation(name), step.asked)


def test_an_operation_of_ones_own_from_a_folder(svgfit, refused, here):
    (here / "mine").mkdir()
    (here / "mine" / "count_edges.py").write_text(
        "from svgfit.plugin import Operation, Outcome, hookimpl\n"
        "def run(job): return Outcome(pieces=job.pieces, warnings=(f'{len(job.piece.edges)} edges',))\n"
        "@hookimpl\ndef svgfit_operations(): return [Operation('count-edges', 'Counts.', (), run, kinds=('sleeve',))]\n"
    )
    (here / "mine" / "bad.py").write_text("1/0")
    assert "there is no operation 'count-edges'" in refused("adjust", "smock.svg", "--do", "count-edges", "--dry-run")
    done = svgfit("adjust", "smock.svg", "--do", "count-edges", "--dry-run", "--plugins", "mine")
    assert done.status == 0
    assert "svgfit: warning: 4 edges" in done.err
    listed = svgfit("plugins", "--plugins", "mine", "--without", "seam-check").out
    assert "ZeroDivisionError" in listed
    assert [line.split()[0] for line in listed.splitlines() if "seam-check" in line] == ["off"]
    (here / "mine.toml").write_text('plugins = "mine"\n')
    assert svgfit("adjust", "smock.svg", "--do", "count-edges", "--dry-run", "--convention", "mine.toml").status == 0
    (here / "svgfit.toml").write_text('plugins = "mine"\n')
    assert "there is no operation" in refused("adjust", "smock.svg", "--do", "count-edges", "--dry-run")


# -- adjusting --------------------------------------------------------------------------------------------------------


def test_adjust_keeps_the_original_to_the_byte_and_adds_three_layers(svgfit, here):
    done = svgfit("adjust", "smock.svg", "--do", SPREAD, "-o", "out.svg", "--report", "out.json")
    assert done.status == 0
    before, after = (here / "smock.svg").read_bytes(), (here / "out.svg").read_bytes()
    start = next(k for k in range(len(before)) if before[k] != after[k])
    added = len(after) - len(before)
    # The added bytes may share their first letters with what they stand before ("</" and "<g").
    assert any(after[:k] + after[k + added :] == before for k in range(max(0, start - 2), start + 1))
    for kind in ("working-lines", "adjusted", "measurements"):
        assert after.count(f'data-svgfit-layer="{kind}"'.encode()) == 1
    report = json.loads((here / "out.json").read_text())
    jsonschema.validate(report, schema())
    (step,) = report["steps"]
    assert step["asked"] == {"amount": "1/2 in"}
    assert [opening["width"] for opening in step["openings"]] == pytest.approx([6.35, 6.35], abs=1e-6)
    assert "written:" in done.out
    assert "smock.svg -> out.svg" in done.out


def test_a_rerun_on_our_own_output_gives_the_same_bytes(svgfit, here):
    svgfit("adjust", "smock.svg", "--do", SPREAD, "-o", "one.svg")
    assert svgfit("adjust", "one.svg", "--do", SPREAD, "-o", "two.svg").status == 0
    assert (here / "one.svg").read_bytes() == (here / "two.svg").read_bytes()


def test_going_on_from_the_adjusted_outlines(svgfit, here):
    svgfit("adjust", "smock.svg", "--do", SPREAD, "-o", "one.svg")
    first = json.loads(svgfit("measure", "one.svg", "--json").out)
    done = svgfit("adjust", "one.svg", "--do", SPREAD, "-o", "two.svg", "--from", "adjusted", "--json")
    assert done.status == 0
    report = json.loads(done.out)

    def cap(found, side):
        rows = next(piece["measurements"] for piece in found["pieces"] if piece["name"] == "Sleeve")
        return next(row[side] for row in rows if row["name"] == "cap length")

    spread = json.loads(svgfit("adjust", "smock.svg", "--do", SPREAD, "--dry-run", "--json").out)
    assert cap(report, "before") == pytest.approx(cap(spread, "after"), abs=1e-4)
    assert cap(report, "after") > cap(report, "before") > cap(first, "before")


def test_an_edited_layer_of_ours_is_kept_and_named(svgfit, here):
    svgfit("adjust", "smock.svg", "--do", SPREAD, "-o", "one.svg")
    text = (here / "one.svg").read_text()
    start = text.index('data-svgfit-layer="adjusted"')
    end = text.index("</g>", start)
    edited = text[:end] + "<path d='M 1 1 L 2 2' style='stroke:#000'/>" + text[end:]
    (here / "edited.svg").write_text(edited)
    done = svgfit("adjust", "edited.svg", "--do", SPREAD, "-o", "two.svg")
    assert done.status == 0
    assert 'layer "adjusted" was edited since svgfit wrote it' in done.err
    two = (here / "two.svg").read_text()
    assert "<path d='M 1 1 L 2 2' style='stroke:#000'/>" in two
    assert two.count('data-svgfit-layer="adjusted"') == 2
    assert svgfit("adjust", "edited.svg", "--do", SPREAD, "-o", "three.svg", "--discard-edits").err == ""
    assert (here / "three.svg").read_text() == text


@pytest.fixture
def nest(here):
    """The smock's sleeve in two sizes, the second 10 mm to the right; front and back drawn once."""
    label = "{http://www.inkscape.org/namespaces/inkscape}label"
    tree = etree.parse("smock.svg")
    for group in list(tree.getroot()):
        name = group.get(label) or ""
        if name.startswith("Sleeve ") and "text" not in name:
            larger = copy.deepcopy(group)
            group.set(label, f"{name} M")
            larger.set(label, f"{name} L")
            larger.set("id", f"{group.get('id')}-L")
            for element in larger.iterdescendants():
                element.attrib.pop("id", None)
            larger.set("transform", "translate(10,0)")
            group.addnext(larger)
    tree.write("nest.svg")
    roles = ("stitch line", "cut line", "notches", "grain line")
    lines = [f'"{role}" = ["{{piece}} {role} {{size}}", "{{piece}} {role}"]' for role in roles]
    (here / "nest.toml").write_text("[layers]\n" + "\n".join(lines) + "\n")
    return ["nest.svg", "--convention", "nest.toml"]


def test_a_nest_is_adjusted_size_by_size(svgfit, refused, nest):
    done = svgfit("adjust", *nest, "--do", SPREAD, "-o", "out.svg", "--json")
    assert done.status == 0, done.err
    report = json.loads(done.out)
    assert [step["piece"] for step in report["steps"]] == ["Sleeve (M)", "Sleeve (L)"]
    assert {(row["name"], row["size"]) for row in report["pieces"]} >= {("Sleeve", "M"), ("Sleeve", "L")}
    one = json.loads(svgfit("adjust", *nest, "--do", SPREAD, "-o", "l.svg", "--size", "l", "--json").out)
    assert [step["piece"] for step in one["steps"]] == ["Sleeve (L)"]
    assert "the sizes here are M, L" in refused("measure", *nest, "--size", "XS")


@pytest.mark.parametrize("words", [["measure"], ["check"], ["adjust", "--do", SPREAD, "-o", "out.svg"]])
def test_before_a_refusal_stands_what_may_have_led_to_it(svgfit, here, words):
    whole = (here / "smock.svg").read_text()
    stitch = whole.index(' d="', whole.index('inkscape:label="Sleeve stitch line"'))
    end = whole.index('"', stitch + 4)
    line = whole.count("\n", 0, whole.index(">", end)) + 1
    (here / "broken.svg").write_text(whole[: end - 60] + " nonsense" + whole[end:])
    command, *more = words
    done = svgfit(command, "broken.svg", *more)
    *warnings, refusal = done.err.splitlines()
    assert done.status == 2
    assert "gap" in refusal
    assert not refusal.startswith("svgfit: warning")
    (told,) = (text for text in warnings if "nonsense" in text)
    assert told.startswith(f"svgfit: warning: broken.svg: line {line}: path ")
    assert svgfit(command, "broken.svg", *more, "--quiet").err.splitlines() == [refusal]


@pytest.fixture
def large_nest(here):
    """The smock's sleeve five times, in sizes that grow by 4 per cent; a plug-in that breaks where it looks at two."""
    label = "{http://www.inkscape.org/namespaces/inkscape}label"
    tree = etree.parse("smock.svg")
    groups = [group for group in tree.getroot() if (group.get(label) or "").startswith("Sleeve ")]
    for group in list(tree.getroot()):
        if group.get(label):
            tree.getroot().remove(group)
    for k, size in enumerate("ABCDE"):
        layer = etree.SubElement(tree.getroot(), "{http://www.w3.org/2000/svg}g")
        layer.set(label, f"size {size}")
        layer.set("{http://www.inkscape.org/namespaces/inkscape}groupmode", "layer")
        layer.set("transform", f"scale({1 + 0.04 * k})")
        for group in groups:
            copied = copy.deepcopy(group)
            for element in copied.iter():
                element.attrib.pop("id", None)
            layer.append(copied)
    tree.write("nest.svg")
    (here / "mine").mkdir()
    (here / "mine" / "recognise_odd.py").write_text("""
from svgfit.plugin import Recogniser, hookimpl

def suits(piece):
    return 1 / (piece.size not in ("B", "C")) - 1

@hookimpl
def svgfit_recognisers():
    return [Recogniser("odd", ("odd",), suits, print)]
""")
    (here / "nest.toml").write_text('unit = "in"\n')
    (here / "refused.toml").write_text('[pieces.Sleeve]\nkind = "collar"\n')
    return ["nest.svg", "--plugins", "mine", "--convention"]


@pytest.mark.slow
def test_side_by_side_all_is_as_in_turn(svgfit, here, large_nest, monkeypatch):
    from svgfit.app import process_pool

    words = ["adjust", *large_nest, "nest.toml", "--do", SPREAD, "-o", "out.svg", "--force", "--report", "out.json"]
    found = []
    for processors in (1, 2, 3):
        monkeypatch.setattr(process_pool, "_workers", lambda count=processors: count)
        done = svgfit(*words)
        refusal = svgfit("measure", *large_nest, "refused.toml")
        found.append((done, (here / "out.svg").read_bytes(), (here / "out.json").read_bytes(), refusal))
    assert found[0] == found[1] == found[2]
    done, _, report, refusal = found[0]
    assert done.status in (0, 1), done.err
    assert [row["size"] for row in json.loads(report)["pieces"]] == list("ABCDE")
    failing = [line for line in done.err.splitlines() if "recognise-odd" in line]
    assert ["(B, C)" in line for line in failing] == [True]
    assert "(A): no kind of piece is called 'collar'" in refusal.err


def test_a_dry_run_writes_nothing(svgfit, here):
    before = sorted(os.listdir(here))
    done = svgfit("adjust", "smock.svg", "--do", SPREAD, "--dry-run", "-o", "out.svg", "--report", "out.json")
    assert done.status == 0
    assert "nothing written" in done.out
    assert sorted(os.listdir(here)) == before


def test_gzip_out_if_gzip_in(svgfit, here):
    (here / "smock.svgz").write_bytes(gzip.compress((here / "smock.svg").read_bytes()))
    assert svgfit("adjust", "smock.svgz", "--do", SPREAD, "-o", "a.svgz").status == 0
    svgfit("adjust", "smock.svg", "--do", SPREAD, "-o", "a.svg")
    packed = (here / "a.svgz").read_bytes()
    assert packed[4:8] == b"\0\0\0\0"
    assert gzip.decompress(packed).count(b"data-svgfit-layer") == 3


def test_several_drawings_make_one_set_and_go_to_a_folder(svgfit, here):
    whole = (here / "smock.svg").read_text()
    (here / "bodice.svg").write_text(whole.replace("Sleeve ", "old "))
    (here / "sleeve.svg").write_text(whole.replace("Front ", "old ").replace("Back ", "old "))
    done = svgfit("adjust", "bodice.svg", "sleeve.svg", "--do", SPREAD, "-o", "out", "--json")
    assert done.status == 0
    assert sorted(os.listdir(here / "out")) == ["bodice.svg", "sleeve.svg"]
    rows = {row["name"]: row for piece in json.loads(done.out)["pieces"] for row in piece["measurements"]}
    assert "cap ease" in rows
    (here / "deeper").mkdir()
    (here / "deeper" / "sleeve.svg").write_text("x")
    again = svgfit("adjust", "sleeve.svg", "deeper/sleeve.svg", "--do", SPREAD, "-o", "out2")
    assert "has the same name" in again.err
    assert not (here / "out2").exists()


def test_a_failed_check_is_written_and_status_1(svgfit, here):
    check = "seam-check a=Sleeve/cap b=Front/armhole+Back/armhole"
    done = svgfit("adjust", "smock.svg", "--do", check, "-o", "out.svg")
    assert done.status == 1
    assert (here / "out.svg").exists()
    assert "fail" in done.out


def test_quiet_says_nothing(svgfit, here):
    done = svgfit("adjust", "smock.svg", "--do", SPREAD, "-o", "out.svg", "--quiet")
    assert (done.status, done.out, done.err) == (0, "", "")


# -- refusing ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("out", "more", "said"),
    [
        ("smock.svg", [], "is one of the files read"),
        ("smock.svg", ["--force"], "is one of the files read"),
        ("link.svg", ["--force"], "is one of the files read"),
        ("hard.svg", ["--force"], "is one of the files read"),
        ("there.svg", [], "exists already; give another name, or --force"),
        ("folder", ["--force"], "is a folder, and one drawing is written to a file; write for example -o folder"),
        ("nowhere/out.svg", [], "there is no such folder"),
        ("out.svg", ["--report", "there.svg"], "there.svg: exists already"),
        ("out.svg", ["--report", "smock.svg", "--force"], "smock.svg: is one of the files read"),
        ("out.svg", ["--report", "out.svg", "--force"], "out.svg"),
    ],
)
def test_nothing_of_anyones_is_overwritten(refused, here, out, more, said):
    os.symlink("smock.svg", here / "link.svg")
    os.link(here / "smock.svg", here / "hard.svg")
    (here / "there.svg").write_text("mine")
    (here / "folder").mkdir()
    before = {name: (here / name).read_bytes() for name in os.listdir(here) if (here / name).is_file()}
    assert said in refused("adjust", "smock.svg", "--do", SPREAD, "-o", out, *more)
    assert {name: (here / name).read_bytes() for name in os.listdir(here) if (here / name).is_file()} == before


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"hello", "is not an SVG drawing"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' width='10mm'", "x.svg"),
        (
            b"<svg xmlns='http://www.w3.org/2000/svg' width='10mm' height='10mm' viewBox='0 0 10 10'><g id='a'>",
            "cut off",
        ),
        (
            b"<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm' viewBox='0 0 9 9'>"
            b"<g id='coat'><path d='M0 0h1'/></g></svg>",
            'the layers here are "coat"',
        ),
    ],
)
@pytest.mark.parametrize("command", ["inspect", "measure", "check", "adjust"])
def test_bad_drawings_get_one_line(refused, svgfit, here, command, content, said):
    (here / "x.svg").write_bytes(content)
    more = ["--do", SPREAD, "-o", "out.svg"] if command == "adjust" else []
    assert said in refused(command, "x.svg", *more)
    assert not (here / "out.svg").exists()


@pytest.mark.parametrize(
    ("step", "said"),
    [
        ("cap-rais amount=1in", "did you mean cap-raise?"),
        ("cap-raise amout=1in", "did you mean amount?"),
        ("cap-raise amount=1", "'1' has no unit"),
        ("cap-raise amount=lots", "'lots' is not a length"),
        ("cap-raise", "amount or height must be given"),
        ("cap-raise piece=Cuff amount=1in", "there is no piece 'Cuff'"),
        ("cap-raise piece=Front amount=1in", "Front is a front"),
        ("seam-check a=Sleeve/cap b=Front/armholes", "did you mean Front/armhole?"),
    ],
)
def test_bad_steps_write_nothing(refused, here, step, said):
    assert said in refused("adjust", "smock.svg", "--do", step, "-o", "out.svg")
    assert not (here / "out.svg").exists()


def test_missing_and_doubled_files(refused, here):
    assert "nope.svg: there is no such file" in refused("measure", "nope.svg")
    assert "is given twice" in refused("measure", "smock.svg", "./smock.svg")
    (here / "two.svg").write_bytes((here / "smock.svg").read_bytes())
    assert "is there twice, in smock.svg and in two.svg" in refused("measure", "smock.svg", "two.svg")


def test_a_failed_dialect_is_told_before_the_refusal_it_may_have_led_to(svgfit, here):
    (here / "mine").mkdir()
    (here / "mine" / "dialect_mine.py").write_text("1/0")
    (here / "x.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm' viewBox='0 0 9 9'/>")
    done = svgfit("measure", "x.svg", "--plugins", "mine")
    assert done.status == 2
    first, second = done.err.splitlines()
    assert "warning: plug-in dialect-mine" in first
    assert "x.svg" in second


def test_a_dialect_that_breaks_on_a_drawing_is_passed_over(svgfit, here):
    (here / "mine").mkdir()
    (here / "mine" / "dialect_mine.py").write_text(
        "from svgfit.plugin import Dialect, hookimpl\n"
        "@hookimpl\ndef svgfit_dialects(): return [Dialect('mine', 1, lambda root: True, lambda element: 1 / 0)]\n"
    )
    done = svgfit("measure", "smock.svg", "--plugins", "mine", "--json")
    assert done.status == 0
    assert "dialect_mine.py" in done.err
    assert len(json.loads(done.out)["pieces"]) == 3


OPEN = """<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="700mm" viewBox="0 0 600 700">
<g id="Sleeve_stitch_line"><path d="M 478,200 C 380,200 410,60 300,60 C 190,60 228,200 130,200 L 180,630 L 420,630
 L 447,430 M 449,415 L 478,200"/></g>
<g id="Sleeve_grain"><path d="M300 100V500"/></g>
<g id="Sleeve_notches"><path d="M398 140l8 3"/><path d="M200 145l-8 3"/><path d="M205 135l-8 3"/></g></svg>"""


def test_an_open_outline_is_told_with_gap_and_place_and_can_be_trued(svgfit, refused, here):
    (here / "open.svg").write_text(OPEN)
    done = svgfit("inspect", "open.svg")
    assert done.status == 0
    assert "gap of 5/8 in at x 17 5/8 in, y 16 15/16 in of the page" in done.err
    for command in (["measure"], ["check"], ["adjust", "--do", "cap-raise amount=5mm", "-o", "new.svg"]):
        assert "gap of 5/8 in at x 17 5/8 in, y 16 15/16 in of the page" in refused(
            command[0], "open.svg", *command[1:]
        )
    assert not (here / "new.svg").exists()
    steps = ["--do", "edge-blend edge='underarm front'", "--do", "cap-raise amount=5mm"]
    done = svgfit("adjust", "open.svg", *steps, "-o", "new.svg")
    assert done.status == 0, done.err


@pytest.mark.parametrize(
    ("words", "mistake"),
    [
        (("adjust", "smock.svg", "--do", "cap-rise amount=1in"), "cap-raise"),
        (("adjust", "smock.svg", "--plan", "none.toml"), "none.toml"),
        (("adjust", "none.svg", "--do", "cap-raise amount=1in"), "none.svg"),
        (("walk", "none.svg"), "none.svg"),
        (("plot", "none.svg"), "none.svg"),
        (("handout", "none.svg"), "none.svg"),
        (("handout", "smock.svg", "--paper", "lettre"), "did you mean letter?"),
        (("handout", "smock.svg", "--size", "99"), "there is no size 99"),
        (("handout", "smock.svg", "--pieces", "sleve"), "did you mean Sleeve?"),
    ],
)
def test_an_output_that_exists_hides_no_other_mistake(words, mistake, refused, here) -> None:
    there = here / ("there.pdf" if words[0] == "handout" else "there.svg")
    there.write_bytes(b"mine")
    assert mistake in refused(*words, "-o", there.name)
    assert there.read_bytes() == b"mine"
