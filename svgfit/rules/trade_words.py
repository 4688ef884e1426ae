"""What lines and pieces are called in German, French, Spanish, Italian and Japanese: all of it from memory.

LANGUAGES: each word beside what it is in English, in the spelling of its language; accents need not be written. No
dictionary was looked up. docs/convention.md shows them in a table.
"""

from __future__ import annotations

from msgspec import Struct

from svgfit.rules.piece_names import CUT_AFTER

LINES = (
    "stitch line",
    "cut line",
    "notches",
    "grain line",
    "bicep line",
    "centre line",
    "fold line",
    "drawn details",
    "text",
    "test square",
    "ignore",
)
"""What a layer is for; the roles of a convention but landmarks, whose shapes have English names."""
SIZE = "size"
ALLOWANCE = "seam allowance"
"""A layer named so may hold the cut line or the strip beside it: it is neither."""
PIECES = ("sleeve", "front", "back", "yoke", *CUT_AFTER, "cuff", "upper sleeve", "under sleeve", "raglan", "kimono")
"""Words in a piece's name that decide what it is."""
OTHER_PIECES = "other piece"
"""Words in the name of any further piece: they decide nothing, but what stands beside them is a piece's line."""
NO_PIECE = (
    "copy, Kopie, copie, copia, innen, außen, extérieur, extérieure, intérieur, intérieure, externe, interne, "
    "exterior, interior, esterno, esterna, interno, interna, コピー, 内側, 外側"
)
"""Words beside a line's name that name no piece: copies, inner and outer lines."""
LETTER_SIZES = ("xxs", "xs", "s", "m", "l", "xl", "xxl", "xxxl", "4xl", "5xl")


class Language(Struct, frozen=True, kw_only=True):
    """The words of a language."""

    name: str
    text: str
    """A line for each meaning in English, then its words, separated by commas; further lines of it are set in."""
    doubtful: str
    """Those of them that mean other things too: they count alone, or beside the name of a piece."""
    small: str = ""
    """Articles and prepositions between a line and its piece."""

    @property
    def words(self) -> dict[str, str]:
        """The words by their meaning, separated by commas."""
        lines = self.text.replace("\n ", "").strip().split("\n")
        return {english: words.strip() for english, _, words in (line.partition(":") for line in lines)}


GERMAN = Language(
    name="German",
    text="""\
stitch line: Nahtlinie, Nahtlinien, Nählinie, Nählinien, Stepplinie, Stepplinien, Naht, Nähte
cut line: Schnittlinie, Schnittlinien, Schneidelinie, Schneidelinien, Zuschnittlinie, Zuschnittlinien,
  Zuschneidelinie, Zuschneidelinien, Schnittkante, Schnittkanten, Zuschnitt
notches: Knips, Knipse, Knipser, Passzeichen, Passmarke, Passmarken, Kerbe, Kerben
grain line: Fadenlauf, Fadenläufe, Fadenlauflinie, Fadenlauflinien, Fadenlaufpfeil, Fadenrichtung
bicep line: Oberarmlinie, Oberarmlinien, Bizepslinie, Bizeps, Oberarm
centre line: Mittellinie, Mittellinien, Mitte
fold line: Bruch, Stoffbruch, Bruchlinie, Bruchlinien, Bruchkante, Stoffbruchlinie, Umbruchlinie, Umbruch
drawn details: Details, Detail, Einzelheiten, Innenlinien
text: Text, Texte, Beschriftung, Beschriftungen
test square: Testquadrat, Testquadrate, Testkästchen, Kontrollquadrat, Prüfquadrat, Maßquadrat
ignore: alt, alte, alter, altes
size: Größe, Größen, Gr, Konfektionsgröße
seam allowance: Nahtzugabe, Nahtzugaben, Saumzugabe, Zugabe
sleeve: Ärmel, Ärmeln
front: Vorderteil, Vorderteile, Vorderseite, Vorderhose, Vorderrock, vorn, vorne, vorderes, vorderer
back: Rückenteil, Rückenteile, Rückteil, Rücken, Rückseite, Hinterteil, Hinterhose, Hinterrock, hinten, hinteres,
  hinterer
yoke: Passe, Schulterpasse, Koller
lining: Futter, Innenfutter
facing: Beleg, Belege, Besatz
interfacing: Einlage, Bügeleinlage, Vlieseline
cuff: Manschette, Manschetten, Bündchen, Armbündchen
upper sleeve: Oberärmel
under sleeve: Unterärmel
raglan: Raglan
kimono: Kimono
other piece: Kragen, Tasche, Taschen, Bund, Gürtel, Kapuze, Rock, Hose, Riegel, Keil, Seitenteil, Blende, Schrägband,
  Rüsche, Kragensteg, Steg, Mitteltasche
""",
    doubtful="Naht, Nähte, Umbruch, Zuschnitt, Oberarm, Mitte, Detail",
    small="der, die, das, des, vom, von, für",
)
FRENCH = Language(
    name="French",
    text="""\
stitch line: ligne de couture, lignes de couture, couture, coutures, ligne de piqûre, lignes de piqûre,
  ligne de montage, ligne d'assemblage
cut line: ligne de coupe, lignes de coupe, trait de coupe, traits de coupe, contour de coupe, coupe
notches: cran, crans, crans de montage, encoche, encoches, repère de montage, repères de montage, repère, repères
grain line: droit fil, droit-fil, ligne de droit fil, sens du droit fil, sens du tissu, sens du fil
bicep line: ligne de biceps, ligne du biceps, biceps, tour de bras, ligne de bras
centre line: ligne milieu, ligne de milieu, ligne du milieu, milieu, ligne centrale
fold line: pliure, pliure du tissu, ligne de pliure, lignes de pliure, ligne de pli, au pli, pli du tissu, pli
drawn details: détails, détail, lignes intérieures
text: texte, textes, légende, légendes
test square: carré test, carré de test, carré de contrôle, carré témoin, carré d'échelle
ignore: ancien, ancienne, anciens, anciennes
size: taille, tailles
seam allowance: marge de couture, marges de couture, marges, valeur de couture, valeurs de couture,
  surplus de couture, ressource
sleeve: manche, manches
front: devant, devants
back: dos
yoke: empiècement, empiècements
lining: doublure, doublures
facing: parementure, parementures, enforme, enformes
interfacing: entoilage, entoilages, thermocollant
cuff: poignet, poignets, manchette, manchettes
upper sleeve: dessus de manche
under sleeve: dessous de manche
raglan: raglan
kimono: kimono
other piece: col, pied de col, poche, poches, ceinture, capuche, jupe, pantalon, patte, soufflet, côté, volant, biais,
  gousset, bande
""",
    doubtful="couture, coutures, coupe, repère, repères, pli, milieu, tour de bras, détail",
    small="de, d, la, le, les, l, du, des, pour, au",
)
SPANISH = Language(
    name="Spanish",
    text="""\
stitch line: línea de costura, líneas de costura, línea de coser, costura, costuras
cut line: línea de corte, líneas de corte, contorno de corte, corte
notches: piquete, piquetes, muesca, muescas, aplomo, aplomos, marcas
grain line: línea de hilo, línea del hilo, recto hilo, hilo recto, al hilo, hilo de la tela, sentido del hilo,
  dirección del hilo, hilo
bicep line: línea de bíceps, línea del bíceps, bíceps, contorno de brazo
centre line: línea central, línea de centro, línea del centro, centro
fold line: doblez, doblez de la tela, doblez de tela, línea de doblez, línea de pliegue, al doblez, lomo de la tela,
  lomo
drawn details: detalles, detalle, líneas internas
text: texto, textos, rótulo, rótulos
test square: cuadrado de prueba, cuadro de prueba, cuadrado de control, cuadro de control, cuadrado de test
ignore: viejo, vieja, viejos, viejas, antiguo, antigua
size: talla, tallas
seam allowance: margen de costura, márgenes de costura, margen, aumento de costura
sleeve: manga, mangas
front: delantero, delanteros, delantera
back: espalda, espaldas, trasero, traseros, trasera
yoke: canesú, canesús, canesúes
lining: forro, forros
facing: vista, vistas
interfacing: entretela, entretelas
cuff: puño, puños
upper sleeve: hoja superior de manga, manga superior
under sleeve: hoja inferior de manga, bajo manga, manga inferior
raglan: ranglan, raglán
kimono: kimono, quimono
other piece: cuello, pie de cuello, bolsillo, bolsillos, cinturón, cinturilla, pretina, capucha, falda, pantalón,
  tapeta, costadillo, costado, volante, bies, escudete
""",
    doubtful="costura, costuras, marcas, corte, hilo, centro, lomo, detalle",
    small="de, del, la, el, los, las, para, al",
)
ITALIAN = Language(
    name="Italian",
    text="""\
stitch line: linea di cucitura, linee di cucitura, linea cucitura, cucitura, cuciture
cut line: linea di taglio, linee di taglio, linea taglio, contorno di taglio, taglio
notches: tacca, tacche, tacchetta, tacchette, tacche di riferimento
grain line: drittofilo, dritto filo, linea del drittofilo, linea di drittofilo, verso del tessuto
bicep line: linea del bicipite, linea bicipite, bicipite, circonferenza braccio
centre line: linea di centro, linea del centro, linea centrale, centro
fold line: ripiegatura, linea di piegatura, linea di piega, linee di piega, piegatura, piega del tessuto,
  ripiego del tessuto, piega
drawn details: dettagli, dettaglio, particolari, linee interne
text: testo, testi, scritte
test square: quadrato di prova, quadrato test, quadrato di test, quadrato di controllo, quadratino di prova
ignore: vecchio, vecchia, vecchi, vecchie
size: taglia, taglie, tg
seam allowance: margine di cucitura, margini di cucitura, margine cucitura, margine, margini
sleeve: manica, maniche
front: davanti
back: dietro, schiena
yoke: sprone, sproni, carré
lining: fodera, fodere
facing: paramontura, paramonture, ripiego, ripieghi
interfacing: teletta, interfodera, adesivo
cuff: polsino, polsini, polso
upper sleeve: sopramanica
under sleeve: sottomanica
raglan: raglan
kimono: kimono
other piece: collo, colletto, listino, tasca, tasche, cintura, cinturino, cappuccio, gonna, pantalone, pantaloni,
  fianchetto, fianco, volant, sbieco, tassello
""",
    doubtful="cucitura, cuciture, taglio, piega, centro, particolari, dettaglio",
    small="di, del, della, dello, delle, dei, la, il, lo, le, i, per, d, dell",
)
JAPANESE = Language(
    name="Japanese",
    text="""\
stitch line: 縫い線, 縫線, 縫い目線, 縫製線, 出来上がり線, 出来上り線, できあがり線, 仕上がり線, 仕上り線
cut line: 裁断線, 裁ち切り線, 裁切り線, 裁切線, 断ち切り線, 断裁線, 裁ち線, カット線, カットライン
notches: ノッチ, 合印, 合い印, 合わせ印, 切り込み
grain line: 布目, 布目線, 地の目, 地の目線, 地の目方向, たて地, 縦地
bicep line: 袖幅線, 二の腕線, 上腕線, 袖幅
centre line: 中心線, 中央線
fold line: わ, 輪, わ線, 折り線, 折線, 折り山線
drawn details: 詳細, ディテール, 内部線
text: 文字, テキスト
test square: テストスクエア, テスト用正方形, 確認用正方形, 確認用スケール, 寸法確認, スケール確認
ignore: 旧, 古い
size: サイズ, 号
seam allowance: 縫い代, 縫いしろ, 縫代, 縫代線, 縫い代線
sleeve: 袖, そで, スリーブ
front: 前身頃, 前身ごろ, 前みごろ, 前見頃, 前, 前パンツ, 前スカート
back: 後ろ身頃, 後身頃, 後ろ身ごろ, 後身ごろ, 後ろみごろ, 後ろ見頃, 後ろ, 後, うしろ, 後ろパンツ, 後ろスカート
yoke: ヨーク
lining: 裏地, 裏
facing: 見返し, 見返
interfacing: 接着芯, 芯地, 芯
cuff: カフス, カフ
upper sleeve: 外袖, 上袖
under sleeve: 内袖, 下袖
raglan: ラグラン
kimono: キモノ
other piece: 衿, 襟, 台衿, 台襟, ポケット, ベルト, フード, スカート, パンツ, 脇身頃, 脇, マチ, 袖ぐり, 袖口, 袖山,
  短冊, フリル, バイアス
""",
    doubtful="わ, 輪, 袖幅, 切り込み",
    small="の",
)
LANGUAGES = (GERMAN, FRENCH, SPANISH, ITALIAN, JAPANESE)
