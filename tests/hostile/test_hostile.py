# ruff: noqa: E501  one line a file reads best
"""Files made to harm: each is read right or refused in one line, within 10 s of processor time and 1 GB."""

import gzip
import http.server
import math
import threading
from pathlib import Path

import pytest

from tests.hostile.promises import hold, stock_dialects
from tests.hostile.running import held, run

SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
ROOT = f'<svg {SPACES} width="420mm" height="300mm" viewBox="0 0 420 300">'
RECT = '<rect width="5" height="5"/>'
INPUT = pytest.mark.parametrize(
    "path", sorted((Path(__file__).parent / "inputs").glob("*")), ids=lambda path: path.name
)


def layer(inner, name="Sleeve stitch line"):
    return f'{ROOT}<g id="{name}">{inner}</g></svg>'


def entities(values, inner, quote='"'):
    declared = "".join(f"<!ENTITY {name} {quote}{value}{quote}>" for name, value in values)
    return f"<!DOCTYPE svg [{declared}]>{layer(inner)}"


def tenfold(first, depth):
    return [("a0", first), *((f"a{k}", f"&a{k - 1};" * 10) for k in range(1, depth))]


def sleeve(count):
    """A sleeve outline whose cap has ``count`` segments."""
    cap = " ".join(
        f"{30 + 320 * k / count:.5f},{150 - 110 * math.sin(math.pi * k / count):.5f}" for k in range(count + 1)
    )
    return layer(f'<path d="M{cap} 310,240 70,240Z"/>')


REFUSED = {
    "million-segment outline": lambda: sleeve(1_000_000),
    "million lines": lambda: layer(f'<path d="M0 0{"l1 1 -1 -1" * 500_000}"/>'),
    "million arcs": lambda: layer(f'<path d="M0 0{"a5 5 0 0 1 1 1" * 1_000_000}"/>'),
    "million points": lambda: layer(f'<polygon points="{"1,1 2,2 " * 500_000}"/>'),
    "million subpaths": lambda: layer(f'<path d="{"M0 0h1z" * 1_000_000}"/>'),
    "million tiny lines in the test square": lambda: layer(f'<path d="M0 0{"h1v1" * 500_000}z"/>', "test square"),
    "one long path shown often": lambda: layer(
        '<defs><path id="u" d="M0 0' + "l1 1 -1 -1" * 5000 + '"/></defs>' + "<use href='#u'/>" * 40_000
    ),
    "text entities that multiply": lambda: entities(tenfold("ha", 12), "<text>&a11;</text>"),
    "element entities that multiply": lambda: entities(tenfold("<g/>", 12), "&a11;"),
    "one long entity named often": lambda: entities([("a", "x" * 100_000)], f"<text>{'&a;' * 100_000}</text>"),
    "the same below the parser's own limit": lambda: entities([("a", "x" * 9_000)], f"<text>{'&a;' * 30_000}</text>"),
    "the same in an attribute": lambda: entities([("a", "x" * 9_000)], f'<g id="{"&a;" * 30_000}"/>'),
    "entities nested deep": lambda: entities(
        [("a0", "x"), *((f"a{k}", f"&a{k - 1};") for k in range(1, 50_000))], "&a49999;"
    ),
    "entities in a circle": lambda: entities([("a", "&b;"), ("b", "&a;")], "<text>&a;</text>"),
    "uses that multiply": lambda: layer(
        '<defs><rect id="u0" width="5" height="5"/>'
        + "".join(f"<g id='u{k}'>" + f"<use href='#u{k - 1}'/>" * 10 + "</g>" for k in range(1, 12))
        + "</defs><use href='#u11'/>"
    ),
    "uses in a circle": lambda: f"{ROOT}<g id='a'><use href='#b'/></g><g id='b'><use href='#a'/></g></svg>",
    "a use of itself": lambda: layer("<use id='u' href='#u'/>"),
    "a use of what it lies in": lambda: layer("<use href='#Sleeve stitch line'/>"),
    "millions of elements": lambda: f"{ROOT}<metadata>{'<x/>' * 2_000_000}</metadata></svg>",
    "millions of comments": lambda: f"{ROOT}{'<!---->' * 2_000_000}</svg>",
    "coordinates far out": lambda: layer('<path d="M0 0L1e300 1e300Z"/>'),
    "coordinates past the largest number": lambda: layer('<path d="M0 0L1e999 1Z"/>'),
    "a scaling past the largest number": lambda: layer(
        f'<g transform="scale(1e300)"><g transform="scale(1e300)">{RECT}</g></g>'
    ),
    "not a number": lambda: layer('<path d="M0 0L NaN 1Z"/>'),
    "an infinite transform": lambda: layer(f'<g transform="translate(1e999)">{RECT}</g>'),
    "a transform that is no number": lambda: layer(f'<g transform="scale(nan)">{RECT}</g>'),
    "an infinite viewBox": lambda: f'<svg {SPACES} width="1mm" height="1mm" viewBox="0 0 1e999 1">{RECT}</svg>',
    "a viewBox of a million numbers": lambda: f'<svg {SPACES} viewBox="{"1 " * 1_000_000}">{RECT}</svg>',
    "a width of a million digits": lambda: f'<svg {SPACES} width="{"1" * 1_000_000}mm">{RECT}</svg>',
    "a number of ten million digits": lambda: layer(f'<path d="{"1" * 10_000_000}"/>'),
    "a null byte": lambda: layer("\0" + RECT),
    "a null byte as a reference": lambda: layer("&#0;" + RECT),
    "an encoding that is none": lambda: '<?xml version="1.0" encoding="rot13"?>' + layer(RECT),
    "half a letter": lambda: layer(RECT).encode().replace(b"<rect", b"\xc3<rect"),
    "UTF-16 that stops inside a letter": lambda: layer(RECT).encode("utf-16")[:-1],
    "an encoding it is not in": lambda: '<?xml version="1.0" encoding="utf-16"?>' + layer("<rect \xe9"),
}


@pytest.mark.slow_after(6)
@pytest.mark.parametrize("what", [*reversed(REFUSED)])  # the small ones first
def test_is_refused_in_one_line(tmp_path, what):
    made = REFUSED[what]()
    path = tmp_path / "d.svg"
    path.write_bytes(made if isinstance(made, bytes) else made.encode())
    ran = run("inspect", path)
    assert held(ran)
    assert ran.status == 2, what


HELD = {
    "nested groups": lambda: ROOT + "<g>" * 100_000 + RECT + "</g>" * 100_000 + "</svg>",
    "nested named groups": lambda: ROOT + '<g id="a">' * 100_000 + RECT + "</g>" * 100_000 + "</svg>",
    "nested drawings": lambda: ROOT + '<svg id="a">' * 50_000 + RECT + "</svg>" * 50_000 + "</svg>",
    "a chain of uses": lambda: layer(
        "<defs><rect id='u0' width='5' height='5'/>"
        + "".join(f"<use id='u{k}' href='#u{k - 1}'/>" for k in range(1, 20_000))
        + "</defs><use href='#u19999'/>"
    ),
    "uses from deep inside": lambda: ROOT + "<g>" * 5000 + "<rect id='u'/>" + "<use href='#u'/>" * 20_000 + "</g>" * 5000 + "</svg>",
    "thousands of layers": lambda: ROOT + "".join(f'<g id="l{k} stitch line">{RECT}</g>' for k in range(20_000)) + "</svg>",
    "thousands of loose lines": lambda: ROOT + "".join(f'<path id="p{k}" d="M{k} 0v5"/>' for k in range(40_000)) + "</svg>",
    "an attribute of 10 MB": lambda: layer(f'<g data-x="{"x" * 10_000_000}">{RECT}</g>'),
    "an id of 10 MB": lambda: layer(RECT, "x" * 10_000_000),
    "a style of 10 MB": lambda: layer(f'<g style="{"a:b;" * 2_500_000}">{RECT}</g>'),
    "a transform of 10 MB": lambda: layer(f'<g transform="{"scale(1) " * 1_100_000}">{RECT}</g>'),
    "a transform of brackets": lambda: layer(f'<g transform="{"(" * 1_000_000}">{RECT}</g>'),
    "a text of 10 MB": lambda: layer(f"<text>{'x ' * 5_000_000}</text>{RECT}"),
    "a deep text": lambda: layer("<text>" + '<tspan x="1">a' * 20_000 + "</tspan>" * 20_000 + "</text>" + RECT),
    "hundreds of thousands of attributes": lambda: layer("<g " + " ".join(f'a{k}="1"' for k in range(300_000)) + f">{RECT}</g>"),
    "a style sheet of half a million rules": lambda: layer(f"<style>{'.a{fill:red}' * 500_000}</style><g class='a'>{RECT}</g>"),
    "singular transforms": lambda: layer(f'<g transform="scale(0)">{RECT}</g><g transform="matrix(1 1 1 1 0 0)">{RECT}</g>'),
    "all but singular transforms": lambda: layer(f'<g transform="scale(1e-300)">{RECT}</g><g transform="skewX(90)">{RECT}</g>'),
    "an outline of many segments": lambda: sleeve(40_000),
}  # fmt: skip


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("what", HELD)
def test_is_read_or_refused_in_time_and_memory(tmp_path, what):
    path = tmp_path / "d.svg"
    path.write_text(HELD[what]())
    assert held(run("inspect", path))


@pytest.mark.slow
@pytest.mark.parametrize("count", [40_000, 1_000_000])
def test_an_outline_of_absurdly_many_segments_is_measured_or_refused(tmp_path, count):
    path = tmp_path / "d.svg"
    path.write_text(sleeve(count))
    assert held(run("measure", path))


@pytest.mark.slow
@pytest.mark.parametrize(
    "parts",
    [
        [(b"<svg>", 1), (b" " * 1024, 1 << 20)],
        [(ROOT.encode(), 1), (b"<g/>" * 1000, 20_000), (b"</svg>", 1)],
        [(b"\0" * 1024, 1 << 19)],
    ],
)
def test_a_gzip_bomb_is_refused(tmp_path, parts):
    path = tmp_path / "d.svgz"
    with gzip.open(path, "wb", 1) as out:
        for part, times in parts:  # never whole in memory: every process of the tests holds its parameters
            for _ in range(times):
                out.write(part)
    ran = run("inspect", path)
    assert held(ran)
    assert ran.status == 2


class _Listener(http.server.BaseHTTPRequestHandler):
    def do_GET(self):
        self.server.asked.append(self.path)
        self.send_error(404)

    def log_message(self, *_):
        pass


@pytest.fixture
def listener():
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), _Listener)
    server.asked = []
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield server
    server.shutdown()
    server.server_close()


OUTSIDE = {
    "entity": '<!DOCTYPE svg [<!ENTITY e SYSTEM "{at}">]>{root}<g id="x"><text>&e;</text>{rect}</g></svg>',
    "entity in an attribute": '<!DOCTYPE svg [<!ENTITY e SYSTEM "{at}">]>{root}<g id="&e;">{rect}</g></svg>',
    "parameter entity": '<!DOCTYPE svg [<!ENTITY % e SYSTEM "{at}"> %e;]>{root}<g id="x">{rect}</g></svg>',
    "DTD": '<!DOCTYPE svg SYSTEM "{at}">{root}<g id="x">{rect}</g></svg>',
    "public DTD": '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "{at}">{root}<g id="x">{rect}</g></svg>',
    "XInclude": '{root}<g id="x"><i:include xmlns:i="http://www.w3.org/2001/XInclude" href="{at}"/>{rect}</g></svg>',
    "style sheet": '<?xml-stylesheet href="{at}"?>{root}<g id="x">{rect}</g></svg>',
    "import": '{root}<style>@import url("{at}"); @font-face {{src: url({at})}}</style><g id="x">{rect}</g></svg>',
    "use": '{root}<g id="x"><use href="{at}#a"/><use xlink:href="{at}"/>{rect}</g></svg>',
    "picture": '{root}<g id="x"><image xlink:href="{at}" width="9" height="9"/>{rect}</g></svg>',
    "schema": '{root}<g id="x" xmlns:s="http://www.w3.org/2001/XMLSchema-instance" s:schemaLocation="a {at}">{rect}</g></svg>',
}


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("what", OUTSIDE)
def test_nothing_is_fetched_from_the_network(tmp_path, listener, what):
    at = f"http://127.0.0.1:{listener.server_port}/secret"
    path = tmp_path / "d.svg"
    path.write_text(OUTSIDE[what].format(at=at, root=ROOT, rect=RECT))
    assert held(run("inspect", path, "--json"))
    assert listener.asked == []


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("what", OUTSIDE)
def test_nothing_is_read_from_another_file(tmp_path, what):
    secret = tmp_path / "secret.txt"
    secret.write_text("KEEPTHIS")
    path = tmp_path / "d.svg"
    path.write_text(OUTSIDE[what].format(at=secret.as_uri(), root=ROOT, rect=RECT))
    ran = run("inspect", path, "--json")
    assert held(ran)
    assert "KEEPTHIS" not in ran.out + ran.err


@pytest.fixture(scope="module")
def dialects():
    return stock_dialects()


@INPUT
@pytest.mark.parametrize("scale", [None, 96.0])
def test_small_inputs_keep_the_promises_of_the_reader(tmp_path, dialects, path, scale):
    assert path.stat().st_size < 2048
    data = path.read_bytes()
    hold(data, tmp_path / "d.svg", dialects, scale)


@pytest.mark.slow_after(2)
@INPUT
def test_small_inputs_through_the_command(path):
    assert held(run("inspect", path, "--scale", "96"))


GROWS = {
    "one long name over many layers": lambda: f'{ROOT}<g id="{"x" * 100_000}">' + "".join(f'<g id="l{k}">{RECT}</g>' for k in range(10_000)) + "</g></svg>",
    "layers in layers": lambda: ROOT + "".join(f'<g id="Panel {k} stitch line">{RECT}' for k in range(990)) + "</g>" * 990 + "</svg>",
    "another namespace": lambda: '<svg xmlns="urn:x"/>',
    "crossing curves": lambda: layer('<path d="M500 500' + "".join(f"C{k * 7919 % 997} {k * 104729 % 991} {k * 1299709 % 983} {k * 15485863 % 977} {k * 32452843 % 971} {k * 49979687 % 967}" for k in range(1, 1000)) + 'Z"/>', "Panel stitch line"),
}  # fmt: skip


@pytest.mark.slow_after(3)
@pytest.mark.parametrize("what", [*reversed(GROWS)])
@pytest.mark.parametrize("how", [(), ("--json",)])
def test_what_is_said_stays_short_and_comes_soon(tmp_path, what, how):
    path = tmp_path / "d.svg"
    path.write_text(GROWS[what]())
    ran = run("inspect", path, *how)
    assert held(ran, listed=not how)
    assert len(ran.err) < 5000


def test_layers_in_layers_without_end_are_refused(tmp_path):
    path = tmp_path / "d.svg"
    path.write_text(GROWS["layers in layers"]())
    assert "in more than 100 layers, one in another; ungroup" in run("inspect", path).err


def test_a_root_of_another_namespace_is_told_for_what_it_is(tmp_path):
    path = tmp_path / "d.svg"
    path.write_text(GROWS["another namespace"]())
    assert "is not an SVG drawing (its <svg> is of another kind, 'urn:x')" in run("inspect", path).err


def test_an_endless_file_is_refused_before_it_is_read_whole(tmp_path):
    path = tmp_path / "d.svg"
    with path.open("wb") as stream:
        stream.truncate(5 << 30)
    for words in (("inspect", path), ("adjust", path, "--plan", str(path), "-o", str(tmp_path / "o.svg"))):
        ran = run(*words)
        assert held(ran)
        assert ran.status == 2
        assert "is larger than" in ran.err
        assert ran.kilobytes < 500_000


PLANS = {
    "lists in lists": "amount = " + "[" * 3000 + "]" * 3000,
    "tables in tables": "amount = " + "{a=" * 3000 + "1" + "}" * 3000,
    "names in names": ".".join(["a"] * 3000) + " = 1",
    "a number of a hundred thousand digits": "amount = " + "1" * 100_000,
    "a number past all others": "amount = 1e999",
    "not a number": "amount = nan",
}


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("what", PLANS)
@pytest.mark.parametrize("kind", ["--plan", "--convention"])
def test_a_plan_or_convention_that_nobody_writes_is_refused(tmp_path, what, kind):
    path, other = tmp_path / "d.svg", tmp_path / "p.toml"
    path.write_text(layer('<path d="M0 9L0 5L5 0L9 5L9 9Z"/>', "Panel stitch line"))
    other.write_text('[[step]]\ndo = "cap-raise"\n' * (kind == "--plan") + PLANS[what])
    more = ("--do", "cap-raise amount='1 in'") if kind == "--convention" else ()
    ran = run("adjust", path, kind, str(other), *more, "--dry-run")
    assert held(ran)
    assert ran.status == 2
    assert len(ran.err) < 2000
