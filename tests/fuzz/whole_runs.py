# ruff: noqa: E501  one mutation a line reads best
"""Whole runs on mutated drawings: ``inspect``, ``adjust``, ``handout`` and ``picture`` on each, in processes of their own.

    python -m tests.fuzz.whole_runs --count 100 --seed 1 [--minutes 10] [--kind NAME ...] [--keep FOLDER] [--forked]

A mutation is one of the kinds in KINDS, done to a drawing of the demo's smock, plain or already fitted. Held: no signal,
no exit status 3, no traceback, no plug-in of svgfit's own blamed, a refusal in one line, nothing written where refused,
under 20 s and 1 GB. What breaks one of these is kept with its kind and seed, and is made again by them. Prints the counts;
exit status 1 where anything broke.
"""

from __future__ import annotations

import argparse
import gzip
import re
import signal
import struct
import sys
import tempfile
import zlib
from base64 import b64encode
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from random import Random

from tests.fuzz.mutating import mutated
from tests.hostile.running import Ran, run

ROOT = Path(__file__).parents[2]
SECONDS, KILOBYTES = 20.0, 1_000_000
STEP = "cap-raise piece=Sleeve amount='1/4 in'"
WAYS: dict[str, tuple[str, ...]] = {
    "inspect": (),
    "adjust": ("--do", STEP, "-o", "{}/out.svg"),
    "handout": ("-o", "{}/out.pdf", "--many"),
    "picture": ("-o", "{}/out.{kind}"),
}
Mutation = Callable[[str, Random], str]


# -- kinds of mutation ---------------------------------------------------------------------------------------------------


def _numbers(text: str, random: Random) -> str:
    """Some numbers of path data become others."""
    odd = ("0", "-0", "1e9", "1e-9", "1e200", "-1e300", "nan", "1e999", ".", "99999999999999999999", "")
    found = [*re.finditer(r"-?\d+\.\d+", text)]
    return _replaced(text, random.sample(found, min(random.choice((1, 3, 30)), len(found))), lambda: random.choice(odd))


def _units(text: str, random: Random) -> str:
    """Lengths get other units."""
    units = ("mm", "pt", "em", "%", "in", "px", "rem", "vw", "ex", "furlong", "")
    found = [*re.finditer(r'(?<=[0-9])(?:mm|px)?(?=")', text)]
    return _replaced(text, random.sample(found, min(8, len(found))), lambda: random.choice(units))


def _transforms(text: str, random: Random) -> str:
    made = (
        "scale(1e200)",
        "scale(0)",
        "rotate(45)",
        "matrix(1 2 3 4 5 6)",
        "skewX(89.999)",
        "scale(-1,1)",
        "scale(1e-9)",
    )
    return _in_tags(text, random, lambda: f'transform="{random.choice(made)}"', random.choice((1, 4)))


def _names(text: str, random: Random) -> str:
    """Layers, ids and labels change, with signs that no terminal should get."""
    odd = (
        "\u202eSleeve",
        "\x9b31m",
        "",
        "x" * 5000,
        "Sleeve stitch line",
        "Front cut line",
        "test square",
        "袖",
        "a/b",
    )
    found = [*re.finditer(r'(?<=label=")[^"]*(?=")|(?<=\sid=")[^"]*(?=")', text)]
    return _replaced(text, random.sample(found, min(random.choice((1, 5)), len(found))), lambda: random.choice(odd))


def _doctype(text: str, random: Random) -> str:
    """A DOCTYPE with attributes by default, and entities."""
    names = ("viewBox", "width", "style", "filter", "href", "xml:base", "data-svgfit-layer", "transform", "id")
    tags = random.choices(("svg", "g", "path", "text", "marker"), k=4)
    defaults = "".join(f'<!ATTLIST {tag} {random.choice(names)} CDATA "0 0 9 9">' for tag in tags)
    head, _, rest = text.partition("<svg")
    declared = f'<!DOCTYPE svg [{defaults}<!ENTITY e "<g/>">]>'
    return f"{head}{declared}<svg{rest}".replace("</svg>", random.choice(("&e;</svg>", "</svg>")))


def _nesting(text: str, random: Random) -> str:
    depth = random.choice((30, 250, 900, 1900, 5000))
    how = random.choice(("<g>", '<g opacity=".9">', '<g id="a">', "<svg>", "<a>", "<switch>"))
    end = f"</{how[1:].split()[0].rstrip('>')}>"
    at = text.index("<path")
    stop = text.index("/>", at) + 2
    return text[:at] + how * depth + text[at:stop] + end * depth + text[stop:]


def _chains(text: str, random: Random) -> str:
    """Markers, patterns, masks or clips that show one another."""
    kind, link = random.choice(
        (
            ("marker", "marker-start"),
            ("pattern", "fill"),
            ("pattern", "stroke"),
            ("mask", "mask"),
            ("clipPath", "clip-path"),
        )
    )
    times, depth = random.choice(((1, 5), (1, 150), (2, 12), (3, 25), (10, 8)))
    shape = '<path d="M0 0L900 0L900 900Z" stroke="#000" {}/>'
    links = [f'{link}="url(#k{k})"' for k in range(depth)]
    parts = "".join(
        f'<{kind} id="k{k}" width="9" height="9">{shape.format(links[k - 1] if k else "") * times}</{kind}>'
        for k in range(depth)
    )
    return _on_a_layer(text, f"<defs>{parts}</defs>{shape.format(links[-1])}")


def _copies(text: str, random: Random) -> str:
    """Uses of what is there, of one another, and of themselves."""
    ids = re.findall(r'\sid="([^"]+)"', text) or ["a"]
    many = "".join(
        f'<use id="u{k}" href="#{random.choice([*ids, f"u{random.randrange(9)}"])}" x="{random.randrange(99)}"/>'
        for k in range(random.choice((1, 10, 400)))
    )
    return _on_a_layer(text, many)


def _pictures(text: str, random: Random) -> str:
    """Embedded PNGs: small, large, broken."""
    width, height = random.choice(((9, 9), (3000, 3000), (19866, 28087), (1_000_000, 500), (0, 5)))
    depth, colour = random.choice(((1, 0), (8, 0), (8, 2), (8, 6), (16, 2)))
    channels = {0: 1, 2: 3, 6: 4}[colour]
    row = b"\0" + bytes([random.randrange(256)]) * min((width * depth * channels + 7) // 8, 1_000_000)
    packer = zlib.compressobj(1)
    data = b"".join(packer.compress(row) for _ in range(min(height, 200_000_000 // len(row)))) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, random.choice((0, 0, 1)))
    png = b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        for kind, body in (
            (b"IHDR", head),
            (b"IDAT", data[: random.choice((len(data), len(data) // 2))]),
            (b"IEND", b""),
        )
    )
    return _on_a_layer(
        text, f'<image width="800" height="900" href="data:image/png;base64,{b64encode(png).decode()}"/>'
    )


def _opacity(text: str, random: Random) -> str:
    return _in_tags(text, random, lambda: 'opacity=".5"', random.choice((5, 200)))


def _strokes(text: str, random: Random) -> str:
    odd = (
        "stroke-width:1e200",
        "stroke-width:-1",
        "stroke-dasharray:1e-6",
        "stroke-miterlimit:1e30",
        "stroke-width:nan",
    )
    odd = (
        *odd,
        "font-size:1e30",
        "fill:url(#none)",
        "stroke:url(#tip)",
        "opacity:-5",
        "stroke-width:1e9",
        "display:none",
    )
    found = [*re.finditer(r'(?<=style=")', text)]
    return _replaced(text, random.sample(found, min(6, len(found))), lambda: f"{random.choice(odd)};")


def _sheets(text: str, random: Random) -> str:
    """Style sheets, nested deep or speaking of everything."""
    deep = random.choice((3, 300, 3000))
    rules = (
        f"path{':not(' * deep}g{')' * deep}{{fill:red}}", f"*{{a:{'(' * deep}{')' * deep}}}", "*{opacity:.5}", "g>*{mask:url(#k)}",
        "path{marker:url(#tip)}", "@media print{" * deep + "}" * deep, "*{transform:rotate(9deg)}", "g{display:none}", "{{{",
    )  # fmt: skip
    return _on_a_layer(text, f"<style>{random.choice(rules)}</style>")


def _texts(text: str, random: Random) -> str:
    words = random.choice(
        ("word " * 5000, "\u202e\x85", "袖" * 300, "<tspan>" * 300 + "a" + "</tspan>" * 300, "&#x1F9F5;")
    )
    size = random.choice(("5", "1e30", "0", "-3", "1em"))
    return _on_a_layer(text, f'<text x="50" y="90" font-size="{size}">{words}</text>')


def _lines(text: str, random: Random) -> str:
    """More lines: crossing curves, kilometres, specks."""
    count, reach = random.choice(((30, 900), (300, 900), (1500, 900), (20, 900_000), (3000, 1)))
    points = " ".join(f"C{' '.join(f'{random.uniform(0, reach):.1f}' for _ in range(6))}" for _ in range(count))
    return _on_a_layer(text, f'<path d="M9 9 {points}{random.choice(("Z", ""))}" fill="none" stroke="#000"/>')


def _removed(text: str, random: Random) -> str:
    """Attributes and elements are missing."""
    found = [*re.finditer(r'\s[\w:-]+="[^"]*"', text)]
    found += [*re.finditer(r"<(?:path|text|rect)\b[^>]*/>", text)]
    return _replaced(text, random.sample(found, min(random.choice((1, 5, 40)), len(found))), lambda: "")


def _cut(text: str, random: Random) -> str:
    """The file is cut off, or a piece is missing from its middle."""
    at = random.randrange(len(text))
    return text[:at] + text[at + random.choice((len(text), 1, 9, 500)) :]


def _doubled(text: str, random: Random) -> str:
    """Whole layers are there twice, or many times."""
    found = [*re.finditer(r"(?s)<g\b.*?</g>", text)]
    one = random.choice(found)[0]
    return _on_a_layer(text, one * random.choice((1, 5, 60)))


def _resaved(text: str, random: Random) -> str:
    """Layers of svgfit's own as another program writes them: other units, order and styles."""
    at = text.find("data-svgfit-layer")
    at = max(text.rfind("<g", 0, at), 0)
    start, own = text[:at], text[at:]
    unit, factor = random.choice((("pt", 0.75), ("em", 1 / 16), ("mm", 25.4 / 96), ("%", 1.0), ("px", 1.0)))
    own = re.sub(r"(font-size|stroke-width):([\d.]+)(?:px)?", lambda m: f"{m[1]}:{float(m[2]) * factor:.4g}{unit}", own)
    if random.random() < 0.5:
        own = re.sub(r'(?<=\s[xy]=")([\d.-]+)', lambda m: f"{m[1]}{random.choice(('px', 'mm', ' ', 'em'))}", own)
    if random.random() < 0.3:
        own = re.sub(
            r'data-svgfit-(\w+)="[^"]*"', lambda m: m[0] if random.random() < 0.8 else f'data-svgfit-{m[1]}="?"', own
        )
    return start + own


def _tree(text: str, random: Random) -> str:
    """The tree is changed as the reader's fuzzer does it."""

    def cut(data: bytes, longest: int) -> bytes:
        at = random.randrange(len(data) + 1)
        return (data[:at] + data[at + random.randrange(9) :])[:longest]

    data = mutated(text.encode(), 10_000_000, random, cut)
    try:
        plain = gzip.decompress(data) if data.startswith(b"\x1f\x8b") else data
    except (OSError, EOFError, zlib.error):
        plain = data
    return plain.decode("utf-8", "replace")


KINDS: dict[str, Mutation] = {
    "numbers": _numbers, "units": _units, "transforms": _transforms, "names": _names, "doctype": _doctype,
    "nesting": _nesting, "chains": _chains, "copies": _copies, "pictures": _pictures, "opacity": _opacity,
    "strokes": _strokes, "sheets": _sheets, "texts": _texts, "lines": _lines, "removed": _removed, "cut": _cut,
    "doubled": _doubled, "resaved": _resaved, "tree": _tree,
}  # fmt: skip


def _replaced(text: str, found: list[re.Match[str]], new: Callable[[], str]) -> str:
    for each in sorted(found, key=lambda one: -one.start()):
        text = text[: each.start()] + new() + text[each.end() :]
    return text


def _in_tags(text: str, random: Random, new: Callable[[], str], count: int) -> str:
    found = [*re.finditer(r"(?<=<path)\b|(?<=<g)\b", text)]
    return _replaced(text, random.sample(found, min(count, len(found))), lambda: f" {new()}")


def _on_a_layer(text: str, more: str) -> str:
    """Put something behind the first drawn line, so on the layer that it lies on."""
    at = text.index("/>", text.index("<path")) + 2
    return text[:at] + more + text[at:]


# -- the runs ------------------------------------------------------------------------------------------------------------


def made(kind: str, seed: int, drawings: list[str]) -> str:
    """The drawing of a kind and a seed; often a further mutation lies on it."""
    random = Random(f"{kind} {seed}")
    text = KINDS[kind](random.choice(drawings), random)
    if random.random() < 0.25:
        with suppress(ValueError, IndexError):  # nothing left to change
            text = KINDS[random.choice([*KINDS])](text, random)
    return text


def faults(ran: Ran, folder: Path) -> list[str]:
    """What a run broke of what is held."""
    found: list[str] = []
    if ran.status not in (0, 1, 2):
        found.append(f"status {ran.status}")
    if "Traceback" in ran.err or "RuntimeWarning" in ran.err:
        found.append("traceback")
    if re.search(r"plug-in \S+ \(.*\) failed", ran.err):
        found.append("a plug-in of svgfit's own is blamed")
    if ran.seconds > SECONDS:
        found.append(f"{ran.seconds:.0f} s")
    if ran.kilobytes > KILOBYTES:
        found.append(f"{ran.kilobytes // 1000} MB")
    if ran.status == 2:
        lines = [line for line in ran.err.splitlines() if not line.startswith("svgfit: warning:")]
        if len(lines) != 1 or not lines[0].startswith("svgfit: "):
            found.append(f"{len(lines)} lines of refusal")
        if any(folder.glob("out*")) or any(folder.glob(".svgfit*")):
            found.append("refused, but written")
    return found


def drawings() -> list[str]:
    """The demo's smock, its sleeve drawn as a cut line, each also fitted (so with svgfit's own layers), and its sizes."""
    plain = [ROOT / "demo_svgs" / f"{stem}.svg" for stem in ("smock", "smock-sleeve-cut-line", "smock-sizes")]
    return [*(path.read_text(encoding="utf-8") for path in plain), *map(_fitted, plain[:2])]


def _fitted(path: Path) -> str:
    with tempfile.TemporaryDirectory() as folder:
        fitted = Path(folder) / "fitted.svg"
        ran = run("adjust", path, "--do", STEP, "-o", str(fitted))
        if ran.status not in (0, 1):
            raise RuntimeError(ran.err)
        return fitted.read_text(encoding="utf-8")


def try_one(kind: str, seed: int, plain: list[str], run: Callable[..., Ran] = run) -> dict[str, tuple[Ran, list[str]]]:
    """Run every command on one mutated drawing: what each took, and what it broke."""
    found: dict[str, tuple[Ran, list[str]]] = {}
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "d.svg"
        path.write_text(made(kind, seed, plain), encoding="utf-8", errors="replace")
        (Path(name) / "svgfit.toml").write_bytes((ROOT / "demo_svgs" / "svgfit.toml").read_bytes())
        for command, words in WAYS.items():
            ends = "html" if seed % 3 == 0 else "png"
            folder = Path(name) / command
            folder.mkdir()
            ran = run(command, path, *(word.format(folder, kind=ends) for word in words))
            found[command] = ran, faults(ran, folder)
    return found


def main() -> int:
    options = argparse.ArgumentParser(description="Mutate drawings and run svgfit on them.")
    options.add_argument("--count", type=int, default=19, help="how many drawings, the kinds in turn")
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--minutes", type=float, default=60.0, help="stop after so many minutes of processor time")
    options.add_argument("--kind", nargs="+", choices=KINDS, default=[*KINDS])
    options.add_argument("--keep", type=Path, help="a folder for drawings that broke something")
    options.add_argument("--forked", action="store_true", help="in forks of this process: twice as many a minute")
    chosen = options.parse_args()
    how = run
    if chosen.forked:
        from tests.fuzz import forked

        forked.load()
        how = forked.run
    plain = drawings()
    tally = Tally()
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    with suppress(KeyboardInterrupt):  # what was done till then is counted
        for number in range(chosen.count):
            kind, seed = chosen.kind[number % len(chosen.kind)], chosen.seed + number // len(chosen.kind)
            found = try_one(kind, seed, plain, how)
            if tally.add(kind, seed, found) and chosen.keep is not None:
                chosen.keep.mkdir(parents=True, exist_ok=True)
                broken = chosen.keep / f"{kind}-{seed}.svg"
                broken.write_text(made(kind, seed, plain), encoding="utf-8", errors="replace")
            if tally.spent > chosen.minutes * 60:
                break
    print(tally)
    return int(bool(tally.broken))


class Tally:
    """What the runs so far came to."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self.statuses: Counter[tuple[str, int]] = Counter()
        self.broken: Counter[str] = Counter()
        self.spent, self.slowest, self.largest, self.count = 0.0, (0.0, ""), 0, 0

    def add(self, kind: str, seed: int, found: dict[str, tuple[Ran, list[str]]]) -> bool:
        """Count a drawing; print what it broke, and say whether it did."""
        self.count += 1
        for command, (ran, faults) in found.items():
            self.statuses[command, ran.status] += 1
            self.spent += ran.seconds
            self.slowest = max(self.slowest, (ran.seconds, f"{kind} {seed} {command}"))
            self.largest = max(self.largest, ran.kilobytes)
            for fault in faults:
                self.broken[f"{command}: {re.sub(r'[0-9]+ (s|MB)', chr(92) + '1', fault)}"] += 1
                print(f"{kind} {seed} {command}: {fault}: {ran.err.strip()[-300:]}", flush=True)
        return any(faults for _, faults in found.values())

    def __str__(self) -> str:
        """Give the counts, a command a line."""
        lines: list[str] = []
        for command in WAYS:
            rows = (f"status {status}: {k}" for (of, status), k in sorted(self.statuses.items()) if of == command)
            lines.append(f"{command}: {', '.join(rows)}")
        took = f"{self.count} drawings, {4 * self.count} runs, {self.spent:.0f} s of processor time"
        lines.append(f"{took}; slowest {self.slowest[0]:.1f} s ({self.slowest[1]}), largest {self.largest // 1000} MB")
        return "\n".join([*lines, f"broken: {dict(self.broken) or 'none'}"])


if __name__ == "__main__":
    sys.exit(main())
