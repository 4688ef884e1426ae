"""Words of the teaching sheet for a step: its operation's own, else general ones; figures as captions have them."""

from __future__ import annotations

from svgfit.model.instructions import Instructions, StepFacts, Words, general_words
from svgfit.model.length import format_length


def words_of(facts: StepFacts, instructions: Instructions) -> Words:
    """Return the words of a step that cut the paper, or redrew its edge."""
    return general_words(facts) if instructions.words is None else instructions.words(facts)


def title_of(do: str, instructions: Instructions) -> str:
    """Return what a step without pictures is called."""
    return instructions.title or do.replace("-", " ").capitalize()


def length(mm: float, unit: str) -> str:
    """Write a figure for a caption, without its sign."""
    return format_length(abs(mm), unit, decimal=False)
