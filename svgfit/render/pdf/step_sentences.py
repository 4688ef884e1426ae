"""The words of a step on the teaching sheet: its title, what was asked, how it is done; what to do about a verdict.

The sentences are the operation's own (``Instructions``), else general ones; a parameter without one goes by its name.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from svgfit.model.instructions import Instructions, StepFacts, Words, general_words
from svgfit.model.length import Units
from svgfit.model.report import Check, StepRow
from svgfit.model.vocabulary import Status
from svgfit.model.wording import listed


def words_of(facts: StepFacts, instructions: Instructions) -> Words:
    """Return the words of a step that cut the paper, or redrew its edge."""
    return general_words(facts) if instructions.words is None else instructions.words(facts)


def title_of(do: str, instructions: Instructions) -> str:
    """Return what a step without pictures is called."""
    return instructions.title or do.replace("-", " ").capitalize()


def length(mm: float, units: Units) -> str:
    """Write a figure for a caption, without its sign."""
    return units.plain(abs(mm))


def asked_text(row: StepRow, instructions: Instructions) -> str:
    """Say what was asked: "raise the cap by 3/8 in", without a full stop."""
    parts = [_one(instructions.asked, name, text) for name, text in row.asked.items()]
    parameter, first = instructions.asked_first
    if first and parameter not in row.asked:
        parts.insert(0, first)
    together = instructions.together
    return ", ".join(filter(None, (" ".join(parts[:together]), *parts[together:]))) or row.do.replace("-", " ")


def _one(said: Mapping[str, str | tuple[str, str]], name: str, text: str) -> str:
    """Say one parameter in words."""
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
    """Spell edges as a plan names them in words: ``Front/armhole+Back/armhole`` is "the armholes of Front and Back"."""
    pairs = [tuple(part.strip() for part in one.rpartition("/")[::2]) for one in text.split("+")]
    if any(not piece or not edge for piece, edge in pairs):
        return text
    edges = list(dict.fromkeys(edge for _, edge in pairs))
    pieces = list(dict.fromkeys(piece for piece, _ in pairs))
    if len(edges) == 1 and len(pieces) > 1:
        plural = edges[0] if edges[0].endswith("s") else f"{edges[0]}s"
        return f"the {plural} of {listed(pieces)}"
    return listed([f"{piece}'s {edge}" for piece, edge in pairs])


def todo_of(check: Check) -> str:
    """Write what to do about a verdict, a sentence that begins with "So do this".

    "" for a verdict that passed or says itself what to do: the sheet gives a class no figure without the next step.
    """
    text = f"{check.title}: {check.message}"
    if check.status == Status.PASS or "so do this" in text.casefold():
        return ""
    for word, todo in _TODO:
        if word in text:
            return f"So do this: {todo}"
    return ""


_TODO = (
    (
        "to the fold",
        "redraw the edge just before the fold, square to it, and unfold the paper to see one smooth edge.",
    ),
    (
        "a peak of",
        "pin the seam, lay it flat and draw one smooth curve across it: what stands up comes off, as much on either "
        "side.",
    ),
    (
        "a dip of",
        "pin the seam, lay it flat and draw one smooth curve across it: the hollow is filled, as much on either side.",
    ),
)
