"""Content streams walked through: which lines and texts a page draws, in which layer, behind which clip.

The working state lives in one object for one stream and leaves it as a frozen ``Content``; forms are walked once for
each state that they inherit and shared by all who draw them.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from msgspec.structs import replace

from svgfit.formats.layered_svg import SubPath
from svgfit.formats.pdf.colours import to_hex
from svgfit.formats.pdf.fonts import UNKNOWN, Font, read_font
from svgfit.formats.pdf.limits import DEEPEST, MOST_POINTS, MOST_WORK, TOO_MUCH, Unreadable
from svgfit.formats.pdf.optional_content import Key, Layers
from svgfit.formats.pdf.records import EVERYWHERE, Content, Line, Placed, Writing, meet, moved_box, points_of
from svgfit.formats.pdf.state import Ink, State, TextState, dash_of
from svgfit.formats.pdf.streams import elements, entries, get, key_of, name_of, numbers_of, to_number, unpack
from svgfit.formats.pdf.tokens import Operand, instructions, number, numbers
from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box, box_of_points

_PAINTS = {
    b"S": (True, False, False), b"s": (True, False, True), b"f": (False, True, False), b"F": (False, True, False),
    b"f*": (False, True, False), b"B": (True, True, False), b"B*": (True, True, False), b"b": (True, True, True),
    b"b*": (True, True, True), b"n": (False, False, False),
}  # fmt: skip
"""Operators that end a path: whether it is stroked, filled, closed first."""
_NOTHING = frozenset(b"i M j J ri sh BX EX MP DP d0 d1 BI EI ET".split())
"""Operators that draw no line and change nothing that is looked at here."""
_Handler = Callable[["_Walk", list[Operand]], None]


class Interpreter:
    """Walks the streams of one file; it counts its work and remembers forms and fonts."""

    def __init__(self, layers: Layers) -> None:
        """Begin with nothing walked."""
        self.layers = layers
        self._forms: dict[object, Content] = {}
        self._fonts: dict[Key, Font] = {}
        self._work = 0
        self._open: list[object] = []

    def page(self, data: bytes, resources: Any) -> Content:
        """Walk through a page's content, in its default user space. Raises Unreadable for what is too much."""
        return self._walk(data, resources, State(Affine()))

    def work(self) -> None:
        """Count an operator. Raises Unreadable where there are too many."""
        self._work += 1
        if self._work > MOST_WORK:
            raise Unreadable(f"holds more than {MOST_WORK} strokes of the pen", TOO_MUCH)

    def form(self, form: Any, resources: Any, ink: Ink, text: TextState) -> Content:
        """Walk through a form, in its holder's user space at the place where it is drawn."""
        key = (key_of(form), ink) if key_of(form) is not None else None
        if key is not None and key in self._forms:
            return self._forms[key]
        if len(self._open) >= DEEPEST or (key is not None and key in self._open):
            raise Unreadable("holds forms that are drawn in themselves, or too deep in each other", TOO_MUCH)
        motion = Affine(*(numbers_of(get(form, "/Matrix"), 6) or (1, 0, 0, 1, 0, 0)))
        corners = numbers_of(get(form, "/BBox"), 4)
        clip = EVERYWHERE
        if corners is not None:
            left, right = sorted(corners[::2])
            low, high = sorted(corners[1::2])
            clip = moved_box((left, low, right, high), motion)
        own = get(form, "/Resources")
        self._open.append(key)
        found = self._walk(unpack(form), own if own is not None else resources, State(motion, ink, text, clip))
        self._open.pop()
        if key is not None:
            self._forms[key] = found
        return found

    def font(self, font: Any) -> Font:
        """Read a font, once."""
        key = key_of(font)
        if key is None:
            return read_font(font)
        if key not in self._fonts:
            self._fonts[key] = read_font(font)
        return self._fonts[key]

    def _walk(self, data: bytes, resources: Any, state: State) -> Content:
        walk = _Walk(self, resources, state)
        for operator, operands in instructions(data):
            self.work()
            walk.do(operator, operands)
        return Content(tuple(walk.marks), walk.pictures, walk.points, walk.strange)


class _Walk:
    """One stream on the way."""

    def __init__(self, owner: Interpreter, resources: Any, state: State) -> None:
        self._owner, self._resources = owner, resources
        self.state = state
        self._kept: list[State] = []
        self.marks: list[Line | Writing | Placed] = []
        self.pictures = self.points = self.strange = 0
        self._done: list[SubPath] = []
        self._start: complex | None = None
        self._segments: list[tuple[complex, ...]] = []
        self._pen = 0j
        self._clips = False
        self._groups: list[Key | None] = []
        self._matrix = self._line = Affine()
        self._named: dict[str, dict[str, Any]] = {}

    def do(self, operator: bytes, operands: list[Operand]) -> None:
        """Carry out one instruction."""
        handler = _HANDLERS.get(operator)
        if handler is not None:
            handler(self, operands)
        elif operator in _PAINTS:
            self._paint(*_PAINTS[operator])
        elif operator not in _NOTHING:
            self.strange += 1

    @property
    def layer(self) -> Key | None:
        """The group that is drawn into: the innermost that is open."""
        return next((key for key in reversed(self._groups) if key is not None), None)

    def resource(self, kind: str, name: Operand) -> Any:
        """Look a resource up by its kind and name; None for none."""
        if kind not in self._named:
            self._named[kind] = dict(entries(get(self._resources, kind)))
        return self._named[kind].get(name) if isinstance(name, str) else None

    # -- paths -------------------------------------------------------------------------------------------------------

    def move_to(self, operands: list[Operand]) -> None:
        """Carry out m: begin a stretch."""
        if (at := self._point(operands)) is not None:
            self._end_subpath()
            self._start = self._pen = at

    def line_to(self, operands: list[Operand]) -> None:
        """Carry out l: a straight line."""
        if (at := self._point(operands)) is not None:
            self._segment(at)

    def curve_to(self, operands: list[Operand]) -> None:
        """Carry out c: a cubic."""
        if (found := numbers(operands, 6)) is not None:
            self._segment(*(self._at(found[k], found[k + 1]) for k in (0, 2, 4)))

    def curve_from_pen(self, operands: list[Operand]) -> None:
        """Carry out v: a cubic whose first control point is where the pen is."""
        if (found := numbers(operands, 4)) is not None:
            self._segment(self._pen, self._at(*found[:2]), self._at(*found[2:]))

    def curve_to_last(self, operands: list[Operand]) -> None:
        """Carry out y: a cubic whose second control point is its end."""
        if (found := numbers(operands, 4)) is not None:
            end = self._at(*found[2:])
            self._segment(self._at(*found[:2]), end, end)

    def close(self, operands: list[Operand]) -> None:
        """Carry out h: close the stretch."""
        if self._start is not None:
            start = self._start
            self._end_subpath(closed=True)
            self._start = self._pen = start

    def rectangle(self, operands: list[Operand]) -> None:
        """Carry out re: a closed rectangle."""
        if (found := numbers(operands, 4)) is not None:
            x, y, wide, high = found
            self._end_subpath()
            self._start = self._pen = self._at(x, y)
            for corner in ((x + wide, y), (x + wide, y + high), (x, y + high)):
                self._segment(self._at(*corner))
            self.close(operands)

    def _at(self, x: float, y: float) -> complex:
        ctm = self.state.ctm
        return complex(ctm.a * x + ctm.c * y + ctm.e, ctm.b * x + ctm.d * y + ctm.f)

    def _point(self, operands: list[Operand]) -> complex | None:
        found = numbers(operands, 2)
        if found is None:
            self.strange += 1
            return None
        return self._at(*found)

    def _segment(self, *points: complex) -> None:
        if self._start is None:
            self.strange += 1
            self._start = points[-1]
        else:
            self._segments.append(points)
            self._count(len(points))
        self._pen = points[-1]

    def _count(self, points: int) -> None:
        self.points += points
        if self.points > MOST_POINTS:
            raise Unreadable(f"holds lines of more than {MOST_POINTS} points", TOO_MUCH)

    def _end_subpath(self, *, closed: bool = False) -> None:
        if self._start is not None and (self._segments or closed):
            self._done.append(SubPath(self._start, tuple(self._segments), closed))
        self._start, self._segments = None, []

    def _paint(self, stroked: bool, filled: bool, closed: bool) -> None:
        self._end_subpath(closed=closed and self._start is not None)
        paths, self._done = tuple(self._done), []
        if paths and (stroked or filled):
            style = self.state.style(stroked=stroked, filled=filled)
            self.marks.append(Line(paths, style, self.layer, self.state.clip))
        if self._clips:
            self._clips = False
            box = _box(paths)
            if box is not None:
                self.state = replace(self.state, clip=meet(self.state.clip, box))

    def clip(self, operands: list[Operand]) -> None:
        """Carry out W and W*: the path clips what is drawn after it."""
        self._clips = True

    # -- state -------------------------------------------------------------------------------------------------------

    def keep(self, operands: list[Operand]) -> None:
        """Carry out q: keep the state."""
        if len(self._kept) < 1000:
            self._kept.append(self.state)

    def bring_back(self, operands: list[Operand]) -> None:
        """Carry out Q: bring the state back that was kept last."""
        if self._kept:
            self.state = self._kept.pop()

    def concatenate(self, operands: list[Operand]) -> None:
        """Carry out cm: move the frame."""
        if (found := numbers(operands, 6)) is not None:
            self.state = replace(self.state, ctm=Affine(*found).then(self.state.ctm))
        else:
            self.strange += 1

    def external(self, operands: list[Operand]) -> None:
        """Take line width and dashes out of a named state (gs)."""
        found = self.resource("/ExtGState", operands[-1] if operands else None)
        width, dash = to_number(get(found, "/LW")), elements(get(found, "/D"))
        if width is not None:
            self._ink(width=width)
        if len(dash) == 2:
            self._dash([to_number(each) for each in elements(dash[0])], to_number(dash[1]) or 0.0)

    def width(self, operands: list[Operand]) -> None:
        """Carry out w: set the width of lines."""
        if (found := numbers(operands, 1)) is not None:
            self._ink(width=abs(found[0]))

    def dashes(self, operands: list[Operand]) -> None:
        """Carry out d: set the dashes."""
        if len(operands) >= 2 and isinstance(operands[-2], list):
            self._dash([part if isinstance(part, float) else None for part in operands[-2]], number(operands[-1]))

    def _dash(self, parts: list[float | None], offset: float) -> None:
        dash, begins = dash_of(tuple(part for part in parts if part is not None)[:32], offset)
        self._ink(dash=dash, offset=begins)

    def _ink(self, **changes: Any) -> None:
        self.state = replace(self.state, ink=replace(self.state.ink, **changes))

    def colour(self, operands: list[Operand], *, stroke: bool, count: int | None = None) -> None:
        """Set a colour by so many numbers; None: by all that are given."""
        parts = [part for part in operands if isinstance(part, float)]
        parts = parts[-count:] if count else parts
        if not parts:  # a pattern
            return
        inky = count is None and (self.state.ink.stroke_ink if stroke else self.state.ink.fill_ink)
        text = to_hex(parts, subtractive=inky)
        self._ink(**{"stroke" if stroke else "fill": text})

    def space(self, operands: list[Operand], *, stroke: bool) -> None:
        """Carry out CS and cs: choose a colour space; its first colour is black, or full ink."""
        name = operands[-1] if operands else None
        kind = self.resource("/ColorSpace", name)
        inky = name_of(next(iter(elements(kind)), None)) in ("/Separation", "/DeviceN")
        prefix = "stroke" if stroke else "fill"
        self._ink(**{prefix: "#000000", f"{prefix}_ink": inky})

    # -- layers and forms --------------------------------------------------------------------------------------------

    def begin_marked(self, operands: list[Operand]) -> None:
        """Carry out BDC: what follows belongs to a group, or to something else."""
        tag, name = operands[-2:] if len(operands) >= 2 else (None, None)
        found = self.resource("/Properties", name) if tag == "/OC" else None
        self._groups.append(self._owner.layers.of(found) if found is not None else None)

    def begin_other(self, operands: list[Operand]) -> None:
        """Carry out BMC: what follows belongs to something that is no group."""
        self._groups.append(None)

    def end_marked(self, operands: list[Operand]) -> None:
        """Carry out EMC: end what BDC or BMC began last."""
        if self._groups:
            self._groups.pop()

    def draw(self, operands: list[Operand]) -> None:
        """Carry out Do: a form, or a picture."""
        found = self.resource("/XObject", operands[-1] if operands else None)
        if name_of(get(found, "/Subtype")) == "/Image":
            self.pictures += 1
        elif name_of(get(found, "/Subtype")) == "/Form":
            state = self.state
            content = self._owner.form(found, self._resources, state.ink, state.text)
            group = get(found, "/OC")
            layer = self._owner.layers.of(group) if group is not None else None
            self.pictures += content.pictures
            self.strange += content.strange
            self._count(content.points)
            if content.marks:
                self.marks.append(Placed(content, state.ctm, layer if layer is not None else self.layer, state.clip))

    def inline_picture(self, operands: list[Operand]) -> None:
        """Carry out ID: a picture in the stream itself."""
        self.pictures += 1

    # -- texts -------------------------------------------------------------------------------------------------------

    def begin_text(self, operands: list[Operand]) -> None:
        """Carry out BT: begin a text."""
        self._matrix = self._line = Affine()

    def set_text(self, operands: list[Operand], name: str, scale: float = 1.0) -> None:
        """Set a number of the text state."""
        if (found := numbers(operands, 1)) is not None:
            self._text(**{name: found[0] * scale})

    def mode(self, operands: list[Operand]) -> None:
        """Carry out Tr: set how letters are drawn; 3 is text that is not seen."""
        if (found := numbers(operands, 1)) is not None:
            self._text(mode=int(found[0]))

    def choose_font(self, operands: list[Operand]) -> None:
        """Carry out Tf: choose font and size."""
        if len(operands) >= 2:
            font = self.resource("/Font", operands[-2])
            known = self._owner.font(font) if font is not None else UNKNOWN
            self._text(font=known, size=number(operands[-1]))

    def _text(self, **changes: Any) -> None:
        self.state = replace(self.state, text=replace(self.state.text, **changes))

    def next_line(self, operands: list[Operand], *, leads: bool = False) -> None:
        """Carry out Td and TD: go to a line that begins so far from where this one began."""
        if (found := numbers(operands, 2)) is not None:
            if leads:
                self._text(leading=-found[1])
            self._line = self._matrix = Affine(1, 0, 0, 1, *found).then(self._line)

    def text_matrix(self, operands: list[Operand]) -> None:
        """Carry out Tm: set where the text stands."""
        if (found := numbers(operands, 6)) is not None:
            self._line = self._matrix = Affine(*found)

    def down_a_line(self, operands: list[Operand]) -> None:
        """Carry out T*: go a line down."""
        self.next_line([0.0, -self.state.text.leading])

    def show(self, operands: list[Operand]) -> None:
        """Carry out Tj: show a string."""
        self.show_several([operands[-1:]])

    def show_on_next(self, operands: list[Operand]) -> None:
        """Carry out the quote operator: a line on, and show."""
        self.down_a_line([])
        self.show(operands)

    def show_spaced(self, operands: list[Operand]) -> None:
        """Carry out the double quote operator: set gaps, a line on, and show."""
        if len(operands) >= 3:
            self._text(word_gap=number(operands[-3]), letter_gap=number(operands[-2]))
        self.show_on_next(operands)

    def show_several(self, operands: list[Operand]) -> None:
        """Carry out TJ: show strings, and move the pen back by the numbers between them."""
        items = operands[-1] if operands else None
        text = self.state.text
        if not isinstance(items, list) or not text.size:
            return
        start, words = self._matrix, ""
        for item in items:
            along = 0.0
            if isinstance(item, bytes):
                content, width, codes, blanks = text.font.read(item)
                words += content
                along = width * text.size + codes * text.letter_gap + blanks * text.word_gap
            elif isinstance(item, float):
                along = -item / 1000 * text.size
                words += " " if item < -180 and words and not words.endswith(" ") else ""
            self._matrix = Affine(1, 0, 0, 1, along * text.stretch, 0).then(self._matrix)
        if words.strip() and text.mode not in (3, 7):
            self.marks.append(self._written(words, start, self._matrix, text))

    def _written(self, words: str, start: Affine, end: Affine, text: TextState) -> Writing:
        ctm = self.state.ctm
        first, last = start.then(ctm), end.then(ctm)
        at, after = (each.apply(complex(0, text.rise)) for each in (first, last))
        up = first.apply_vector(complex(0, text.size))
        return Writing(words, at, after, up, self.state.ink.fill, self.layer, self.state.clip)


def _box(paths: tuple[SubPath, ...]) -> Box | None:
    """Return the box around a path that clips; None for an empty one."""
    points = [point for path in paths for point in points_of(path)]
    return box_of_points(points) if points else None


_HANDLERS: dict[bytes, _Handler] = {
    b"m": _Walk.move_to, b"l": _Walk.line_to, b"c": _Walk.curve_to, b"v": _Walk.curve_from_pen,
    b"y": _Walk.curve_to_last, b"h": _Walk.close, b"re": _Walk.rectangle, b"W": _Walk.clip, b"W*": _Walk.clip,
    b"q": _Walk.keep, b"Q": _Walk.bring_back, b"cm": _Walk.concatenate, b"gs": _Walk.external, b"w": _Walk.width,
    b"d": _Walk.dashes, b"Do": _Walk.draw, b"ID": _Walk.inline_picture,
    b"BDC": _Walk.begin_marked, b"BMC": _Walk.begin_other, b"EMC": _Walk.end_marked,
    b"G": lambda walk, given: walk.colour(given, stroke=True, count=1),
    b"g": lambda walk, given: walk.colour(given, stroke=False, count=1),
    b"RG": lambda walk, given: walk.colour(given, stroke=True, count=3),
    b"rg": lambda walk, given: walk.colour(given, stroke=False, count=3),
    b"K": lambda walk, given: walk.colour(given, stroke=True, count=4),
    b"k": lambda walk, given: walk.colour(given, stroke=False, count=4),
    b"SC": lambda walk, given: walk.colour(given, stroke=True),
    b"SCN": lambda walk, given: walk.colour(given, stroke=True),
    b"sc": lambda walk, given: walk.colour(given, stroke=False),
    b"scn": lambda walk, given: walk.colour(given, stroke=False),
    b"CS": lambda walk, given: walk.space(given, stroke=True),
    b"cs": lambda walk, given: walk.space(given, stroke=False),
    b"BT": _Walk.begin_text, b"Tf": _Walk.choose_font, b"Tr": _Walk.mode,
    b"Tc": lambda walk, given: walk.set_text(given, "letter_gap"),
    b"Tw": lambda walk, given: walk.set_text(given, "word_gap"),
    b"Tz": lambda walk, given: walk.set_text(given, "stretch", 0.01),
    b"TL": lambda walk, given: walk.set_text(given, "leading"),
    b"Ts": lambda walk, given: walk.set_text(given, "rise"),
    b"Td": _Walk.next_line, b"TD": lambda walk, given: walk.next_line(given, leads=True),
    b"Tm": _Walk.text_matrix, b"T*": _Walk.down_a_line, b"Tj": _Walk.show, b"TJ": _Walk.show_several,
    b"'": _Walk.show_on_next, b'"': _Walk.show_spaced,
}  # fmt: skip
