"""What was guessed and can change a figure is told by every command that shows figures; inspect has it by the piece."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.pattern.smocks import Part, convention, smock, svg, traced, trousers, unfolded

from .conftest import Done

JAGGED = "guessed: outline: it is jagged as a tracing is"
COMMANDS = {
    "measure": ["measure", "drawn.svg"],
    "walk": ["walk", "drawn.svg"],
    "adjust": ["adjust", "drawn.svg", "--do", "cap-raise amount=5mm", "-o", "adjusted.svg"],
    "handout": ["handout", "drawn.svg", "-o", "handout.pdf"],
    "plot": ["plot", "drawn.svg", "-o", "plot.pdf"],
}


def draw(folder: Path, parts: list[Part]) -> None:
    (folder / "drawn.svg").write_text(svg(parts))
    (folder / "svgfit.toml").write_text(convention(parts))


@pytest.mark.slow_after(3)
@pytest.mark.parametrize("command", COMMANDS)
def test_a_guess_is_told_by_every_command(command: str, svgfit: Callable[..., Done], here: Path) -> None:
    """Once, for all the pieces that it is true of."""
    draw(here, [traced(part, 2.0, 0.15, smooth=True) for part in smock()])
    done = svgfit(*COMMANDS[command])
    told = [line for line in done.err.splitlines() if JAGGED in line]
    assert len(told) == len({line.partition("guessed")[2] for line in told}) > 0
    assert all(any(name in line for line in told) for name in ("Sleeve", "Front", "Back"))


def test_the_page_with_a_picture_tells_it_too(svgfit: Callable[..., Done], here: Path) -> None:
    draw(here, [traced(part, 2.0, 0.15, smooth=True) for part in smock()])
    assert svgfit("picture", "drawn.svg", "-o", "page.html").status == 0
    assert JAGGED in (here / "page.html").read_text()


def test_inspect_tells_it_by_the_piece_alone(svgfit: Callable[..., Done], here: Path) -> None:
    draw(here, [traced(part, 2.0, 0.15, smooth=True) for part in smock()])
    done = svgfit("inspect", "drawn.svg")
    assert done.out.count(JAGGED) == 3
    assert JAGGED not in done.err


def test_the_reason_for_other_is_told_where_figures_are_shown(svgfit: Callable[..., Done], here: Path) -> None:
    arm, front, back = smock()
    draw(here, [arm, unfolded(front), trousers("Back")])
    done = svgfit("measure", "drawn.svg")
    assert "Front: guessed: kind: other; it is drawn whole" in done.err
    assert "Back: guessed: kind: other; it looks like a front or back, but" in done.err
    assert front.name in done.out
    assert back.name in done.out


def test_what_is_known_is_not_told(svgfit: Callable[..., Done], here: Path) -> None:
    for name in ("smock.svg", "smock-sizes.svg", "smock-sleeve-cut-line.svg"):
        assert "guessed" not in svgfit("measure", name).err


@pytest.mark.parametrize("command", [*COMMANDS, "picture"])
def test_what_lines_were_taken_for_by_shape_is_told_by_every_command(
    command: str, svgfit: Callable[..., Done], here: Path
) -> None:
    drawn = (here / "smock-sleeve-cut-line.svg").read_text()
    (here / "drawn.svg").write_text(drawn.replace("Sleeve_cut_line", "Sleeve").replace("Sleeve_notches", "things"))
    done = svgfit(*COMMANDS.get(command, ("picture", "drawn.svg", "-o", "page.html")))
    told = (here / "page.html").read_text() if command == "picture" else " ".join(done.err.split())
    assert told.count("are taken to be cut lines, since a seam allowance is stated") == 1
    assert told.count("is told by shape, not by name") == 1
