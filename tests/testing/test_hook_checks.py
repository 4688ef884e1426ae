"""``check_plugin`` tries every hook: for each a plug-in that breaks its contract is told; sound ones pass."""

from __future__ import annotations

from pathlib import Path

import pytest

from svgfit import testing

ROOT = Path(__file__).parents[2]
STOCK = sorted((ROOT / "plugins").glob("*/*.py"))
EXAMPLES = sorted((ROOT / "docs" / "examples" / "plugins").glob("*.py"))
HEAD = """
import itertools
from svgfit.plugin import (
    AllowanceRule, Check, Checker, Dialect, EaseRule, GarmentMeasurer, Instructions, LayerFacts, LineKind, MatchingRule,
    Measurement, Measurer, Operation, Outcome, Parameter, Recogniser, Seam, SeamFinder, formats, hookimpl, recognising,
    replace, swap,
)
turn = itertools.count()

def broken(*_):
    return 1 / 0

"""
HOOK = "@hookimpl\ndef {hook}():\n    return [{record}]\n"
CHALK = "LineKind('{}', 'chalk', '#CC79A7', 0.6, (5.0, 1.0, 1.0, 1.0, 1.0, 1.0))"
RAISE = """
def run(job):
    edges = tuple(replace(edge, allowance=20.0) for edge in job.piece.edges)
    return Outcome(swap(job.pieces, replace(job.piece, edges=edges)))

"""
OPERATION = "Operation('wide', 'Widens.', (), run, kinds=('sleeve',), instructions=Instructions(words={}))"
ZERO = "ZeroDivisionError"
BROKEN: dict[str, tuple[str, str, str]] = {
    "dialect-speaks": ("svgfit_dialects", "Dialect('x', 900, broken, lambda one: None)", ZERO),
    "dialect-layer": ("svgfit_dialects", "Dialect('x', 900, lambda root: True, broken)", ZERO),
    "dialect-text": ("svgfit_dialects", "Dialect('x', 900, lambda root: True, lambda one: 'a')", "not LayerFacts"),
    "dialect-extra": (
        "svgfit_dialects",
        "Dialect('x', 900, lambda root: True, lambda one: None, extra=broken)",
        ZERO,
    ),
    "dialect-writes": (
        "svgfit_dialects",
        "Dialect('x', 900, lambda root: True, lambda one: one.set('class', str(next(turn))))",
        "dialect x, band.svg: it changes the drawing",
    ),
    "dialect-wavers": (
        "svgfit_dialects",
        "Dialect('x', 900, lambda root: True, lambda one: LayerFacts(str(next(turn))))",
        "asked twice, it does not give the same",
    ),
    "recogniser-suits": ("svgfit_recognisers", "Recogniser('x', ('cuff',), lambda drawn: 2.0, broken)", "not 0 .no."),
    "recogniser-throws": ("svgfit_recognisers", "Recogniser('x', ('cuff',), lambda drawn: 1.0, broken)", ZERO),
    "recogniser-by-name": (
        "svgfit_recognisers",
        "Recogniser('x', ('cuff',), lambda drawn: float(drawn.name == 'Cuff'), broken)",
        ZERO,
    ),
    "recogniser-nothing": (
        "svgfit_recognisers",
        "Recogniser('x', ('cuff',), lambda drawn: 1.0, lambda drawn: None)",
        "not a Piece",
    ),
    "measurer-any": ("svgfit_measurers", "Measurer('x', ('any',), broken)", ZERO),
    "measurer-nan": (
        "svgfit_measurers",
        "Measurer('x', ('any',), lambda piece: [Measurement('x', float('nan'))])",
        "'x' is nan",
    ),
    "measurer-wavers": (
        "svgfit_measurers",
        "Measurer('x', ('any',), lambda piece: [Measurement('x', float(next(turn)))])",
        "measurer x, Sleeve: asked twice, it does not give the same",
    ),
    "measurer-prints": (
        "svgfit_measurers",
        "Measurer('x', ('any',), lambda piece: print('wide') or [Measurement('x', 1.0)])",
        "it prints: wide",
    ),
    "garment-measurer": ("svgfit_measurers", "GarmentMeasurer(name='x', measure=broken)", ZERO),
    "garment-measurer-alone": (
        "svgfit_measurers",
        "GarmentMeasurer(name='x', measure=lambda subject: "
        "[Measurement('x', float(len(subject.named('Front').edges)))])",
        "there is no piece 'Front'",
    ),
    "garment-measurer-unit": (
        "svgfit_measurers",
        "GarmentMeasurer(name='x', measure=lambda subject: [Measurement('x', 1.0, 'ell')])",
        "'ell'",
    ),
    "check-piece": ("svgfit_checks", "Checker(name='x', of='piece', check=broken)", ZERO),
    "check-seam": ("svgfit_checks", "Checker(name='x', of='seam', check=broken)", ZERO),
    "check-garment": ("svgfit_checks", "Checker(name='x', of='garment', check=broken)", ZERO),
    "check-status": (
        "svgfit_checks",
        "Checker(name='x', of='garment', check=lambda subject: [Check('x', 'maybe', 'so')])",
        "not pass, warn or fail",
    ),
    "check-wavers": (
        "svgfit_checks",
        "Checker(name='x', of='seam', check=lambda subject: [Check('x', 'pass', str(next(turn)))])",
        "asked twice, it does not give the same",
    ),
    "lines-alike": ("svgfit_line_kinds", f"{CHALK.format('a')}, {CHALK.format('b')}", "look alike where there is no"),
    "lines-twice": ("svgfit_line_kinds", f"{CHALK.format('a')}, {CHALK.format('a')}", "'a' is there twice"),
    "line-red": ("svgfit_line_kinds", "LineKind('x', 'x', 'red', 0.6, (9.0, 1.0))", "not one as #RRGGBB"),
    "seams-throw": ("svgfit_seams", "SeamFinder(name='x', find=broken)", ZERO),
    "seams-nowhere": (
        "svgfit_seams",
        "SeamFinder(name='x', find=lambda pieces: [Seam(((pieces[0].name, 'frill'),), ((pieces[0].name, 'hem'),))])",
        "a seam is at the edge 'frill'",
    ),
    "seams-contradict": (
        "svgfit_seams",
        "SeamFinder(name='x', find=lambda pieces: [Seam((('Sleeve', 'cap'),), (('Front', 'hem'),))] "
        "if len(pieces) > 1 else [])",
        "Sleeve/cap is sewn to Front/hem by plug-in seams-contradict",
    ),
    "rules-nonsense": ("svgfit_rules", "MatchingRule(careful=9.0, workable=1.0)", "the first is the smaller"),
    "rules-twice": ("svgfit_rules", "EaseRule('a', cap=(0.0, 1.0)), EaseRule('A', cap=(0.0, 2.0))", "is there twice"),
    "reader-greedy": (
        "svgfit_readers",
        "formats.Reader('x', ('.x',), lambda head: True, broken)",
        "it takes an empty file for its own",
    ),
    "reader-suits": ("svgfit_readers", "formats.Reader('x', ('.x',), broken, broken)", ZERO),
    "reader-throws": (
        "svgfit_readers",
        "formats.Reader('x', ('.x',), lambda head: head.startswith(b'PACK'), broken)",
        ZERO,
    ),
    "reader-text": (
        "svgfit_readers",
        "formats.Reader('x', ('.x',), lambda head: head.startswith(b'PACK'), lambda *_: 'svg')",
        "not Converted bytes",
    ),
    "reader-no-drawing": (
        "svgfit_readers",
        "formats.Reader('x', ('.x',), lambda head: head.startswith(b'PACK'), lambda *_: formats.Converted(b'<svg'))",
        "what it gives back can't be read",
    ),
    "writer-throws": ("svgfit_writers", "formats.Writer('x', '.x', broken)", ZERO),
    "writer-text": ("svgfit_writers", "formats.Writer('x', '.x', lambda drawing: 'text')", "not bytes"),
    "writer-wavers": (
        "svgfit_writers",
        "formats.Writer('x', '.x', lambda drawing: str(next(turn)).encode())",
        "does not give the same bytes",
    ),
    "wide": ("svgfit_operations", OPERATION.format("broken"), ZERO),
    "wide ": ("svgfit_operations", OPERATION.format("lambda facts: 'widen it'"), "not a Words record"),
}
"""By file name: the hook, its records, and what is told."""


@pytest.fixture
def plugin(tmp_path):
    def make(name: str, hook: str, record: str) -> Path:
        path = tmp_path / f"{name.strip().replace('-', '_')}.py"
        before = RAISE if hook == "svgfit_operations" else ""
        path.write_text(f"{HEAD}{before}{HOOK.format(hook=hook, record=record)}", encoding="utf-8")
        return path

    return make


@pytest.mark.parametrize("name", BROKEN)
def test_each_hook_is_tried_and_what_is_broken_is_told_in_a_line(name: str, plugin, tmp_path) -> None:
    hook, record, why = BROKEN[name]
    packed = tmp_path / "one.x"
    packed.write_bytes(b"PACK and so on")
    with pytest.raises(AssertionError, match=why) as told:
        testing.check_plugin(plugin(name, hook, record), files=[packed])
    lines = str(told.value).splitlines()
    assert 1 <= len(lines) <= 40
    assert all(line.strip() for line in lines)


SOUND = {
    "dialect-own": ("svgfit_dialects", "Dialect('x', 900, lambda root: True, lambda one: LayerFacts('a'))"),
    "line-chalk": ("svgfit_line_kinds", CHALK.format("a")),
    "rules-own": ("svgfit_rules", "EaseRule('a', cap=(0.0, 1.0)), AllowanceRule(edge='hem', width=20.0)"),
    "seams-own": ("svgfit_seams", "SeamFinder(name='x', find=lambda pieces: [])"),
    "check-own": ("svgfit_checks", "Checker(name='x', of='seam', check=lambda subject: [Check('x', 'pass', 'so')])"),
    "reader-own": (
        "svgfit_readers",
        "formats.Reader('x', ('.x',), lambda head: head.startswith(b'PACK'), lambda *_: formats.Converted("
        'b\'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">'
        '<g id="a cut line"><path d="M1,1H8V8Z"/></g></svg>\'))',
    ),
}


@pytest.mark.parametrize("name", SOUND)
def test_what_is_sound_passes(name: str, plugin, tmp_path) -> None:
    packed = tmp_path / "one.x"
    packed.write_bytes(b"PACK and so on")
    testing.check_plugin(plugin(name, *SOUND[name]), files=[packed])


def test_two_plug_ins_of_a_folder_that_give_one_rule_are_told(plugin, tmp_path) -> None:
    plugin("rules-one", "svgfit_rules", "AllowanceRule(edge='hem', width=20.0)")
    plugin("rules-two", "svgfit_rules", "AllowanceRule(edge='hem', width=30.0)")
    with pytest.raises(AssertionError, match=r"rule 'seam allowance of hem' is there twice: .*rules_one\.py and"):
        testing.check_plugin(tmp_path)


@pytest.mark.slow_after(8)
@pytest.mark.parametrize("path", [*EXAMPLES, *STOCK], ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_the_examples_and_svgfits_own_pass(path: Path) -> None:
    testing.check_plugin(path)
