from __future__ import annotations

import json
import re
from base64 import b64decode, b64encode
from hashlib import sha256

import pymupdf
import pytest


@pytest.fixture
def fitted(svgfit, here):
    """The demo's smock with its sleeve raised."""
    done = svgfit(
        "adjust", "smock.svg", "--do", "cap-raise piece=Sleeve amount='1/4 in'", "-o", "fitted.svg", "--quiet"
    )
    assert done.status == 0
    return here / "fitted.svg"


def test_a_png_is_written_and_the_drawing_is_not_touched(svgfit, fitted) -> None:
    before = fitted.read_bytes()
    done = svgfit("picture", fitted, "-o", "out.png", "--width", "800")
    assert (done.status, done.out) == (0, "written: out.png\n")
    assert pymupdf.Pixmap("out.png").width == 800
    assert fitted.read_bytes() == before


@pytest.mark.slow_after(3)
@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["none.svg", "-o", "a.png"], "no such file"),
        (["fitted.svg", "-o", "a.gif"], "neither in .png nor in .html"),
        (["fitted.svg", "-o", "fitted.svg"], "neither in .png nor in .html"),
        (["fitted.svg", "-o", "no/such/a.png"], "no such folder"),
        (["fitted.svg", "-o", "there.png"], "exists already"),
        (["fitted.svg", "-o", "a.png", "--layers", "lace"], "there is no layer 'lace'"),
        (["smock.svg", "-o", "a.png", "--layers", "adjusted"], "no layer of svgfit's that is called adjusted"),
        (["fitted.svg", "-o", "a.png", "--width", "0"], "more than nothing"),
        (["fitted.svg", "-o", "a.png", "--dpi", "nan"], "more than nothing"),
        (["fitted.svg", "-o", "a.png", "--dpi", "9999"], "ask for less"),
        (["fitted.svg", "-o", "a.png", "--dpi", "50", "--width", "50"], "exclude each other"),
        (["fitted.svg", "-o", "a.html", "--width", "50"], "for a PNG"),
        (["there.png", "-o", "a.png"], "is not an SVG drawing"),
    ],
)
def test_what_can_not_be_is_one_clear_line(refused, fitted, here, arguments, words) -> None:
    (here / "there.png").write_bytes(b"mine")
    assert words in refused("picture", *arguments)
    assert (here / "there.png").read_bytes() == b"mine"
    assert not (here / "a.png").exists()


@pytest.mark.slow
def test_an_earlier_picture_is_replaced_only_with_force(svgfit, fitted, here) -> None:
    (here / "a.png").write_bytes(b"mine")
    assert svgfit("picture", fitted, "-o", "a.png").status == 2
    assert svgfit("picture", fitted, "-o", "a.png", "--force", "--quiet") == (0, "", "")
    assert (here / "a.png").read_bytes().startswith(b"\x89PNG")


@pytest.fixture
def page(svgfit, fitted, here) -> str:
    done = svgfit("picture", fitted, "-o", "out.html", "--decimals")
    assert (done.status, done.out) == (0, "written: out.html\n")
    return (here / "out.html").read_text(encoding="utf-8")


@pytest.mark.slow
def test_a_page_holds_everything_itself(page) -> None:
    """No address but the pictures' own, which are in it; only the namespaces within those are left out."""
    assert set(re.findall(r'(?:src|href)="([^",#:]*)', page)) == {"data", ""}
    assert "http" not in re.sub(r'src="data:[^"]*"', "", page).replace("http-equiv", "")
    for address in re.findall(r'src="data:image/svg\+xml;base64,([^"]*)"', page):
        text = re.sub(r'xmlns(:\w+)?="[^"]*"', "", b64decode(address).decode())
        assert "http" not in text


@pytest.mark.slow
def test_its_policy_names_style_and_script_by_what_they_are(page) -> None:
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)[1]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["img-src"] == "data:"
    for name in ("style", "script"):
        (inner,) = re.findall(rf"<{name}>(.*?)</{name}>", page, re.DOTALL)
        assert rules[f"{name}-src"] == f"'sha256-{b64encode(sha256(inner.encode()).digest()).decode()}'"
    assert not re.search(r'\s(style|on\w+)="', page), "the policy would keep it out"


@pytest.mark.slow
def test_the_page_tells_what_measure_tells_before_and_after(page, svgfit, fitted) -> None:
    text = re.sub(r"<[^>]*>", " ", page)
    for start in ((), ("--from", "adjusted")):
        report = json.loads(svgfit("measure", fitted, "--json", "--quiet", *start).out)
        for piece in report["pieces"]:
            for row in piece["measurements"]:
                if row["unit"] == "mm" and not row["name"].startswith("outline "):
                    assert f"({row['before'] / 25.4:.3f})" in text, (piece["name"], row)


@pytest.mark.slow
def test_the_walk_is_that_of_the_adjusted_sleeve(page, svgfit, fitted) -> None:
    text = re.sub(r"<[^>]*>", " ", page)
    (walk,) = json.loads(svgfit("walk", fitted, "--from", "adjusted", "--json", "--quiet").out)["walks"]
    for zone in walk["zones"]:
        row = rf"{zone['zone']}\s[^(]*\({zone['cap'] / 25.4:.3f}\)[^(]*\({zone['armhole'] / 25.4:.3f}\)"
        assert re.search(row, text), zone
    assert page.count('class="walk"') == 2


def test_the_unit_is_the_person_s(svgfit, fitted, here) -> None:
    assert svgfit("picture", fitted, "-o", "mm.html", "--unit", "mm").status == 0
    page = (here / "mm.html").read_text(encoding="utf-8")
    assert "<span>140.0 mm</span>" in page
    assert not re.search(r"\d in \(", page)


def test_a_drawing_whose_pieces_are_not_known_has_a_page_that_says_so(svgfit, here) -> None:
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="9cm" height="9cm"><g id="Lace"><path d="M0 0H9V9z"/></g></svg>'
    )
    (here / "sub").mkdir()
    (here / "sub" / "lace.svg").write_text(text, encoding="utf-8")
    assert svgfit("picture", here / "sub" / "lace.svg", "-o", "a.html").status == 0
    page = (here / "a.html").read_text(encoding="utf-8")
    assert "Nothing was measured: lace.svg: no layer is the stitch line" in page
    assert str(here) not in page, "a page that is sent on must not tell where the drawing lay"
    assert "test garment" in page


def test_only_the_chosen_layers_are_in_the_page(svgfit, fitted, here) -> None:
    assert svgfit("picture", fitted, "-o", "a.html", "--layers", "adjusted,measurements").status == 0
    page = (here / "a.html").read_text(encoding="utf-8")
    assert re.findall(r'<img data-part="([^"]*)"', page) == ["adjusted", "measurements"]
    assert 'id="split"' not in page


def test_sizes_of_a_nest_are_each_in_the_page(svgfit, here) -> None:
    assert svgfit("picture", "smock-sizes.svg", "-o", "a.html").status == 0
    page = (here / "a.html").read_text(encoding="utf-8")
    assert len(re.findall(r'"Measurements of Sleeve \(size', page)) == 5
    assert len(re.findall(r'"Walk of Sleeve \(size', page)) == 5
    assert page.count("<details>") == 5, "strips of so many are folded away"


@pytest.mark.slow
def test_the_same_drawing_gives_the_same_page(svgfit, fitted, here) -> None:
    for name in ("a.html", "b.html"):
        assert svgfit("picture", fitted, "-o", name).status == 0
    assert (here / "a.html").read_bytes() == (here / "b.html").read_bytes()


FAILS = (
    "--do", "cap-raise piece=Sleeve amount='1 in'",
    "--do", "seam-check a=Sleeve/cap b=Front/armhole+Back/armhole min='1/4 in' max='1 in'",
)  # fmt: skip


def told(page: str) -> str:
    text = re.sub(r"<style>.*?</style>|<script>.*?</script>", " ", page, flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]*>", " ", text).split())


@pytest.fixture
def failing(svgfit, here) -> str:
    """The page of a smock whose cap got more ease than its plan allows."""
    assert svgfit("adjust", "smock.svg", *FAILS, "-o", "failing.svg", "--quiet").status == 1
    assert svgfit("picture", "failing.svg", "-o", "fail.html").status == 0
    return told((here / "fail.html").read_text(encoding="utf-8"))


@pytest.mark.slow
def test_a_check_that_failed_comes_first(failing) -> None:
    head, _, rest = failing.partition(" Picture ")
    assert "A check failed; don't cut yet" in head.replace("&#x27;", "'")
    assert re.search(r"1 15/16 in longer; should be longer by at least 1/4 in .* at most 1 in", head)
    assert re.search(r"Checks FAIL Sleeve/cap against Front/armhole\+Back/armhole: 19 (?:1[13]/16|3/4) in", rest)


def test_nothing_contradicts_the_plan_s_check(failing) -> None:
    assert "PASS cap ease" not in failing
    assert "cap ease: the cap is" not in failing


def test_what_else_is_to_be_changed_is_there(failing) -> None:
    assert "Also to be changed Also change Front and Back, unless this is the ease you want" in failing


def test_a_page_without_failures_does_not_speak_of_any(page) -> None:
    assert "don't cut" not in told(page)
    assert "– cap ease" in told(page), "no style is set, so its ease is told and not judged"
    assert "not judged: no style is set" in told(page)


def test_where_the_plan_can_not_be_done_again_what_is_written_counts(svgfit, here) -> None:
    """Its ease was measured against pieces that are no longer there."""
    assert svgfit("adjust", "smock.svg", *FAILS, "-o", "failing.svg", "--quiet").status == 1
    text = (here / "failing.svg").read_text(encoding="utf-8")
    (here / "failing.svg").write_text(text.replace("Front stitch line", "Old stitch line"), encoding="utf-8")
    assert svgfit("picture", "failing.svg", "-o", "a.html").status == 0
    page = told((here / "a.html").read_text(encoding="utf-8"))
    assert "A check failed; don't cut yet the plan: a check failed when svgfit adjusted" in page.replace("&#x27;", "'")
    assert "The checks of its plan can't be done again" in page.replace("&#x27;", "'")


def test_the_plan_s_checks_speak_the_person_s_unit(svgfit, here) -> None:
    done = svgfit("adjust", "smock.svg", *FAILS, "--dry-run", "--unit", "mm")
    assert re.search(r"48\.\d mm longer; should be longer by at least 6\.3 mm ", done.out)


def test_an_output_that_is_there_hides_no_other_mistake(refused, fitted, here) -> None:
    (here / "there.png").write_bytes(b"mine")
    assert "there is no layer 'lace'" in refused("picture", "fitted.svg", "-o", "there.png", "--layers", "lace")
    assert "no such file" in refused("picture", "none.svg", "-o", "there.png")
    assert "exists already" in refused("picture", "fitted.svg", "-o", "there.png")


def test_what_lies_on_no_named_layer_is_told_so(svgfit, here) -> None:
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="9cm" height="9cm">'
    (here / "bare.svg").write_text(f'{head}<path d="M0 0H9V9z"/></svg>', encoding="utf-8")
    assert svgfit("picture", "bare.svg", "-o", "a.html").status == 0
    page = (here / "a.html").read_text(encoding="utf-8")
    assert "nothing here is on a layer that has a name" in page
    assert "the layers here are" not in page


def test_a_strip_on_a_screen_claims_no_scale(svgfit, fitted, here) -> None:
    assert svgfit("picture", fitted, "-o", "out.html").status == 0
    found = re.findall(
        r'class="walk" src="data:image/svg\+xml;base64,([^"]*)" alt="([^"]*)"', (here / "out.html").read_text()
    )
    assert len(found) == 2
    for picture, words in found:
        assert "shaded: " in words
        assert not re.search("drawn full size|drawn 1 :", words + b64decode(picture).decode())


@pytest.mark.slow
@pytest.mark.parametrize("adjusted", [False, True])
def test_of_a_nest_only_the_sizes_asked_for_are_drawn(svgfit, here, adjusted) -> None:
    file = "smock-sizes.svg"
    if adjusted:
        svgfit("adjust", file, "--plan", "smock-sizes.plan.toml", "-o", "nest.svg", "--quiet")
        file = "nest.svg"
    drawn = {}
    for sizes in ("all", "12", "8,16"):
        assert svgfit("picture", file, "--sizes", sizes, "-o", "a.html", "--force", "--quiet").status == 0
        pages = re.findall(r"data:image/svg\+xml;base64,([^\"]*)", (here / "a.html").read_text("utf-8"))
        drawn[sizes] = "".join(b64decode(page).decode() for page in pages).count("<path")
    assert drawn["12"] < drawn["8,16"] < drawn["all"]


@pytest.fixture
def nest(svgfit, here):
    """The sizes of the smock, adjusted by one plan."""
    plan = ("--plan", "smock-sizes.plan.toml", "-o", "nest.svg", "--quiet")
    assert svgfit("adjust", "smock-sizes.svg", *plan).status == 0
    return here / "nest.svg"


def written(page: str) -> str:
    """All that is written in the pictures of a page."""
    sheets = re.findall(r"data:image/svg\+xml;base64,([^\"]*)", page)
    return "\n".join(text for one in sheets for text in re.findall(r">([^<>]+)</t", b64decode(one).decode()))


def test_a_table_of_all_sizes_is_drawn_again_for_the_one_asked_for(svgfit, here, nest) -> None:
    every = svgfit("picture", "nest.svg", "-o", "a.html")
    assert "Sleeve, size" in written((here / "a.html").read_text("utf-8"))
    done = svgfit("picture", "nest.svg", "--size", "8", "-o", "b.html")
    assert "not shown" not in every.err + done.err
    words = written((here / "b.html").read_text("utf-8"))
    assert "Sleeve (8)" in words
    assert "bicep width 12 3/4 in" in words
    assert not re.search(r"Sleeve, size|\((10|12|14|16)\)|size (10|12|14|16):", words)
    pixels = [pymupdf.Pixmap(name).samples for name in (pictured(svgfit, "8"), pictured(svgfit, "12"))]
    assert pixels[0] != pixels[1]


def pictured(svgfit, size: str) -> str:
    assert svgfit("picture", "nest.svg", "--size", size, "-o", f"{size}.png", "--width", "400").status == 0
    return f"{size}.png"


@pytest.mark.parametrize("how", ["edited", "walked"])
def test_tables_of_other_sizes_that_can_not_be_drawn_again_are_left_out_and_told(svgfit, here, nest, how) -> None:
    if how == "walked":
        svgfit("walk", "smock-sizes.svg", "-o", "nest.svg", "--force", "--quiet")
    else:
        text = nest.read_text("utf-8")
        nest.write_text(text.replace(">cap 18 13/16 in</text>", ">cap 18 7/8 in</text>", 1), "utf-8")
        assert text != nest.read_text("utf-8")
    for name in ("a.html", "a.png"):
        done = svgfit("picture", "nest.svg", "--size", "12", "-o", name)
        assert (done.status, "its tables and lists are not shown, since they hold other sizes too" in done.err) == (
            0,
            True,
        )
    page = (here / "a.html").read_text("utf-8")
    assert "nest.svg: its tables and lists are not shown" in page
    words = written(page)
    assert "size 12: bicep width" in words
    assert not re.search(r"Sleeve, size|\((8|10|14|16)\)", words)
    done = svgfit("picture", "nest.svg", "--size", "12", "--layers", "original", "-o", "b.png")
    assert "not shown" not in done.err


def test_a_table_of_the_size_asked_for_alone_stays(svgfit, here) -> None:
    plan = ("--plan", "smock-sizes.plan.toml", "--size", "12", "-o", "one.svg", "--quiet")
    assert svgfit("adjust", "smock-sizes.svg", *plan).status == 0
    done = svgfit("picture", "one.svg", "--size", "12", "-o", "a.html")
    assert "not shown" not in done.err
    assert "Sleeve (12)" in written((here / "a.html").read_text("utf-8"))


def test_a_size_that_is_not_there_is_refused(refused, here) -> None:
    line = refused("picture", "smock-sizes.svg", "--size", "99", "-o", "a.png")
    assert "there is no size 99; the sizes here are 8, 10, 12, 14, 16" in line
