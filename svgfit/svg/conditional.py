"""Conditional processing (https://www.w3.org/TR/SVG11/struct.html#ConditionalProcessing)."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.model.dialect import Element

LANGUAGE = "en"
"""The language a ``switch`` is read in: a fixed one, so that a drawing reads alike on every machine."""
_FEATURES = ("http://www.w3.org/TR/SVG11/feature#", "org.w3c.svg", "org.w3c.dom.svg", "http://www.w3.org/TR/SVG11/SVG")


def is_supported(element: Element) -> bool:
    """Return whether an element may be shown at all: no extension is known here, of features those of SVG 1.1."""
    if element.get("requiredExtensions") is not None:
        return False
    features: str | None = element.get("requiredFeatures")
    if features is None:
        return True
    words = features.split()
    return bool(words) and all(word.startswith(_FEATURES) for word in words)


def matches_language(element: Element) -> bool:
    """Return whether an element is for readers of LANGUAGE, or for all."""
    languages: str | None = element.get("systemLanguage")
    if languages is None:
        return True
    words = [word.strip().lower() for word in languages.split(",")]
    return any(word == LANGUAGE or word.startswith(LANGUAGE + "-") for word in words)


def choose_child(children: Sequence[Element]) -> list[Element]:
    """Choose the child of a ``switch`` that is shown, as a list of one or none.

    Where all that can be shown is for readers of other languages, the first of these: its maker saw one of them.
    """
    able = [child for child in children if is_supported(child)]
    return ([child for child in able if matches_language(child)] or able)[:1]
