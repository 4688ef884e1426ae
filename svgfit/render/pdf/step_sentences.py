"""What a step was asked to do, as a teacher would say it: from the words of a plan to a sentence.

A plug-in's own operations have no sentences here; of those each parameter is told by its name.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from svgfit.model.report import StepRow
from svgfit.model.wording import listed

_REACH = "redrawing at most {} on each side of a cut"
_BACK = "with {} of it in the back"
_SAID: Mapping[str, Mapping[str, str | tuple[str, str]]] = {
    "cap-raise": {
        "amount": ("raise the cap by {}", "lower the cap by {}"),
        "height": "make the cap {} high",
        "at": "cutting {} above the bicep line",
        "reach": _REACH,
    },
    "ease-spread": {
        "amount": ("open the cap by {} in all", "close the cap by {} in all"),
        "ease": ("bring the cap to {} more than its armhole", "bring the cap to {} less than its armhole"),
        "cap-length": "bring the edge of the cap to {}",
        "at": "cutting down from {} of the way from the underarm point to the centre line",
        "drop": "turning about a point {} down the underarm seam",
        "share-back": _BACK,
        "reach": _REACH,
    },
    "bicep-widen": {
        "amount": ("widen the bicep by {}", "narrow the bicep by {}"),
        "width": "make the bicep {} wide",
        "how=height": "keeping the cap's height",
        "how=cap-length": "keeping the length of the cap's edge",
        "how=underarm": "moving only the underarm points and the cap below the notches",
        "how=hem": "with a cut from the cap to the hem",
        "over": "running out {} down the underarm seams",
        "reach": _REACH,
    },
    "edge-blend": {
        "edge": "true the {}",
        "from": "from {} along it",
        "to": "to {} along it",
        "reach": "redrawing at most {} on each side",
    },
    "notch-match": {
        "to=armhole": "move the cap's notches to where the armhole has its own",
        "to=cap": "move the armhole's notches to where the cap has its own",
        "share-back": "put the shoulder notch so that {} of the ease lies in the back",
    },
    "armhole-adjust": {
        "lower": ("lower the armhole by {}", "raise the armhole by {}"),
        "scoop": ("hollow the armhole by {}", "fill the armhole out by {}"),
        "length": "bring the whole armhole to {}",
        "by=lower": "by moving the underarm point",
        "by=scoop": "by hollowing the lower curve",
        "armhole": "on {}",
    },
    "seam-allowance": {"width": "make the seam allowance {} wide", "edge=all": "at every edge", "edge": "at the {}"},
    "cap-redraw": {
        "ease": ("draw the cap {} longer than its armhole", "draw the cap {} shorter than its armhole"),
        "cap-length": "draw the edge of the cap {} long",
        "amount": ("draw the edge of the cap {} longer", "draw the edge of the cap {} shorter"),
        "within=notches": "between the notches only",
        "within=whole": "over its whole length",
        "share-back": _BACK,
        "outwards": "at most {} outwards",
    },
    "seam-check": {
        "a": "compare {}",
        "b": "with {}",
        "match": "the two are to be equally long",
        "tolerance": "within {}",
        "min": "the first is to be longer by at least {}",
        "max": "but by at most {}",
    },
}
_ALONE = {"notch-match": "move the cap's notches to where the armhole has its own", "bicep-widen": ""}


def asked_text(row: StepRow) -> str:
    """What was asked: "raise the cap by 3/8 in", without a full stop."""
    said = _SAID.get(row.do, {})
    told = [_one(said, name, text) for name, text in row.asked.items()]
    if row.do == "notch-match" and "to" not in row.asked:
        told.insert(0, _ALONE[row.do])
    if row.do == "seam-check":
        return " ".join(told[:2]) + "".join(f", {one}" for one in told[2:])
    return ", ".join(told) or row.do.replace("-", " ")


def _one(said: Mapping[str, str | tuple[str, str]], name: str, text: str) -> str:
    """One parameter in words."""
    form = said.get(f"{name}={text.strip()}", said.get(name))
    if form is None:
        return f"{name.replace('-', ' ')} {spoken(text)}"
    if isinstance(form, tuple):
        minus = text.strip().startswith(("-", "\u2212"))
        return form[minus].format(spoken(text.strip().lstrip("-\u2212 ") if minus else text))
    if name in ("at", "share-back") and re.fullmatch(r"\s*[01]?\.?\d*\s*", text):
        return form.format(f"{float(text) * 100:.4g} %")
    return form.format(edges_text(text) if "/" in text and re.search(r"[^\W\d]\s*/", text) else spoken(text))


def spoken(text: str) -> str:
    """A figure as a plan has it, its unit set apart: ``1in`` becomes ``1 in``."""
    return re.sub(r"(?<=\d)(?=(?:in|mm|cm|m)\b)", " ", text.strip().lstrip("+"))


def plain(text: str, names: Sequence[str]) -> str:
    """A text in which edges such as ``Sleeve/cap`` (one of ``names``) are named in words."""
    every = "|".join(re.escape(name) for name in sorted(set(names), key=len, reverse=True))
    return re.sub(rf"(?:{every})(?:\+(?:{every}))*", lambda found: edges_text(found[0]), text) if every else text


def edges_text(text: str) -> str:
    """Edges as a plan names them, in words: ``Front/armhole+Back/armhole`` is "the armholes of Front and Back"."""
    pairs = [tuple(part.strip() for part in one.rpartition("/")[::2]) for one in text.split("+")]
    if any(not piece or not edge for piece, edge in pairs):
        return text
    edges = list(dict.fromkeys(edge for _, edge in pairs))
    pieces = list(dict.fromkeys(piece for piece, _ in pairs))
    if len(edges) == 1 and len(pieces) > 1:
        plural = edges[0] if edges[0].endswith("s") else f"{edges[0]}s"
        return f"the {plural} of {listed(pieces)}"
    return listed([f"{piece}'s {edge}" for piece, edge in pairs])
