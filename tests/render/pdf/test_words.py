"""Words of whole handouts against all that is painted: by the letters' own ink and the strokes as wide as they are.

The user's own words on the user's own lines are left as they were drawn; everything else must keep clear.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import pymupdf
import pytest
import shapely

from svgfit.cli import main
from tests.render.pdf import printed as ink
from tests.render.pdf.printed import OURS, Printed, printed
from tests.render.pdf.reading import MM

PLAYERS = ("ines-marlow", "tobias-reed", "wilhelmine-okoro")
HANDOUTS = {
    "smock, all layers": ("smock-fitted.svg", "--layers", "adjusted,measurements,working-lines", "--no-teaching"),
    "smock, all pieces": ("smock-fitted.svg", "--pieces", "Sleeve,Front,Back", "--mini", "1/4"),
    "smock on a3": ("smock-fitted.svg", "--paper", "a3", "--mini", "1/2"),
    "smock on letter": ("smock-fitted.svg", "--paper", "letter", "--unit", "mm"),
    "smock, tiled minis": ("smock-fitted.svg", "--mini", "1/2", "--no-teaching"),
    "smock on small paper": ("smock-fitted.svg", "--paper", "148mmx210mm"),
    "nest as drawn": ("smock-sizes.svg", "--paper", "a4+letter"),
    "nest adjusted": ("nest-fitted.svg", "--mini", "1/4"),
    **{name: (f"{name}.svg", "--mini", "1/4") for name in PLAYERS},
}


@pytest.fixture(scope="module")
def made(fitted, tmp_path_factory) -> Callable[[str], tuple[Path, pymupdf.Document]]:
    """The drawing behind a handout, and the handout."""
    folder = fitted.parent
    out = tmp_path_factory.mktemp("handouts")

    @lru_cache
    def ready() -> None:
        smock, plans = str(folder / "smock.svg"), folder / "plans"
        assert main(["advise", smock, "--body", str(folder / "players.toml"), "-o", str(plans), "--quiet"]) == 0
        steps = {name: (smock, plans / f"{name}.plan.toml") for name in PLAYERS}
        steps["nest-fitted"] = (str(folder / "smock-sizes.svg"), folder / "smock-sizes.plan.toml")
        for name, (file, plan) in steps.items():
            assert main(["adjust", file, "--plan", str(plan), "-o", str(folder / f"{name}.svg"), "--quiet"]) == 0

    @lru_cache
    def run(name: str) -> tuple[Path, pymupdf.Document]:
        ready()
        file, *how = HANDOUTS[name]
        pdf = out / f"{name}.pdf"
        assert main(["handout", str(folder / file), "-o", str(pdf), "--quiet", *how]) == 0
        return folder / file, pymupdf.open(pdf)

    return run


@lru_cache
def own_of(file: Path) -> frozenset[str]:
    return ink.own_texts(file.read_bytes())


def pages(file: Path, pdf: pymupdf.Document, *, halos: bool = True) -> list[Printed]:
    return [printed(page, own_of(file), halos=halos) for page in pdf]


@pytest.mark.slow
@pytest.mark.parametrize("name", HANDOUTS)
def test_no_word_is_on_a_line_or_on_another_none_is_small_and_none_leaves_the_paper(name, made) -> None:
    file, pdf = made(name)
    found = pages(file, pdf)
    assert sum(len(page.words) for page in found) > 100
    assert sum(len(page.strokes) for page in found) > 100
    if own_of(file):
        assert any(word.whose == OURS for page in found for word in page.words)
    for page in found:
        tile = not page.shows.equals(page.paper)
        assert ink.on_lines(page) == []
        assert ink.on_words(page) == []
        assert ink.beyond(page, 4.0 if tile else 12.5) == []
        assert ink.small(page) == []


@pytest.mark.slow
@pytest.mark.parametrize("name", HANDOUTS)
def test_nothing_white_is_painted_over_letters(name, made) -> None:
    assert [letter for page in made(name)[1] for letter in ink.gnawed(page)] == []


@pytest.mark.slow
@pytest.mark.parametrize("name", ["smock, all pieces", "nest adjusted", *PLAYERS])
def test_no_figure_hides_a_line_to_cut_or_sew_along(name, made) -> None:
    """What stands on a line beneath its white ground: only the sizes of a nest, each in a gap of its own line."""
    file, pdf = made(name)
    tiles = [printed(page, own_of(file), halos=False) for page in pdf if page.get_label()[:1].isupper()]
    found = [text for page in tiles for text in ink.on_lines(page)]
    sizes = [
        text for text in found if any(f"'{size}'" in text or f"'({size})'" in text for size in (8, 10, 12, 14, 16))
    ]
    assert [text for text in found if text not in sizes] == []
    assert bool(sizes) == (name == "nest adjusted")


def test_what_is_measured_with_finds_words_on_lines_on_words_outside_and_small() -> None:
    face = str(ink.FACES / "DejaVuSans.ttf")
    pdf = pymupdf.open()
    page = pdf.new_page(width=300, height=200)
    page.insert_font("DejaVuSans", face)

    def write(x: float, y: float, text: str, size: float = 10) -> None:
        page.insert_text((x, y), text, fontname="DejaVuSans", fontsize=size)

    page.draw_line((15, 40), (60, 40), width=1)
    write(20, 43, "lined")
    page.draw_line((15, 60), (60, 60), width=4)
    write(20, 58.3, "near")  # the middle of the stroke is 0.6 mm away from its letters
    write(100, 100, "one")
    write(108, 100, "other")
    write(20, 120, "tiny", 7)
    write(270, 150, "outside")
    page.draw_line((100, 150), (160, 150), width=1)
    page.draw_rect((105, 140, 150, 155), color=None, fill=(1, 1, 1))
    write(110, 153, "ground")
    seen = printed(page)
    assert [text.split("'")[1] for text in ink.on_lines(seen)] == ["lined", "near"]
    assert ink.on_words(seen) == [f"{seen.label}: 'one' x 'other'"]
    assert [text.split("'")[1] for text in ink.beyond(seen, 5.0)] == ["outside"]
    assert [text.split("'")[1] for text in ink.small(seen)] == ["tiny"]
    bare = printed(page, halos=False)
    assert [text.split("'")[1] for text in ink.on_lines(bare)] == ["lined", "near", "ground"]
    assert ink.gnawed(page) == []
    page.draw_line((110, 148), (140, 148), color=(1, 1, 1), width=1)
    assert {text.split("'")[1] for text in ink.gnawed(page)} <= set("ground")
    assert ink.gnawed(page)


def test_a_letters_box_is_that_of_its_ink() -> None:
    """Against the page as rendered: within a pixel of 0.035 mm."""
    pdf = pymupdf.open()
    page = pdf.new_page(width=100, height=60)
    page.insert_font("DejaVuSans", str(ink.FACES / "DejaVuSans.ttf"))
    page.insert_text((10, 40), "Sg", fontname="DejaVuSans", fontsize=30)
    (word,) = printed(page).words
    pixels = page.get_pixmap(dpi=720, colorspace=pymupdf.csGRAY)
    seen = shapely.box(*(side * 25.4 / 720 for side in _inked(pixels)))
    assert word.ink.bounds == pytest.approx(seen.bounds, abs=0.06)
    assert page.rect.width * MM == pytest.approx(35.28, abs=0.01)


def _inked(pixels: pymupdf.Pixmap) -> tuple[int, int, int, int]:
    import numpy as np

    dark = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.width) < 128
    rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    return int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1
