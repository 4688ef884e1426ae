import pytest

from svgfit.model.refusal import Refusal
from svgfit.render.pdf.papers import NAMES, read_paper


@pytest.mark.parametrize(
    ("name", "width", "height"),
    [
        # ISO 216
        ("a4", 210, 297),
        ("A3", 297, 420),
        ("a2", 420, 594),
        ("a1", 594, 841),
        ("a0", 841, 1189),
        # ANSI/ASME Y14.1; legal: common practice, no source
        ("letter", 215.9, 279.4),
        ("Legal", 215.9, 355.6),
        ("tabloid", 279.4, 431.8),
        ("arch-e", 914.4, 1219.2),
        ("arch e", 914.4, 1219.2),
        # what fits on both
        ("a4+letter", 210, 279.4),
        ("letter+a4", 210, 279.4),
        # measured
        ("610mmx914mm", 610, 914),
        ("24x36in", 609.6, 914.4),
        ("24 in × 36 in", 609.6, 914.4),
        ('8 1/2 x 11"', 215.9, 279.4),
        ("60 cm x 914 mm", 600, 914),
    ],
)
def test_papers_by_name_and_by_size(name: str, width: float, height: float) -> None:
    paper = read_paper(name)
    assert (paper.width, paper.height) == pytest.approx((width, height))


def test_every_name_is_a_paper_that_can_be_turned() -> None:
    for name in NAMES:
        paper = read_paper(name)
        assert paper.portrait.width <= paper.portrait.height
        assert paper.landscape.width == paper.portrait.height


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("leter", "--paper: there is no paper 'leter'; did you mean letter?"),
        ("zz", "--paper: there is no paper 'zz'; the papers are a4, "),
        ("a4+lettr", "did you mean letter?"),
        ("610x914", "has no unit"),
        ("10mmx900mm", "no paper is 10.0 mm (3/8 in) on a side"),
        ("9000mmx900mm", "no paper is 9000.0 mm (354 5/16 in) on a side"),
        ("0x0in", "no paper is 0.0 mm (0 in) on a side"),
        ("", "there is no paper ''"),
        ("10x", "write for example 610mmx914mm"),
    ],
)
def test_what_is_no_paper_is_one_line(name: str, line: str) -> None:
    with pytest.raises(Refusal) as refusal:
        read_paper(name)
    assert line in refusal.value.line()
