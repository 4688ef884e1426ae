"""One page of a PDF becomes a drawing in mm: lines, layers, looks and texts as a program that shows PDFs has them."""

from __future__ import annotations

import pymupdf
import pytest
from pikepdf import Array, Dictionary, Name, ObjectStreamMode, Stream

from svgfit.model.refusal import Refusal
from tests.formats.pdf.making import MM, Document, convert, drawing, one_page, points

LINE = f"{10 * MM} {20 * MM} m {60 * MM} {20 * MM} l S"
"""From 10 to 60 mm, 20 mm above the page's lower edge."""
A4 = (0, 0, 210 * MM, 297 * MM)


def shapes(data):
    return [shape for layer in drawing(data).layers for shape in layer.shapes]


def svg(data):
    return convert(data).svg.decode()


# -- true scale ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("keys", "line"),
    [
        ({}, [(10, 277), (60, 277)]),
        ({"box": (-10 * MM, -5 * MM, 200 * MM, 292 * MM)}, [(20, 272), (70, 272)]),
        ({"CropBox": Array([5 * MM, 10 * MM, 100 * MM, 110 * MM])}, [(5, 90), (55, 90)]),
        ({"Rotate": 90}, [(20, 10), (20, 60)]),
        ({"Rotate": 180}, [(200, 20), (150, 20)]),
        ({"Rotate": -90}, [(277, 200), (277, 150)]),
        ({"UserUnit": 2}, [(20, 554), (120, 554)]),
    ],
)
def test_boxes_rotation_and_unit(keys, line):
    assert points(one_page(LINE, **{"box": A4, **keys})) == {"drawing": [line]}


def test_the_page_says_where_its_scale_comes_from():
    assert convert(one_page(LINE)).scale_from == "the PDF's unit (1/72 in)"
    assert convert(one_page(LINE, UserUnit=2)).scale_from == "the PDF's unit (1/72 in times 2)"


def test_a_scale_given_is_not_used_and_that_is_said():
    found = convert(one_page(LINE), scale=96.0)
    assert found.svg == convert(one_page(LINE)).svg
    assert "--scale is not used" in found.warnings[0]


# -- lines -----------------------------------------------------------------------------------------------------------

PATHS = {
    "lines, closed": "100 100 m 200 100 l 200 250 l h S",
    "closed by s": "100 100 m 200 100 l 200 250 l s",
    "a rectangle": "100 100 80 50 re S",
    "curves": "100 100 m 120 200 180 200 200 100 c 250 60 300 100 v 350 150 400 100 y S",
    "moved": "q 0.5 0 0 0.5 30 40 cm 100 100 m 200 100 l S Q 100 300 m 200 300 l S",
    "turned and mirrored": "q 0 1 1 0 30 40 cm 100 100 m 200 100 l 210 130 l S Q",
    "one in another": "q 2 0 0 2 0 0 cm q 1 0 0 -1 0 200 cm 50 50 m 70 55 l S Q 20 20 m 30 20 l S Q",
    "two stretches": "100 100 m 200 100 l 300 300 m 310 320 l S",
    "numbers in short": "+.5 -.5 m 100. 50.25 l S 100 100 m\n200\t300 l%note\nS",
    "after a close": "100 100 m 200 100 l 200 200 l h 50 60 l S",
}


@pytest.mark.parametrize("content", PATHS.values(), ids=PATHS)
def test_lines_lie_where_another_reader_sees_them(content):
    data = one_page(content)
    seen = []
    for path in pymupdf.open(stream=data).load_page(0).get_drawings():
        for item in path["items"]:
            if item[0] == "re":
                r = item[1]
                corners = [r.tl, r.tr, r.br, r.bl]
                seen += list(zip(corners, [*corners[1:], corners[0]], strict=True))
            elif item[0] == "qu":
                q = item[1]
                corners = [q.ul, q.ur, q.lr, q.ll]
                seen += list(zip(corners, [*corners[1:], corners[0]], strict=True))
            else:
                seen.append((item[1], item[-1]))
        if path["closePath"]:
            seen.append((path["items"][-1][-1], path["items"][0][1]))
    seen = {frozenset((round(p.x / MM, 2), round(p.y / MM, 2)) for p in pair) for pair in seen}
    mine = set()
    for shape in shapes(data):
        for curve in shape.curves:
            for segment in curve.segments:
                mine.add(frozenset((round(p.real, 2), round(p.imag, 2)) for p in (segment[0], segment[3])))
    assert {pair for pair in mine if len(pair) == 2} == {pair for pair in seen if len(pair) == 2}


def test_a_form_has_its_matrix_and_is_clipped_by_its_box():
    document = Document()
    inner = document.form("0 0 m 10 0 l S 500 500 m 510 500 l S", matrix=(MM, 0, 0, MM, 0, 0), box=(-1, -1, 100, 100))
    outer = document.form("q 1 0 0 1 0 141.732 cm /In Do Q", resources=Dictionary(XObject=Dictionary(In=inner)))
    document.page(f"q 1 0 0 1 {10 * MM} 0 cm /Fm Do Q", box=(0, 0, 5000, 5000), forms={"/Fm": outer})
    ((line,),) = points(document.bytes()).values()
    high = 5000 / MM
    assert line == [(10, pytest.approx(high - 50, abs=2e-3)), (20, pytest.approx(high - 50, abs=2e-3))]


def test_what_lies_off_the_page_or_behind_a_clip_is_left_out_and_what_reaches_out_is_whole():
    content = f"q 0 0 100 100 re W n 200 200 m 300 300 l S 50 50 m 500 50 l S Q {-50} 700 m -10 700 l S"
    assert points(one_page(content)) == {"drawing": [[(17.639, 261.761), (176.389, 261.761)]]}
    (note,) = convert(one_page(content)).notes
    assert note.startswith("2 lines beyond the page's edge or a clip")


@pytest.mark.parametrize(
    "word", [b"/Gr\xc3\xb6\xc3\x9fe", b"/Gr#c3#b6#c3#9fe", b"/Gr\xf6\xdfe", b"/Gr#f6#dfe", b"/G#72"]
)
def test_a_layer_is_found_by_whatever_name_a_page_gives_it(word):
    document = Document()
    document.page(b"/OC %s BDC 10 10 m 100 100 l S EMC" % word, layers=("Size 10",))
    data = document.bytes(compress_streams=False, object_stream_mode=ObjectStreamMode.disable)
    renamed = data.replace(b"/L0 ", word + b" ")
    assert renamed != data
    assert list(points(renamed)) == ["Size 10"]


def test_white_paper_under_the_drawing_is_no_line():
    content = f"1 g 0 0 612 792 re f 0.9 g 0 0 612 792 re f 1 1 1 rg 10 10 50 50 re f 0 g {LINE} 300 300 20 20 re f"
    assert len(shapes(one_page(content))) == 2


# -- looks -----------------------------------------------------------------------------------------------------------

LOOKS = [
    ("1 0 0 RG 2 w", 'stroke="#ff0000" stroke-width="0.70556"'),
    ("0.5 G 0 w", 'stroke="#808080" stroke-width="0.05"'),
    ("0 1 1 0 K", 'stroke="#ff0000"'),
    ("/Sep CS 1 SCN", 'stroke="#000000"'),
    ("/DeviceRGB CS 0 0 1 SC", 'stroke="#0000ff"'),
    ("[6 3] 1 d", 'stroke-dasharray="2.11667 1.05833" stroke-dashoffset="0.35278"'),
    ("[5] 0 d", 'stroke-dasharray="1.76389 1.76389"'),
    ("2 0 0 2 0 0 cm 1 w [6 3] 0 d", 'stroke-width="0.70556" stroke-dasharray="4.23333 2.11667"'),
    ("/GS gs", 'stroke-width="1.05833" stroke-dasharray="1.41111 0.70556"'),
    ("[] 0 d", 'stroke-width="0.35278" d='),
    ("[3 0] 0 d", 'stroke-width="0.35278" d='),
]


@pytest.mark.parametrize(("before", "looks"), LOOKS)
def test_colour_width_and_dashes_are_kept(before, looks):
    resources = {
        "/ColorSpace": Dictionary(Sep=Array([Name.Separation, Name.Cut, Name.DeviceGray, Dictionary()])),
        "/ExtGState": Dictionary(GS=Dictionary(LW=3, D=Array([Array([4, 2]), 0]))),
    }
    text = svg(one_page(f"q {before} 10 10 m 100 100 l S Q", resources=resources))
    assert looks in text
    assert 'fill="none"' in text


def test_a_form_inherits_how_lines_look():
    document = Document()
    form = document.form("10 10 m 100 100 l S")
    document.page("q 1 0 0 RG [6 3] 0 d /Fm Do Q q 0 0 1 RG 1 0 0 1 50 0 cm /Fm Do Q", forms={"/Fm": form})
    text = svg(document.bytes())
    assert text.count("<path") == 2
    assert 'stroke="#ff0000" stroke-width="0.35278" stroke-dasharray="2.11667 1.05833"' in text
    assert 'stroke="#0000ff" stroke-width="0.35278" d=' in text


# -- layers ----------------------------------------------------------------------------------------------------------


def test_a_layer_for_each_group_by_marks_membership_and_forms():
    document = Document()
    member = document.pdf.make_indirect(Dictionary(Type=Name.OCMD, OCGs=Array([document.group("Size 12")])))
    form = document.form("10 40 m 90 40 l S", group="Grain")
    content = (
        "/OC /L0 BDC 10 10 m 90 10 l S /Span <</MCID 1>> BDC 10 15 m 90 15 l S EMC EMC /OC /M BDC "
        "10 20 m 90 20 l S EMC /Artifact BMC 10 30 m 90 30 l S EMC /Fm Do /OC /L0 BDC "
        "/OC /L1 BDC 10 50 m 90 50 l S EMC 10 60 m 90 60 l S EMC"
    )
    page = document.page(content, layers=("Size 10", "Size 14"), forms={"/Fm": form})
    page.Resources.Properties.M = member
    found = points(document.bytes())
    heights = {name: sorted(round(792 - line[0][1] * MM) for line in lines) for name, lines in found.items()}
    assert heights == {"Size 10": [10, 15, 60], "Size 12": [20], "drawing": [30], "Grain": [40], "Size 14": [50]}


def test_the_tree_of_layers_and_what_is_switched_off():
    document = Document()
    names = ("Front", "Front 10", "Front 12", "Back", "Notes")
    content = " ".join(f"/OC /L{k} BDC 10 {10 + 9 * k} m 90 10 l S EMC" for k in range(5))
    document.page(content, layers=names)
    data = document.bytes(
        order=["Front", ["Front 10", "Front 12"], ["Others", "Back"], "Notes"], off=("Front 12", "Notes")
    )
    found = drawing(data)
    paths = {"/".join(layer.path): layer.hidden for layer in found.layers}
    assert [path for path, hidden in paths.items() if hidden] == ["Front/Front 12", "Notes"]
    assert list(paths) == ["Front", "Front/Front 10", "Front/Front 12", "Others", "Others/Back", "Notes"]
    assert convert(data).warnings[0].startswith("Front/Front 12 and Notes are switched off in the PDF")


def test_all_off_but_those_that_are_on():
    document = Document()
    document.page("/OC /L0 BDC 10 10 m 90 10 l S EMC /OC /L1 BDC 10 20 m 90 10 l S EMC", layers=("A", "B"))
    layers = drawing(document.bytes(base="OFF", on=("B",))).layers
    assert [(layer.name, layer.hidden) for layer in layers] == [("A", True), ("B", False)]


def test_names_that_xml_would_stumble_over():
    document = Document()
    document.page("/OC /L0 BDC 10 10 m 90 10 l S EMC", layers=('Größe <12> & "14" 袖',))
    assert list(points(document.bytes())) == ['Größe <12> & "14" 袖']


# -- texts -----------------------------------------------------------------------------------------------------------


def texts(data):
    return [
        (each.text.content, round(each.text.at.real, 2), round(each.text.at.imag, 2), round(each.text.size, 2))
        for layer in drawing(data).layers
        for each in layer.texts
    ]


def to_unicode(pdf, pairs, code=2):
    rows = "\n".join(f"<{k:0{2 * code}x}> <{text.encode('utf-16-be').hex()}>" for k, text in pairs)
    return Stream(pdf, f"{len(pairs)} beginbfchar\n{rows}\nendbfchar 1 beginbfrange <{'0' * (2 * code - 2)}41> "
                  f"<{'0' * (2 * code - 2)}43> <0061> endbfrange".encode())  # fmt: skip


def test_texts_have_their_place_size_and_words():
    content = f"{LINE} BT /F1 10 Tf 28.346 56.693 Td (Size 12) Tj 0 -14 Td (cut \\(2\\) on f\\157ld \\344) Tj ET"
    size = round(10 / MM, 2)
    assert texts(one_page(content)) == [
        ("Size 12", 10.0, 259.4, size),
        ("cut (2) on fold ä", 10.0, 264.34, size),
    ]


def test_letters_that_are_placed_one_by_one_are_one_text():
    content = f"{LINE} BT /F1 10 Tf 100 100 Td [(Si) -20 (ze) -300 (12)] TJ ET "
    content += "BT /F1 10 Tf 1 0 0 1 300 100 Tm (Si) Tj (ze) Tj ET"
    assert [text[0] for text in texts(one_page(content))] == ["Size 12", "Size"]


def test_texts_far_apart_on_a_line_are_several():
    content = f"{LINE} BT /F1 10 Tf 100 100 Td (12) Tj 60 0 Td (14) Tj 0 30 Td (16) Tj ET"
    assert [text[0] for text in texts(one_page(content))] == ["12", "14", "16"]


def test_codes_by_tounicode_and_by_differences():
    document = Document()
    wide = Dictionary(
        Type=Name.Font, Subtype=Name.Type0, Encoding=Name("/Identity-H"),
        DescendantFonts=Array([Dictionary(W=Array([3, Array([600, 250])]), DW=500)]),
        ToUnicode=to_unicode(document.pdf, [(3, "袖"), (4, "ﬁ"), (5, "12")]),
    )  # fmt: skip
    named = Dictionary(
        Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.X,
        Encoding=Dictionary(Differences=Array([65, Name.adieresis, Name.seven, Name("/uni00DF")])),
    )  # fmt: skip
    own = Dictionary(
        Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.X, ToUnicode=to_unicode(document.pdf, [(1, "Ä")], 1)
    )
    content = f"{LINE} BT /W 9 Tf 50 500 Td <00030004000500410043> Tj /N 9 Tf 0 -50 Td (ABC) Tj "
    content += "/O 9 Tf 0 -50 Td (\\001B) Tj ET"
    document.page(content, fonts={"/W": wide, "/N": named, "/O": own})
    assert [text[0] for text in texts(document.bytes())] == ["袖ﬁ12ac", "ä7ß", "Äb"]


@pytest.mark.parametrize(("turn", "way"), [("0 1 -1 0", -1j), ("1 0 0 1", 1), ("-1 0 0 -1", -1), ("0 -1 1 0", 1j)])
def test_turned_texts_read_along_their_direction(turn, way):
    content = f"{LINE} BT /F1 10 Tf {turn} 300 300 Tm (Si) Tj (ze) Tj ( 12) Tj ET"
    (text,) = [each.text for layer in drawing(one_page(content)).layers for each in layer.texts]
    assert text.content == "Size 12"
    assert abs(text.direction - way) < 1e-6


def test_text_that_is_not_seen_is_left_out():
    assert texts(one_page(f"{LINE} BT 3 Tr /F1 10 Tf 50 50 Td (from a scan) Tj ET")) == []


# -- what can't be read ----------------------------------------------------------------------------------------------


def picture(document):
    made = Stream(document.pdf, bytes(12))
    made.Type, made.Subtype, made.Width, made.Height = Name.XObject, Name.Image, 2, 2
    made.ColorSpace, made.BitsPerComponent = Name.DeviceRGB, 8
    return document.pdf.make_indirect(made)


def test_pictures_alone_are_no_pattern():
    document = Document()
    document.page("q 500 0 0 500 0 0 cm /Im Do Q", forms={"/Im": picture(document)})
    with pytest.raises(Refusal, match=r"maker\.pdf: holds only pictures made of pixels, no lines; trace it"):
        convert(document.bytes())
    with pytest.raises(Refusal, match="holds only pictures"):
        convert(one_page("BI /W 1 /H 1 /BPC 8 /CS /G ID x S m l EI"))


def test_a_picture_beside_lines_is_left_out_and_said():
    document = Document()
    document.page(f"q 50 0 0 50 0 0 cm /Im Do Q {LINE}", forms={"/Im": picture(document)})
    assert "pictures made of pixels in it are left out" in convert(document.bytes()).warnings


@pytest.mark.parametrize(("kind", "flags", "told"), [("Ink", 4, True), ("Ink", 2, False), ("Link", 4, False)])
def test_what_a_viewer_put_onto_a_page_is_said_to_be_left_out(kind, flags, told):
    document = Document()
    note = Dictionary(Type=Name.Annot, Subtype=Name(f"/{kind}"), Rect=Array([0, 0, 50, 50]), F=flags)
    document.page(LINE, Annots=Array([document.pdf.make_indirect(note)]))
    assert (
        "notes and drawings that a viewer put onto its pages are left out" in convert(document.bytes()).warnings
    ) == told


def test_a_page_of_text_has_no_lines():
    with pytest.raises(Refusal, match="holds no lines"):
        convert(one_page("BT /F1 10 Tf 50 50 Td (read me) Tj ET"))


def test_a_password_is_asked_for_in_a_line():
    import pikepdf

    document = Document()
    document.page(LINE)
    locked = document.bytes(encryption=pikepdf.Encryption(user="secret", owner="secret"))
    with pytest.raises(Refusal, match="is locked with a password"):
        convert(locked)
    assert points(document.bytes(encryption=pikepdf.Encryption(user="", owner="secret")))


@pytest.mark.parametrize("data", [b"%PDF-1.4", b"%PDF-1.7\n%%EOF\n", one_page(LINE)[:200], b"%PDF-" + bytes(300)])
def test_what_is_no_pdf_inside_is_one_line(data):
    with pytest.raises(Refusal) as caught:
        convert(data)
    assert "\n" not in caught.value.line()


def test_forms_that_draw_themselves_end():
    document = Document()
    form = document.form("/Fm Do 0 0 m 5 5 l S")
    form.Resources = Dictionary(XObject=Dictionary(Fm=form))
    document.page("/Fm Do", forms={"/Fm": form})
    with pytest.raises(Refusal, match="drawn in themselves"):
        convert(document.bytes())


def test_forms_that_multiply_end():
    document = Document()
    form = document.form("0 0 m 5 5 l S")
    for _ in range(12):
        form = document.form("/Fm Do " * 10, resources=Dictionary(XObject=Dictionary(Fm=form)))
    document.page("/Fm Do", forms={"/Fm": form})
    with pytest.raises(Refusal, match="holds lines of more than"):
        convert(document.bytes())


def test_streams_that_unpack_to_far_too_much_end():
    import zlib

    document = Document()
    document.page(LINE)
    packed = Stream(document.pdf, b"")
    packed.write(zlib.compress(b" " * (1 << 26) + b"S" * 2000, 9), filter=Name.FlateDecode)
    document.pdf.pages[0].obj.Contents = packed
    with pytest.raises(Refusal, match="more than 64 MB"):
        convert(document.bytes())


def test_a_damaged_stream_is_refused_and_garbage_is_told():
    import zlib

    document = Document()
    document.page(LINE)
    whole = zlib.compress((LINE + "\n").encode() * 500)
    packed = Stream(document.pdf, b"")
    packed.write(whole[: len(whole) // 2], filter=Name.FlateDecode)
    document.pdf.pages[0].obj.Contents = packed
    with pytest.raises(Refusal, match="is damaged"):
        convert(document.bytes())
    assert "1 places" not in " ".join(convert(one_page(LINE)).warnings)
    assert "could not be understood" in convert(one_page(LINE + " 5 5 zz")).warnings[0]


@pytest.mark.parametrize(("side", "told"), [(50, False), (45, True), (60, True)])
def test_a_test_square_on_any_layer_is_held_against_the_page(side, told, tmp_path, capsys):
    """The page's own size stands, and what the square says is told, in one unit and by the file's name."""
    from svgfit.cli import main

    square = f"{20 * MM} {200 * MM} {side * MM} {side * MM} re S"
    content = f"100 100 m 300 500 l 400 120 l s {square} BT /F1 10 Tf {25 * MM} {205 * MM} Td (Test square 50 mm) Tj ET"
    path = tmp_path / "maker.pdf"
    path.write_bytes(one_page(content))
    assert main(["convert", str(path), "-o", str(tmp_path / "maker.svg"), "--unit", "mm"]) == 0
    said = capsys.readouterr().err
    assert ("by the PDF's unit (1/72 in) the square marked" in said) == told
    assert (f"is {side}.0 mm wide, not 50.0 mm" in said) == told
