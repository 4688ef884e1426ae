"""How many of what is asked of many caps is met, and by caps that can be sewn.

    python -m tests.shapes.figures [--count 32]

Prints one line a kind of request: how many were asked, met, refused, and what was wrong with the caps. What is wrong is
looked at by chords, not by way of the code that draws them.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Iterator

import numpy as np
from msgspec import Struct

from svgfit.app.run_plan import run_plan
from svgfit.geometry.curve import Curve
from svgfit.model.plan import Plan, Step
from svgfit.model.refusal import Refusal
from svgfit.model.run import SizeRun
from svgfit.plugin.registry import open_registry
from tests.plugins.running import run_steps, value
from tests.shapes.garments import Garment, garment
from tests.shapes.promises import edge_of, humps, turned_within_half_an_inch

CAP = ("Sleeve", "cap")
EASES = (3.0, -3.0, 5.0, -5.0, 8.0, -8.0, 4.0, -6.0)
"""mm more or less, in turn."""
QUARTER = 6.35
INCHES = (0.125, 0.25, 0.5, 1.0)


class Tally(Struct, frozen=True):
    """What became of requests of one kind."""

    kind: str
    asked: int
    met: int
    faults: tuple[str, ...]
    """Of those met: what can't be sewn, or is not as drawn, one line each."""

    def line(self) -> str:
        """Say it in one line."""
        return f"{self.kind}: {self.met} of {self.asked} met, {len(self.faults)} at fault {' · '.join(self.faults[:4])}"


def ended(one: Garment, **wanted: float) -> SizeRun:
    """Run to ends, mm."""
    asked = tuple((name.replace("_", " "), f"{figure:.6f} mm") for name, figure in wanted.items())
    return run_plan(one.pieces, one.seams, Plan((), "--ends", ends=(Step("", "Sleeve", asked),)), open_registry())


def tally(kind: str, requests: Iterator[tuple[str, Callable[[], SizeRun], Callable[[SizeRun], str]]]) -> Tally:
    """Make requests, each with its name and what finds its fault ("" for none)."""
    asked, met = 0, 0
    faults: list[str] = []
    for name, request, fault in requests:
        asked += 1
        try:
            run = request()
        except Refusal:
            continue
        if all(check.status == "pass" for check in run.checks):
            met += 1
            faults += [f"{name}: {fault(run)}"] if fault(run) else []
    return Tally(kind, asked, met, tuple(faults))


def unsewable(run: SizeRun) -> str:
    """Say why a cap can't be sewn though nobody said so: an overhang, a corner, a hollow that it did not have."""
    before, after = edge_of(run.before, CAP), edge_of(run.after, CAP)
    if outward_lean(after) > outward_lean(before) + 2:
        return f"leans outwards by {outward_lean(after):.0f}°"
    turn, was = turned_within_half_an_inch(after), turned_within_half_an_inch(before)
    if turn > max(35.0, 2.2 * was):
        return f"turns by {turn:.0f}° within half an inch, before {was:.0f}°"
    told = any("hollow" in text or "wavers" in text for text in run.warnings)
    return "a hollow that is not told" if humps(after) > humps(before) and not told else ""


def outward_lean(cap: Curve) -> float:
    """The furthest a side leans outwards over what is below it, degrees; by chords of about 3 mm."""
    points = cap.points(np.array(cap.at_lengths(np.arange(0.0, cap.length(), 3.0).tolist())))
    ways, top = np.diff(points), int(points.imag.argmin())
    sines = ways.real / np.abs(ways)
    return math.degrees(math.asin(max(0.0, *sines[:top].tolist(), *sines[top:].tolist())))


def of_ease(count: int) -> Tally:
    """3 to 8 mm more or less ease."""
    garments = map(garment, range(count))
    return tally(
        "ease",
        (
            (str(k), lambda one=one, k=k: ended(one, cap_ease=one.ease + EASES[k % len(EASES)]), unsewable)
            for k, one in enumerate(garments)
        ),
    )


def of_height(count: int) -> Tally:
    """A quarter of an inch higher or lower, the ease kept."""

    def request(k: int) -> SizeRun:
        one, up = garment(k), QUARTER if k % 2 else -QUARTER
        return ended(one, cap_height=measured(one, "cap height") + up, cap_ease=one.ease)

    return tally("height, ease kept", ((str(k), lambda k=k: request(k), unsewable) for k in range(count)))


def of_bicep(count: int) -> Tally:
    """Half an inch wider or a quarter narrower, a quarter higher or lower, the ease kept."""

    def request(k: int) -> SizeRun:
        one = garment(k)
        height = measured(one, "cap height") + (QUARTER if k // 2 % 2 == 0 else -QUARTER)
        width = measured(one, "bicep width") + (-QUARTER if k % 2 else 2 * QUARTER)
        return ended(one, cap_height=height, bicep_width=width, cap_ease=one.ease)

    return tally("bicep, height, ease kept", ((str(k), lambda k=k: request(k), unsewable) for k in range(count)))


def of_split(share: float, numbers: tuple[int, ...]) -> Tally:
    """25 mm of ease, ``share`` of it in front: up and down by 1/8 to 1 in, raised and lowered with the ease kept."""

    def off(run: SizeRun) -> str:
        now = value(run, "cap ease back") / value(run, "cap ease") if value(run, "cap ease") > 1 else 1 - share
        return "" if abs(now - (1 - share)) < 0.01 else f"{now:.2f} of the ease in the back"

    def requests() -> Iterator[tuple[str, Callable[[], SizeRun], Callable[[SizeRun], str]]]:
        for k in numbers:
            one = garment(k, share_front=share, ease=25.0)
            height = measured(one, "cap height")
            for by in sorted([*INCHES, *(-inches for inches in INCHES)]):
                more = 25.4 * by
                if more > -25.0:
                    yield f"{k} ease {by:+}", lambda one=one, more=more: ended(one, cap_ease=25.0 + more), off
                if abs(by) <= 0.5:
                    yield (
                        f"{k} height {by:+}",
                        lambda one=one, to=height + more: ended(one, cap_height=to, cap_ease=25.0),
                        off,
                    )

    return tally(f"ease split {share:.0%} to the front", requests())


def measured(one: Garment, name: str) -> float:
    """A measurement of the sleeve as drawn, mm."""
    return value(run_steps(one.pieces, seams=one.seams), name)


def main() -> None:
    """Print every tally."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=32)
    count = parser.parse_args().count
    for kind in (of_ease, of_height, of_bicep):
        print(kind(count).line())
    for share in (0.3, 0.5, 0.6):
        print(of_split(share, tuple(range(min(count, 9)))).line())


if __name__ == "__main__":
    main()
