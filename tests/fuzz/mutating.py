"""Changes a drawing as a fuzzer needs it: most of what comes out is still XML, but no longer what anybody drew.

Bytes changed at random are hardly ever a drawing: the XML parser refuses them, and what lies behind it is never tried.
So the tree is changed instead: values, names, elements put into each other, their order, the encoding of the whole.
"""

from __future__ import annotations

import copy
import gzip
import zlib
from collections.abc import Callable
from random import Random
from typing import Any

from lxml import etree

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
INKSCAPE = "http://www.inkscape.org/namespaces/inkscape"
SODIPODI = "http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"

NUMBERS = (
    "0", "1", "-1", ".5", "3.", "1e3", "1e-3", "1e300", "-1e300", "1e999", "1e-320", "nan", "inf", "007", "1e", "--1",
    "25.4", "96", "1e16", "99999999999999999999", "+0", "-0", "1_0", "1,5", "",
)  # fmt: skip
UNITS = (
    "", " mm", "mm", "in", "px", "%", "em", "rem", "ex", "ch", "vw", "vmin", "lh", "q", "pt", "furlong", "MM", "e2",
)  # fmt: skip
WORDS = ("none", "auto", "inherit", "initial", "unset", "revert", "calc(1px + 1%)", "var(--a, 1)", "url(#a)", "0 0 0 0")
TAGS = (
    "svg", "g", "a", "switch", "use", "symbol", "defs", "clipPath", "mask", "marker", "pattern", "path", "rect",
    "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan", "textPath", "tref", "title", "desc", "style",
    "metadata", "image", "foreignObject", "linearGradient", "script",
)  # fmt: skip
PATHS = (
    "M0 0", "m1 1z", "M0 0h1v1z", "M0 0 A1 2 30 0 1 5 5", "a25 25 0 0150 0", "M0 0A1e-9 1e9 0 1 1 1 1",
    "M0,0c1-1.5.5.5", "M0 0S1 1 2 2T3 3Q4 4 5 5", "M1e300 0L0 1e300", "M0 0L1", "L1 1", "M0 0zzzM1 1m1 1", "M0 0 X",
    "M0 0A0 0 0 0 0 0 0", "M0 0h50v50h-50z", "M0 0A1 1 0 2 0 1 1", "none", "M0 0L nan 1",
)  # fmt: skip
TRANSFORMS = (
    "scale(0)", "scale(1e200)", "rotate(90)", "rotate(1e308 1 1)", "skewX(90)", "matrix(1 2 3 4 5 6)", "translate(10%)",
    "translate(1px,1em)", "rotate(.25turn)", "scale(-1 1)", "matrix(1 1 1 1 0 0)", "translate(1e999)", "scale(2) 3",
    "matrix3d(1,0,0,0,0,1,0,0,0,0,1,0,3,4,0,1)", "rotate(nan)", "scale(1e-300)", "(((", "skew(30deg,-20deg)",
    "translateX(5px)", "translateY(10%)", "translateZ(0)", "translate3d(1px,2px,3px)", "scaleX(200%)", "scaleY(-2)",
    "scale3d(2,3,4)", "skewY(10grad)", "rotateZ(1rad)", "none", "matrix(1 0 0 1 1e308 1e308)",
)  # fmt: skip
STYLES = (
    "display:none", "display:contents", "visibility:hidden", "visibility:visible", "transform:rotate(10deg) scale(2)",
    "transform-box:fill-box;transform-origin:center;transform:scale(2)", "transform-origin:10% 2em", "scale:2 3",
    "rotate:z 20deg", "translate:5px 10%", "width:50%;height:1vh", "d:path('M0 0h9')", "font:12px/2 a;x:1lh",
    "font-size:larger", "cx:1px!important", "r:calc(1px)", "/*", "a:url('", "stroke-dasharray:1 2", ";:;",
    "d:none", "x:auto", "scale:50% 200%", "scale:1 2 3", "translate:1e999px", "translate:1px 2px 3px 4px",
    "rotate:x 1deg",
    "transform-origin:1px 2px 3px 4px", "transform-origin:left left", "transform:none!important",
    "font:2em/1.5 a;r:1lh",
    "transform-box:view-box;transform:translate(50%)", "width:auto;height:inherit", "rotate:none",
    "visibility:collapse",
)  # fmt: skip
SHEETS = (
    "*{display:none}", "g>*{transform:scale(2)}", "@media print{*{display:none}}",
    "@media (min-width:1px){g{display:none}}",
    "@import url(http://127.0.0.1:1/x.css);", "#a,.b{visibility:hidden!important}", "svg{width:10cm;height:5cm}",
    "rect:nth-child(2n+1):not(.x)~g{rotate:1rad}", "@supports not (a:b){*{x:1px}}",
    "@layer a{path{d:path(\"M0 0h5\")}}",
    "@namespace s url(http://www.w3.org/2000/svg);s|g{scale:2}", "a:has(b)>::before{", "{{{", "[id^=a i]{font:2em a}",
    "*{transform-box:fill-box;transform:rotate(45deg);transform-origin:50% 50%}",
)  # fmt: skip
LAYER_NAMES = (
    "Sleeve stitch line", "test square", "test square 2 in", "Sleeve_x0020_notches", "Sleeve_x2F_a_1_", "_", "_x_", "",
    "old", "Layer 1", "Ärmel\u00a0袖", "a/b", "\u202ex",
)  # fmt: skip
VALUES: dict[str, tuple[str, ...]] = {
    "d": PATHS,
    "points": ("0,0 1,1 2", "0 0 50 0 50 50 0 50", "1e999 1", "a", "1,,1", "-.5-.5.5.5"),
    "transform": TRANSFORMS,
    "style": STYLES,
    "class": ("a", "b", "a b"),
    "viewBox": ("0 0 10 10", "0 0 0 0", "0 0 -1 1", "1 2 3", "-5,-5,1e3,1e3", "0 0 1e-300 1e300", "none"),
    "preserveAspectRatio": ("none", "xMinYMax slice", "defer xMidYMid meet", "xMid", ""),
    "id": LAYER_NAMES,
    "data-name": LAYER_NAMES,
    f"{{{INKSCAPE}}}label": LAYER_NAMES,
    f"{{{INKSCAPE}}}groupmode": ("layer", "group"),
    f"{{{INKSCAPE}}}version": ("0.48.5 r10040", "1.3 (0e150ed, 2023)", "x"),
    f"{{{SODIPODI}}}insensitive": ("true", "false"),
    f"{{{SODIPODI}}}role": ("line",),
    "{http://www.serif.com/}id": LAYER_NAMES,
    "display": ("none", "inline", "contents"),
    "visibility": ("hidden", "visible", "collapse"),
    "systemLanguage": ("en", "de, en-GB", "", "ja"),
    "requiredFeatures": ("http://www.w3.org/TR/SVG11/feature#Shape", "x", ""),
    "requiredExtensions": ("", "x"),
    "font-size": ("1em", "larger", "50%", "0", "x-large"),
    "text-anchor": ("middle", "end"),
    "data-svgfit-layer": ("adjusted", "measurements", "x"),
    "data-svgfit-digest": ("v1-0", ""),
    "data-svgfit-root": ("empty",),
    "transform-origin": ("center", "10% 20px", "top left 5px", "left left"),
}
LENGTHS = ("x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "x1", "y1", "x2", "y2", "dx", "dy", "font-size")
CODECS = (
    "utf-16-le", "utf-16-be", "utf-32-le", "shift_jis", "iso-8859-1", "windows-1252", "gb18030", "utf-8-sig", "utf-7",
)  # fmt: skip
MARKS = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff", "utf-32-le": b"\xff\xfe\x00\x00"}
DOCTYPES = (
    '<!DOCTYPE svg [<!ENTITY a "b">]>',
    "<!DOCTYPE svg [<!ENTITY a \"<g id='a'><path d='M0 0h1'/></g>\">]>",
    '<!DOCTYPE svg [<!ENTITY a "&b;"><!ENTITY b "&a;">]>',
    '<!DOCTYPE svg [<!ATTLIST g data-svgfit-layer CDATA "adjusted" id CDATA "a">]>',
    "<!DOCTYPE svg [<!ENTITY a \"<g data-svgfit-layer='adjusted'/>\">]>",
    '<!DOCTYPE svg [<!ATTLIST svg width CDATA "5mm" viewBox CDATA "0 0 0 0">]>',
    '<!DOCTYPE svg [<!ENTITY a "&#60;g/>"><!ENTITY lt "&#38;#60;">]>',
    '<!DOCTYPE svg SYSTEM "http://127.0.0.1:1/x.dtd">',
    '<!DOCTYPE svg [<!ENTITY % a SYSTEM "file:///nothing"> %a;]>',
)


def mutated(data: bytes, longest: int, random: Random, bytewise: Callable[[bytes, int], bytes]) -> bytes:
    """Another drawing made of ``data``, mostly by its tree; ``bytewise`` is the fuzzer's own way, and changes texts."""
    if random.random() < 0.15:
        return bytewise(data, longest)
    try:
        plain = gzip.decompress(data) if data.startswith(b"\x1f\x8b") else data
        root = etree.fromstring(plain, etree.XMLParser(recover=True, resolve_entities=False, no_network=True))
    except (etree.XMLSyntaxError, zlib.error, OSError, EOFError, ValueError, LookupError):
        root = None
    if root is None:
        return bytewise(data, longest)
    for _ in range(random.choice((1, 1, 2, 3, 5))):
        try:
            random.choice(CHANGES)(root, random, bytewise)
        except (ValueError, TypeError):  # no name or text that XML allows
            continue
    made = _bytes_of(root, random)
    return made if len(made) <= longest else bytewise(data, longest)


def _elements(root: Any) -> list[Any]:
    return [element for element in root.iter() if isinstance(element.tag, str)]


def _length(random: Random) -> str:
    return random.choice(NUMBERS) + random.choice(UNITS) if random.random() < 0.8 else random.choice(WORDS)


def _value(name: str, random: Random) -> str:
    if name.endswith("href"):
        return random.choice(("#a", "#Layer 1", "#", "x.svg#a", ""))
    known = VALUES.get(name)
    if known is None or (name in LENGTHS and random.random() < 0.5):
        return _length(random)
    parts = [random.choice(known) for _ in range(random.choice((1, 1, 1, 2, 3)))]
    return (";" if name == "style" else " ").join(parts)


def _set(root: Any, random: Random, _bytewise: Any) -> None:
    element = random.choice(_elements(root))
    name = random.choice((*VALUES, *LENGTHS, *LENGTHS, "href", f"{{{XLINK}}}href"))
    element.set(name, _value(name, random))


def _change(root: Any, random: Random, bytewise: Callable[[bytes, int], bytes]) -> None:
    """Change what an attribute says a little."""
    element = random.choice(_elements(root))
    if not element.attrib:
        return
    name = random.choice(list(element.attrib))
    value = element.get(name)
    how = random.randrange(4)
    if how == 0:
        value = _value(name, random)
    elif how == 1:
        value = bytewise(value.encode(), len(value) + 20).decode("utf-8", "ignore")
    elif how == 2:
        words = value.split(" ")
        words[random.randrange(len(words))] = random.choice(NUMBERS)
        value = " ".join(words)
    else:
        at = random.randrange(len(value) + 1)
        value = value[:at] + random.choice((*NUMBERS, *UNITS, *WORDS, ",", ";", "(", ")", "袖")) + value[at:]
    element.set(name, value)


def _unset(root: Any, random: Random, _bytewise: Any) -> None:
    element = random.choice(_elements(root))
    if element.attrib:
        del element.attrib[random.choice(list(element.attrib))]


def _copy(root: Any, random: Random, _bytewise: Any) -> None:
    elements = _elements(root)
    one, into = random.choice(elements), random.choice(elements)
    into.insert(random.randrange(len(into) + 1), copy.deepcopy(one))


def _remove(root: Any, random: Random, _bytewise: Any) -> None:
    element = random.choice(_elements(root))
    if element is not root:
        element.getparent().remove(element)


def _wrap(root: Any, random: Random, _bytewise: Any) -> None:
    element = random.choice(_elements(root))
    if element is root:
        return
    parent, at = element.getparent(), element.getparent().index(element)
    around = etree.Element(f"{{{SVG}}}{random.choice(TAGS)}")
    parent.insert(at, around)
    around.append(element)


def _rename(root: Any, random: Random, _bytewise: Any) -> None:
    element = random.choice(_elements(root))
    if element is not root or random.random() < 0.05:
        element.tag = random.choice(("", f"{{{SVG}}}", f"{{{SVG}}}", "{urn:x}")) + random.choice(TAGS)


def _add(root: Any, random: Random, _bytewise: Any) -> None:
    into = random.choice(_elements(root))
    element = etree.SubElement(into, f"{{{SVG}}}{random.choice(TAGS)}")
    for name in random.sample((*VALUES, *LENGTHS), random.randrange(4)):
        element.set(name, _value(name, random))
    if random.random() < 0.3:
        element.text = random.choice((*LAYER_NAMES, *SHEETS, "]]>", "</svg>"))


def _show(root: Any, random: Random, _bytewise: Any) -> None:
    """A use of something."""
    elements = _elements(root)
    shown = random.choice(elements)
    name = shown.get("id") or "a"
    shown.set("id", name)
    use = etree.SubElement(random.choice(elements), f"{{{SVG}}}use")
    use.set(random.choice(("href", f"{{{XLINK}}}href")), f"#{name}")
    for each in ("x", "y", "width", "height", "transform"):
        if random.random() < 0.2:
            use.set(each, _value(each, random))


def _sheet(root: Any, random: Random, _bytewise: Any) -> None:
    element = etree.SubElement(random.choice((root, random.choice(_elements(root)))), f"{{{SVG}}}style")
    element.text = "\n".join(random.choice(SHEETS) for _ in range(random.choice((1, 2, 3))))
    random.choice(_elements(root)).set("class", random.choice(VALUES["class"]))


def _say(root: Any, random: Random, _bytewise: Any) -> None:
    """Writing, comments, instructions between the elements."""
    element = random.choice(_elements(root))
    how = random.randrange(4)
    if how == 0:
        element.text = random.choice((*LAYER_NAMES, *SHEETS))
    elif how == 1:
        element.tail = random.choice(LAYER_NAMES)
    elif how == 2:
        element.append(etree.Comment(random.choice((" </svg> ", "Generator: Adobe Illustrator 27", "x"))))
    else:
        element.append(etree.ProcessingInstruction("xml-stylesheet", 'href="http://127.0.0.1:1/x.css"'))


def _empty(root: Any, random: Random, _bytewise: Any) -> None:
    element = random.choice(_elements(root))
    if random.random() < 0.3:
        element[:] = []
        element.text = None


CHANGES: tuple[Callable[[Any, Random, Any], None], ...] = (
    _set, _set, _set, _change, _change, _change, _change, _unset, _copy, _remove, _wrap, _rename, _add, _add, _show,
    _sheet, _say, _empty,
)  # fmt: skip


def _bytes_of(root: Any, random: Random) -> bytes:
    """The drawing written down: mostly as UTF-8, else with odd encodings, a DOCTYPE, more behind the root, gzip."""
    if random.random() < 0.75:
        return etree.tostring(root)
    text = etree.tostring(root, encoding="unicode", with_tail=False)
    if random.random() < 0.4:
        text = random.choice(DOCTYPES) + text
        if random.random() < 0.7:
            at = text.rfind("</")
            text = text[:at] + "&a;" + text[at:] if at > 0 else text
    if random.random() < 0.3:
        text += random.choice(("\n<!-- </svg> -->", "<?x </svg>?>", "\r\n", " x", "\0", "<svg/>"))
    codec, mark = "utf-8", b""
    if random.random() < 0.4:
        codec = random.choice(CODECS)
        mark = MARKS.get(codec, b"") if random.random() < 0.5 else b""
        if random.random() < 0.7:
            text = f'<?xml version="1.0" encoding="{codec}"?>{text}'
    made = mark + text.encode(codec, "xmlcharrefreplace")
    return gzip.compress(made, 1, mtime=0) if random.random() < 0.15 else made
