import pymupdf
import pytest

from svgfit.model.refusal import Refusal
from svgfit.render.pdf.typesetting import quoted, typeset
from svgfit.render.typeface import typeface

PAGE = "#set page(width: 100mm, height: 60mm, margin: 0mm)\n"
SQUARE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="0 0 50 50">'
    b'<path d="M0 0h50v50h-50z" fill="#ccc"/><text x="5" y="20" font-size="6" font-family="No, serif">R4</text></svg>'
)


def test_only_the_letters_of_the_package_are_used_also_in_a_drawing() -> None:
    made = pymupdf.open(stream=typeset(PAGE + 'One *two* #image("a.svg")', {"a.svg": SQUARE}))
    faces = {font[3].split("+")[-1] for font in made[0].get_fonts()}
    assert faces == {"DejaVuSans", "DejaVuSans-Bold"}
    assert all(made.extract_font(font[0])[3] for font in made[0].get_fonts())  # embedded
    assert {"One", "two", "R4"} <= set(made[0].get_text().split())


def test_the_letters_have_their_licence_beside_them() -> None:
    assert "Permission is hereby granted" in (typeface().folder / "LICENSE-DejaVu.txt").read_text()
    assert set(typeface().folder.glob("*.ttf")) == set(typeface().files)


def test_a_picture_of_50_mm_comes_out_at_50_mm() -> None:
    made = pymupdf.open(stream=typeset(PAGE + '#place(image("a.svg"))', {"a.svg": SQUARE}))
    box = made[0].get_drawings()[0]["rect"]
    assert box.width == pytest.approx(50 / 25.4 * 72, abs=1e-3)


def test_the_same_markup_gives_the_same_bytes_and_no_date() -> None:
    first, second = typeset(PAGE + "x"), typeset(PAGE + "x")
    assert first == second
    assert b"CreationDate" not in first


def test_what_a_person_wrote_is_set_as_it_stands() -> None:
    words = 'Sleeve #1 *not bold* $x$ 3/8" \\n [b] _c_ @a <l> ß Ω'
    made = pymupdf.open(stream=typeset(PAGE + "#" + quoted(words)))
    assert " ".join(made[0].get_text().split()) == words


def test_what_typst_can_not_set_is_one_line() -> None:
    with pytest.raises(Refusal, match=r"the handout: can't be typeset \(unknown variable: foo\)"):
        typeset("#foo")
