"""Names as people gave them, decoded from the ids that drawing programs make of them. One left-to-right pass each."""

from __future__ import annotations

from typing import Any


def unescaped(text: str) -> str:
    """Decode characters written as ``_xHH_`` (two to six hex digits); all else is left.

    >>> unescaped("cap_x0020_top_x2F_x28_")
    'cap top/x28_'
    """
    if "_x" not in text:
        return text
    import re

    return re.sub("_x([0-9A-Fa-f]{2,6})_", _character, text)


def spaced(text: str) -> str:
    """Decode as ``unescaped``, underscores read as spaces and a duplicate's counter at the end (``_1_``) left out.

    >>> spaced("notes_x5F_v1__x28_old_x29_"), spaced("Sleeve_notches_1_")
    ('notes_v1 (old)', 'Sleeve notches')
    """
    if "_" not in text:
        return text
    import re

    return re.sub(r"_x([0-9A-Fa-f]{2,6})_|_[0-9]+_$|_", _piece, text).strip() or text


def title_of(element: Any) -> str | None:
    """Return the text of the element's own ``title``; None where it has none."""
    found = next(iter(element.iterchildren("{*}title")), None)
    return None if found is None else " ".join("".join(found.itertext()).split()) or None


def given_name(element: Any) -> str | None:
    """Return a person's name for an element, in no program's own way: ``data-name``, title, else its id, unescaped."""
    found = element.get("data-name") or title_of(element)
    return found or unescaped(element.get("id") or "") or None


def is_group(element: Any) -> bool:
    """Return whether the element holds others: a group or a nested svg."""
    return element.tag.rpartition("}")[2] in ("g", "svg")


def _character(found: Any) -> str:
    code = int(found[1], 16)
    return chr(code) if code < 0xD800 or 0xE000 <= code < 0x110000 else found[0]


def _piece(found: Any) -> str:
    if found[1]:
        return _character(found)
    return " " if found[0] == "_" else ""
