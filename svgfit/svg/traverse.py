"""Traversal of the tree: which layer every shape and text lies in, and the motion that places it.

Iterative, so that no depth of nesting can exhaust Python's stack. Nothing here looks at geometry.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box
from svgfit.model.dialect import Element, LayerFacts
from svgfit.model.refusal import Refusal
from svgfit.svg import conditional, styles
from svgfit.svg.element_transform import is_moved, read_motion
from svgfit.svg.path_data import Broken, PathError
from svgfit.svg.shapes import SHAPES, Frame
from svgfit.svg.source import OUR_MARK
from svgfit.svg.transforms import IDENTITY
from svgfit.svg.tree import XLINK_HREF, local_name, place, visible_name
from svgfit.svg.units import read_length
from svgfit.svg.viewport import ViewBox, fit, read_view_box
from svgfit.svg.warnings import WarningLog

MOST = 100_000
"""No drawing shows more elements than this, repeated ones counted (a guard against files made to fill the memory)."""
LONGEST_NAME = 300
"""Layers' names are not longer than this, in letters: each is told again with all that lies in it."""
DEEPEST_LAYER = 100
"""So many layers lie in one another at most."""
DEEPEST_USE = 200
"""So many ``use`` elements show one another at most."""

DEEPEST_BOX = 16
"""So many transforms that go by the box of what is in them lie in one another at most."""
MOST_BOXED = 20_000
"""So many shapes are measured for such boxes at most."""

_GROUPS = frozenset({"g", "a", "svg", "switch", "use", "symbol"})
_CONTAINERS = frozenset({"g", "svg"})
_OBJECTS = SHAPES | {"use"}
_SHOWN = SHAPES | _GROUPS | {"text"}
_Read = TypeVar("_Read", ViewBox | None, Affine)


class Item(Struct, frozen=True):
    """A shape or text that is in the picture."""

    kind: str
    element: Element
    owner: Element
    """The element a person sees: the outermost ``use`` that shows this one, else the element itself."""
    matrix: Affine
    """Its own coordinates → the root's user units."""
    frame: Frame


class Draft(Struct, frozen=True):
    """A layer, its items still elements."""

    name: str
    path: tuple[str, ...]
    element: Element | None
    hidden: bool
    locked: bool
    ours: str | None
    items: list[Item]


class _State(Struct, frozen=True):
    """Inherited state of an element before it has been looked at."""

    matrix: Affine
    frame: Frame
    layer: int = -1
    out: bool = False
    """display:none on a group between the layer and here: shapes are not in the picture."""
    off: bool = False
    """The same of any ancestor at all: layers are hidden."""
    seen: bool = True
    """Visibility, which a child may turn on again."""
    owner: Element | None = None
    uses: tuple[Element, ...] = ()
    ours: str | None = None
    sized: tuple[str | None, str | None] = (None, None)
    """Width and height that a ``use`` gives to a symbol or svg."""


class Walk:
    """One traversal with one dialect; collects ``drafts`` (document order) and warnings."""

    def __init__(
        self,
        file: str,
        root: Element,
        frame: Frame,
        space: str,
        layer_of: Callable[[Element], LayerFacts | None],
        extra: Callable[[Element], bool] | None = None,
    ) -> None:
        self.file: str = file
        self.root: Element = root
        self.space: str = space
        self._layer_of, self._extra = layer_of, extra
        self._ids: dict[str, Element] | None = None
        self._shared: dict[str, int] = {}
        self._loose = Draft("", (), None, False, False, None, [])
        self.drafts: list[Draft] = []
        self.log: WarningLog = WarningLog()
        self._frame = frame
        self._boxes: dict[tuple[Element, float, float], Box] = {}
        self._boxed = [0]
        self._box_depth = 0

    def run(self, children: list[Element]) -> None:
        """Walk through the root's children."""
        sheet = self._frame.sheet
        off, seen = styles.is_off(self.root, sheet), styles.visibility(self.root, sheet) is not False
        start = _State(IDENTITY, self._frame, off=off, seen=seen)
        self._go([(child, start) for child in children])
        if self._loose.items:
            self.drafts.insert(0, self._loose)

    def _go(self, children: list[tuple[Element, _State]]) -> None:
        stack = children[::-1]
        count = 0
        while stack:
            element, state = stack.pop()
            kind = local_name(element, self.space)
            if kind not in _SHOWN or (kind == "symbol" and not state.uses):
                continue
            count += 1
            if count > MOST:
                raise Refusal(place(self.file, element), "the drawing shows too many elements", "simplify it")
            try:
                inner = self._enter(kind, element, state)
                if inner is None:
                    continue
                if kind in _GROUPS:
                    stack.extend(reversed(self._children(kind, element, inner)))
                elif not inner.out and (inner.seen or self._box_depth) and not self._is_extra(kind, element):
                    owner = element if inner.owner is None else inner.owner
                    draft = self._loose if inner.layer < 0 else self.drafts[inner.layer]
                    draft.items.append(Item(kind, element, owner, inner.matrix, inner.frame))
            except Broken as fault:
                self._warn(element, f"{fault}; what it shows is left out")
            except PathError as fault:
                raise Refusal(place(self.file, element), str(fault), "mend or delete it") from None

    def _warn(self, element: Element, what: str) -> None:
        self.log.add(f"{place(self.file, element)}: {what}")

    def _is_extra(self, kind: str, element: Element) -> bool:
        """Return whether the program drew the shape for itself, such as the ground of a page."""
        return self._extra is not None and kind in SHAPES and self._extra(element)

    # -- one element --------------------------------------------------------------------------------------------

    def _enter(self, kind: str, element: Element, state: _State) -> _State | None:
        """Compute the state inside the element; None where nothing of it can be seen."""
        if not conditional.is_supported(element):
            return None
        sheet = state.frame.sheet
        display, seen = styles.display(element, sheet), styles.visibility(element, sheet)
        contents = display == "contents"  # https://www.w3.org/TR/css-display-3/#unbox-svg
        hidden = display == "none" or (contents and kind not in _GROUPS)
        matrix = state.matrix if contents or hidden else self._moved(kind, element, state)
        if matrix is None:
            return None
        visible = state.seen if seen is None else seen
        ours = element.get(OUR_MARK) if not state.uses and element.getparent() is self.root else None
        facts = None
        if ours is not None:
            name = visible_name(element, self.space) or ours
            facts = LayerFacts(name, locked=_locked(element))
        elif not state.uses and (kind in _CONTAINERS or (state.layer < 0 and kind in _OBJECTS)):
            facts = self._layer_of(element)
        if facts is not None and len(facts.name) > LONGEST_NAME:
            self._warn(element, f"its name of {len(facts.name)} letters is cut to {LONGEST_NAME}")
            facts = replace(facts, name=facts.name[:LONGEST_NAME])
        if facts is None:
            if matrix is state.matrix and not hidden and visible is state.seen:
                return state
            return replace(state, matrix=matrix, out=state.out or hidden, off=state.off or hidden, seen=visible)
        off = state.off or hidden or facts.hidden
        layer = self._shared.get(facts.shared, -1) if facts.shared is not None else -1
        if layer < 0:
            self._open(element, facts, state, ours or state.ours, hidden=off or not visible)
            layer = len(self.drafts) - 1
            if facts.shared is not None:
                self._shared[facts.shared] = layer
        return replace(state, matrix=matrix, out=False, off=off, seen=True, layer=layer, ours=ours or state.ours)

    def _open(self, element: Element, facts: LayerFacts, state: _State, ours: str | None, *, hidden: bool) -> None:
        above = self.drafts[state.layer] if state.layer >= 0 else None
        path = (*above.path, facts.name) if above else (facts.name,)
        if len(path) > DEEPEST_LAYER:
            what = f"lies in more than {DEEPEST_LAYER} layers, one in another"
            raise Refusal(place(self.file, element), what, "ungroup what lies in them")
        hidden = hidden or (above is not None and above.hidden)
        locked = facts.locked or (above is not None and above.locked)
        self.drafts.append(Draft(facts.name, path, element, hidden, locked, ours, []))

    def _moved(self, kind: str, element: Element, state: _State) -> Affine | None:
        if not is_moved(element, state.frame):
            return state.matrix

        def content_box() -> Box:
            return self._box(kind, element, state)

        own = read_motion(element, state.frame, content_box, lambda what: self._warn(element, what))
        if own == IDENTITY:
            return state.matrix
        moved = own.then(state.matrix)
        if not math.isfinite(moved.a + moved.b + moved.c + moved.d + moved.e + moved.f):
            raise PathError("its transform has no finite numbers")
        return moved if moved.determinant != 0 else None

    def _box(self, kind: str, element: Element, state: _State) -> Box:
        """Compute the box of what an element draws, in its own user units."""
        key = (element, state.frame.width, state.frame.height)
        if key not in self._boxes:
            if self._box_depth >= DEEPEST_BOX:
                raise PathError(f"its transform goes by the box of what is in it, and so on, over {DEEPEST_BOX} times")
            inside = Walk(self.file, self.root, state.frame, self.space, lambda _: None)
            inside.log, inside._boxes, inside._boxed = self.log, self._boxes, self._boxed
            inside._ids, inside._box_depth = self._ids, self._box_depth + 1
            start = replace(state, matrix=IDENTITY, layer=-1, out=False)
            if kind in _GROUPS:
                inside._go(self._children(kind, element, start))
                items = inside._loose.items
            else:
                items = [Item(kind, element, element, IDENTITY, state.frame)]
            self._boxed[0] += len(items)
            if self._boxed[0] > MOST_BOXED:
                raise PathError("its transform goes by the box of too many shapes")
            if any(item.kind == "text" for item in items):
                self._warn(element, "its transform goes by the box of its writing, which is not known")
            self._boxes[key] = _box_of(items)
        return self._boxes[key]

    # -- what is inside -----------------------------------------------------------------------------------------

    def _children(self, kind: str, element: Element, inner: _State) -> list[tuple[Element, _State]]:
        if kind == "use":
            return self._used(element, inner)
        if kind in ("svg", "symbol"):
            window = self._window(element, inner)
            return [] if window is None else [(child, window) for child in element]
        if kind == "switch":
            shown = [child for child in element if local_name(child, self.space) in _SHOWN]
            return [(child, inner) for child in conditional.choose_child(shown)]
        if inner.sized != (None, None):  # what a use says of size holds only for the svg or symbol it names
            inner = replace(inner, sized=(None, None))
        return [(child, inner) for child in element]

    def _used(self, element: Element, state: _State) -> list[tuple[Element, _State]]:
        href: str = (element.get("href") or element.get(XLINK_HREF) or "").strip()
        target = self._by_id(href[1:]) if href.startswith("#") else None
        if target is None:
            if href:
                self._warn(element, f"shows {href[:60]!r}, which is not in the drawing")
            return []
        if target in state.uses or target is element:
            raise Refusal(place(self.file, element), f"shows itself (by {href})", "delete it")
        if len(state.uses) >= DEEPEST_USE:
            raise Refusal(place(self.file, element), "shows what shows what is shown, without end", "delete it")
        if any(parent is target for parent in element.iterancestors()):
            raise Refusal(place(self.file, element), f"lies in what it shows ({href})", "delete it")
        shift = complex(state.frame.number(element, "x"), state.frame.number(element, "y"))
        matrix = Affine.shift(shift).then(state.matrix) if shift else state.matrix
        inner = replace(
            state,
            matrix=matrix,
            uses=(*state.uses, target),
            owner=state.owner if state.owner is not None else element,
            sized=(_size(element, "width", state.frame), _size(element, "height", state.frame)),
        )
        return [(target, inner)]

    def _by_id(self, name: str) -> Element | None:
        if self._ids is None:
            self._ids = {}
            for element in self.root.iter():
                found = element.get("id")
                if found:
                    self._ids.setdefault(found, element)
        return self._ids.get(name)

    def _window(self, element: Element, state: _State) -> _State | None:
        """Compute the viewport that a nested svg, or a symbol where it is used, opens; None where it has no size."""
        frame = state.frame
        x, y = frame.number(element, "x"), frame.number(element, "y")
        wide, high = self._extent(element, "width", state), self._extent(element, "height", state)
        box = self._readable(element, lambda: read_view_box(element.get("viewBox")), None, "viewBox")
        if wide == 0 or high == 0 or (box is not None and not (box.width and box.height)):
            return None
        if wide is None or high is None:
            if box is not None:
                raise Broken("its width and height are parts of the drawing's, which has none")
            wide, high = wide or 0.0, high or 0.0
        inner = IDENTITY if box is None else self._fitted(element, box, wide, high)
        matrix = inner.then(Affine.shift(complex(x, y))).then(state.matrix)
        if not math.isfinite(matrix.a + matrix.b + matrix.c + matrix.d + matrix.e + matrix.f):
            raise PathError("its size has no finite numbers")
        if matrix.determinant == 0:
            return None
        wide, high = (box.width, box.height) if box else (wide, high)
        return replace(state, matrix=matrix, frame=replace(frame, width=wide, height=high), sized=(None, None))

    def _fitted(self, element: Element, box: ViewBox, wide: float, high: float) -> Affine:
        aspect: str | None = element.get("preserveAspectRatio")
        usual = fit(box, wide, high, None)
        return self._readable(element, lambda: fit(box, wide, high, aspect), usual, "preserveAspectRatio")

    def _readable(self, element: Element, read: Callable[[], _Read], default: _Read, name: str) -> _Read:
        try:
            return read()
        except ValueError:
            text = (element.get(name) or "")[:40]
            self._warn(element, f"its {name} cannot be read and is left out: {text!r}")
            return default

    def _extent(self, element: Element, name: str, state: _State) -> float | None:
        """Read width or height of a viewport; None for a part of what is not known."""
        text = state.sized[0 if name == "width" else 1] or _size(element, name, state.frame) or "100%"
        found = state.frame.length(text, name, element)
        if text.endswith("%") and state.frame.along(name) == 0 and read_length(text).value:
            return None
        if found < 0:
            raise Broken(f"its {name} is {text[:30]!r}")
        return found


def _size(element: Element, name: str, frame: Frame) -> str | None:
    """Read width or height as written; None for nothing or "auto"."""
    text = styles.value(element, name, frame.sheet)
    return None if not text or text.lower() in styles.UNSET else text


def _box_of(items: list[Item]) -> Box:
    """Compute the box of shapes, (0, 0, 0, 0) round nothing; what cannot be read counts as far as it is drawn."""
    from svgfit.svg.cubics import bounds  # here because few drawings need it

    return bounds([(item.kind, item.element, item.frame, item.matrix) for item in items])


def _locked(element: Element) -> bool:
    return element.get("{http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd}insensitive") == "true"
