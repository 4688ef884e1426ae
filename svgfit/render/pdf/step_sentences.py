"""What a step was asked to do, as a teacher would say it: from the words of a plan to a sentence.

The sentences are the operation's own (``Instructions.asked``); of a parameter that has none its name is told.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from svgfit.model.instructions import Instructions
from svgfit.model.report import StepRow
from svgfit.model.wording import listed


def asked_text(row: StepRow, instructions: Instructions) -> str:
    """Say what was asked: "raise the cap by 3/8 in", without a full stop."""
    told = [_one(instructions.asked, name, text) for name, text in row.asked.items()]
    parameter, first = instructions.asked_first
    if first and parameter not in row.asked:
        told.insert(0, first)
    together = instructions.together
    return ", ".join(filter(None, (" ".join(told[:together]), *told[together:]))) or row.do.replace("-", " ")


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
    """Write a figure as a plan has it, its unit set apart: ``1in`` becomes ``1 in``."""
    return re.sub(r"(?<=\d)(?=(?:in|mm|cm|m)\b)", " ", text.strip().lstrip("+"))


def plain(text: str, names: Sequence[str]) -> str:
    """Name edges such as ``Sleeve/cap`` (of ``names``) in words wherever they stand in a text."""
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
