"""The dialogs are what the operations declare: nothing more, nothing less, and the same each time."""

from __future__ import annotations

from lxml import etree

from svgfit.model.length import both_ways_text
from svgfit.model.operation import Operation, Outcome, Parameter
from svgfit.plugin.values import READERS
from svgfit.render.annotate.tables import CAUTIONS
from svgfit.render.inkscape.dialogs import DO, ENDS, HANDOUT, PLAN, menu_files
from svgfit.render.inkscape.inx import MARK, MENU
from svgfit.render.inkscape.launcher import LAUNCHER
from tests.render.inkscape.conftest import PRINTING, START

INX = "{http://www.inkscape.org/namespace/inkscape/extension}"


def dialog(files: dict[str, str], asks: str) -> etree._Element:
    return etree.fromstring(files[f"svgfit.{asks}.inx"].encode())


def fields(root: etree._Element, start: str) -> dict[str, etree._Element]:
    return {
        param.get("name").removeprefix(start): param
        for param in root.iter(f"{INX}param")
        if param.get("name").startswith(start)
    }


def labels(root: etree._Element) -> str:
    return "\n".join(label.text for label in root.iter(f"{INX}label"))


def filled(param: etree._Element) -> str:
    """What the dialog hands over when nobody touches the field; "" where it hands over nothing."""
    option = param.find(f"{INX}option")
    return (param.text or "") if option is None else option.get("value")


def test_every_operation_has_a_dialog_and_so_have_plan_ends_and_handout(operations, files):
    names = {f"{DO}{operation.name}" for operation in operations} | {PLAN, ENDS, HANDOUT}
    assert len(operations) >= 9
    assert set(files) == {f"svgfit.{name}.inx" for name in names} | {LAUNCHER}


def test_its_parameters_are_exactly_the_declared_ones_in_their_order(operations, files):
    for operation in operations:
        declared = [item.name for item in operation.parameters]
        assert list(fields(dialog(files, f"{DO}{operation.name}"), "step-")) == declared


def test_what_it_hands_over_untouched_is_the_declared_default_and_can_be_read(operations, files):
    for operation in operations:
        shown = fields(dialog(files, f"{DO}{operation.name}"), "step-")
        for item in operation.parameters:
            assert filled(shown[item.name]) == (item.default or "")
            assert item.default is None or READERS[item.kind](filled(shown[item.name])) is not None


def test_every_meaning_limit_and_what_holds_when_left_empty_can_be_read(operations, files):
    for operation in operations:
        root = dialog(files, f"{DO}{operation.name}")
        said = labels(root)
        assert root.findtext(f"{INX}effect/{INX}menu-tip") == operation.summary
        for item in operation.parameters:
            assert item.meaning in said
            assert (item.default or both_ways_text(item.default_text)) in said
            assert item.minimum is None or f"{item.minimum:g}" in said


def test_an_operation_that_works_on_a_piece_asks_for_it_and_another_does_not(operations, files):
    for operation in operations:
        asked = "piece" in fields(dialog(files, f"{DO}{operation.name}"), "svgfit-")
        assert asked == bool(operation.kinds)


def test_where_one_of_several_must_be_given_the_dialog_says_so(files):
    assert "Fill in one of: amount, height." in labels(dialog(files, f"{DO}cap-raise"))
    assert "Must be filled in: width." in labels(dialog(files, f"{DO}seam-allowance"))


def test_choices_are_offered_with_what_holds_untouched_first(files):
    how = fields(dialog(files, f"{DO}bicep-widen"), "step-")["how"]
    assert [option.get("value") for option in how] == ["height", "cap-length", "underarm", "hem"]
    by = fields(dialog(files, f"{DO}armhole-adjust"), "step-")["by"]
    assert [(option.get("value"), option.text) for option in by] == [
        ("", "left out: lower"),
        ("lower", "lower"),
        ("scoop", "scoop"),
    ]


def test_every_dialog_says_which_layers_it_needs_how_lengths_are_written_and_what_to_mind(files):
    for name, text in files.items():
        if name != LAUNCHER:
            said = labels(etree.fromstring(text.encode()))
            assert all(caution in said for caution in CAUTIONS)
            for words in ('"Sleeve stitch line"', '"Sleeve cut line"', '"test square"', "svgfit.toml", "12 mm"):
                assert words in said


def test_all_stand_in_one_menu_under_names_of_their_own_without_a_preview(files):
    roots = [etree.fromstring(text.encode()) for name, text in files.items() if name != LAUNCHER]
    assert {root.find(f".//{INX}submenu").get("name") for root in roots} == {MENU}
    for part in ("name", "id"):
        assert len({root.findtext(f"{INX}{part}") for root in roots}) == len(roots)
    assert all(root.find(f"{INX}effect").get("needs-live-preview") == "false" for root in roots)


def test_ends_and_papers_are_those_that_are_there(files):
    assert list(fields(dialog(files, ENDS), "end-")) == ["bicep-width", "cap-ease"]
    paper = fields(dialog(files, HANDOUT), "svgfit-")["paper"]
    assert [option.get("value") for option in paper] == ["a4", "letter", "a4+letter"]


def test_a_plug_in_s_operation_shows_up_whatever_it_is_called_or_says():
    odd = Operation(
        "pleat",
        "Lays <pleats> & \"tucks\" in 'ä'.",
        (Parameter("id", "length", 'wide as "x" < y', default="1/2 in"), Parameter("page", "number", "n")),
        lambda job: Outcome(job.pieces),
    )
    files = menu_files([odd], (), PRINTING, START)
    root = dialog(files, f"{DO}pleat")
    assert root.findtext(f"{INX}effect/{INX}menu-tip") == odd.summary
    assert {name: filled(param) for name, param in fields(root, "step-").items()} == {"id": "1/2 in", "page": ""}


def test_every_file_carries_the_mark_and_is_the_same_each_time(operations, files):
    assert all(MARK in text for text in files.values())
    assert menu_files(operations, ("bicep width", "cap ease"), PRINTING, START) == files


def test_the_launcher_is_plain_python_and_names_the_python_that_wrote_it(files):
    compile(files[LAUNCHER], LAUNCHER, "exec")
    assert files[LAUNCHER].isascii()
    assert "PYTHON = '/opt/svgfit/bin/python'" in files[LAUNCHER]
