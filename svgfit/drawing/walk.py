"""The way through the tree: which layer every shape and text lies in, and the motion that places it.

Iterative, so that no depth of nesting can exhaust Python's stack. Nothing here looks at geometry.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace

from svgfit.drawing import styles
from svgfit.drawing.pathdata import PathError
from svgfit.drawing.shapes import SHAPES, Frame
from svgfit.drawing.source import OUR_MARK
from svgfit.drawing.transforms import IDENTITY, read_transform
from svgfit.drawing.tree import XLINK_HREF, local_name, own_name, place
from svgfit.drawing.viewport import fit, read_view_box
from svgfit.geometry.affine import Affine
from svgfit.model.dialect import Element, LayerFacts
from svgfit.model.refusal import Refusal

MOST = 100_000
"""No drawing shows more elements than this, repeated ones counted (a guard against files made to fill the memory)."""
DEEPEST_USE = 200
"""So many ``use`` elements show one another at most."""

_GROUPS = frozenset({"g", "a", "svg", "switch", "use", "symbol"})
_CONTAINERS = frozenset({"g", "svg"})
_OBJECTS = SHAPES | {"use"}
_SHOWN = SHAPES | _GROUPS | {"text"}


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
    """What holds for an element before it has been looked at."""

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
    """One walk with one dialect; gathers ``drafts`` (document order) and ``warnings``."""

    def __init__(
        self,
        file: str,
        root: Element,
        frame: Frame,
        space: str,
        layer_of: Callable[[Element], LayerFacts | None],
        extra: Callable[[Element], bool] | None = None,
    ) -> None:
        self.file, self.root, self.space = file, root, space
        self._layer_of, self._extra = layer_of, extra
        self._ids: dict[str, Element] | None = None
        self._shared: dict[str, int] = {}
        self._loose = Draft("", (), None, False, False, None, [])
        self.drafts: list[Draft] = []
        self.warnings: dict[str, None] = {}
        self._frame = frame

    def run(self, children: list[Element]) -> None:
        """Walk through the root's children."""
        start = _State(
            IDENTITY, self._frame, off=styles.is_off(self.root), seen=styles.visibility(self.root) is not False
        )
        stack = [(child, start) for child in reversed(children)]
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
                elif not inner.out and inner.seen and not self._is_extra(kind, element):
                    owner = element if inner.owner is None else inner.owner
                    draft = self._loose if inner.layer < 0 else self.drafts[inner.layer]
                    draft.items.append(Item(kind, element, owner, inner.matrix, inner.frame))
            except PathError as fault:
                raise Refusal(place(self.file, element), str(fault), "mend or delete it") from None
        if self._loose.items:
            self.drafts.insert(0, self._loose)

    def _is_extra(self, kind: str, element: Element) -> bool:
        """Whether the program drew the shape for itself, such as the ground of a page."""
        return self._extra is not None and kind in SHAPES and self._extra(element)

    # -- one element --------------------------------------------------------------------------------------------

    def _enter(self, kind: str, element: Element, state: _State) -> _State | None:
        """What holds inside the element; None where nothing of it can be seen."""
        matrix = self._moved(element, state.matrix)
        if matrix is None:
            return None
        hidden, seen = styles.is_off(element), styles.visibility(element)
        visible = state.seen if seen is None else seen
        ours = element.get(OUR_MARK) if not state.uses and element.getparent() is self.root else None
        facts = None
        if ours is not None:
            name = own_name(element, self.space) or ours
            facts = LayerFacts(name, locked=_locked(element))
        elif not state.uses and (kind in _CONTAINERS or (state.layer < 0 and kind in _OBJECTS)):
            facts = self._layer_of(element)
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
        hidden = hidden or (above is not None and above.hidden)
        locked = facts.locked or (above is not None and above.locked)
        self.drafts.append(Draft(facts.name, path, element, hidden, locked, ours, []))

    def _moved(self, element: Element, matrix: Affine) -> Affine | None:
        text = element.get("transform")
        style = element.get("style")
        if style and "transform" in style:
            text = styles.declarations(style).get("transform", text)
        if not text:
            return matrix
        try:
            own = read_transform(text)
        except ValueError:
            raise PathError(f"its transform cannot be read: {text[:40]!r}") from None
        if own == IDENTITY:
            return matrix
        moved = own.then(matrix)
        if not math.isfinite(moved.a + moved.b + moved.c + moved.d + moved.e + moved.f):
            raise PathError(f"its transform has no finite numbers: {text[:40]!r}")
        return moved if moved.determinant != 0 else None

    # -- what is inside -----------------------------------------------------------------------------------------

    def _children(self, kind: str, element: Element, inner: _State) -> list[tuple[Element, _State]]:
        if kind == "use":
            return self._used(element, inner)
        if kind in ("svg", "symbol"):
            window = self._window(element, inner)
            return [] if window is None else [(child, window) for child in element]
        if kind == "switch":
            chosen = (child for child in element if _suits(child, self.space))
            return [(child, inner) for child in list(chosen)[:1]]
        if inner.sized != (None, None):  # what a use says of size holds only for the svg or symbol it names
            inner = replace(inner, sized=(None, None))
        return [(child, inner) for child in element]

    def _used(self, element: Element, state: _State) -> list[tuple[Element, _State]]:
        href: str = (element.get("href") or element.get(XLINK_HREF) or "").strip()
        target = self._by_id(href[1:]) if href.startswith("#") else None
        if target is None:
            if href:
                self.warnings[f"{place(self.file, element)}: shows {href[:60]!r}, which is not in the drawing"] = None
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
            sized=(element.get("width"), element.get("height")),
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
        """The viewport that a nested svg, or a symbol where it is used, opens; None where it has no size."""
        frame = state.frame
        x = y = 0.0
        if local_name(element, self.space) == "svg":
            x, y = frame.number(element, "x"), frame.number(element, "y")
        wide, high = self._extent(element, "width", state), self._extent(element, "height", state)
        try:
            box = read_view_box(element.get("viewBox"))
            inner = IDENTITY if box is None else fit(box, wide, high, element.get("preserveAspectRatio"))
        except ValueError:
            raise PathError("its viewBox or preserveAspectRatio cannot be read") from None
        if box is not None and (wide <= 0 or high <= 0):
            return None
        matrix = inner.then(Affine.shift(complex(x, y))).then(state.matrix)
        shown = Frame(box.width, box.height) if box else Frame(wide, high)
        return replace(state, matrix=matrix, frame=shown, sized=(None, None))

    def _extent(self, element: Element, name: str, state: _State) -> float:
        given = state.sized[0 if name == "width" else 1]
        text = given if given is not None else (element.get(name) or "100%")
        if text == "auto":
            text = "100%"
        return state.frame.length(text, name)


def _suits(element: Element, space: str) -> bool:
    return local_name(element, space) in _SHOWN and not element.get("requiredExtensions")


def _locked(element: Element) -> bool:
    return element.get("{http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd}insensitive") == "true"
