"""The HTML page of ``svgfit picture`` in a real browser, without a window and without a network.

Skipped where Chromium or its driver is absent, unless SVGFIT_NEED_CHROMIUM is set.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pymupdf
import pytest

from svgfit.cli import main
from tests.outside.chromium import CHROMIUM, DRIVER, NEEDED, Browser, browser

DEMOS = Path(__file__).parents[2] / "demo_svgs"
FINGER = 44
"""Pixels that a finger needs (common practice; WCAG 2.2, success criterion 2.5.5, names it too)."""

pytestmark = pytest.mark.skipif(
    (CHROMIUM is None or DRIVER is None) and not NEEDED, reason="chromium and chromedriver are not installed"
)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's smock with its sleeve raised."""
    folder = tmp_path_factory.mktemp("page")
    for name in ("smock.svg", "svgfit.toml"):
        shutil.copy(DEMOS / name, folder / name)
    fitted, out = folder / "fitted.svg", folder / "fitted.html"
    do = "cap-raise piece=Sleeve amount='1/4 in'"
    assert main(["adjust", str(folder / "smock.svg"), "--do", do, "-o", str(fitted), "--quiet"]) == 0
    assert main(["picture", str(fitted), "-o", str(out), "--quiet"]) == 0
    return out


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browser(tmp_path_factory.mktemp("desk")) as opened:
        yield opened


@pytest.fixture(scope="module")
def phone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browser(tmp_path_factory.mktemp("phone"), phone=True) as opened:
        yield opened


@pytest.fixture(params=["desk", "phone"])
def opened(request: pytest.FixtureRequest, page: Path) -> Browser:
    """The page, just opened, on a desk's screen and on a phone's."""
    found: Browser = request.getfixturevalue(request.param)
    found.open(page)
    found.log()
    found.open(page)
    return found


def blue(browser: Browser) -> int:
    """How many pixels of the picture are of the new stitch line's blue (0, 114, 178), roughly."""
    screen = pymupdf.Pixmap(browser.picture("#frame"))
    step, samples = screen.n, screen.samples
    return sum(
        samples[k] < 110 and 90 < samples[k + 1] < 190 and samples[k + 2] > 150 for k in range(0, len(samples), step)
    )


def look_closely(browser: Browser) -> None:
    """At the top of the sleeve, so near that its lines are some pixels wide."""
    browser.click("button[data-box]:nth-of-type(2)")
    browser.click("#closer")
    browser.run("document.getElementById('controls').scrollIntoView()")


def test_it_opens_without_a_complaint_and_asks_for_nothing(opened: Browser) -> None:
    assert opened.log() == []
    asked = opened.run("return performance.getEntriesByType('resource').map(entry => entry.name)")
    assert [name for name in asked if not name.startswith("data:")] == []
    pictures = opened.run("return Array.from(document.images).map(image => [image.complete, image.naturalWidth])")
    assert pictures[:4] == [[True, 1600]] * 4
    assert len(pictures) == 6, "two of the walk"
    assert all(complete and wide > 300 for complete, wide in pictures)


def test_its_policy_lets_no_other_script_in(opened: Browser) -> None:
    """A script put into the page by hand, past WebDriver's own, must be kept out and told."""
    opened.run("let s = document.createElement('script'); s.text = 'document.title = 1'; document.body.append(s)")
    assert opened.run("return document.title") == "fitted.svg"
    assert any("Content Security Policy" in text for text in opened.log())


def test_nothing_stands_over_the_side_of_the_screen(opened: Browser) -> None:
    wide, room = opened.run("return [document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    assert wide <= room


def test_whatever_is_pressed_is_large_enough_for_a_finger(opened: Browser) -> None:
    sizes = opened.run(
        "return Array.from(document.querySelectorAll('button, .layers label, input[type=range]')).map(each => "
        "{let box = each.getBoundingClientRect(); return [each.textContent || each.id, box.width, box.height]})"
    )
    assert len(sizes) >= 9
    assert [row for row in sizes if row[2] < FINGER or row[1] < FINGER] == []


@pytest.mark.slow
def test_the_slider_parts_before_from_after(opened: Browser) -> None:
    look_closely(opened)
    opened.keys("#split", "\ue010")  # End: all before
    assert opened.run("return document.getElementById('split').value") == "100"
    before = blue(opened)
    opened.keys("#split", "\ue011")  # Home: all after
    after = blue(opened)
    assert before < 20
    assert after > 200


@pytest.mark.slow
def test_a_layer_is_switched_by_keyboard(opened: Browser) -> None:
    look_closely(opened)
    opened.keys("#split", "\ue011")
    shown = "return getComputedStyle(document.querySelector('img[data-part={}]')).visibility"
    assert opened.run(shown.format("adjusted")) == "visible"
    opened.keys("input[data-part=working-lines]", " ")  # its construction lines are blue too
    assert blue(opened) > 100
    opened.keys("input[data-part=adjusted]", " ")
    assert opened.run(shown.format("adjusted")) == "hidden"
    assert opened.run(shown.format("original")) == "visible"
    assert blue(opened) < 20
    opened.keys("input[data-part=adjusted]", " ")
    assert opened.run(shown.format("adjusted")) == "visible"


def test_a_piece_is_looked_at_closely(opened: Browser) -> None:
    """The whole sleeve is in the window then, and larger than before."""
    where = (
        "let view = document.getElementById('view').getBoundingClientRect();"
        "let page = document.getElementById('stage').getBoundingClientRect();"
        "let [x, y, w, h] = document.querySelectorAll('button[data-box]')[1].dataset.box.split(' ').map(Number);"
        "return [page.left + x * page.width - view.left, page.top + y * page.height - view.top,"
        " view.right - page.left - (x + w) * page.width, view.bottom - page.top - (y + h) * page.height, page.width]"
    )
    *_, small = opened.run(where)
    opened.click("button[data-box]:nth-of-type(2)")
    *sides, large = opened.run(where)
    assert large > small
    assert min(sides) > -2
    assert opened.run("return document.querySelector('button[aria-pressed=true]').textContent") == "Sleeve"


def test_a_screen_reader_is_told_what_everything_is(opened: Browser) -> None:
    assert opened.role("#split") == ("slider", "Before and after")
    assert opened.role("input[data-part=adjusted]") == ("checkbox", "adjusted")
    assert opened.role("#closer") == ("button", "closer")
    assert opened.role("#view") == ("region", "The drawing; arrow keys move it")
    assert opened.role("img[data-part=original]")[1] == "The drawing as it was drawn"
    assert opened.role("table") == ("table", "Sleeve")
    assert opened.role("tbody th")[0] == "rowheader"
    assert "50 percent" in opened.run("return document.getElementById('split').getAttribute('aria-valuetext')")
    assert opened.run("return document.documentElement.lang") == "en"


def test_the_figures_are_those_that_were_reached(opened: Browser) -> None:
    rows = opened.run(
        "return Array.from(document.querySelector('table').rows)"
        ".map(row => Array.from(row.cells).map(cell => cell.textContent))"
    )
    found = {name: cells for name, *cells in rows}
    assert found["cap height"] == ["5 1/2 in", "5 3/4 in", "+1/4 in"]
    assert found["bicep width"][2] == "the same"


def test_a_drawing_from_the_internet_runs_nothing(desk: Browser, tmp_path: Path) -> None:
    """By every way in that we know of; a file's name and a layer's name are ways too."""
    ran = "top.document.title=document.title='ran'"
    body = f"""
      <script>{ran}</script><script xlink:href="data:text/javascript,{ran}"/>
      <style>@import url(http://elsewhere.invalid/a.css); path {{ fill: url(http://elsewhere.invalid/b) }}</style>
      <foreignObject width="9" height="9">
        <img xmlns="http://www.w3.org/1999/xhtml" src="x" onerror="{ran}"/></foreignObject>
      <image href="http://elsewhere.invalid/c.png" onerror="{ran}" width="9" height="9"/>
      <g id="&lt;img src=x onerror={ran}&gt; stitch line">
        <path onclick="{ran}" d="M10 10H90V90H10Z"><set attributeName="onclick" to="{ran}" begin="0s"/></path></g>
    """
    file = tmp_path / f"<img src=x onerror={ran}>.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 100 100" '
        f'width="100mm" height="100mm" onload="{ran}">{body}</svg>',
        encoding="utf-8",
    )
    out = tmp_path / "out.html"
    assert main(["picture", str(file), "-o", str(out), "--quiet"]) == 0
    desk.log()
    desk.open(out)
    desk.click("img[data-part=original]")
    assert desk.run("return document.title") == file.name
    assert desk.run("return document.querySelectorAll('img:not([data-part])').length") == 0
    assert desk.run("return document.querySelector('caption').textContent").startswith("<img src=x")
    assert desk.log() == []


def test_a_drawing_that_was_not_adjusted_has_a_page_without_before_and_after(phone: Browser, tmp_path: Path) -> None:
    shutil.copy(DEMOS / "teaching-sleeve.svg", tmp_path / "a.svg")
    out = tmp_path / "a.html"
    assert main(["picture", str(tmp_path / "a.svg"), "-o", str(out), "--quiet", "--unit", "mm"]) == 0
    phone.open(out)
    assert phone.log() == []
    assert phone.run("return [document.getElementById('split'), document.images.length]") == [None, 1]
    assert phone.run("return Array.from(document.querySelectorAll('thead th')).map(each => each.textContent)") == [
        "measurement",
        "as drawn",
    ]
    phone.click("#closer")
    assert phone.run(
        "return document.getElementById('stage').clientWidth > document.getElementById('view').clientWidth"
    )
