"""The documentation says what the program does: made parts are as made, figures as measured, examples can be read.

That the commands run as printed is held by .ci/check_docs.py, which needs an installed svgfit.
"""

from __future__ import annotations

import ast
import importlib.util
import json
import re
import tomllib
from pathlib import Path

import pytest

from svgfit.app.body_sheet import read_body
from svgfit.app.prepared_steps import prepare
from svgfit.cli import main as svgfit
from svgfit.model.operation import Operation
from svgfit.model.plan import Plan
from svgfit.pattern.convention import builtin_convention, parse_convention
from svgfit.plugin.registry import open_registry

ROOT = Path(__file__).resolve().parent.parent
PAGES = [
    "README.md",
    "DEVELOPERS.md",
    *(path.relative_to(ROOT).as_posix() for path in sorted((ROOT / "docs").rglob("*.md"))),
]
EXAMPLES = ROOT / "docs" / "examples" / "plugins"
FENCE = re.compile(r"^```(\w+).*?\n(.*?)^```$", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")


def script(name: str):
    spec = importlib.util.spec_from_file_location(f"svgfit_docs_{name}", ROOT / "docs" / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def blocks(language: str) -> list:
    texts = {page: (ROOT / page).read_text(encoding="utf-8") for page in PAGES}
    return [
        pytest.param(found[2], id=f"{page}:{text[: found.start()].count(chr(10)) + 1}")
        for page, text in texts.items()
        for found in FENCE.finditer(text)
        if found[1] == language
    ]


@pytest.fixture(scope="module")
def made() -> dict[str, str]:
    return script("make_docs").pages()


@pytest.mark.slow
@pytest.mark.parametrize(
    "page",
    [
        "README.md",
        *(
            f"docs/{name}.md"
            for name in ("operations", "plugins", "reference", "report", "drawings", "body", "ease", "rules")
        ),
    ],
)
def test_made_parts_are_as_docs_make_docs_writes_them(made, page):
    """The README's are the tables of what a spread gains, measured again here."""
    assert (ROOT / page).read_text(encoding="utf-8") == made[page], "run python docs/make_docs.py"


@pytest.mark.slow
def test_the_builtin_convention_shown_is_the_builtin_convention(made):
    page = (ROOT / "docs" / "convention.md").read_text(encoding="utf-8")
    assert page == made["docs/convention.md"], "run python docs/make_docs.py"
    shown = next(found[2] for found in FENCE.finditer(page) if found[1] == "toml")
    assert dict(parse_convention(shown).layers) == dict(builtin_convention().layers)


@pytest.mark.slow
def test_every_dialect_says_for_people_what_it_reads(made):
    """No program without a row: what a plug-in declares is what the page says."""
    found = open_registry().dialects()
    rows = [line for line in made["docs/drawings.md"].splitlines() if line.startswith("| ")]
    assert len(found) >= 12
    for each in found:
        assert each.program
        assert each.named_by
        assert sum(line.startswith(f"| {each.program} | {each.named_by} |") for line in rows) == 1


@pytest.mark.parametrize("text", blocks("toml"))
def test_toml_examples_can_be_read(text, tmp_path):
    if "entry-points" in text:
        assert tomllib.loads(text)["project"]["entry-points"]["svgfit"]
    elif "[[person]]" in text:
        (tmp_path / "people.toml").write_text(text, encoding="utf-8")
        assert read_body(str(tmp_path / "people.toml")).people
    elif "[[step]]" in text or "[[ends]]" in text:
        (tmp_path / "plan.toml").write_text(text, encoding="utf-8")
        plan = Plan.read(str(tmp_path / "plan.toml"))
        needed = [str(ROOT / "docs" / "examples" / "plugins")] if 'of = "garment"' in text else []
        assert prepare(plan, open_registry(needed)) or plan.ends
    else:
        assert parse_convention(text) != builtin_convention()


@pytest.mark.parametrize("text", blocks("python"))
def test_python_examples_can_be_read(text):
    assert ast.parse(text).body


@pytest.mark.parametrize("page", PAGES)
def test_links_lead_somewhere(page):
    for target in LINK.findall((ROOT / page).read_text(encoding="utf-8")):
        if "://" not in target:
            assert (ROOT / page).parent.joinpath(target).exists(), target


@pytest.mark.parametrize("page", ["DEVELOPERS.md", "docs/glossary.md", "docs/rules.md"])
def test_files_that_are_named_are_there(page):
    """A whole path, or the end of one."""
    known = [f"/{path.relative_to(ROOT).as_posix()}" for path in ROOT.rglob("*.py")]
    named = re.findall(r"`([a-z_/.]+\.py)`", (ROOT / page).read_text(encoding="utf-8"))
    assert len(named) >= 15
    assert [name for name in named if not any(path.endswith(f"/{name}") for path in known)] == []


@pytest.mark.parametrize("page", PAGES)
def test_every_fence_is_closed(page):
    assert (ROOT / page).read_text(encoding="utf-8").count("\n```") % 2 == 0


@pytest.mark.slow
def test_pictures_show_what_the_demo_measures_now():
    drawn = script("draw_pictures")
    found = {stem: drawn.figures(report) for stem, (_, report) in drawn.drawings().items()}
    for name, (stem, _, _) in drawn.PICTURES.items():
        figures = found[stem]
        data = (drawn.FOLDER / name).read_bytes()
        assert len(data) <= 300_000
        shown = json.loads(drawn.text_of(data))
        assert shown.keys() == figures.keys()
        assert shown == pytest.approx(figures, abs=0.11), "run python docs/draw_pictures.py"


@pytest.mark.slow
def test_pictures_of_operations_show_what_they_do_now(monkeypatch):
    monkeypatch.syspath_prepend(ROOT / "docs")
    drawn, examples, pictures = (script(name) for name in ("draw_operations", "operation_examples", "draw_pictures"))
    assert {path.stem for path in (drawn.FOLDER / "operations").glob("*.png")} == set(examples.DRAWN)
    for name, step in examples.DRAWN.items():
        shown = json.loads(pictures.text_of((drawn.FOLDER / "operations" / f"{name}.png").read_bytes()))
        assert shown == pytest.approx(drawn.run(step).figures, abs=0.11), "run python docs/draw_operations.py"


def test_every_page_is_in_the_site_s_contents():
    contents = (ROOT / "mkdocs.yml").read_text(encoding="utf-8")
    listed = re.findall(r"(?m)^\s+- (?:\w+: )?(\S+\.md)$", contents)
    assert sorted(listed) == sorted(
        path.relative_to(ROOT / "docs").as_posix() for path in (ROOT / "docs").rglob("*.md")
    )


def test_text_in_a_picture_is_found_again():
    drawn = script("draw_pictures")
    png = b"\x89PNG\r\n\x1a\n" + b"\0\0\0\rIHDR" + bytes(17) + b"rest"
    assert drawn.text_of(drawn.with_text(png, '{"a": 1}')) == '{"a": 1}'
    assert drawn.text_of(png) == ""


def test_the_example_operation_lengthens_by_what_was_asked(tmp_path, capsys):
    """The lower part moves 1 in down, so outline height is 1 in more, and both seams stay equal."""
    smock = str(ROOT / "demo_svgs" / "smock.svg")
    out = tmp_path / "longer.svg"
    step = "longer piece=Sleeve amount='1 in'"
    status = svgfit(["adjust", smock, "--plugins", str(EXAMPLES), "--do", step, "-o", str(out), "--json"])
    assert status == 0
    report = json.loads(capsys.readouterr().out)
    assert report["steps"][0]["do"] == "longer"
    (sleeve,) = (piece for piece in report["pieces"] if piece["kind"] == "sleeve")
    rows = {row["name"]: row for row in sleeve["measurements"]}
    assert rows["outline height"]["after"] - rows["outline height"]["before"] == pytest.approx(25.4, abs=1e-6)
    assert rows["cap length"]["after"] == pytest.approx(rows["cap length"]["before"], abs=1e-6)
    assert rows["underarm seam front"]["after"] == pytest.approx(rows["underarm seam back"]["after"], abs=1e-3)
    assert out.read_bytes().startswith(Path(smock).read_bytes()[:-20])


@pytest.mark.parametrize("step", ["longer amount='1 in' below='30 in'", "longer amount='-12 in'"])
def test_the_example_operation_refuses(step, capsys):
    smock = str(ROOT / "demo_svgs" / "smock.svg")
    assert svgfit(["adjust", smock, "--plugins", str(EXAMPLES), "--do", step, "--dry-run"]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_the_example_measurement_is_the_hems_length(capsys):
    smock = str(ROOT / "demo_svgs" / "smock.svg")
    assert svgfit(["measure", smock, "--plugins", str(EXAMPLES), "--json"]) == 0
    measured = json.loads(capsys.readouterr().out)["pieces"]
    assert svgfit(["inspect", smock, "--json"]) == 0
    seen = json.loads(capsys.readouterr().out)["pieces"]
    hem = next(
        edge["length"]
        for piece in seen
        if piece["kind"] == "sleeve"
        for edge in piece["edges"]
        if edge["name"] == "hem"
    )
    wrists = {
        piece["kind"]: row["before"] for piece in measured for row in piece["measurements"] if row["name"] == "wrist"
    }
    assert wrists == {"sleeve": pytest.approx(hem, abs=1e-6)}


def test_the_hooks_own_example_runs(tmp_path, capsys):
    """The worked example in the documentation of svgfit_operations, as a plug-in folder of its own."""
    page = (ROOT / "docs" / "plugins.md").read_text(encoding="utf-8")
    code = re.search(r"a file `letter_it\.py`:\n\n((?:    .*\n|\n)+)", page)[1]
    (tmp_path / "letter_it.py").write_text(re.sub(r"(?m)^    ", "", code), encoding="utf-8")
    assert isinstance(open_registry([str(tmp_path)]).operation("letter-it"), Operation)
    smock = str(ROOT / "demo_svgs" / "smock.svg")
    step = ["--do", "letter-it piece=Sleeve", "--dry-run"]
    assert svgfit(["adjust", smock, "--plugins", str(tmp_path), *step]) == 0
    assert "Sleeve has 4 edges" in capsys.readouterr().err
