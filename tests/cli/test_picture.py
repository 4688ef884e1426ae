from __future__ import annotations

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


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["none.svg", "-o", "a.png"], "no such file"),
        (["fitted.svg", "-o", "a.gif"], "neither in .png nor in .html"),
        (["fitted.svg", "-o", "fitted.svg"], "neither in .png nor in .html"),
        (["fitted.svg", "-o", "no/such/a.png"], "no such folder"),
        (["fitted.svg", "-o", "there.png"], "exists already"),
        (["fitted.svg", "-o", "a.png", "--layers", "lace"], "nothing called 'lace'"),
        (["smock.svg", "-o", "a.png", "--layers", "adjusted"], "no layer 'adjusted'"),
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


def test_an_earlier_picture_is_replaced_only_with_force(svgfit, fitted, here) -> None:
    (here / "a.png").write_bytes(b"mine")
    assert svgfit("picture", fitted, "-o", "a.png").status == 2
    assert svgfit("picture", fitted, "-o", "a.png", "--force", "--quiet") == (0, "", "")
    assert (here / "a.png").read_bytes().startswith(b"\x89PNG")
