"""Plans: the steps to do, as people write them: one text for each step, or TOML (svgfit.model.plan_file).

Values stay text until an operation's parameters are known.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from os import PathLike

from msgspec import Struct

from svgfit.model.refusal import Refusal

_WORD = re.compile(r"(?P<key>[^\s=]+)=(?:'(?P<single>[^']*)'|\"(?P<double>[^\"]*)\"|(?P<bare>(?![\x22'])\S*))(?=\s|$)")
ENDS = "ends"
PIECE = "piece"
NOTE = "note"
WHEN = "when"
INCLUDE = "include"
_EXAMPLE = "write for example cap-raise piece=Sleeve amount='1 1/8 in'"


class FromMeasure(Struct, frozen=True, repr_omit_defaults=True, omit_defaults=True):
    """A value that is taken from a measurement when its step's turn comes."""

    measure: str
    """The measurement's name, such as "cap ease"."""
    of: str | None = None
    """The piece that is measured, or "garment" for what plug-ins measure across the pieces; None: the one that the step
    works on."""
    times: float = 1.0


class Condition(Struct, frozen=True, repr_omit_defaults=True, omit_defaults=True):
    """When a step is done: where a measurement, when its turn comes, lies over or under what is written, or between."""

    measure: str
    of: str | None = None
    """The piece that is measured, or "garment"; None: the one that the step works on."""
    over: str | None = None
    """A length, an angle or a plain number, as written."""
    under: str | None = None


class Step(Struct, frozen=True, repr_omit_defaults=True):
    """One step: an operation, the piece (None where left out) and the parameters as written."""

    do: str
    piece: str | None = None
    asked: tuple[tuple[str, str], ...] = ()
    where: str = ""
    """For messages: "plan.toml line 4", "--do 2"."""
    by_size: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()
    """Parameters given as a table: name, then (size, text) pairs; the size "other" stands for all that aren't named."""
    measured: tuple[tuple[str, FromMeasure], ...] = ()
    """Parameters that are taken from measurements."""
    when: Condition | None = None
    note: str = ""
    """What the plan's writer says to whoever reads what was done."""
    file: str = ""
    """The plan's file in which it stands; "" where it stands in none."""
    key: tuple[str | int, ...] = ()
    """Its place in that file."""
    hints: tuple[tuple[str, str], ...] = ()
    """What a refusal of a parameter tells beside: by its name, where the value is set."""
    by: str = ""
    """In a plan that was read back from a drawing: the plug-in that did it, with its version; "" for svgfit's own."""
    measured_by: str = ""
    """Likewise the plug-ins that measure what it takes from measurements; "" where those are svgfit's own."""


class Plan(Struct, frozen=True):
    """Steps in order."""

    steps: tuple[Step, ...]
    where: str = "plan"
    ends: tuple[Step, ...] = ()
    """What is to hold when the steps are done, the amounts left to the tool: ``do`` is "ends", ``asked`` the ends."""
    source: str = ""
    """The TOML text that the plan was read from, so that a refusal can name the line; "" where there is none."""
    note: str = ""
    """What its writer says to whoever reads what was done."""
    included: tuple[tuple[str, str], ...] = ()
    """The files that it takes in, each once, and their texts."""

    @classmethod
    def from_steps(cls, *steps: str, ends: str | Iterable[str] = ()) -> Plan:
        """Read a plan from one text for each step, and one for each group of ends.

        Raises Refusal for a text that can't be read.

        >>> Plan.from_steps("cap-raise piece=Sleeve amount='1/2 in'").steps[0].asked
        (('amount', '1/2 in'),)
        """
        if not all(isinstance(step, str) for step in steps):  # pyright: ignore[reportUnnecessaryIsInstance]
            raise TypeError("from_steps takes texts, one after another, such as \"cap-raise amount='1/4 in'\"")
        return cls(
            tuple(parse_do(text, number) for number, text in enumerate(steps, 1)),
            "--do",
            tuple(
                parse_ends(text, number) for number, text in enumerate((ends,) if isinstance(ends, str) else ends, 1)
            ),
        )

    @property
    def files(self) -> tuple[str, ...]:
        """The files that it was read from, which no output replaces; () where it was read from none."""
        return (self.where, *(name for name, _ in self.included)) if self.source else ()

    @classmethod
    def from_toml(cls, text: str, where: str = "plan") -> Plan:
        """Read a plan from a TOML text; ``where`` is what messages call it.

        Raises Refusal with line and key for what can't be read; a text has no folder from which to take in plans.
        """
        from svgfit.model.plan_file import plan_of_text

        if not isinstance(text, str):  # pyright: ignore[reportUnnecessaryIsInstance]  what a script may hand over
            raise TypeError(f"from_toml takes a text, not {type(text).__name__}; Plan.read reads a file")
        return plan_of_text(text, where)

    @classmethod
    def read(cls, path: str | PathLike[str]) -> Plan:
        """Read a plan from a TOML file. Raises Refusal with file, line and key for what can't be read."""
        from svgfit.model.plan_file import read_plan

        return read_plan(path)


class SeamEase(Struct, frozen=True):
    """How much longer one row of a seam is meant to be than the other: what is eased in."""

    eased: tuple[tuple[str, str], ...]
    """The longer row: the seam's ``a`` or its ``b``."""
    amounts: tuple[float, float]
    """By how much at least and at most, mm."""
    by: str = ""
    """The plug-in, with its file, whose rule it is; "" where svgfit.toml states it."""


class Seam(Struct, frozen=True):
    """Two rows of edges that are sewn together, each ("Sleeve", "cap") and in sewing order."""

    a: tuple[tuple[str, str], ...]
    """The one row: (piece, edge) of each edge."""
    b: tuple[tuple[str, str], ...]
    """The other row."""
    guessed: bool = False
    """Whether svgfit inferred it; False where a person stated it."""
    ease: SeamEase | None = None
    """As a person, or a plug-in's rule, states it; None where the two are to be equally long, or nobody said."""
    by_step: bool = False
    """Whether a step sewed it (``Outcome.seams``): it then goes round with the adjusted drawing."""


def spell_edges(edges: Sequence[tuple[str, str]]) -> str:
    """Write edges as people do: ``Front/armhole+Back/armhole``."""
    return "+".join(f"{piece}/{edge}" for piece, edge in edges)


def parse_do(text: str, number: int = 1) -> Step:
    r"""Parse one step: an operation, then ``key=value`` words, split at blanks.

    A quote opens only directly after ``=``, so an inch mark in ``amount=3/8"`` is part of the value.

    >>> parse_do("cap-raise piece='Left sleeve' amount=3/8\"")
    Step(do='cap-raise', piece='Left sleeve', asked=(('amount', '3/8"'),), where='--do 1')
    """
    where = f"--do {number}"
    do, _, rest = text.strip().partition(" ")
    if do.startswith(("[", "{")) or (do == "do" and rest.lstrip().startswith("=")) or do.startswith("do="):
        raise Refusal(
            where,
            f"{do!r} is how a step is written in a plan",
            f"put it into a plan, which --plan runs; here {_EXAMPLE}",
        )
    if not do or "=" in do:
        raise Refusal(where, f"begins with {do!r}, not with an operation" if do else "is empty", _EXAMPLE)
    return _step(do, where, _words(f"{where}: {do}", rest))


def _step(do: str, where: str, asked: Sequence[tuple[str, str]]) -> Step:
    """Make a step of its words: the piece and the note are no parameters."""
    said = dict(asked)
    values = tuple(pair for pair in asked if pair[0] not in (PIECE, NOTE))
    return Step(do, said.get(PIECE), values, where, note=said.get(NOTE, ""))


def _words(where: str, text: str) -> list[tuple[str, str]]:
    """Parse the ``key=value`` words of a text."""
    asked: list[tuple[str, str]] = []
    rest = text.strip()
    while rest:
        if table := re.match(r"([^\s=]+)=['\"]?\{", rest):
            raise Refusal(where, *_table_needs_a_plan(table[1]))
        found = _WORD.match(rest)
        if not found:
            raise Refusal(where, *_misread(rest))
        value = next(part for part in (found["single"], found["double"], found["bare"]) if part is not None)
        if any(found["key"] == name for name, _ in asked):
            raise Refusal(where, f"{found['key']} is given twice", "leave one out")
        asked.append((found["key"], value))
        rest = rest[found.end() :].strip()
    return asked


def _table_needs_a_plan(name: str) -> tuple[str, str]:
    """Say why a table can't stand here, and what to do."""
    if name == WHEN:
        example = '{ of = "Sleeve", measure = "cap ease", over = "1 1/2 in" }'
        what = f"{name} is a table, which only a plan can hold"
    else:
        example = '{ 10 = "1/4 in", other = "3/8 in" }'
        what = f"{name} is a table of values by size, which only a plan can hold"
    return what, f'put it into a plan: [[step]], do = "…" and {name} = {example}; --plan runs it'


def _misread(rest: str) -> tuple[str, str]:
    """Say what is wrong with a text that does not begin with ``key=value``, and what to do."""
    word = rest.split()[0]
    key, equals, value = word.partition("=")
    if equals and key and value[:1] in ("'", '"'):
        return f"the quote after {key}= is not closed before the next blank", f"end the value with {value[0]}"
    if equals:
        return f"{word!r} has no name before =", _EXAMPLE
    if parted := re.match(r"\w+(?:\s+\w+)+(?=\s*=)", rest):
        name = "-".join(parted[0].split())
        return f"{parted[0]!r} is not one word", f"join its parts with hyphens, no blank at =: {name}='1 1/8 in'"
    todo = "after the operation come words such as amount=3mm: no blank at =, a value with blanks in quotes, as in "
    return f"{word!r} is not key=value", f"{todo}amount='1 1/8 in'"


def parse_ends(text: str, number: int = 1) -> Step:
    """Parse ends in one text: ``key=value`` words as in ``--do``, hyphens for spaces.

    >>> parse_ends("cap-height='6 in' cap-ease=1in").asked
    (('cap-height', '6 in'), ('cap-ease', '1in'))
    """
    where = f"--ends {number}"
    return _step(ENDS, where, _words(where, text))


def with_line(refusal: Refusal, plan: Plan, step: Step, key: str | None = None) -> Refusal:
    """Return the refusal with the line of the plan's file put in, where the step comes from a TOML text."""
    rows = plan.ends if step.do == ENDS else plan.steps
    own = next((one for one in rows if one.where == step.where), None)
    texts = {plan.where: plan.source, **dict(plan.included)}
    text = texts.get(own.file) if own is not None else None
    if own is None or not text or not refusal.where.startswith(step.where):
        return refusal
    from svgfit.model.toml_file import parse_toml

    line = parse_toml(text, own.file).line((*own.key, key) if key else own.key)
    place = f"{own.file} line {line}" if line else step.where
    where, what, todo = refusal.parts
    hint = dict(own.hints).get(key or "")
    if hint:
        todo = f"{todo}; {hint}" if todo else hint
    return Refusal(place + where.removeprefix(step.where), what, todo)
