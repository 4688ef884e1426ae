"""``svgfit advise``: body against pattern, what to change and in which order, as a plan."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import click

from svgfit.cli.options import DrawingOptions, drawing_options

if TYPE_CHECKING:
    from svgfit.app.session import Session
    from svgfit.model.advice import Advice
    from svgfit.model.body import Person
    from svgfit.model.length import Units

_EXAMPLE = """\b
For example:
  svgfit advise smock.svg --body players.toml --person "Ines Marlow"
  svgfit advise smock.svg --body players.toml --choose "bicep: height kept" -o plans"""


@click.command(epilog=_EXAMPLE)
@click.argument("files", metavar="FILE...", nargs=-1)
@click.option("--body", metavar="SHEET", help="The body sheet: TOML or CSV, one person or many.")
@click.option("--person", "names", metavar="NAME", multiple=True, help="Only this person; may be repeated [all].")
@click.option("--style", metavar="NAME", help="Which kind of garment it is [the sheet's].")
@click.option("--choose", "choices", metavar="CHOICE", multiple=True, help='A way, such as "bicep: height kept".')
@click.option("--sleeve", metavar="NAME", help="Which sleeve, where there are several.")
@click.option("-o", "--output", metavar="OUT", help="The plan to write; for several people, the folder.")
@click.option("--force", is_flag=True, help="Replace existing plans.")
@click.option("--json", "as_json", is_flag=True, help="Print the advice as JSON.")
@click.option("--verbose", is_flag=True, help="Every reason, and each way with all that it brings.")
@click.option("--measures", is_flag=True, help="Say which body measures there are and how each is taken.")
@drawing_options
def command(
    files: tuple[str, ...],
    body: str | None,
    names: tuple[str, ...],
    style: str | None,
    choices: tuple[str, ...],
    sleeve: str | None,
    output: str | None,
    force: bool,
    as_json: bool,
    verbose: bool,
    measures: bool,
    drawing: DrawingOptions,
) -> int:
    """Hold a pattern against a body: what to change, in which order and why, as a plan.

    Armhole depth and shoulder first, then arm girth, cap height, ease, pitch and the sleeve's length. Where there are
    several ways, the recommended one comes first, the others in a line each, and none is taken unless you pick it
    (--choose recommended picks the recommended ones). The plan runs with svgfit adjust.
    """
    from svgfit.cli.console import say, warn

    if measures:
        from svgfit.cli.console import terminal

        say(measures_text(terminal().width))
        return 0
    sheet_file = _check_use(files, body)
    from svgfit.app.advice.advise import check_choices
    from svgfit.app.body_sheet import read_body
    from svgfit.model.operation import replace

    check_choices(choices, "--choose")
    people = _chosen(read_body(sheet_file).people, names, sheet_file)
    paths = _targets(people, output, inputs=(*files, sheet_file), force=force)
    session = drawing.session(files)
    if drawing.size:
        people = [replace(person, size=drawing.size) for person in people]
    every = [session.advise(person, style=style, sleeve=sleeve, choices=choices) for person in people]
    if output is not None:
        _write(session, every, _Plans(tuple(paths), output, sheet_file, force))
    of_people = (f"{advice.person}: {text}" for advice in every for text in advice.warnings)
    found = list(dict.fromkeys((*session.warnings, *of_people)))
    if as_json:
        from svgfit.render.text.advice import to_json

        say(to_json(list(zip(every, paths or [None] * len(every), strict=True)), found))
    elif not drawing.quiet:
        say(_story(every, paths, session.units, verbose=verbose))
    warn(found, quiet=drawing.quiet)
    return int(any(advice.failed for advice in every))


class _Plans(NamedTuple):
    """Where the plans go."""

    paths: tuple[str, ...]
    output: str
    """As given: a file, or the folder of several."""
    body: str
    force: bool


def _check_use(files: Sequence[str], body: str | None) -> str:
    """Return the body sheet's path; a usage error where it or the drawing is missing."""
    if not files:
        raise click.UsageError("there is no drawing; give for example smock.svg")
    if body is None:
        raise click.UsageError("there is no body sheet; give --body SHEET (--measures says what belongs into one)")
    return body


def _chosen(people: Sequence[Person], names: Sequence[str], body: str) -> list[Person]:
    """Choose the people asked for, by name or by what it begins with; refuses one that is not on the sheet."""
    from svgfit.model.refusal import Refusal
    from svgfit.pattern.layer_patterns import name_key

    if not names:
        return list(people)
    found: list[Person] = []
    for name in names:
        fitting = [person for person in people if name_key(person.name) == name_key(name)]
        fitting = fitting or [person for person in people if name_key(person.name).startswith(f"{name_key(name)} ")]
        there = f"on the sheet are: {', '.join(one.name for one in people)}"
        if not fitting:
            raise Refusal(body, f"there is no {name!r}", there)
        if len(fitting) > 1:
            names = " and ".join(person.name for person in fitting)
            raise Refusal(body, f"{name!r} could be {names}", "give the whole name")
        found += [person for person in fitting if person not in found]
    return found


def _targets(people: Sequence[Person], out: str | None, *, inputs: Sequence[str], force: bool) -> list[str]:
    """Choose the plan to write for each person; [] where none is. Raises Refusal before anything is done."""
    if out is None:
        return []
    from svgfit.model.refusal import Refusal
    from svgfit.svg import check_output

    if len(people) == 1 and not os.path.isdir(out):
        check_output(out, inputs=inputs, force=force)
        return [out]
    if os.path.lexists(out) and not os.path.isdir(out):
        what = f"is a file, and the plans of {len(people)} people are written to a folder"
        raise Refusal(out, what, "give the name of a folder, or --person NAME")
    paths = [os.path.join(out, f"{_file_name(person.name)}.plan.toml") for person in people]
    for path, person in zip(paths, people, strict=True):
        if paths.count(path) > 1:
            raise Refusal(path, f"{person.name} and another person would share this plan", "write their names apart")
        if os.path.isdir(out):
            check_output(path, inputs=inputs, force=force)
    return paths


def _file_name(name: str) -> str:
    """Turn a person's name into a file's: letters and digits of any script, hyphens between."""
    import re

    return re.sub(r"[^\w]+", "-", name.casefold()).strip("-_") or "person"


def _write(session: Session, every: Sequence[Advice], plans: _Plans) -> None:
    from shlex import quote

    from svgfit.app.advice.plan_writer import plan_text
    from svgfit.svg import Output, write_outputs

    outputs: list[Output] = []
    names = [os.path.basename(file) for file in session.files]
    for advice, path in zip(every, plans.paths, strict=True):
        size = f" --size {quote(advice.size)}" if advice.size else ""
        start = " --from adjusted" if session.options.from_adjusted else ""
        run = f"{' '.join(map(quote, names))} --plan {quote(os.path.basename(path))}{size}{start}"
        head = (
            f"Pattern: {', '.join(names)}; body: {os.path.basename(plans.body)}.",
            f"To run it: svgfit adjust {run} -o OUT",
        )
        outputs.append(Output(path, plan_text(advice, head).encode()))
    folder = plans.output if plans.paths[0] != plans.output else None
    write_outputs(outputs, inputs=(*session.inputs, plans.body), force=plans.force, folder=folder)


def _story(every: Sequence[Advice], paths: Sequence[str], units: Units, *, verbose: bool) -> str:
    from svgfit.cli.console import terminal
    from svgfit.model.advice import OPEN
    from svgfit.render.text.advice import advice_text

    width = terminal().width
    parts = [advice_text(advice, width, units=units, verbose=verbose) for advice in every]
    if any(advice.open for advice in every) and not verbose:
        pick = next(
            f"{one.topic}: {one.ways[0].name}" for advice in every for one in advice.findings if one.status == OPEN
        )
        parts.append(f'--choose "{pick}" picks a way, --choose recommended every recommended one; --verbose says all')
    if paths:
        rows = [f"  {advice.person} -> {path}{_left_open(advice)}" for advice, path in zip(every, paths, strict=True)]
        parts.append("plans written:\n" + "\n".join(rows))
    else:
        parts.append("no plan written; -o PLAN.toml writes it (for several people, -o FOLDER)")
    parts.append("Sew a test garment before cutting good cloth. Ease is common practice, never law.")
    return "\n\n".join(parts)


def _left_open(advice: Advice) -> str:
    return "  (a choice is open: see there)" if advice.open else ""


def measures_text(width: int | None = None) -> str:
    """Describe every body measure: how it is taken and what for."""
    import textwrap

    from svgfit.rules.body_measures import MEASURES

    columns = min(max(width or 100, 40), 110)
    parts: list[str] = []
    for measure in MEASURES:
        lines = [measure.name]
        for text in (measure.taken, f"Used {measure.used}."):
            lines += textwrap.wrap(text, columns, initial_indent="  ", subsequent_indent="  ")
        parts.append("\n".join(lines))
    return "\n\n".join(parts)
