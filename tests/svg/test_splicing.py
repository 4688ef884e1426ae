"""Encodings, and the promise of the bytes: O[:i] + O[j:] == I, and O[i:j] is exactly our layers."""

import gzip
import re

import pytest
from lxml import etree

from svgfit.model.refusal import Refusal
from svgfit.svg import free_id, free_name, splice

NS = "http://www.w3.org/2000/svg"
HEAD = f'<svg xmlns="{NS}" width="9mm" height="9mm" viewBox="0 0 9 9">'
BODY = '<g id="袖 é"><!-- </svg> --><path d="M0 0h5" id=\'x\'/><style><![CDATA[ </svg> ]]></style></g>'


def layer(kind, inner='<path d="M0 0h1"/>', name=None):
    return (
        f'<g xmlns="{NS}" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" id="svgfit-{kind}"'
        f' inkscape:groupmode="layer" inkscape:label="{name or kind}" data-svgfit-layer="{kind}">{inner}</g>'
    )


LAYERS = (layer("adjusted", "<text>袖 ½ – “a” ¥ \\ ~ 😀</text>"), layer("measurements"))

CASES = {
    "utf-8": (f'<?xml version="1.0" encoding="UTF-8"?>\n{HEAD}{BODY}</svg>\n<!-- end </svg> -->\n', "utf-8", b""),
    "utf-8, no declaration": (f"{HEAD}{BODY}</svg>", "utf-8", b""),
    "utf-8 with mark": (f"{HEAD}{BODY}</svg>", "utf-8", b"\xef\xbb\xbf"),
    "utf-16 little": (f'<?xml version="1.0" encoding="UTF-16"?>{HEAD}{BODY}</svg>', "utf-16-le", b"\xff\xfe"),
    "utf-16 big": (f"{HEAD}{BODY}</svg >\n", "utf-16-be", b"\xfe\xff"),
    "utf-16 little without mark": (f'<?xml version="1.0" encoding="utf-16"?>{HEAD}{BODY}</svg>', "utf-16-le", b""),
    "utf-16 big without mark": (f"{HEAD}{BODY}</svg>", "utf-16-be", b""),
    "utf-32": (f"{HEAD}{BODY}</svg>", "utf-32-le", b"\xff\xfe\x00\x00"),
    "shift_jis": (
        f'<?xml version="1.0" encoding="Shift_JIS"?>{HEAD}{BODY.replace("é", "ソ表")}</svg>\n',
        "shift_jis",
        b"",
    ),
    "iso-2022-jp": (
        f'<?xml version="1.0" encoding="ISO-2022-JP"?>{HEAD}{BODY.replace("é", "ソ表")}</svg>',
        "iso-2022-jp",
        b"",
    ),
    "gb18030": (f"<?xml version='1.0' encoding='GB18030'?>{HEAD}{BODY}</svg>", "gb18030", b""),
    "latin-1": (
        f'<?xml version="1.0" encoding="iso-8859-1"?>\r\n{HEAD}{BODY.replace("袖", "ü")}\r\n</svg>\r\n',
        "latin-1",
        b"",
    ),
    "cp1252": (f'<?xml version="1.0" encoding="windows-1252"?>{HEAD}{BODY.replace("袖", "€")}</svg>', "cp1252", b""),
    "says utf-16 but is not": (f'<?xml version="1.0" encoding="UTF-16"?>{HEAD}{BODY}</svg>', "utf-8", b""),
    "prefixed root": (
        f'<s:svg xmlns:s="{NS}" width="9mm" height="9mm"><s:g id="袖é"/></s:svg><?after all?>',
        "utf-8",
        b"",
    ),
    "entities": (
        f'<!DOCTYPE svg [<!ENTITY ns "{NS}"><!ENTITY p "<path d=\'M0 0h1\'/>">]>'
        '<svg xmlns="&ns;" width="9mm" height="9mm"><g id="袖é">&p;</g></svg>',
        "utf-8",
        b"",
    ),
}
CASE = pytest.mark.parametrize(("text", "codec", "bom"), CASES.values(), ids=CASES.keys())


def elements(data):
    root = etree.fromstring(data)
    return [each.get("data-svgfit-layer") for each in root if isinstance(each.tag, str)], root


@CASE
def test_the_promise_of_the_bytes(read, text, codec, bom):
    original = bom + text.encode(codec)
    drawing = read(original)
    assert "袖" not in text or any("袖" in layer.name for layer in drawing.layers)
    assert splice(drawing, ()) == original
    out = splice(drawing, LAYERS)
    i = drawing.source.insert_at
    j = i + len(out) - len(original)
    assert out[:i] + out[j:] == original
    between = etree.fromstring(f"<r>{out[i:j].decode(codec)}</r>")
    assert [each.get("data-svgfit-layer") for each in between] == ["adjusted", "measurements"]
    assert between[0][0].text == "袖 ½ – “a” ¥ \\ ~ 😀"
    # The root's own child, in SVG's namespace, behind everything else.
    whole = etree.fromstring(re.sub(r"^\s*<\?xml.*?\?>", "", out[len(bom) :].decode(codec)))
    assert [each.tag for each in whole][-2:] == [f"{{{NS}}}g"] * 2


@CASE
def test_a_second_run_gives_the_same_bytes_and_can_be_undone(read, text, codec, bom):
    original = bom + text.encode(codec)
    out = splice(read(original), LAYERS)
    again = read(out)
    assert [(own.kind, own.edited) for own in again.svgfit_layers] == [("adjusted", False), ("measurements", False)]
    assert splice(again, LAYERS) == out
    assert splice(again, ()) == original
    fewer = splice(again, LAYERS[:1])
    assert splice(read(fewer), LAYERS) == out


@pytest.mark.parametrize(
    "text",
    [
        '<svg xmlns="{}" width="9mm" height="9mm"/>',
        '<svg xmlns="{}" width="9mm" height="9mm" />\n<!-- </svg> -->',
        '<?xml version="1.0"?>\n<s:svg xmlns:s="{}" width="9mm" height="9mm"\n/>\n',
    ],
)
@pytest.mark.parametrize("codec", ["utf-8", "utf-16-le"])
def test_an_empty_root_is_opened_and_closed_again(read, text, codec):
    original = text.format(NS).encode(codec)
    out = splice(read(original), LAYERS)
    kinds, root = elements(out.decode(codec).encode())
    assert kinds == ["adjusted", "measurements"]
    assert [each.get("data-svgfit-root") for each in root] == ["empty", None]
    again = read(out)
    assert splice(again, LAYERS) == out
    assert splice(again, ()) == original


def test_an_empty_root_that_a_person_filled_stays_open(read):
    out = splice(read(f'<svg xmlns="{NS}" width="9mm" height="9mm"/>'), LAYERS)
    filled = out.replace(b"</svg>", b'<g id="mine"/></svg>')
    assert splice(read(filled), ()) == f'<svg xmlns="{NS}" width="9mm" height="9mm"><g id="mine"/></svg>'.encode()


def test_an_open_root_with_nothing_in_it(read):
    original = f"{HEAD}</svg>".encode()
    out = splice(read(original), LAYERS)
    assert b"data-svgfit-root" not in out
    assert splice(read(out), ()) == original


def test_gzip_in_gzip_out_without_a_time(read):
    original = f"{HEAD}{BODY}</svg>".encode()
    out = splice(read(gzip.compress(original, mtime=0), name="d.svgz"), LAYERS)
    assert out[:2] == b"\x1f\x8b"
    assert out[4:8] == bytes(4)  # MTIME, RFC 1952 section 2.3
    again = read(out, name="d.svgz")
    assert splice(again, LAYERS) == out
    assert gzip.decompress(splice(again, ())) == original


def test_gzip_of_several_members(read):
    original = f"{HEAD}{BODY}</svg>".encode()
    packed = gzip.compress(original[:50], mtime=0) + gzip.compress(original[50:])
    assert read(packed).source.data == original


def test_layers_of_ours_in_the_middle_are_taken_out(read):
    out = splice(read(f"{HEAD}{BODY}\n</svg>"), LAYERS)
    moved = out.removesuffix(b"</svg>") + b'<g id="mine"/>\n</svg>'
    text = splice(read(moved), LAYERS).decode()
    assert text.index('id="mine"') < text.index('data-svgfit-layer="adjusted"')
    assert re.findall('data-svgfit-layer="(.*?)"', text) == ["adjusted", "measurements"]
    assert splice(read(moved), ()) == f'{HEAD}{BODY}\n<g id="mine"/>\n</svg>'.encode()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "plain",
        "<g data-svgfit-layer='adjusted'>",
        "<g/>",
        "<g data-svgfit-layer='adjusted'/><g data-svgfit-layer='measurements'/>",
        "<g data-svgfit-layer='adjusted' data-svgfit-digest='v1-0'/>",
    ],
)
def test_what_is_no_layer_of_ours(read, text):
    with pytest.raises(ValueError, match="a layer of ours"):
        splice(read(f"{HEAD}</svg>"), (text,))


# -- edited layers --------------------------------------------------------------------------------------------------


def edited(out):
    return out.replace(b'd="M0 0h1"', b'd="M0 0h2"')


def test_an_edited_layer_stays_and_the_new_one_comes_behind_under_another_name(read):
    out = edited(splice(read(f"{HEAD}{BODY}</svg>"), (layer("adjusted"), layer("measurements", "<g/>"))))
    drawing = read(out)
    assert [(own.name, own.edited) for own in drawing.svgfit_layers] == [("adjusted", True), ("measurements", False)]
    assert free_name(drawing, "adjusted", discard_edits=False) == "adjusted (2)"
    assert free_name(drawing, "measurements", discard_edits=False) == "measurements"
    assert free_id(drawing, "svgfit-adjusted", discard_edits=False) == "svgfit-adjusted-2"
    again = splice(drawing, (layer("adjusted", name="adjusted (2)"), layer("measurements", "<g/>")))
    third = read(again)
    assert [(own.name, own.edited) for own in third.svgfit_layers] == [
        ("adjusted", True),
        ("adjusted (2)", False),
        ("measurements", False),
    ]
    assert free_name(third, "adjusted", discard_edits=False) == "adjusted (2)"
    assert splice(third, (layer("adjusted", name="adjusted (2)"), layer("measurements", "<g/>"))) == again
    assert splice(third, (), discard_edits=True) == f"{HEAD}{BODY}</svg>".encode()


def test_names_and_ids_that_the_person_uses(read):
    drawing = read(f'{HEAD}<g id="adjusted"/><g id="adjusted-2"/><g id="adjusted (2)"/></svg>')
    assert free_name(drawing, "adjusted", discard_edits=False) == "adjusted (3)"
    assert free_name(drawing, "new", discard_edits=False, also_taken={"new", "new (2)"}) == "new (3)"
    assert free_id(drawing, "adjusted", discard_edits=False) == "adjusted-3"


def test_with_discard_edits_the_old_name_is_free(read):
    drawing = read(edited(splice(read(f"{HEAD}{BODY}</svg>"), (layer("adjusted"),))))
    assert free_name(drawing, "adjusted", discard_edits=True) == "adjusted"
    assert free_id(drawing, "svgfit-adjusted", discard_edits=True) == "svgfit-adjusted"
    assert splice(drawing, (), discard_edits=True) == f"{HEAD}{BODY}</svg>".encode()
    assert splice(drawing, ()) == drawing.source.data


# -- refusals -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "is empty"),
        (b" \n\t ", "is empty"),
        (b"\xef\xbb\xbf", "is not an SVG drawing"),
        (b"%PDF-1.7 ...", "is not an SVG drawing"),
        (b"\x89PNG\r\n\x1a\n\0\0", "is not an SVG drawing"),
        (b"<html><body/></html>", "begins with <html>"),
        (b"<!DOCTYPE html><html><p>a<br></html>", "is not an SVG drawing"),
        (b'<x xmlns="urn:x"><svg/></x>', "begins with <x>"),
        (b'<svg xmlns="urn:x"/>', "its <svg> is of another kind"),
        (f"{HEAD}{BODY}".encode(), "cut off"),
        (f"{HEAD}{BODY}</svg".encode(), "cut off"),
        (f"{HEAD}{BODY}"[:40].encode(), "cut off"),
        (f"{HEAD}<g></svg>".encode(), "line 1: the SVG is broken"),
        (f"{HEAD}\n<x:g/></svg>".encode(), "line 2: the SVG is broken"),
        (f"{HEAD}</svg><svg/>".encode(), "broken"),
        (f"{HEAD}&nothing;</svg>".encode(), "broken"),
        (f"{HEAD}<g id='é'/></svg>".encode("latin-1"), "is not written in the encoding it says"),
        (f'<?xml version="1.0" encoding="klingon"?>{HEAD}</svg>'.encode(), "klingon"),
        (f'<?xml version="1.0" encoding="unicode_escape"?>{HEAD}</svg>'.encode(), "not known"),
        (f'<?xml version="1.0" encoding="ascii"?>{HEAD}<g id="é"/></svg>'.encode(), "encoding it says"),
        (f'<?xml version="1.0" encoding="shift_jis"?>{HEAD}<g id="'.encode() + b'\x81"/></svg>', "encoding it says"),
        (f"{HEAD}</svg>".encode("utf-16")[:-1], "encoding it says"),
        (gzip.compress(b"", mtime=0)[:-3], "cut off"),
        (gzip.compress(f"{HEAD}</svg>".encode(), mtime=0)[:30], "cut off"),
        (b"\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\x03" + b"\xff" * 40, "damaged"),
    ],
)
def test_what_cannot_be_read(read, content, told):
    with pytest.raises(Refusal) as caught:
        read(content)
    line = caught.value.line()
    assert told in line
    assert "d.svg: " in line
    assert "\n" not in line
    assert caught.value.todo


@pytest.mark.parametrize("name", ["gone.svg", ".", "a\0b"])
def test_no_such_file(read, tmp_path, dialects, name):
    from svgfit.svg import read_drawing

    with pytest.raises(Refusal):
        read_drawing(tmp_path / name, dialects=dialects)


def test_every_cut_is_a_refusal(read):
    whole = f'<?xml version="1.0" encoding="UTF-8"?>\n{HEAD}{BODY}</svg>'.encode()
    for k in range(len(whole)):
        with pytest.raises(Refusal):
            read(whole[:k])


def test_nothing_is_fetched_and_nothing_multiplied(read, tmp_path):
    (tmp_path / "secret.txt").write_text("M0 0h1")
    outside = f'<!DOCTYPE svg [<!ENTITY s SYSTEM "{(tmp_path / "secret.txt").as_uri()}">]>{HEAD}<text>&s;</text></svg>'
    try:
        drawing = read(outside)
    except Refusal:
        pass
    else:
        assert [each.texts for each in drawing.layers] in ([], [()])
    entities = "".join(f'<!ENTITY e{k} "{f"&e{k - 1};" * 20}">' for k in range(1, 12))
    bomb = f'<!DOCTYPE svg [<!ENTITY e0 "lol">{entities}]>{HEAD}<text>&e11;</text></svg>'
    with pytest.raises(Refusal):
        read(bomb)
