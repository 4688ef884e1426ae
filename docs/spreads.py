"""Measures what a spread really gains, with svgfit itself on the demo smock, and writes it as the README's tables.

Run from the project's root: ``python docs/spreads.py`` prints them; ``python docs/make_docs.py`` puts them in place.
"""

from __future__ import annotations

import contextlib
import io
import json
from pathlib import Path
from typing import Any

from svgfit.cli import main as svgfit
from svgfit.model.length import MM_PER_INCH, sixteenths

SMOCK = Path(__file__).resolve().parent.parent / "demo_svgs" / "smock.svg"
PLACES = ("0.5", "0.65", "0.8")
DROPS = ("0 in", "1 in", "2 in", "4 in")
RAISES = ("1/8 in", "1/4 in", "3/8 in", "1/2 in", "1 in")


def after(step: str) -> dict[str, tuple[float, float]] | None:
    """The sleeve's measurements in mm, before and after one step; None where svgfit refuses it."""
    printed, complaints = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(printed), contextlib.redirect_stderr(complaints):
        status = svgfit(["adjust", str(SMOCK), "--do", step, "--dry-run", "--json", "--quiet"])
    if status == 2:
        return None
    if status != 0:
        raise RuntimeError(f"svgfit adjust --do {step!r} ended with {status}: {complaints.getvalue()}")
    report: dict[str, Any] = json.loads(printed.getvalue())
    (sleeve,) = (piece for piece in report["pieces"] if piece["kind"] == "sleeve")
    return {row["name"]: (row["before"], row["after"]) for row in sleeve["measurements"]}


def change(name: str, measured: dict[str, tuple[float, float]] | None) -> str:
    """How a measurement changed, in mm and sixteenths of an inch, or that the step was refused."""
    return "refused" if measured is None else signed(measured[name][1] - measured[name][0])


def signed(mm: float) -> str:
    """A change for a table.

    >>> signed(6.35), signed(-1.6), signed(0.001)
    ('+6.4 mm (+1/4 in)', '−1.6 mm (−1/16 in)', '0')
    """
    if abs(mm) < 0.05:
        return "0"
    sign = "+" if mm > 0 else "−"
    inches = sixteenths(abs(mm))
    return f"{sign}{abs(mm):.1f} mm ({'less than 1/16 in' if inches == '0' else f'{sign}{inches} in'})"


def spread_table() -> str:
    """Both corners turned by 1/4 in each, out and in: what the cap edge gains, by place and hinge."""
    head = ["hinge below the underarm point", *(f"spread at {place}" for place in PLACES)]
    head += [*(f"overlap at {place}" for place in PLACES), "bicep changes by"]
    rows = [head, ["---"] * len(head)]
    for drop in DROPS:
        done = {
            (sign, place): after(f"ease-spread amount='{sign}1/2 in' at={place} hinge-down='{drop}'")
            for sign in ("", "-")
            for place in PLACES
        }
        bicep = [found["bicep width"][1] - found["bicep width"][0] for found in done.values() if found]
        low, high = min(map(abs, bicep), default=0.0), max(map(abs, bicep), default=0.0)
        changed = ("0" if high < 0.05 else f"± {low:.1f} to {high:.1f} mm") if bicep else "refused"
        rows.append([drop, *(change("cap length", found) for found in done.values()), changed])
    return table(rows)


def raise_table() -> str:
    """The cap raised: what its edge gains, and how much longer than its armholes it then is."""
    rows = [["cap raised by", "cap edge gains", "cap ease then"], ["---"] * 3]
    for amount in RAISES:
        found = after(f"cap-raise amount='{amount}'")
        ease = "refused" if found is None else f"{found['cap ease'][1]:.1f} mm ({sixteenths(found['cap ease'][1])} in)"
        rows.append([amount, change("cap length", found), ease])
    return table(rows)


def facts() -> str:
    """The sleeve that the tables are measured on, in one sentence."""
    found = after("cap-raise amount='1/8 in'")
    if found is None:
        raise RuntimeError("the demo's sleeve can't be raised by 1/8 in")
    names = ("bicep width", "cap height", "cap length", "cap ease")
    parts = [f"{name} {found[name][0]:.1f} mm ({found[name][0] / MM_PER_INCH:.3f} in)" for name in names]
    return f"Measured on the demo smock's sleeve: {', '.join(parts)}."


def table(rows: list[list[str]]) -> str:
    """Rows as a Markdown table."""
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def tables() -> str:
    """All that the README shows, with the words between."""
    turned = "Each of the cap's lower corners turned about a hinge so that its slash opens (or overlaps) by 1/4 in,"
    turned += " which the rule of thumb takes for half an inch of ease. A slash at 0 starts at the underarm,"
    turned += " at 1 at the centre line."
    turned_table, raised_table = spread_table(), raise_table()
    if "refused" in turned_table + raised_table:
        turned += " Refused: svgfit would not do it on this sleeve, and said why."
    turned += " The cap edge gains, front and back together:"
    raised = "The cap raised by a level slash:"
    return f"{facts()}\n\n{turned}\n\n{turned_table}\n\n{raised}\n\n{raised_table}"


if __name__ == "__main__":
    print(tables())
