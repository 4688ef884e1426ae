"""By complaint: the causes that a fitter looks at, and the operations that answer them. Wording need not be the same.

Words are held against each other by their stems: their ends cut off, little words left out, words that mean the same
to a fitter taken for one. That is a rough rule of our own for a few hundred words, no grammar.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.model.operation import Operation
from svgfit.rules.complaints import COMPLAINTS, Cause, Complaint

_LITTLE_WORDS = (
    "a an and are as at be by for from has have in into is it its my of off on or over that the their this to too "
    "very with up when i we her his she he which not where"
)
LITTLE = frozenset(re.findall(r"\w+", _LITTLE_WORDS))
"""Words that tell nothing."""
ALIKE = (
    "back rear backward behind",
    "pull drag tug drawn strain",
    "fold wrinkle crease line pool",
    "tight narrow small snug bind choke",
    "wide broad loose big large",
    "gape gap stand",
    "rise ride hike lift climb",
    "underarm armpit",
    "armhole armscye scye",
    "upper bicep",
    "cap crown sleevehead",
    "blade shoulderblade",
    "nape neck",
    "low long",
    "high short",
)
"""Words that a fitter means alike, by their stems."""
ENOUGH = 0.5
"""So much of what was asked must be found in a complaint."""
MEANT = 0.75
"""So much of what a cause asks for must be found in what an operation answers."""


class Found(Struct, frozen=True):
    """A complaint that was found, its causes with the operations that answer them."""

    complaint: Complaint
    causes: tuple[tuple[Cause, tuple[str, ...]], ...]


def stems(text: str) -> frozenset[str]:
    """Cut a text to the stems of the words that tell something.

    >>> sorted(stems("The shoulder seams are pulling backwards"))
    ['back', 'pull', 'seam', 'shoulder']
    """
    return frozenset(_MEANS.get(one, one) for one in map(_stem, re.findall(r"[^\W\d_]+", text.casefold())) if one)


def answering(operations: Iterable[Operation], text: str, enough: float = ENOUGH) -> tuple[str, ...]:
    """List the operations one of whose answers has so much of a text's words, the best first."""
    rated = [
        (max((_share(text, one) for one in operation.answers), default=0.0), operation) for operation in operations
    ]
    best = sorted((one for one in rated if one[0] >= enough), key=lambda one: (-one[0], one[1].name))
    return tuple(operation.name for _, operation in best)


def find_complaints(operations: Sequence[Operation], text: str) -> tuple[Found, ...]:
    """Find the complaints of the table that a text speaks of: those that have most of its words, in their order."""
    rated = [(_share(text, one.complaint), one) for one in COMPLAINTS]
    most = max((rate for rate, _ in rated), default=0.0)
    return tuple(with_operations(one, operations) for rate, one in rated if rate >= max(ENOUGH, most - 1e-9))


def with_operations(complaint: Complaint, operations: Sequence[Operation]) -> Found:
    """Find the operations that answer each cause of a complaint."""
    causes: list[tuple[Cause, tuple[str, ...]]] = []
    for cause in complaint.causes:
        names = (name for ask in cause.asks for name in answering(operations, ask, MEANT))
        causes.append((cause, tuple(dict.fromkeys(names))))
    return Found(complaint, tuple(causes))


def _share(text: str, answer: str) -> float:
    """Tell how much of a text's words are in an answer; little where the answer says much that the text does not."""
    asked, said = stems(text), stems(answer)
    common = len(asked & said)
    return common / len(asked) - 1e-3 * len(said - asked) if asked and common else 0.0


def _stem(word: str) -> str:
    """Cut a word's end off; "" for a little word."""
    if word in LITTLE:
        return ""
    for end in ("wards", "ward", "ing", "ies", "ed", "es", "s", "y", "e"):
        if word.endswith(end) and len(word) - len(end) >= 3 and not word.endswith("ss"):
            word = word[: -len(end)]
            break
    return word[:-1] if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "ls" else word


_MEANS = {_stem(word): _stem(row.split()[0]) for row in ALIKE for word in row.split()}
