"""Layers that svgfit wrote earlier, and whether a person has edited them since.

Each carries a digest of its content in a canonical form. What an editor changes by merely opening and saving (order and
spelling of attributes, white space, prefixes, ids it adds, its own private data) leaves the form as it is; a moved
node, another text, colour, name or order does not. In doubt a layer counts as edited: then it is kept, not replaced.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from msgspec import Struct

from svgfit.model.dialect import Element
from svgfit.model.refusal import Refusal
from svgfit.svg import styles
from svgfit.svg.path_data import PathError, read_path
from svgfit.svg.source import OUR_MARK, Source
from svgfit.svg.transforms import read_transform
from svgfit.svg.tree import INKSCAPE_LABEL, SVG, XLINK_HREF, own_name, parse_layer

DIGEST = "data-svgfit-digest"
EMPTY_ROOT = "data-svgfit-root"
PLAN = "data-svgfit-plan"
PLACES = 4
"""Decimals of coordinates (mm, in a layer of ours) that count in the canonical form."""

_NOT_CONTENT = frozenset({"id", "class", "style", DIGEST, EMPTY_ROOT, PLAN})
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_SHORT_COLOUR = re.compile(r"#([0-9a-f])([0-9a-f])([0-9a-f])(?![0-9a-f])")
_START_NAME = re.compile(r"\s*<[^\s/>]+")
_WRITING = frozenset({"text", "tspan", "textPath", "title", "desc"})


class OwnLayer(Struct, frozen=True):
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


def find(source: Source, elements: Sequence[Element], space: str) -> tuple[OwnLayer, ...]:
    """Find our layers in a drawing: ``elements`` are the root's children with our mark, in document order."""
    if len(source.own) != len(elements):  # two parsers that disagree: a mark that comes from a DTD
        raise Refusal(source.file, f"its marks {OUR_MARK} do not stand in the text itself", "save the drawing again")
    return tuple(
        OwnLayer(
            kind=span.kind,
            name=own_name(element, space) or span.kind,
            start=span.start,
            end=span.end,
            edited=is_edited(element),
            was_empty_root=element.get(EMPTY_ROOT) == "empty",
            ids=tuple(found for each in element.iter() if (found := each.get("id"))),
            plan=element.get(PLAN),
        )
        for span, element in zip(source.own, elements, strict=True)
    )


def as_written(source: Source) -> bool:
    """Return whether a file is as svgfit wrote it: our layers at its end, in our own spelling and unedited.

    A program that saves it spells its elements anew, also where it changes nothing.
    """

    def text(start: int, end: int) -> str:
        return source.data[start:end].decode(source.encoding, "replace")

    at = source.own[0].start if source.own else 0
    for span in source.own:
        layer = text(span.start, span.end)
        if text(at, span.start).strip() or not layer.startswith(f"<g {DIGEST}="):
            return False
        try:
            if is_edited(parse_layer(layer)):
                return False
        except ValueError:
            return False
        at = span.end
    return bool(source.own) and not text(at, source.insert_at).strip()


def stamp(layer_text: str) -> str:
    """Put the digest of a layer's content into the start tag of its text.

    The layer must be one well-formed element that declares its own namespaces and carries ``data-svgfit-layer``;
    raises ValueError otherwise.

    >>> text = '<g xmlns="http://www.w3.org/2000/svg" data-svgfit-layer="adjusted"><path d="M0 0 5 5"/></g>'
    >>> stamp(text).startswith('<g data-svgfit-digest="v1-') and stamp(text).endswith(text[2:])
    True
    """
    element = parse_layer(layer_text)
    if element.get(OUR_MARK) is None or element.get(DIGEST) is not None:
        raise ValueError(f"a layer of ours needs {OUR_MARK}, and no {DIGEST} yet")
    return with_attribute(layer_text, DIGEST, digest(element))


def with_attribute(layer_text: str, name: str, value: str) -> str:
    """Add an attribute to the text's first start tag; ``value`` needs no escaping."""
    found = _START_NAME.match(layer_text)
    if not found:
        raise ValueError("a layer of ours must begin with its start tag")
    return f'{layer_text[: found.end()]} {name}="{value}"{layer_text[found.end() :]}'


def digest(element: Element) -> str:
    """Compute the digest of a layer's canonical form, and behind a dot that of its label."""
    return f"v1-{_hash(chr(10).join(_canonical(element)))}.{_hash(element.get(INKSCAPE_LABEL) or '')[:6]}"


def is_edited(element: Element) -> bool:
    """Return whether a layer no longer fits its digest: content or label changed, or the digest is lost.

    A label that is gone altogether (saved as plain SVG) is no edit: nobody wrote anything.
    """
    was, now = element.get(DIGEST) or "", digest(element)
    if element.get(INKSCAPE_LABEL) is None:
        was, now = was.partition(".")[0], now.partition(".")[0]
    return was != now


def _hash(form: str) -> str:
    import hashlib  # here because it takes 4 ms

    return hashlib.sha256(form.encode("utf-8", "surrogatepass")).hexdigest()[:16]


def _canonical(top: Element) -> Iterator[str]:
    """Write the lines of the canonical form, an element's own between its "(" and ")"."""
    stack: list[Element | str] = [top]
    while stack:
        element = stack.pop()
        if isinstance(element, str):
            yield element
            continue
        name = _svg_name(element)
        if not name:
            continue
        yield f"({name}"
        yield from _attributes(name, element, is_layer=element is top)
        following: list[Element | str] = [")"]
        writing = name in _WRITING
        for child in reversed(element):
            if writing and (tail := _written(child.tail)):
                following.append(tail)
            following.append(child)
        if writing and (text := _written(element.text)):
            following.append(text)
        stack.extend(following)


def _svg_name(element: Element) -> str:
    tag = element.tag
    if not isinstance(tag, str):
        return ""
    space, _, name = tag.rpartition("}")
    return name if space in ("", "{" + SVG) else ""


def _written(text: str | None) -> str:
    words = " ".join((text or "").split())
    return f'"{words}' if words else ""


def _attributes(element_name: str, element: Element, *, is_layer: bool) -> Iterator[str]:
    plain: dict[str, str] = {}
    for name, value in element.attrib.items():
        if name == INKSCAPE_LABEL and not is_layer:
            plain["label"] = " ".join(value.split())
        elif name == XLINK_HREF:
            plain["href"] = value
        elif not name.startswith("{") and name not in _NOT_CONTENT:
            plain[name] = value
    for name, value in sorted(styles.merged(plain, element.get("style")).items()):
        if name.startswith("-inkscape") or (is_layer and name in ("display", "visibility")):
            continue  # hiding a layer does not change what is in it
        yield f"{name}={_value(element_name, name, value)}"


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
        subpaths = read_path(d, 1e-5, 0.0)
    except PathError:
        return " ".join(d.split())
    form = f"{{:.{PLACES}f}}"
    return "|".join(
        _numbers((part for point in subpath.points for part in (point.real, point.imag)), form)
        + (" z" if subpath.closed else "")
        for subpath in subpaths
    )


def _numbers(numbers: Iterable[float], form: str) -> str:
    return " ".join(_number(number, form) for number in numbers)


def _number(number: float, form: str) -> str:
    text = form.format(number)
    if "." in text and "e" not in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
