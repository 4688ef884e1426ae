"""Layers that svgfit wrote earlier, and whether a person has edited them since.

Each carries a digest of its content in a canonical form. What an editor changes by merely opening and saving (order and
spelling of attributes, white space, prefixes, ids it adds, its own private data) leaves the form as it is; a moved
node, another text, colour, name or order does not. In doubt a layer counts as edited: then it is kept, not replaced.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache, lru_cache
from importlib import import_module
from typing import Any

from msgspec import Struct

from svgfit.model.dialect import Element
from svgfit.model.refusal import Refusal
from svgfit.svg import styles
from svgfit.svg.markup import Node, PathData, escape, filled, legal_content, legal_value, serialise
from svgfit.svg.path_data import MOST_SEGMENTS, PathError, Pen, Subpath, read_path
from svgfit.svg.source import OUR_MARK, Source
from svgfit.svg.transforms import read_transform
from svgfit.svg.tree import INKSCAPE_LABEL, SVG, XLINK_HREF, parse_layer, visible_name

DIGEST = "data-svgfit-digest"
EMPTY_ROOT = "data-svgfit-root"
PLAN = "data-svgfit-plan"
PLACES = 4
"""Decimals of coordinates (mm, in a layer of ours) that count in the canonical form."""

_NOT_CONTENT = frozenset({"id", "class", "style", DIGEST, EMPTY_ROOT, PLAN})
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_SHORT_COLOUR = re.compile(r"#([0-9a-f])([0-9a-f])([0-9a-f])(?![0-9a-f])")
_MOST_SCALED = 2.0**44
_WRITING = frozenset({"text", "tspan", "textPath", "title", "desc"})


class SvgfitLayer(Struct, frozen=True):
    """A layer of svgfit's, as it stands in the file."""

    kind: str
    """``working-lines``, ``adjusted`` or ``measurements``."""
    name: str
    start: int
    """Byte offset in ``source.data`` of its start tag."""
    end: int
    """Byte offset just behind it."""
    edited: bool
    """Whether its content is no longer what its digest says."""
    was_empty_root: bool = False
    """Whether the root was empty (``<svg/>``) before this layer came."""
    ids: tuple[str, ...] = ()
    """The ids in it."""
    plan: str | None = None
    """The plan that was run, as text, where it carries one (``svgfit.app.plan_record`` reads it)."""


def find_layers(source: Source, elements: Sequence[Element], space: str) -> tuple[SvgfitLayer, ...]:
    """Find our layers in a drawing: ``elements`` are the root's children with our mark, in document order."""
    if len(source.layer_spans) != len(elements):  # two parsers that disagree: a mark that comes from a DTD
        raise Refusal(source.file, f"its marks {OUR_MARK} do not stand in the text itself", "save the drawing again")
    return tuple(
        SvgfitLayer(
            kind=span.kind,
            name=visible_name(element, space) or span.kind,
            start=span.start,
            end=span.end,
            edited=is_edited(element),
            was_empty_root=element.get(EMPTY_ROOT) == "empty",
            ids=tuple(found for each in element.iter() if (found := each.get("id"))),
            plan=element.get(PLAN),
        )
        for span, element in zip(source.layer_spans, elements, strict=True)
    )


def as_written(source: Source) -> bool:
    """Return whether a file is as svgfit wrote it: our layers at its end, in our own spelling and unedited.

    A program that saves it spells its elements anew, also where it changes nothing.
    """

    def text(start: int, end: int) -> str:
        return source.data[start:end].decode(source.encoding, "replace")

    at = source.layer_spans[0].start if source.layer_spans else 0
    for span in source.layer_spans:
        layer = text(span.start, span.end)
        if text(at, span.start).strip() or not layer.startswith(f"<g {DIGEST}="):
            return False
        try:
            if is_edited(parse_layer(layer)):
                return False
        except ValueError:
            return False
        at = span.end
    return bool(source.layer_spans) and not text(at, source.insert_at).strip()


def stamp(layer: Node | str, *extra: tuple[str, str]) -> str:
    """Put the digest of a layer's content into the start tag of its text.

    The layer must be one well-formed element that declares its own namespaces and carries ``data-svgfit-layer``;
    raises ValueError otherwise. What is given as text is parsed for its digest; a record is not.

    >>> text = '<g xmlns="http://www.w3.org/2000/svg" data-svgfit-layer="adjusted"><path d="M0 0 5 5"/></g>'
    >>> stamp(text).startswith('<g data-svgfit-digest="v1-') and stamp(text).endswith(text[2:])
    True
    """
    if isinstance(layer, Node):
        return serialise(Node(layer.tag, (*extra, *_stamped(layer), *layer.attributes), layer.children))
    found = parse_layer(layer)
    added = "".join(f' {name}="{escape(value)}"' for name, value in (*extra, *_stamped(found)))
    name = found.tag.rpartition("}")[2]
    start = f"<{found.prefix}:{name}" if found.prefix else f"<{name}"
    if not layer.startswith(start):
        raise ValueError("a layer of ours must begin with its start tag")
    return f"{start}{added}{layer[len(start) :]}"


def _stamped(layer: Node | Element) -> tuple[tuple[str, str], ...]:
    """Make the attribute that holds the digest."""
    if layer.get(OUR_MARK) is None or layer.get(DIGEST) is not None:
        raise ValueError(f"a layer of ours needs {OUR_MARK}, and no {DIGEST} yet")
    return ((DIGEST, digest(layer)),)


def digest(layer: Node | Element) -> str:
    """Compute the digest of a layer's canonical form, and behind a dot that of its label.

    A record has the digest that its text would have, read back.
    """
    label, events = _of_record(layer) if isinstance(layer, Node) else (layer.get(INKSCAPE_LABEL), _of_element(layer))
    return f"v1-{_hash(chr(10).join(_canonical(events)))}.{_hash(label or '')[:6]}"


def is_edited(element: Element) -> bool:
    """Return whether a layer no longer fits its digest: content or label changed, or the digest is lost.

    A label that is gone altogether (saved as plain SVG) is no edit: nobody wrote anything.
    """
    was, now = element.get(DIGEST) or "", digest(element)
    if element.get(INKSCAPE_LABEL) is None:
        was, now = was.partition(".")[0], now.partition(".")[0]
    return was != now


def _hash(form: str) -> str:
    return _sha256()(form.encode("utf-8", "surrogatepass")).hexdigest()[:16]


@cache
def _sha256() -> Callable[[bytes], Any]:
    """Find SHA-256 without hashlib, which takes 4 ms to load OpenSSL: Python's own, as its module random does.

    That is named differently in Python 3.11 and may be missing; hashlib has the same function.
    """
    try:
        found = import_module("_sha2" if sys.version_info >= (3, 12) else "_sha256").sha256
    except ImportError:
        from hashlib import sha256 as found
    return found


_Event = tuple[str, Mapping[str, "str | PathData"]] | str | None
"""What is met on the way through a layer: SVG's own elements, name and attributes; their texts; None at their ends."""


def _of_element(top: Element) -> Iterator[_Event]:
    stack: list[Element | str | None] = [top]
    while stack:
        at = stack.pop()
        if at is None or isinstance(at, str):
            yield at
            continue
        name = _svg_name(at)
        if not name:
            continue
        yield name, at.attrib
        stack.append(None)
        writing = name in _WRITING
        for child in reversed(at):
            if writing and child.tail:
                stack.append(child.tail)
            stack.append(child)
        if writing and at.text:
            stack.append(at.text)


def _of_record(layer: Node) -> tuple[str | None, Iterator[_Event]]:
    """Read the layer's label and walk through its record, as a parser would give it from the text.

    Raises ValueError for a prefix that the layer's own start tag does not declare.
    """
    spaces = {"": "", "xml": "http://www.w3.org/XML/1998/namespace"}
    spaces |= {key.partition(":")[2]: layer.get(key) or "" for key, _ in layer.attributes if _declares(key)}
    label = dict(_read_attributes(layer, spaces)).get(INKSCAPE_LABEL)
    return label if isinstance(label, str) else None, _events(layer, spaces)


def _events(node: Node, spaces: Mapping[str, str]) -> Iterator[_Event]:
    space, name = _resolved(node.tag, spaces)
    if space not in ("", SVG):
        return
    yield name, dict(_read_attributes(node, spaces))
    writing = name in _WRITING
    text = ""
    for child in (*node.children, None):
        if isinstance(child, str):
            text += child
            continue
        if writing and text:
            yield legal_content(text)
        text = ""
        if child is not None:
            for key, _ in child.attributes:
                if _declares(key):
                    raise ValueError("a layer of ours must declare its namespaces in its own start tag")
            yield from _events(child, spaces)
    yield None


def _read_attributes(node: Node, spaces: Mapping[str, str]) -> Iterator[tuple[str, str | PathData]]:
    """Give attributes with their namespaces in braces before their names, but for what declares namespaces."""
    for key, value in node.attributes:
        if _declares(key):
            continue
        if ":" in key:
            space, name = _resolved(key, spaces)
            key = f"{{{space}}}{name}" if space else name
        yield key, legal_value(value) if isinstance(value, str) else value


def _declares(key: str) -> bool:
    return key[:5] == "xmlns" and key[5:6] in ("", ":")


def _resolved(name: str, spaces: Mapping[str, str]) -> tuple[str, str]:
    """Split a name into namespace and local name."""
    prefix, _, local = name.rpartition(":")
    if prefix not in spaces:
        raise ValueError(f"a layer of ours must declare its namespaces in its own start tag, also {prefix!r}")
    return spaces[prefix], local


def _canonical(events: Iterable[_Event]) -> Iterator[str]:
    """Write the lines of the canonical form, an element's own between its "(" and ")"."""
    is_layer = True
    for event in events:
        if event is None:
            yield ")"
        elif isinstance(event, str):
            if words := " ".join(event.split()):
                yield f'"{words}'
        else:
            name, attributes = event
            yield f"({name}"
            values = tuple(attributes.values())
            style = attributes.get("style", "")
            for part in _laid_out(name, tuple(attributes), style if isinstance(style, str) else style.text, is_layer):
                yield part if isinstance(part, str) else f"{part[0]}={_value_of(name, part[0], values[part[1]])}"
            is_layer = False


def _svg_name(element: Element) -> str:
    tag = element.tag
    if not isinstance(tag, str):
        return ""
    space, _, name = tag.rpartition("}")
    return name if space in ("", "{" + SVG) else ""


@lru_cache(maxsize=512)
def _laid_out(
    element_name: str, names: tuple[str, ...], style: str, is_layer: bool
) -> tuple[str | tuple[str, int], ...]:
    """Lay out an element's lines, in order of their names: those of its style as text, for others name and place.

    ``names`` are those of its attributes; the place is that of the value among theirs. Elements of one kind differ in
    values only, so that most of the work is done once for all of them.
    """
    properties: dict[str, int | str] = {}
    for place, name in enumerate(names):
        if name == INKSCAPE_LABEL and not is_layer:
            properties["label"] = place
        elif name == XLINK_HREF:
            properties["href"] = place
        elif name[:1] != "{" and name not in _NOT_CONTENT:
            properties[name] = place
    if style:
        properties |= styles.declarations(style)
    parts: list[str | tuple[str, int]] = []
    for name in sorted(properties):
        if name[:9] == "-inkscape" or (is_layer and name in ("display", "visibility")):
            continue  # hiding a layer does not change what is in it
        what = properties[name]
        if isinstance(what, int):
            parts.append((name, what))
        elif parts and isinstance(parts[-1], str):
            parts[-1] += f"\n{name}={_value(element_name, name, what)}"
        else:
            parts.append(f"{name}={_value(element_name, name, what)}")
    return tuple(parts)


def _value_of(element_name: str, name: str, value: str | PathData) -> str:
    if isinstance(value, str):
        return _value(element_name, name, value)
    return _path_of(value) if name == "d" and element_name == "path" else _value(element_name, name, value.text)


@lru_cache(maxsize=2048)
def _value(element_name: str, name: str, value: str) -> str:
    try:
        if name == "d" and element_name == "path":
            return _path(value)
        if name in ("transform", "gradientTransform", "patternTransform"):
            m = read_transform(value)
            return _numbers((m.a, m.b, m.c, m.d, m.e, m.f), "{:.7g}")
    except ValueError:
        return value
    if name in ("label", "href", "font-family") or name.startswith("data-svgfit"):
        return " ".join(value.replace('"', "'").split())
    plain = " ".join(value.lower().replace(",", " ").split())
    plain = _SHORT_COLOUR.sub(r"#\1\1\2\2\3\3", plain)
    if "#" in plain:
        return plain
    return _NUMBER.sub(lambda found: _number(float(found[0]), f"{{:.{PLACES}f}}"), plain)


def _path(d: str) -> str:
    try:
        return _path_form(read_path(d, 1e-5, 0.0))
    except PathError:
        return " ".join(d.split())


def _path_of(data: PathData) -> str:
    """Draw the record of a path as it will be read from its text, in the numbers as they are written."""
    if sum(2 + len(chain.steps) for chain in data.chains) > MOST_SEGMENTS:
        return _path(data.text)  # may be more than can be read
    pen = Pen(1e-5, 0.0)
    places = data.places
    power = 10.0**places

    def read(at: complex) -> complex:
        return complex(_read_number(at.real, places, power), _read_number(at.imag, places, power))

    for chain in data.chains:
        pen.move(read(chain.start))
        for step in chain.steps:
            if len(step) == 1:
                pen.line(read(step[0]))
            else:
                pen.curve(*map(read, step))
        if chain.closed:
            pen.finish(closed=True)
    pen.finish(closed=False)
    return _path_form(pen.subpaths)


def _read_number(value: float, places: int, power: float) -> float:
    """Round as writing with so many decimals and reading would; ``power`` is ten to the power of ``places``.

    Most often without writing: scaled, a number below 2⁴⁴ is off by 0.002 at most, so that a whole number within 0.49
    of it is the one that its decimals make, and dividing two exact numbers rounds as reading does.
    """
    scaled = value * power
    if abs(scaled) < _MOST_SCALED and abs(scaled - (whole := round(scaled))) < 0.49:
        return whole / power
    return round(value, places)


def _path_form(subpaths: Sequence[Subpath]) -> str:
    forms = [" ".join("#" * (2 * len(path.points))) + (" z" if path.closed else "") for path in subpaths]
    numbers = [part for path in subpaths for point in path.points for part in (point.real, point.imag)]
    return filled("|".join(forms), numbers, PLACES)


def _numbers(numbers: Iterable[float], form: str) -> str:
    return " ".join(_number(number, form) for number in numbers)


def _number(number: float, form: str) -> str:
    text = form.format(number)
    if "." in text and "e" not in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
