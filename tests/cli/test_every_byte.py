"""``svgfit adjust`` leaves every byte that came: O[:i] + O[j:] == I with O[i:j] our three layers, in any kind of file.

i and j are found here by comparing the two files, not asked of the program. Which encodings and where the root ends:
https://www.w3.org/TR/xml/ (2.8 for what may stand behind the root, 4.3.3 for encodings, byte order mark, declaration).
"""

import codecs
import gzip

import pytest
from lxml import etree

NS = "http://www.w3.org/2000/svg"
SIZE = 'width="420mm" height="300mm" viewBox="0 0 420 300"'
D = "M30 150C90 150 120 40 190 40C260 40 290 150 350 150L310 240 70 240Z"
SLEEVE = f'<g id="Sleeve stitch line"><path d="{D}"/></g>'
ROOT = f'<svg xmlns="{NS}" {SIZE}>'
PLAIN = f"{ROOT}{SLEEVE}</svg>"
KINDS = ["working-lines", "adjusted", "measurements"]


def said(encoding, text=PLAIN):
    return f'<?xml version="1.0" encoding="{encoding}"?>\n{text}'


def named(name):
    return PLAIN.replace("<g", f"<!-- {name} </svg> --><g id='{name}'><desc>{name}</desc></g><g")


WESTERN, WIDE = named("Ärmel «1½»"), named("袖 Ärmel 😀 \u2028")
TEXTS = {
    "UTF-8": (WIDE, "utf-8"),
    "UTF-8, declared": (said("UTF-8", WIDE), "utf-8"),
    "UTF-8 with a mark": (WIDE, "utf-8-sig"),
    "UTF-8 with a mark, declared": (said("utf-8", WIDE), "utf-8-sig"),
    "US-ASCII": (said("us-ascii"), "ascii"),
    "Shift_JIS": (said("Shift_JIS", named("袖ソ表〜\u3000ｱ")), "shift_jis"),
    "EUC-JP": (said("EUC-JP", named("袖ソ表")), "euc_jp"),
    "GB18030": (said("GB18030", WIDE), "gb18030"),
    "ISO-8859-1": (said("ISO-8859-1", WESTERN), "latin-1"),
    "ISO-8859-15": (said("ISO-8859-15", named("Ärmel €")), "iso8859-15"),
    "windows-1252": (said("windows-1252", named("Ärmel € – “a”")), "cp1252"),
    "KOI8-R": (said("KOI8-R", named("рукав")), "koi8-r"),
    "CDATA that holds an end tag": (PLAIN.replace("<path", "<style><![CDATA[ </svg> ]]></style><path"), "utf-8"),
    "CDATA just before the end": (PLAIN.replace("</svg>", "<![CDATA[</svg>]]></svg>"), "utf-8"),
    "comments and instructions behind the root": (f"{PLAIN}<!-- </svg> --><?after </svg>?>\n<!---->\n", "utf-8"),
    "comments and instructions all round": (f"<!-- <svg> --><?before <svg/>?>{PLAIN}<!--x-->", "utf-8"),
    "an instruction just before the end": (PLAIN.replace("</svg>", "<?a </svg>?></svg>"), "utf-8"),
    "an end tag with white space": (PLAIN.replace("</svg>", "</svg \r\n\t >"), "utf-8"),
    "a prefixed root": (
        f'<svg:svg xmlns:svg="{NS}" {SIZE}><svg:g id="Sleeve stitch line"><svg:path d="{D}"/></svg:g></svg:svg>',
        "utf-8",
    ),
    "a nested drawing before the end": (PLAIN.replace("</svg>", f"<svg><g/></svg><svg/>{' ' * 5}</svg>"), "utf-8"),
    "a DOCTYPE": (
        f'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">{PLAIN}',
        "utf-8",
    ),
    "entities in names and values": (
        f'<!DOCTYPE svg [<!ENTITY ns "{NS}"><!ENTITY d "{D}"><!ENTITY e "</svg>" ><!-- ]> -->]>'
        f'<svg xmlns="&ns;" {SIZE}><g id="Sleeve stitch line"><path d="&d;"/></g></svg>',
        "utf-8",
    ),
    "entities that are elements": (
        f"<!DOCTYPE svg [<!ENTITY all '{SLEEVE.replace('<g ', f'<g xmlns=&#34;{NS}&#34; ')}'>]>{ROOT}&all;</svg>",
        "utf-8",
    ),
    "line ends of two characters": (said("UTF-8", PLAIN.replace("><", ">\r\n<")) + "\r\n", "utf-8"),
    "line ends of old Macs": (PLAIN.replace("><", ">\r<"), "utf-8"),
    "a line end behind it": (PLAIN + "\n", "utf-8"),
    "many line ends behind it": (PLAIN + "\n \n\t\n", "utf-8"),
    "quotes, references and spaces of its own": (
        PLAIN.replace('id="Sleeve stitch line"', "id = 'Sleeve stitch line' data-x='\"&#34;&quot;&#x9;&amp;gt;'"),
        "utf-8",
    ),
    "a > in the root's start tag": (PLAIN.replace("<svg ", "<svg data-x='/>' data-y=\">&lt;/svg>\" "), "utf-8"),
}
FILES = {name: text.encode(codec) for name, (text, codec) in TEXTS.items()}
for _name, _mark in (("UTF-16LE", codecs.BOM_UTF16_LE), ("UTF-16BE", codecs.BOM_UTF16_BE)):
    FILES |= {
        f"{_name} with a mark": _mark + WIDE.encode(_name),
        f"{_name} with a mark, declared": _mark + said("UTF-16", WIDE).encode(_name),
        f"{_name} without a mark, declared": said(_name, WIDE).encode(_name),
        f"{_name} without a mark, declared as UTF-16": said("UTF-16", WIDE).encode(_name),
        f"{_name} without anything": WIDE.encode(_name),
        f"{_name} with line ends of two characters": _mark + (WIDE.replace("><", ">\r\n<") + "\r\n").encode(_name),
    }


def put_in(before, after):
    """i and j with after[:i] + after[j:] == before; every such pair, for what is put in may begin as what follows."""
    added = len(after) - len(before)
    assert added > 0
    same = 0
    while same < len(before) and before[same] == after[same]:
        same += 1
    found = [(i, i + added) for i in range(same, max(same - 40, -1), -1) if after[i + added :] == before[i:]]
    assert found, f"other bytes differ from {same} on: {before[same : same + 40]!r}, {after[same : same + 40]!r}"
    return found


def layers_in(after, i, j, codec):
    """The kinds of the layers that after[i:j] is, if it is nothing else; [] otherwise."""
    try:
        root = etree.fromstring(f"<r>{after[i:j].decode(codec)}</r>".encode())
    except (UnicodeError, etree.XMLSyntaxError):
        return []
    if root.text or any((layer.tail or "").strip() for layer in root):
        return []
    return [layer.get("data-svgfit-layer") for layer in root]


def codec_of(data):
    """What the spliced text is written in, as Python names it."""
    if b"\0" in data[:8]:
        return "utf-16-le" if data[:4].replace(codecs.BOM_UTF16_LE, b"")[1] == 0 else "utf-16-be"
    return etree.fromstring(data).getroottree().docinfo.encoding or "utf-8"


def adjust(svgfit, path, out):
    path.with_name("svgfit.toml").write_text('[pieces.Sleeve]\nfront = "left"\n', encoding="utf-8")
    done = svgfit("adjust", path, "--do", "cap-raise amount='1/2 in'", "-o", out)
    assert done.status == 0, done
    return out.read_bytes()


@pytest.mark.slow_after(6)
@pytest.mark.parametrize("kind", FILES)
def test_adjust_leaves_every_byte(svgfit, tmp_path, kind):
    before = FILES[kind]
    path, out = tmp_path / "d.svg", tmp_path / "o.svg"
    path.write_bytes(before)
    after = adjust(svgfit, path, out)
    assert KINDS in [layers_in(after, i, j, codec_of(before)) for i, j in put_in(before, after)]
    assert adjust(svgfit, out, tmp_path / "again.svg") == after


@pytest.mark.slow_after(4)
@pytest.mark.parametrize("kind", ["UTF-8", "UTF-16LE with a mark", "Shift_JIS", "a prefixed root"])
@pytest.mark.parametrize("suffix", ["svgz", "svg"])
def test_gzip_in_gzip_out_and_every_byte_inside_left(svgfit, tmp_path, kind, suffix):
    before = FILES[kind]
    path, out = tmp_path / f"d.{suffix}", tmp_path / f"o.{suffix}"
    path.write_bytes(gzip.compress(before, mtime=1_700_000_000))
    packed = adjust(svgfit, path, out)
    assert packed[:2] == b"\x1f\x8b"
    assert packed[4:8] == bytes(4)  # MTIME (RFC 1952, section 2.3.1): none, so that a run says the same tomorrow
    after = gzip.decompress(packed)
    assert KINDS in [layers_in(after, i, j, codec_of(before)) for i, j in put_in(before, after)]
    assert adjust(svgfit, out, tmp_path / f"again.{suffix}") == packed


EMPTY = {
    "UTF-8": (f'<svg xmlns="{NS}" {SIZE}/>', "utf-8"),
    "comments behind it": (f'<svg xmlns="{NS}" {SIZE} />\n<!-- <svg/> -->\n', "utf-8"),
    "a prefixed one": (f"<s:svg xmlns:s='{NS}' {SIZE}\r\n/>\r\n", "utf-8"),
    "UTF-16": (said("UTF-16", f'<svg xmlns="{NS}" {SIZE}/>\n'), "utf-16"),
    "Shift_JIS": (said("Shift_JIS", f'<svg xmlns="{NS}" {SIZE} data-x="袖ソ"/>'), "shift_jis"),
}


@pytest.mark.parametrize("kind", EMPTY)
def test_a_root_that_closes_itself_is_only_opened(svgfit, tmp_path, kind):
    text, codec = EMPTY[kind]
    piece, path, out = tmp_path / "sleeve.svg", tmp_path / "d.svg", tmp_path / "out"
    piece.write_text(PLAIN, encoding="utf-8")
    path.write_bytes(text.encode(codec))
    (tmp_path / "svgfit.toml").write_text('[pieces.Sleeve]\nfront = "left"\n', encoding="utf-8")
    done = svgfit("adjust", piece, path, "--do", "cap-raise amount='1/2 in'", "-o", out)
    assert done.status == 0, done
    after = (out / "d.svg").read_bytes().decode(codec)
    assert (out / "d.svg").read_bytes() == after.encode(codec)
    at = text.index("/>", text.index("svg "))
    end = f"</{'s:' if 's:svg' in text else ''}svg>"
    assert after.startswith(text[:at] + "><g ")
    assert after.endswith(f"</g>\n{end}{text[at + 2 :]}")
    block = after[at + 1 : len(after) - len(end + text[at + 2 :])].encode()
    assert layers_in(block, 0, len(block), "utf-8") == KINDS
