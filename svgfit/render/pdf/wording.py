"""What the teaching sheet says of a step: its operation's own words, else general ones."""

from __future__ import annotations

from svgfit.model.instructions import Instructions, StepFacts, Words, general_words


def words_of(facts: StepFacts, instructions: Instructions) -> Words:
    """Return the words of a step that cut the paper, or redrew its edge."""
    return general_words(facts) if instructions.words is None else instructions.words(facts)


def title_of(do: str, instructions: Instructions) -> str:
    """Return what a step without pictures is called."""
    return instructions.title or do.replace("-", " ").capitalize()
