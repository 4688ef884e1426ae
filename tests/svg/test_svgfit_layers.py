"""What counts as an edit of a layer of ours, and what an editor's opening and saving may do to it."""

import shutil
import subprocess

import pytest

from svgfit.svg import splice, stamp

NS = "http://www.w3.org/2000/svg"
INK = "http://www.inkscape.org/namespaces/inkscape"
PLAIN = f"""<g xmlns="{NS}" xmlns:inkscape="{INK}" id="svgfit-adjusted" inkscape:groupmode="layer"
 inkscape:label="adjusted" data-svgfit-layer="adjusted" transform="matrix(1.5 0 0 1.5 0 0.25)"
><path data-svgfit-piece="Sleeve" data-svgfit-line="stitch" style="fill:none;stroke:#0072b2;stroke-width:0.6"
 d="M 30.123456,40.5 C 31,42.000001 50.5 60 70,80 L 10 20 Z"/><g stroke="#000"
><rect x="1" y="2.50" width="30" height="10" fill="#fff"/><polyline points="1,2 3,4 5,6.5"/></g
><text x="30" y="40.5" style="font-size:5px;text-anchor:middle">cap height <tspan font-weight="bold">1 1/8 in</tspan>
 &#x2014; caf\u00e9</text></g>"""


@pytest.fixture
def is_edited(read):
    """is_edited(changed): whether the layer, changed after it was stamped and put in a drawing, counts as edited."""

    def run(change):
        stamped = stamp(PLAIN)
        changed = change(stamped)
        assert changed != stamped
        (own,) = read(f'<svg xmlns="{NS}" width="9mm" height="9mm">{changed}</svg>').svgfit_layers
        return own.edited

    return run


def swap(old, new):
    def run(text):
        assert old in text
        return text.replace(old, new)

    return run


@pytest.mark.parametrize(
    "change",
    [
        swap("30.123456,40.5 C 31", "30.123456 40.50C31.000"),
        swap(" L 10 20 Z", "L1e1,20z"),
        swap(
            "M 30.123456,40.5 C 31,42.000001 50.5 60 70,80",
            "m30.123456 40.5c.876544 1.500001 20.376544 19.5 39.876544 39.5",
        ),
        swap('y="2.50"', 'y="2.5"'),
        swap('stroke="#000"', 'stroke="#000000"'),
        swap('stroke="#000"', 'style="stroke:#000000;-inkscape-stroke:none"'),
        swap("fill:none;stroke:#0072b2", "stroke:#0072B2; fill: none"),
        swap("><rect", ">\n   <rect\n"),
        swap("<polyline", '<polyline id="polyline9" class="k" inkscape:connector-curvature="0"'),
        swap('points="1,2 3,4 5,6.5"', "points='1.0 2 3 4.00,5 6.5 '"),
        swap("matrix(1.5 0 0 1.5 0 0.25)", "translate(0 .25) scale(1.5)"),
        swap('inkscape:groupmode="layer"', 'inkscape:groupmode="layer" style="display:none"'),
        swap('\n inkscape:label="adjusted"', ""),
        swap("</g\n><text", "<!-- a remark --></g\n><text"),
        swap("cap height <tspan", "cap  height\n<tspan"),
        swap("<text", '<inkscape:grid/><text xml:space="preserve"'),
        swap('id="svgfit-adjusted"', 'id="g77" data-svgfit-root="empty"'),
    ],
)
def test_what_an_editor_may_do(is_edited, change):
    assert not is_edited(change)


@pytest.mark.parametrize(
    "change",
    [
        swap("70,80", "70,80.001"),
        swap(" L 10 20 Z", " L 10 20"),
        swap("matrix(1.5 0 0 1.5 0 0.25)", "matrix(1.5 0 0 1.5 0 0.35)"),
        swap("1 1/8 in", "1 1/4 in"),
        swap("<tspan font", "<!-- --> <tspan y='3' font"),
        swap("#0072b2", "#0072b3"),
        swap("stroke-width:0.6", "stroke-width:0.6;display:none"),
        swap('label="adjusted"', 'label="my own"'),
        swap('data-svgfit-piece="Sleeve"', 'data-svgfit-piece="Front"'),
        swap("><rect", "><path d='M0 0h1'/><rect"),
        swap('<polyline points="1,2 3,4 5,6.5"/>', ""),
        swap('data-svgfit-digest="v1-', 'data-svgfit-digest="v1-0'),
        lambda text: text.replace(" data-svgfit-digest", " digest"),
    ],
)
def test_what_is_an_edit(is_edited, change):
    assert is_edited(change)


def test_order_is_content():
    one = f'<g xmlns="{NS}" data-svgfit-layer="adjusted"><path d="M0 0h1"/><path d="M0 0h2"/></g>'
    other = f'<g xmlns="{NS}" data-svgfit-layer="adjusted"><path d="M0 0h2"/><path d="M0 0h1"/></g>'
    assert stamp(one).split('"')[1] != stamp(other).split('"')[1]


@pytest.mark.skipif(shutil.which("inkscape") is None, reason="needs Inkscape")
@pytest.mark.parametrize("how", ["--export-type=svg", "--export-plain-svg"])
def test_inkscape_opens_and_saves(read, tmp_path, how):
    head = f'<svg xmlns="{NS}" xmlns:inkscape="{INK}" width="90mm" height="90mm" viewBox="0 0 90 90">'
    drawing = read(f'{head}<g inkscape:groupmode="layer" inkscape:label="a" id="a"><path d="M0 0h9"/></g></svg>')
    (tmp_path / "in.svg").write_bytes(splice(drawing, (PLAIN,)))
    saved = tmp_path / "saved.svg"
    subprocess.run(
        ["inkscape", str(tmp_path / "in.svg"), f"--export-filename={saved}", how],
        check=True,
        capture_output=True,
        timeout=120,
    )
    assert saved.read_bytes() != (tmp_path / "in.svg").read_bytes()
    again = read(saved.read_bytes(), name="again.svg")
    assert [own.edited for own in again.svgfit_layers] == [False]
    moved = saved.read_bytes().replace(b"42.000001", b"42.5")
    assert [own.edited for own in read(moved, name="moved.svg").svgfit_layers] == [True]


def test_a_file_is_as_written_until_another_program_saves_it(tmp_path) -> None:
    """However it was saved: respelled without a change, edited in a layer of ours, or edited behind them."""
    from svgfit.svg import as_written
    from svgfit.svg.source import source_of

    layer = '<g xmlns="http://www.w3.org/2000/svg" data-svgfit-layer="adjusted"><path d="M0 0 5 5"/></g>'
    head = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H9"/>'
    ours = f"{head}{stamp(layer)}\n</svg>"

    def told(text: str, encoding: str = "utf-8") -> bool:
        return as_written(source_of("a.svg", text.encode(encoding)))

    assert told(ours)
    assert told(ours, "utf-16")
    assert told(f"{head}{stamp(layer)}\n{stamp(layer)}\n</svg>")
    assert not told(f"{head}</svg>")
    assert not told(
        ours.replace(' xmlns="http://www.w3.org/2000/svg" data-svgfit-layer', " data-svgfit-layer").replace(
            "<g ", "<g  "
        )
    )
    assert not told(ours.replace("5 5", "5 6"))
    assert not told(ours.replace("\n</svg>", "<path d='M0 0H9'/></svg>"))
