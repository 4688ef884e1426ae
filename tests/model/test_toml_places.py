"""Lines of keys, against a text that was put together knowing on which line each key began, and against tomllib."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from svgfit.model.toml_places import line_of, lines_of, places

GAPS = ["", " ", "\t", "\n", " # ] } \" ' =\n", "\r\n", "\n\n# '''\n"]
ENDS = ["\n", "\r\n", " # ] } \" ' =\n", "\t\n\n", '# """\n']
NAMES = ["{}", '"a b{}"', "'c.d{}'", '"q\\"{}"', '"x\\u00e9]{} = "', "'#\"{}'", '"\\\\{}"', "-{}_"]
PLAIN = [
    *('"x"', '""', '"a # \\" ] }"', '"\\\\"', "'l \\'", "''", '""""""', "''''''"),
    *('"""\nm\n[t]\nk = 1 # \n"""', '"""a""""', '"""a"""""', '""""a"""', '"""""a"""', '"""\\"""a"""', '"""a\\\\"""'),
    *('"""x\\""""', '"""a \\\n  b"""', "'''\n]\n'''", "'''a''''", "'''a'''''", "''''a'''"),
    *("1", "-1.5e3", "true", "inf", "0x1F", "1_000", "1979-05-27 07:32:00", "1979-05-27T07:32:00Z", "07:32:00"),
]


class Writer:
    """A text that grows, and the lines at which its keys began."""

    def __init__(self, draw) -> None:
        self.draw, self.text, self.lines, self.count = draw, "", {}, 0

    def one(self, choices):
        return self.draw(st.sampled_from(choices))

    def put(self, text):
        self.text += text

    def begin(self, place):
        self.lines.setdefault(place, self.text.count("\n") + 1)

    def key(self):
        """How a new key of one to three names is written, and its names."""
        written, names = [], ()
        for _ in range(self.one([1, 1, 2, 3])):
            self.count += 1
            name = self.one(NAMES).format(self.count)
            written.append(name)
            names += tuple(tomllib.loads(f"{name} = 0"))
        return self.one([".", " . ", "\t."]).join(written), names

    def pair(self, base, depth=0):
        written, names = self.key()
        self.begin((*base, *names))
        self.put(written + self.one(["=", " = ", "\t= "]))
        self.value((*base, *names), depth)

    def value(self, place, depth):
        kind = self.one(["plain", "plain", "array", "table"]) if depth < 3 else "plain"
        if kind == "plain":
            self.put(self.one(PLAIN))
        elif kind == "array":
            count = self.one([0, 1, 3])
            self.put("[" + self.one(GAPS))
            for index in range(count):
                self.begin((*place, index))
                self.value((*place, index), depth + 1)
                self.put(self.one(GAPS) + ("," if index < count - 1 else self.one(["", ","])) + self.one(GAPS))
            self.put("]")
        else:
            count = self.one([0, 1, 3])
            self.put("{ ")
            for index in range(count):
                self.pair(place, depth + 1)
                self.put(" , " if index < count - 1 else " ")
            self.put("}")

    def document(self):
        arrays, base = {}, ()
        for _ in range(self.one([1, 4, 8])):
            kind = self.one(["pair", "pair", "table", "array", "array again"])
            if kind == "pair":
                self.pair(base)
            elif kind == "table":
                written, base = self.key()
                self.begin(base)
                self.put(f"[ {written}]")
            else:
                written, names = self.one([*arrays.items()]) if kind == "array again" and arrays else self.key()
                number = sum(place[:-1] == names for place in self.lines if isinstance(place[-1], int))
                arrays[written] = names
                base = (*names, number)
                self.begin(base)
                self.put(f"[[{written} ]]")
            self.put(self.one(ENDS))
        return self.text, self.lines


def inside(value, place=()):
    """The place of every plain value that tomllib reads."""
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, part in parts:
        yield from inside(part, (*place, name))
    if not isinstance(value, (dict, list)):
        yield place


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_every_key_is_found_where_it_was_written(data):
    text, lines = Writer(data.draw).document()
    table = tomllib.loads(text)
    found = {place: text.count("\n", 0, at) + 1 for place, at in places(text)}
    assert found == lines
    assert set(inside(table)) <= set(found)
    for place, line in lines.items():
        assert line_of(text, place) == line
        assert line_of(text, (*place, "no such key")) == line
    assert lines_of(text, {*lines, ("no such key",)}) == lines


TEXT = """unit = "in"  # [pieces]

[pieces.Sleeve]
"seam allowance" = { all = "1 in",  hem = \"\"\"
[pieces.Front]\"\"\" }

[[step]]
do = "a"
[[step]]
do = [
  "b",  # first
  { c.d = 1 },
] # both
[step.more]
e = 1
"""


@pytest.mark.parametrize(
    ("key", "line"),
    [
        (("unit",), 1),
        (("pieces",), None),
        (("pieces", "Sleeve"), 3),
        (("pieces", "Sleeve", "seam allowance", "hem"), 4),
        (("pieces", "Sleeve", "kind"), 3),
        (("pieces", "Front"), None),
        (("step", 0), 7),
        (("step", 1, "do", 0), 11),
        (("step", 1, "do", 1, "c", "d"), 12),
        (("step", 1, "do", 5), 10),
        (("step", 1, "more", "e"), 15),
        (("step", 2), None),
        ((), None),
    ],
)
def test_lines(key, line):
    tomllib.loads(TEXT)
    assert line_of(TEXT, key) == line


def test_deep_arrays_and_long_strings_take_no_time():
    deep, long = "[" * 90 + "]" * 90, "a" * 200_000
    text = f'deep = {deep}\nlong = """\n{long}\n"""\nlast = 1\n'
    tomllib.loads(text)
    assert line_of(text, ("last",)) == 5
