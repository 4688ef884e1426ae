"""The convention: patterns against layer names, and files that people get wrong."""

from pathlib import Path

import pytest

from svgfit.model.refusal import Refusal
from svgfit.pattern.convention import builtin_convention, find_convention, load_convention, parse_convention
from svgfit.pattern.layer_patterns import match_pattern


def written(folder: Path, text: str) -> Path:
    path = folder / "svgfit.toml"
    path.write_text(text, encoding="utf-8")
    return path


def refused(folder: Path, text: str) -> str:
    with pytest.raises(Refusal) as caught:
        load_convention(written(folder, text))
    return caught.value.line()


@pytest.mark.parametrize(
    ("name", "role", "piece"),
    [
        ("Sleeve stitch line", "stitch line", "Sleeve"),
        ("LEFT_SLEEVE--STITCH_LINE 2", "stitch line", "LEFT SLEEVE"),
        ("stitch line", "stitch line", None),
        ("Sleeve cut lines (outer)", "cut line", "Sleeve"),
        ("Front_notches", "notches", "Front"),
        ("Sleeve grainline", "grain line", "Sleeve"),
        ("sleeve center line", "centre line", "sleeve"),
        ("Centre front stitch line", "stitch line", "Centre front"),
        ("Test Square 50 mm", "test square", None),
        ("test-square", "test square", None),
        ("old", "ignore", None),
        ("Old sleeve stitch line", "ignore", None),
    ],
)
def test_builtin_patterns_name_the_role(name, role, piece):
    found = builtin_convention().role_of((name,))
    assert found is not None
    assert (found.role, found.piece) == (role, piece)


@pytest.mark.parametrize("name", ["Layer 1", "Sleevestitch line", "stitch", "context", "a/b stitch line", "golden cut"])
def test_other_names_have_no_role(name):
    assert builtin_convention().role_of((name,)) is None


@pytest.mark.parametrize(
    ("pattern", "path", "piece", "size"),
    [
        ("{piece} {size} cut", ("Front 12 cut",), "Front", "12"),
        ("{piece} {size} cut", ("left front 12 cut",), "left front", "12"),
        ("size {size}/{piece} cut", ("Nest", "size 12", "Front cut"), "Front", "12"),
        ("{piece}/stitch", ("Front", "stitch"), "Front", None),
        ("{piece}*stitch", ("Front my stitch",), None, None),
        ("cut {piece}", ("cut",), None, None),
        ("cut {piece}", ("cut Left Front",), "Left Front", None),
        ("a+(b) {piece}", ("A+(B) front",), "front", None),
        ("{piece}/{piece} cut", ("Front", "front cut"), "Front", None),
    ],
)
def test_places_in_patterns(pattern, path, piece, size):
    found = match_pattern(pattern, path)
    assert found is not None
    assert found.size == size
    if "*" not in pattern:
        assert found.piece == piece


@pytest.mark.parametrize(
    ("pattern", "path"),
    [
        ("size {size}/{piece} cut", ("size 12 tall", "Front cut")),
        ("{piece}/stitch", ("stitch",)),
        ("{piece} cut", ("cut", "Front")),
        ("{size} cut", ("cut",)),
        ("{piece}/{piece} cut", ("Front", "Back cut")),
    ],
)
def test_places_do_not_stretch(pattern, path):
    assert match_pattern(pattern, path) is None


def test_a_layer_without_a_role_takes_its_parents(tmp_path):
    convention = load_convention(written(tmp_path, '[layers]\n"cut line" = ["{piece} size {size} outline"]\n'))
    found = convention.role_of(("Sleeve size 12 outline", "Layer 7", "part"))
    assert (found.role, found.piece, found.size, found.inherited) == ("cut line", "Sleeve", "12", 2)
    inner = convention.role_of(("Sleeve size 12 outline", "notches"))
    assert (inner.role, inner.piece, inner.size) == ("notches", "Sleeve", "12")
    assert builtin_convention().role_of(("old things", "Sleeve stitch line")).role == "ignore"


def test_first_matching_role_in_file_order_and_ignore_before_all(tmp_path):
    text = '[layers]\n"drawn details" = ["*line*"]\n"stitch line" = ["* line"]\nignore = ["draft *"]\n'
    convention = load_convention(written(tmp_path, text))
    assert convention.role_of(("Sleeve line",)).role == "drawn details"
    assert convention.role_of(("draft line",)).role == "ignore"
    assert convention.role_of(("old cut line",)).role == "drawn details"
    assert convention.role_of(("Sleeve notches",)).role == "notches"


def test_a_whole_file(tmp_path):
    text = """
unit = "mm"
"test square size" = "2 in"
plugins = "my steps"
[pieces.Sleeve]
kind = "sleeve"
front = "right"
"seam allowance" = { all = "5/8 in", Hem = "1 in" }
[[seams]]
a = ["Sleeve/cap"]
b = ["Front/armhole", "Back/Armhole"]
[output]
adjusted = "fitted"
"""
    convention = load_convention(written(tmp_path, text))
    assert convention.unit == "mm"
    assert convention.test_square_size == 50.8
    assert convention.plugins == str(tmp_path / "my steps")
    assert convention.rule("sleeve").allowances == {"all": 15.875, "hem": 25.4}
    assert convention.rule("sleeve").front == "right"
    assert convention.seams[0].b == (("Front", "armhole"), ("Back", "armhole"))
    assert (convention.adjusted, convention.measurements) == ("fitted", "measurements")
    assert convention.patterns("notches")[-1] == "{piece} notches*"


def test_a_found_file_brings_no_plugins(tmp_path):
    convention = load_convention(written(tmp_path, 'plugins = "evil"\n'), found=True)
    assert convention.plugins is None
    assert "--plugins" in convention.warnings[0]


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ('unit = "in"\nlayer = 1\n', 2, ["layer", "'layers'"]),
        ('[layers]\nnotches = ["x"]\n\n"stich line" = ["y"]\n', 4, ['layers."stich line"', "'stitch line'"]),
        ("[layers]\nnotches = [\n 'x',\n 3]\n", 2, ["layers.notches"]),
        ('[pieces.Sleeve]\nfrount = "left"\n', 2, ["pieces.Sleeve.frount", "'front'"]),
        ('[pieces.Sleeve]\nfront = "up"\n', 2, ["'up'", '"left"']),
        (
            '[pieces."Left sleeve"]\nkind = "sleeve"\n"seam allowance" = { all = "5/8 in", hem = "1" }\n',
            3,
            ['pieces."Left sleeve"."seam allowance".hem', "no unit"],
        ),
        ('[pieces.A]\n"seam allowance" = { all = 15 }\n', 2, ["15 has no unit"]),
        ('[pieces.A]\n"seam allowance" = { all = "-1 in" }\n', 2, ["less than nothing"]),
        ('[[seams]]\na = ["A/x"]\nb = ["B/y"]\n[[seams]]\na = ["A/x"]\nb = ["cap"]\n', 6, ["seams[2].b", "'cap'"]),
        ('[[seams]]\na = ["A/x"]\n', 1, ["no 'b'"]),
        ('unit = "in"\nunit = "mm"\n', 2, ["TOML"]),
        ("unit = in\n", 1, ["TOML", "quotes"]),
        ('unit = "yards"\n', 1, ["'yards'", "mm"]),
        ('[layers]\nnotches = ["{pice} n"]\n', 2, ["{pice}", "{piece}"]),
        ('[output]\nadjusted = "measurements"\n', 1, ["one name"]),
        ('"test square size" = "0 mm"\n', 1, ["longer than nothing"]),
        ("seams = 3\n", 1, ["should be a list"]),
        ("[pieces]\nSleeve = 3\n", 2, ["should be a table"]),
    ],
)
def test_refusals_name_file_line_and_key(tmp_path, text, line, words):
    said = refused(tmp_path, text)
    assert f"svgfit.toml line {line}" in said
    for word in words:
        assert word in said
    assert "\n" not in said


def test_unreadable_files_are_refused(tmp_path):
    with pytest.raises(Refusal, match="can't be read"):
        load_convention(tmp_path / "absent.toml")
    (tmp_path / "svgfit.toml").write_bytes(b"unit = '\xff'\n")
    with pytest.raises(Refusal, match="UTF-8"):
        load_convention(tmp_path / "svgfit.toml")


def test_the_convention_beside_the_drawings(tmp_path):
    one, two, none = tmp_path / "one", tmp_path / "two", tmp_path / "none"
    for folder in (one, two, none):
        folder.mkdir()
    assert find_convention([none / "a.svg"]) is None
    path = written(one, 'unit = "mm"\n')
    assert find_convention([none / "a.svg", one / "b.svg"]) == str(path)
    written(two, 'unit = "mm"\n')
    assert find_convention([one / "a.svg", two / "b.svg"]) == str(path)
    written(two, 'unit = "cm"\n')
    with pytest.raises(Refusal, match="--convention"):
        find_convention([one / "a.svg", two / "b.svg"])


ALL_AND_SLEEVE = """
[pieces."*"]
front = "left"
"seam allowance" = { all = "5/8 in", hem = "2 in" }
[pieces.Sleeve]
kind = "sleeve"
"seam allowance" = { hem = "1 in" }
[pieces.Cuff]
"seam allowance" = "1 cm"
"""


@pytest.mark.parametrize(
    ("piece", "kind", "allowances"),
    [
        ("Front", None, {"all": 15.875, "hem": 50.8}),
        ("sleeve", "sleeve", {"all": 15.875, "hem": 25.4}),
        ("Cuff", None, {"all": 10.0}),
    ],
)
def test_a_rule_for_every_piece_holds_where_its_own_says_nothing(piece, kind, allowances):
    rule = parse_convention(ALL_AND_SLEEVE).rule(piece)
    assert rule is not None
    assert (rule.kind, rule.front) == (kind, "left")
    assert rule.allowances == pytest.approx(allowances)


def test_a_rule_for_every_piece_is_no_piece():
    assert [rule.name for rule in parse_convention(ALL_AND_SLEEVE).pieces] == ["Sleeve", "Cuff"]


@pytest.mark.parametrize(
    ("pattern", "name", "piece", "size"),
    [
        ("{piece} Größe {size}", "Ru\u0308cken Gro\u0308ße １２", "Rücken", "12"),
        ("{piece} Gro\u0308sse {size}", "Rücken GRÖẞE 12", "Rücken", "12"),
        ("{piece} GRÖSSE {size}", "Rücken größe 12", "Rücken", "12"),
        ("{piece} stitch line*", "Ｓｌｅｅｖｅ　ｓｔｉｔｃｈ＿ｌｉｎｅ", "Sleeve", None),
        ("{piece} ノッチ", "袖 ﾉｯﾁ", "袖", None),
    ],
)
def test_letters_count_alike_in_whichever_form_they_come(tmp_path, pattern, name, piece, size):
    convention = load_convention(written(tmp_path, f'[layers]\nnotches = ["{pattern}"]\n'))
    found = convention.role_of((name,))
    assert found is not None
    assert (found.piece, found.size) == (piece, size)


def test_a_rule_is_found_in_whichever_form_its_name_comes():
    convention = parse_convention('[pieces."Ru\u0308ckenteil"]\nkind = "back"\n')
    found = convention.rule("RÜCKENTEIL")
    assert found is not None
    assert found.kind == "back"


@pytest.mark.parametrize("table", ["[layers]", "[pieces.Sleeve]", "[output]", "[walk]"])
def test_a_line_for_the_top_that_stands_in_a_table_is_told_where_it_belongs(tmp_path, table):
    line = refused(tmp_path, f'{table}\npieces.Back."seam allowance" = {{ all = "5/8 in" }}\n')
    assert "at the very top of the file" in line
