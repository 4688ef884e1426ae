from __future__ import annotations

import os
import sys
from concurrent.futures import ThreadPoolExecutor
from threading import Event

import pytest

from svgfit.model.refusal import Refusal
from svgfit.plugin.registry import open_registry

PLAN_WORDS = ("do", "piece", "when", "note", "include")
DIALECT = """
from svgfit.plugin import Dialect, hookimpl

@hookimpl
def svgfit_dialects():
    return [Dialect({name!r}, {order}, lambda root: {speaks}, lambda element: None)]
"""
MEASURE = """
from svgfit.plugin import Measurement, Measurer, hookimpl

@hookimpl
def svgfit_measurers():
    return [Measurer("wrist", ("sleeve",), lambda piece: {value})]
"""


def statuses(registry):
    return {plugin.source.name: plugin.status for plugin in registry.all()}


def test_running_one_operation_imports_only_its_file(folder, operation_text, empty_stock):
    made = folder(cap_tuck=operation_text("cap-tuck"), other="raise RuntimeError('imported without need')")
    registry = open_registry([made], stock=empty_stock)
    before = set(sys.modules)
    assert registry.operation("Cap_Tuck").name == "cap-tuck"
    new = {name for name in set(sys.modules) - before if name.startswith("svgfit_plugin:")}
    assert len(new) == 1
    assert new.pop().endswith("cap_tuck.py")


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("def broken(:\n    pass", "SyntaxError"),
        ("import sys\nsys.exit(4)", "SystemExit: 4 (line 2)"),
        ("x = 1\n\nraise ValueError('no wool')", "ValueError: no wool (line 3)"),
        ("import nothing_of_that_name", "nothing_of_that_name"),
        ("x = 1", "supplies nothing"),
        ("from svgfit.plugin import nonsense", "nonsense"),
        (
            "from svgfit.plugin import hookimpl\n@hookimpl\ndef svgfit_operation():\n    return []",
            "there is no hook svgfit_operation",
        ),
        (
            "from svgfit.plugin import hookimpl\n@hookimpl\ndef svgfit_operations():\n    return None",
            "gives back nothing",
        ),
        ("from svgfit.plugin import hookimpl\n@hookimpl\ndef svgfit_operations():\n    return 3", "gives back a int"),
        ("from svgfit.plugin import hookimpl\n@hookimpl\ndef svgfit_operations():\n    return [3]", "a int in it"),
        (
            "from svgfit.plugin import hookimpl\n@hookimpl\ndef svgfit_operations():\n    return []",
            "gives back nothing",
        ),
        (
            "from svgfit.plugin import hookimpl\n@hookimpl\ndef svgfit_dialects():\n    return []",
            "svgfit_dialects gives back nothing",
        ),
        ("raise RecursionError('deep')", "RecursionError"),
    ],
)
def test_a_bad_plug_in_is_failed_with_its_reason_and_the_others_stand(folder, operation_text, empty_stock, text, why):
    made = folder(bad_one=text, cap_tuck=operation_text("cap-tuck"))
    registry = open_registry([made], stock=empty_stock)
    found = statuses(registry)
    assert found["cap-tuck"] == "ok"
    assert found["bad-one"].startswith("failed: ")
    assert why in found["bad-one"]
    assert "\n" not in found["bad-one"]
    with pytest.raises(Refusal) as refused:
        registry.operation("bad-one")
    assert why in refused.value.line()
    assert "bad_one.py" in refused.value.line()


@pytest.mark.parametrize(
    ("parameters", "more", "why"),
    [
        ("(Parameter('by', 'lenght', 'x'),)", "", "is of kind 'lenght'"),
        ("(Parameter('by', 'length', 'x', '3'),)", "", "default of parameter by can't be read"),
        *((f"(Parameter('{word}', 'text', 'x'),)", "", f"{word!r}: that is a word of the plan") for word in PLAN_WORDS),
        ("(Parameter('by', 'length', 'x', also=('when',)),)", "", "'when': that is a word of the plan"),
        ("(Parameter('By', 'text', 'x'),)", "", "small letters"),
        ("(Parameter('by', 'number', 'x', choices=('1', '2')),)", "", "for a text only"),
        ("(Parameter('by', 'text', 'x', choices='yes'),)", "", "a list of words"),
        ("(Parameter('by', 'text', 'x', 'no', choices=('yes',)),)", "", "none of its choices"),
        ("(Parameter('by', 'text', 'x'), Parameter('by', 'text', 'x'))", "", "there twice"),
        ("(Parameter('by', 'length', 'x', minimum=2.0, maximum=1.0),)", "", "minimum is above"),
        ("(Parameter('by', 'length', 'x', also='far'),)", "", "older names are not a list"),
        ("(Parameter('by', 'length', 'x'), Parameter('to', 'length', 'x', also=('by',)))", "", "by is there twice"),
        ("(Parameter('by', 'length', 'x'),)", ", one_of=(('by', 'too'),)", "'too', which is not a parameter"),
        ("(Parameter('by', 'length', 'x', '1 in'),)", ", one_of=(('by',),)", "has a default"),
    ],
)
def test_what_an_operation_says_of_itself_is_checked(folder, operation_text, empty_stock, parameters, more, why):
    registry = open_registry([folder(cap_tuck=operation_text("cap-tuck", parameters, more))], stock=empty_stock)
    assert why in statuses(registry)["cap-tuck"]


def test_name_and_file_must_agree_but_for_hyphens(folder, operation_text, empty_stock):
    made = folder(cap_tuck=operation_text("cap-tuck"), hem_drop=operation_text("drop-hem"))
    found = statuses(open_registry([made], stock=empty_stock))
    assert found["cap-tuck"] == "ok"
    assert "named 'drop-hem'" in found["hem-drop"]


def test_an_unknown_name_is_refused_with_the_nearest_and_the_list(folder, operation_text, empty_stock):
    made = folder(cap_tuck=operation_text("cap-tuck"), zip=operation_text("zip"), zap="")
    registry = open_registry([made], stock=empty_stock)
    with pytest.raises(Refusal, match="did you mean cap-tuck") as refused:
        registry.operation("cap-tuk")
    assert "cap-tuck, zip" in refused.value.line()


def test_two_of_one_name_are_an_error_that_names_both_whatever_the_order(folder, operation_text, empty_stock):
    first, second = (
        folder("one", cap_tuck=operation_text("cap-tuck")),
        folder("two", Cap_tuck=operation_text("cap-tuck")),
    )
    lines = set()
    for folders in ([first, second], [second, first]):
        registry = open_registry(folders, stock=empty_stock)
        with pytest.raises(Refusal) as refused:
            registry.operation("cap-tuck")
        lines.add(refused.value.line())
        assert all("failed: the name is there 2 times" in status for status in statuses(registry).values())
    (line,) = lines
    assert "one/cap_tuck.py" in line.replace("\\", "/")
    assert "two/Cap_tuck.py" in line.replace("\\", "/")


def test_one_of_two_can_be_switched_off(folder, operation_text, empty_stock):
    first, second = (
        folder("one", cap_tuck=operation_text("cap-tuck")),
        folder("two", cap_tuck=operation_text("cap-tuck")),
    )
    registry = open_registry([first, second], stock=empty_stock, without=[f"folder {first}:cap-tuck"])
    assert registry.source("cap-tuck").file.startswith(second)
    assert sorted(plugin.status for plugin in registry.all()) == ["off", "ok"]


def test_switched_off_and_unknown_names(folder, operation_text, empty_stock):
    made = folder(cap_tuck=operation_text("cap-tuck"))
    registry = open_registry([made], stock=empty_stock, without=["cap_tuck"])
    with pytest.raises(Refusal, match="is switched off"):
        registry.operation("cap-tuck")
    with pytest.raises(Refusal, match="--without: there is no plug-in 'cap-tusk'; did you mean cap-tuck"):
        open_registry([made], stock=empty_stock, without=["cap-tusk"])


def test_dialects_come_in_their_order_not_that_of_loading(folder, empty_stock):
    made = folder(
        dialect_a=DIALECT.format(name="late", order=50, speaks=True),
        dialect_b=DIALECT.format(name="early", order=1, speaks=True),
        dialect_c="1 / 0",
    )
    registry = open_registry([made], stock=empty_stock)
    assert [dialect.name for dialect in registry.dialects()] == ["early", "late"]
    (warning,) = registry.warnings
    assert "dialect_c.py" in warning
    assert "ZeroDivisionError" in warning


def test_two_dialects_of_one_name_are_refused(folder, empty_stock):
    texts = {f"dialect_{k}": DIALECT.format(name="same", order=k, speaks=True) for k in (1, 2)}
    with pytest.raises(Refusal, match=r"'same' is there twice: .*dialect_1.py and .*dialect_2.py"):
        open_registry([folder(**texts)], stock=empty_stock).dialects()


def test_a_measurer_that_breaks_is_a_warning(folder, empty_stock, make_piece):
    made = folder(measure_wrist=MEASURE.format(value="[Measurement('wrist', 1 / 0)]"))
    registry = open_registry([made], stock=empty_stock)
    (measurer,) = registry.measurers()
    assert measurer.measure(make_piece()) == ()
    (warning,) = registry.warnings
    assert "measure_wrist.py" in warning
    assert "division by zero" in warning


def test_what_a_plug_in_prints_goes_to_stderr_where_a_program_asks_for_it(folder, operation_text, empty_stock, capsys):
    made = folder(cap_tuck="print('hello')\n" + operation_text("cap-tuck"))
    open_registry([made], stock=empty_stock, to_stderr=True).operation("cap-tuck")
    assert capsys.readouterr() == ("", "hello\n")


def test_a_library_leaves_stdout_alone(folder, operation_text, empty_stock, capsys):
    open_registry([folder(cap_tuck="print('hello')\n" + operation_text("cap-tuck"))], stock=empty_stock).operation(
        "cap-tuck"
    )
    assert capsys.readouterr() == ("hello\n", "")


def test_threads_with_registries_of_their_own_load_one_file_each_for_itself(folder, operation_text, empty_stock):
    slow = "import time\ntime.sleep(0.02)\nfrom msgspec import Struct\nclass Own(Struct):\n    a: 'int' = 0\n"
    made = folder(**{f"cap_tuck_{k}": slow + operation_text(f"cap-tuck-{k}") for k in range(4)})
    names = [f"cap-tuck-{k}" for k in range(4)]

    def load(_):
        registry = open_registry([made], stock=empty_stock)
        return [registry.operation(name).name for name in names], registry.warnings

    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(load, range(16))) == [(names, ())] * 16


def test_threads_that_share_a_registry_load_each_plug_in_once(folder, operation_text, empty_stock):
    registry = open_registry(
        [folder(cap_tuck="import time\ntime.sleep(0.05)\n" + operation_text("cap-tuck"))], stock=empty_stock
    )
    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(lambda _: registry.operation("cap-tuck"), range(8)))
    assert all(one is found[0] for one in found)


def test_what_one_thread_overhears_another_does_not(folder, empty_stock):
    registry = open_registry([folder()], stock=empty_stock)
    inside, told = Event(), Event()

    def listen():
        with registry.collecting_warnings() as found:
            inside.set()
            told.wait(5)
            registry.warn("mine")
        return dict(found)

    with ThreadPoolExecutor(1) as pool:
        listening = pool.submit(listen)
        inside.wait(5)
        registry.warn("theirs")
        told.set()
        assert listening.result() == {"mine": None}
    assert registry.warnings == ("theirs",)


def test_registries_share_nothing(folder, operation_text, empty_stock):
    made = folder(cap_tuck=operation_text("cap-tuck"))
    first, second = open_registry([made], stock=empty_stock), open_registry([made], stock=empty_stock)
    assert first.operation("cap-tuck") is not second.operation("cap-tuck")
    assert first.operation("cap-tuck") is first.operation("cap-tuck")


def test_an_entry_point_supplies_an_operation(tmp_path, operation_text, monkeypatch):
    site = tmp_path / "site"
    (site / "tuckpack-2.0.dist-info").mkdir(parents=True)
    (site / "tuckpack-2.0.dist-info" / "entry_points.txt").write_text("[svgfit]\ncap-tuck = tuckpack.ops\n")
    (site / "tuckpack").mkdir()
    (site / "tuckpack" / "__init__.py").write_text("")
    (site / "tuckpack" / "ops.py").write_text(operation_text("cap-tuck"))
    monkeypatch.syspath_prepend(str(site))
    registry = open_registry()
    assert registry.operation("cap-tuck").summary == "Does nothing."
    assert "package tuckpack (tuckpack.ops)" in registry.source("cap-tuck").where


def test_every_stock_plug_in_is_ok():
    assert set(statuses(open_registry()).values()) == {"ok"}


def test_a_file_changed_within_the_same_second_is_read_anew(tmp_path, monkeypatch):
    """Its bytecode would pass for that of the version before: same second, same length."""
    text = (
        "from svgfit.plugin import Operation, Outcome, hookimpl\n@hookimpl\ndef svgfit_operations():\n"
        "    return [Operation('turn', '{}', (), lambda job: Outcome(pieces=job.pieces), kinds=('sleeve',))]\n"
    )
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    path = tmp_path / "turn.py"
    for said in ("One way.", "Another."):
        path.write_text(text.format(said), encoding="utf-8")
        os.utime(path, (path.stat().st_mtime // 1, path.stat().st_mtime // 1))
        assert open_registry([str(tmp_path)]).operation("turn").summary == said
