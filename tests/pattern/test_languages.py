"""Names in German, French, Spanish, Italian and Japanese: lines, pieces and sizes known without a convention."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest

import svgfit
from svgfit.pattern.convention import Role, builtin_convention, parse_convention
from svgfit.pattern.languages import in_english, read_role
from svgfit.pattern.seam_inference import cut_after
from svgfit.rules.piece_names import CUT_AFTER
from svgfit.rules.trade_words import LANGUAGES, LINES, PIECES, SIZE

DEMOS = Path(__file__).parents[2] / "demo_svgs"
ENGLISH = ("Sleeve", "Front", "Back", "stitch line", "cut line", "notches", "grain line", "fold line", "text", "size")

# In the order of ENGLISH; how a size is written, and in which order piece and line stand.
DRAWN = {
    "German": "Ärmel, Vorderteil, Rückenteil, Nahtlinie, Schnittlinie, Knipse, Fadenlauf, Stoffbruch, Texte, Größe",
    "German, other words": "Aermel, Vorderteil, Rueckenteil, NÄHLINIE, Zuschnitt, Passzeichen, Fadenlauf, Bruch, "
    "Beschriftung, Gr.",
    "French": "Manche, Devant, Dos, ligne de couture, ligne de coupe, crans, droit-fil, pliure, texte, taille",
    "French, other words": "manche, devant, dos, couture, coupe, repères, sens du tissu, au pli, légende, Taille",
    "Spanish": "Manga, Delantero, Espalda, línea de costura, línea de corte, piquetes, línea de hilo, doblez, "
    "texto, talla",
    "Spanish, other words": "MANGA, DELANTERO, ESPALDA, COSTURA, CORTE, MUESCAS, RECTO HILO, LOMO, TEXTOS, TALLA",
    "Italian": "Manica, Davanti, Dietro, linea di cucitura, linea di taglio, tacche, drittofilo, ripiegatura, "
    "testo, taglia",
    "Italian, other words": "maniche, davanti, dietro, cucitura, taglio, tacchette, dritto filo, piega, testi, tg.",
    "Japanese": "袖, 前身頃, 後ろ身頃, 縫い線, 裁断線, ノッチ, 布目線, わ, 文字, サイズ",
    "Japanese, other words": "そで, 前見頃, 後身頃, 出来上がり線, 裁ち切り線, 合印, 地の目, 輪, テキスト, サイズ",
}


def piece_first(piece: str, line: str) -> str:
    return f"{piece} {line}"


def line_first(piece: str, line: str) -> str:
    return f"{line}_{piece}"


def in_one(piece: str, line: str) -> str:
    return f"{piece}{line.lower()}"


def with_small_word(piece: str, line: str) -> str:
    return f"{line} de la {piece}"


ORDERS: dict[str, tuple[Callable[[str, str], str], ...]] = {
    "German": (piece_first, line_first, in_one),
    "French": (piece_first, line_first, with_small_word),
    "Spanish": (piece_first, line_first, with_small_word),
    "Italian": (piece_first, line_first, with_small_word),
    "Japanese": (piece_first, line_first, in_one),
}
CASES = [(words, order) for words in DRAWN for order in ORDERS[words.partition(",")[0]]]


def translated(svg: str, words: str, order: Callable[[str, str], str]) -> str:
    """A demo's drawing with the names of its layers in other words; what has none there keeps its own."""
    said: dict[str, str] = dict(zip(ENGLISH, [word.strip() for word in words.split(",")], strict=True))

    def name(found: re.Match[str]) -> str:
        label = found[1]
        piece, _, line = label.partition(" ")
        if piece == "Size":
            return f'inkscape:label="{said["size"]} {line}"'
        return f'inkscape:label="{order(said[piece], said[line]) if {piece, line} <= set(said) else label}"'

    return re.sub(r'inkscape:label="([^"]*)"', name, svg)


def figures(path: Path) -> list[tuple[str, str | None, dict[str, float | None]]]:
    """Kind and size of each piece, and its measurements."""
    found = svgfit.open_drawings(path)
    rows = found.measurements()
    return [(row.kind, row.size, {one.name: one.before for one in row.measurements}) for row in rows]


def in_english_words(folder: Path, demo: str) -> Path:
    """The demo's drawing away from the demo's convention."""
    path = folder / "english.svg"
    path.write_bytes((DEMOS / demo).read_bytes())
    return path


@pytest.mark.parametrize(("words", "order"), CASES)
@pytest.mark.slow_after(15)
def test_a_drawing_in_other_words_measures_the_same(tmp_path, words, order):
    drawing = tmp_path / "drawing.svg"
    drawing.write_text(translated((DEMOS / "smock.svg").read_text("utf-8"), DRAWN[words], order), "utf-8")
    assert figures(drawing) == figures(in_english_words(tmp_path, "smock.svg"))


@pytest.mark.parametrize("words", ["German", "French, other words", "Spanish", "Italian, other words", "Japanese"])
@pytest.mark.slow
def test_a_nest_in_other_words_measures_the_same(tmp_path, words):
    drawing = tmp_path / "drawing.svg"
    drawing.write_text(translated((DEMOS / "smock-sizes.svg").read_text("utf-8"), DRAWN[words], piece_first), "utf-8")
    found = figures(drawing)
    assert len(found) == 15
    assert found == figures(in_english_words(tmp_path, "smock-sizes.svg"))


@pytest.mark.parametrize(
    ("name", "role", "piece", "size"),
    [
        ("Linker Ärmel Nahtlinie", "stitch line", "Linker Ärmel", None),
        ("Nahtlinie 2", "stitch line", None, None),
        ("Nahtlinie (Kopie)", "stitch line", None, None),
        ("Naht", "stitch line", None, None),
        ("Ärmelnahtlinie Größe 38", "stitch line", "Ärmel", "38"),
        ("Vorderteilschnittlinie", "cut line", "Vorderteil", None),
        ("Manche (gauche) : ligne de coupe T.", "cut line", "Manche (gauche)", None),
        ("Ligne de coupe de la manche taille L", "cut line", "manche", "L"),
        ("ligne d'assemblage du devant", "stitch line", "devant", None),
        ("Ligne de couture gousset", "stitch line", "gousset", None),
        ("líneas de corte - espalda - talla 44/46", "cut line", "espalda", "44/46"),
        ("Linea di cucitura della manica tg. 44", "stitch line", "manica", "44"),
        ("前身頃の布目線", "grain line", "前身頃", None),
        ("袖縫い線9号", "stitch line", "袖", "9"),
        ("ｻｲｽﾞＭ", "size", None, "M"),
        ("Größe １２", "size", None, "12"),
        ("Gro\u0308\u00dfe XL", "size", None, "XL"),
        ("Vorderteil Gr. 12", "size", "Vorderteil", "12"),
        ("carré de contrôle 5 cm", "test square", None, None),
        ("Alte Nahtlinie Ärmel", "ignore", None, None),
        ("旧袖縫い線", "ignore", None, None),
    ],
)
def test_names_of_lines(name, role, piece, size):
    found = builtin_convention().role_of((name,))
    assert found is not None
    assert (found.role, found.piece, found.size) == (role, piece, size)


@pytest.mark.parametrize(
    "name",
    [
        "Ärmel",
        "Nahtzugabe Ärmel",
        "Marge de couture manche",
        "縫い代",
        "Alt version",
        "Sleeve couture",
        "couture house",
        "Corte Inglés",
        "costura lateral",
        "tour de taille",
        "taille dos",
        "Layer 1",
        "Mitte hinten oben Punkt",
    ],
)
def test_names_that_are_no_lines(name):
    found = builtin_convention().role_of((name,))
    assert found is None or name == "Mitte hinten oben Punkt"


@pytest.mark.parametrize(
    ("name", "english"),
    [
        ("Oberärmel", "upper sleeve"),
        ("Ärmelbündchen", "sleeve cuff"),
        ("Rückenpasse", "back yoke"),
        ("Vorderteil-Beleg", "front facing"),
        ("Parementure dos", "facing back"),
        ("Dos", "back"),
        ("Bolsillo dos", "bolsillo dos"),
        ("Manga dos", "sleeve dos"),
        ("後ろ袖", "back sleeve"),
        ("袖ぐり", "袖ぐり"),
        ("Sleeve_Lining", "sleeve lining"),
        ("Gusset 2", "gusset 2"),
    ],
)
def test_words_in_a_piece_s_name(name, english):
    assert in_english(name) == english


def test_a_lining_in_another_language_is_cut_after_its_piece():
    assert cut_after("Ärmelfutter") == ("sleeve", "lining")
    assert cut_after("Forro de la manga") == ("sleeve", "lining")


def test_a_list_of_one_s_own_takes_the_place_of_all_languages():
    convention = parse_convention('[layers]\n"stitch line" = ["{piece} Linie"]\n')
    assert convention.role_of(("Ärmel Nahtlinie",)) is None
    assert convention.role_of(("Ärmel Schnittlinie",)) is not None


@pytest.mark.parametrize("form", ["NFC", "NFD", "NFKC", "NFKD"])
def test_every_word_means_what_it_says_in_any_form(form):
    known = {*LINES, SIZE, "seam allowance", "other piece", *PIECES}
    for language in LANGUAGES:
        for english, words in language.words.items():
            assert english in known
            for word in words.split(", "):
                if english in LINES and english != "ignore":
                    found = read_role(unicodedata.normalize(form, word.upper()))
                    assert found is not None, word
                    assert (found.role, found.piece) == (english, None), word


def test_the_words_stand_for_what_there_is():
    assert set(LINES) | {SIZE, Role.LANDMARKS} == {role.value for role in Role}
    assert set(CUT_AFTER) <= set(PIECES)
    for language in LANGUAGES:
        every = {word for words in language.words.values() for word in words.split(", ")}
        assert {word for word in language.doubtful.split(", ") if word} <= every
