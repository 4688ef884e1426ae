"""Names of layers and pieces in other languages than English: which line, which piece, which size they mean.

The words are in svgfit/rules/trade_words.py. Case, accents and the form of letters don't count, and an umlaut may be
written as ae, oe, ue. The line may stand before its piece or behind it, in German as one word with it
("Ärmelnahtlinie"), in Japanese without a space.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache

from msgspec import Struct

from svgfit.model.wording import fold, single_spaced, spellings
from svgfit.rules.trade_words import (
    ALLOWANCE,
    GERMAN,
    JAPANESE,
    LANGUAGES,
    LETTER_SIZES,
    LINES,
    NO_PIECE,
    OTHER_PIECES,
    PIECES,
    SIZE,
)

_JAPANESE = r"\u3005\u3040-\u30ff\u3400-\u9fff"
_WORDS = re.compile(rf"[{_JAPANESE}]+|[^\W_{_JAPANESE}]+")
_OLD, _SQUARE = "ignore", "test square"


class NamedRole(Struct, frozen=True):
    """What a name in another language says: a role (or ``size``), and the piece and size in it."""

    role: str
    piece: str | None = None
    size: str | None = None


class Part(Struct, frozen=True):
    """A stretch of a name and what it means: a line, "size", a piece's word, "" for small words, None if unknown."""

    start: int
    end: int
    word: str
    """Folded: lower case, without accents."""
    meaning: str | None = None
    doubtful: bool = False


class Meaning(Struct, frozen=True):
    """What a word means, in which languages; one of them may be doubtful."""

    english: str
    languages: frozenset[str]
    doubtful: bool


@lru_cache(maxsize=4096)
def read_role(name: str) -> NamedRole | None:
    """Read what a layer is by its name in another language; None where it says none.

    >>> read_role("Ärmel Nahtlinie Größe 38")
    NamedRole(role='stitch line', piece='Ärmel', size='38')
    >>> read_role("Ligne de coupe de la manche"), read_role("前身頃の縫い線")
    (NamedRole(role='cut line', piece='manche', size=None), NamedRole(role='stitch line', piece='前身頃', size=None))
    """
    name = single_spaced(name)
    parts = _parts(name)
    if not any(part.meaning for part in parts) or any(part.meaning == ALLOWANCE for part in parts):
        return None
    if parts[0].meaning == _OLD:
        return NamedRole(_OLD) if any(part.meaning not in (None, "", _OLD) for part in parts) else None
    parts, size = _without_size(name, parts)
    beside = any(part.meaning in (*PIECES, OTHER_PIECES) for part in parts)
    lines = [part for part in parts if part.meaning in LINES and part.meaning != _OLD]
    sure = [part for part in lines if not part.doubtful or beside or len(parts) == 1]
    if not sure:
        return NamedRole(SIZE, _piece(name, parts), size) if size and not lines else None
    line = next((part for part in sure if not part.doubtful), sure[0])
    before = [part for part in parts if part.end <= line.start]
    after = [part for part in parts if part.start >= line.end]
    piece = None if line.meaning == _SQUARE else _piece(name, before) or _piece(name, after)
    return NamedRole(line.meaning or "", piece, size)


@lru_cache(maxsize=4096)
def in_english(name: str) -> str:
    """Write a piece's name in lower case, the words that say what it is in English; others stay.

    >>> in_english("Rückenteil Beleg"), in_english("Ärmelfutter"), in_english("Left_Sleeve"), in_english("前身頃")
    ('back facing', 'sleeve lining', 'left sleeve', 'front')
    """
    parts = _parts(single_spaced(name))
    foreign = any(part.meaning for part in parts)
    kept = [part for part in parts if part.meaning != "" or not foreign]
    return " ".join(part.meaning if part.meaning in PIECES else part.word for part in kept)


def split_size(text: str) -> tuple[str, str | None]:
    """Part a text into what it says beside a size, and the size; None where it tells none.

    >>> split_size("Manga talla 38"), split_size("Ärmel, Gr. XL"), split_size("前身頃9号"), split_size("Manga 2")
    (('Manga', '38'), ('Ärmel', 'XL'), ('前身頃', '9'), ('Manga 2', None))
    """
    name = single_spaced(text)
    parts, size = _without_size(name, _parts(name))
    return (_stretch(name, parts), size) if size is not None else (name, None)


def says(text: str, line: str) -> bool:
    """Tell whether a text speaks of a line (one of LINES), in English or one of the languages.

    >>> says("cut 1 on fold", "fold line"), says("im Stoffbruch", "fold line"), says("unfolded", "fold line")
    (True, True, False)
    """
    folded = " ".join(fold(word) for word in _WORDS.findall(single_spaced(text)))
    english = f" {line.removesuffix(' line')} "
    return english in f" {folded} " or any(part.meaning == line for part in _parts(single_spaced(text)))


# -- what a name is made of ------------------------------------------------------------------------------------------


@cache
def _phrases() -> dict[tuple[str, ...], Meaning]:
    """Map every phrase, as folded words, to its meaning; of two languages' meanings the first counts."""
    found: dict[tuple[str, ...], Meaning] = {}
    for language in LANGUAGES:
        doubtful = set(_split(language.doubtful))
        entries = [(word, english) for english, words in language.words.items() for word in _split(words)]
        for word, english in [*entries, *((word, "") for word in _split(language.small))]:
            for spelt in spellings(word):
                key = tuple(fold(each) for each in _WORDS.findall(spelt))
                known = found.get(key)
                if known is None:
                    found[key] = Meaning(english, frozenset([language.name]), word in doubtful)
                elif known.english == english:
                    both = known.languages | {language.name}
                    found[key] = Meaning(english, both, known.doubtful or word in doubtful)
    return found


@cache
def _no_piece() -> frozenset[str]:
    return frozenset(map(fold, _split(NO_PIECE)))


@cache
def _longest() -> int:
    return max(map(len, _phrases()))


@cache
def _words_of(language: str) -> dict[str, str]:
    """Map the single words of a language to their meanings, small words left out unless it writes without spaces."""
    return {
        key[0]: meaning.english
        for key, meaning in _phrases().items()
        if len(key) == 1 and language in meaning.languages and (meaning.english or language == JAPANESE.name)
    }


def _split(words: str) -> list[str]:
    return [word.strip() for word in words.split(",") if word.strip()]


def _parts(name: str) -> tuple[Part, ...]:
    """Part a single-spaced name into its words and what they mean, the longest phrase first."""
    tokens = [(found.start(), found.end(), fold(found[0])) for found in _WORDS.finditer(name)]
    parts: list[Part] = []
    at = 0
    while at < len(tokens):
        for count in range(min(_longest(), len(tokens) - at), 0, -1):
            meaning = _phrases().get(tuple(word for _, _, word in tokens[at : at + count]))
            if meaning is not None:
                start, end = tokens[at][0], tokens[at + count - 1][1]
                word = " ".join(word for _, _, word in tokens[at : at + count])
                parts.append(Part(start, end, word, meaning.english, meaning.doubtful))
                at += count
                break
        else:
            start, end, word = tokens[at]
            parts += _inside(name, start, end, word)
            at += 1
    return _without_strangers(parts)


def _without_strangers(parts: Sequence[Part]) -> tuple[Part, ...]:
    """Take from "dos" its meaning (back in French, two in Spanish) where it neither comes first nor beside French."""
    french = any(_is_in(part, "French") and part.word != "dos" for part in parts)
    return tuple(
        Part(part.start, part.end, part.word) if part.word == "dos" and k and not french else part
        for k, part in enumerate(parts)
    )


def _is_in(part: Part, language: str) -> bool:
    meaning = _phrases().get(tuple(part.word.split()))
    return meaning is not None and bool(meaning.english) and language in meaning.languages


def _inside(name: str, start: int, end: int, word: str) -> list[Part]:
    """Part one word further: Japanese writes without spaces, German in one word; else the word is unknown."""
    if re.match(f"[{_JAPANESE}]", word):
        return _japanese(start, word)
    pieces = _compound(word)
    if pieces is None:
        return [Part(start, end, word)]
    parts: list[Part] = []
    for piece in pieces:
        stop = start + 1
        while stop < end and len(fold(name[start:stop])) < len(piece):
            stop += 1
        core = next(known for known in (piece, piece[:-1]) if known in _words_of(GERMAN.name))
        parts.append(Part(start, stop, core, _words_of(GERMAN.name)[core], _phrases()[(core,)].doubtful))
        start = stop
    return parts


def _compound(word: str) -> list[str] | None:
    """Part a German compound into words that are all known, an s between two of them with the first; None if none."""
    known = _words_of(GERMAN.name)
    for at in range(3, len(word) - 2):
        head, rest = word[:at], word[at:]
        if head not in known and not (head.endswith("s") and head[:-1] in known):
            continue
        if rest in known:
            return [head, rest]
        further = _compound(rest)
        if further is not None:
            return [head, *further]
    return None


def _japanese(start: int, word: str) -> list[Part]:
    known = _words_of(JAPANESE.name)
    parts: list[Part] = []
    at = unknown = 0
    while at < len(word):
        found = next((word[at:end] for end in range(len(word), at, -1) if word[at:end] in known), None)
        if found is None:
            at += 1
            continue
        if at > unknown:
            parts.append(Part(start + unknown, start + at, word[unknown:at]))
        parts.append(Part(start + at, start + at + len(found), found, known[found], _phrases()[(found,)].doubtful))
        at = unknown = at + len(found)
    if at > unknown:
        parts.append(Part(start + unknown, start + at, word[unknown:at]))
    return parts


def _without_size(name: str, parts: Sequence[Part]) -> tuple[list[Part], str | None]:
    """Take out the word for a size and the size beside it: behind it, in Japanese also before it ("9号")."""
    for k, part in enumerate(parts):
        if part.meaning != SIZE and part.word != SIZE:
            continue
        for other in (k + 1, k - 1):
            if not 0 <= other < len(parts) or (other < k and not re.match(f"[{_JAPANESE}]", part.word)):
                continue
            beside = parts[other]
            if not beside.meaning and (beside.word in LETTER_SIZES or beside.word[:1].isdigit()):
                last = other + 1
                while other > k and last < len(parts) and name[parts[last - 1].end : parts[last].start] == "/":
                    last += 1  # 44/46 is one size
                taken = (part, *parts[other:last])
                return [each for each in parts if each not in taken], name[beside.start : parts[last - 1].end]
    return list(parts), None


def _piece(name: str, parts: Sequence[Part]) -> str | None:
    """Find the piece's name in the parts beside a line's; None where they name none."""
    kept = list(parts)
    while kept and kept[0].meaning == "":
        kept = kept[1:]
    while kept and kept[-1].meaning == "":
        kept = kept[:-1]
    if all(part.word in _no_piece() or part.word.isdigit() for part in kept):
        return None
    return _stretch(name, kept) or None


def _stretch(name: str, parts: Iterable[Part]) -> str:
    """Join the parts as the name has them, with what stands between neighbours."""
    text, last = "", None
    for part in parts:
        between = name[last : part.start] if last is not None else ""
        text += (between if not _WORDS.search(between) else " ") + name[part.start : part.end]
        last = part.end
    return text + ")" if "(" in text and name[last:].startswith(")") else text
