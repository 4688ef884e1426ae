"""Test squares on layers of any name, known by what is written at them ("2 in", "5 x 5 cm", "test square").

Lengths in the root's user units, but for sizes, which are mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from msgspec import Struct

from svgfit.geometry.bezier import Complex
from svgfit.geometry.box import Box, box_of_points
from svgfit.model.label_size import is_size, stated_size
from svgfit.model.refusal import Refusal
from svgfit.rules.scale import FITS, LABEL_WITHIN, SLIPS, names_square, names_test_square
from svgfit.svg.path_data import PathError
from svgfit.svg.test_square import by_squares, is_usual, nearest_usual, one_each
from svgfit.svg.texts import read_text
from svgfit.svg.traverse import Draft, Item

LONGEST_PATH = 400
"""No path with more letters than this in its data is a square: it needn't be read."""
LETTER_WIDTH = 0.55
"""Width of a letter, in font sizes: enough to tell where a text lies."""


class LabelledSquare(Struct, frozen=True):
    """A square and what is written at it."""

    side: float
    nominal: float | None
    """The one size, mm, that is written there."""
    label: str
    sure: bool
    """Whether the writing says that this is a test square; else it is a size alone, which may be of something else."""


class Label(Struct, frozen=True):
    """A text that may be a test square's, and the box round it."""

    text: str
    box: Box


def find_labelled(
    drafts: Iterable[Draft],
    closed_chains: Callable[[Item], Iterable[Complex]],
    side_of: Callable[[Complex], float | None],
) -> tuple[LabelledSquare, ...]:
    """Find the squares of these layers that have a label.

    ``closed_chains`` gives the closed cubic chains (n, 4) of a shape; ``side_of`` the side of one that is a square.
    Shapes are looked at only where some text may be a label.
    """
    items = [item for draft in drafts for item in draft.items]
    texts = [item for item in items if item.kind == "text" and may_label(" ".join(item.element.itertext()))]
    labels = [label for item in texts for label in _labels(item)]
    squares: list[tuple[float, Box]] = []
    for item in items if labels else ():
        if item.kind == "text" or len(item.element.get("d") or "") > LONGEST_PATH:
            continue
        for chain in closed_chains(item):
            side = side_of(chain)
            if side is not None:
                squares.append((side, box_of_points(chain[:, 0].tolist())))
    return label_squares(squares, labels)


def _labels(item: Item) -> Iterable[Label]:
    """Read a text element's lines as one label: what it says as a whole, where it stands."""
    try:
        lines = read_text(item.element, item.frame)
    except PathError:
        return ()  # told of where the text itself is read
    corners: list[complex] = []
    for line in lines:
        long = LETTER_WIDTH * line.size * len(line.content)
        left = line.at - long * {"start": 0.0, "middle": 0.5, "end": 1.0}[line.anchor]
        for corner in (left, left + long, left - 1j * line.size, left + long - 1j * line.size):
            corners.append(item.matrix.apply(corner))
    return (Label(" ".join(line.content for line in lines), box_of_points(corners)),) if lines else ()


def believed(squares: Sequence[LabelledSquare], known: float | None) -> list[LabelledSquare]:
    """Keep the squares that may be held against the scale ``known`` (mm a user unit; None where nothing says one).

    A size alone may be that of something else: it counts where it fits the known scale or a usual slip from it, or
    where nothing is known a usual resolution.
    """

    def fits(square: LabelledSquare) -> bool:
        if square.sure or square.nominal is None:
            return square.sure
        per = square.nominal / square.side
        if known is None:
            return is_usual(per)
        return any(abs(per / known / slip - 1) <= FITS for slip in SLIPS)

    return sorted(filter(fits, squares), key=lambda square: not square.sure)


def by_labels(file: str, squares: Sequence[LabelledSquare]) -> tuple[float, float | None]:
    """Find mm a user unit by squares, and the size in mm that one was taken to have where nothing states it.

    Raises Refusal where squares that are marked with their size say different scales, or those that are not say none.
    """
    sized = [(square.nominal / square.side, square.nominal) for square in squares if square.nominal is not None]
    if not sized:
        return by_squares(file, [square.side for square in squares], None)
    kept = one_each(sized)
    if len(kept) > 1:
        marked = " and ".join(f'"{square.label[:40]}"' for square in squares if square.nominal is not None)
        what = f"the squares marked {marked} don't fit one scale"
        raise Refusal(file, what, "measure them on paper, and give --scale N (units of the drawing in an inch)")
    return nearest_usual(kept[0][0]), None


def may_label(text: str) -> bool:
    """Tell whether a text may stand at a test square: it speaks of a square, or is a size and nothing else.

    >>> may_label("5 x 5 cm"), may_label("Carré de contrôle"), may_label("2 in"), may_label("hem 1 in"), may_label("2")
    (True, True, True, False, False)
    """
    return names_square(text) or is_size(text)


def label_squares(squares: Sequence[tuple[float, Box]], labels: Sequence[Label]) -> tuple[LabelledSquare, ...]:
    """Give each label to the square that it lies at, and return the squares that have one.

    ``squares``: sides and the boxes round them. A label in several squares is the smallest one's; one that lies farther
    off than a part of the square's side is no square's.
    """
    texts: dict[int, list[str]] = {}
    for label in labels:
        away = [(_distance(label.box, box), side, k) for k, (side, box) in enumerate(squares)]
        near = min((one for one in away if one[0] <= LABEL_WITHIN * one[1]), default=None)
        if near is not None:
            texts.setdefault(near[2], []).append(label.text)
    return tuple(_labelled(squares[k][0], " ".join(said)) for k, said in sorted(texts.items()))


def _labelled(side: float, said: str) -> LabelledSquare:
    return LabelledSquare(side, stated_size([said]), said, names_test_square(said))


def _distance(one: Box, other: Box) -> float:
    across = max(one[0] - other[2], other[0] - one[2], 0.0)
    down = max(one[1] - other[3], other[1] - one[3], 0.0)
    return max(across, down)
