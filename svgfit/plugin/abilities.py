"""Operations by what they can do, as they declare it: no part of svgfit knows one by its name."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from svgfit.model.operation import Operation, Reach
from svgfit.model.plan import Step
from svgfit.plugin.registry import Registry


class Ability(Struct, frozen=True):
    """An operation, and one of the figures that it reaches."""

    operation: Operation
    reach: Reach

    def step(
        self,
        piece: str | None,
        value: str,
        more: Sequence[tuple[str, str]] = (),
        *,
        where: str = "",
        brief: bool = False,
    ) -> Step:
        """Ask for the figure to be ``value`` (as in a plan) on a piece, with ``more`` asked besides.

        ``brief``: what the operation does anyway is not asked for. An operation that takes no one piece is given none.
        """
        done_anyway = {(one.name, one.default) for one in self.operation.parameters if brief}
        given = [each for each in self.reach.given if each not in done_anyway]
        return self._step(piece, ((self.reach.parameter, value), *given, *more), where)

    def change_step(self, piece: str | None, by: str) -> Step:
        """Ask for the figure to change ``by`` that much, in the operation's most ordinary manner."""
        return self._step(piece, ((self.reach.change, by),), "")

    def does(self, *, less: bool) -> str:
        """Say what is done, as the operation does; ``less``: whether the figure is to be less than it is."""
        return (less and self.reach.does_less) or self.reach.does

    def _step(self, piece: str | None, asked: tuple[tuple[str, str], ...], where: str) -> Step:
        return Step(self.operation.name, piece if self.operation.kinds else None, asked, where)


def ways_to(registry: Registry, figure: str) -> tuple[Ability, ...]:
    """Return every way to a figure: those that svgfit takes by itself first, by rank, then the others."""
    ways = [Ability(one, reach) for one in registry.operations() for reach in one.reaches if reach.figure == figure]
    return tuple(sorted(ways, key=lambda way: (way.reach.rank is None, way.reach.rank or 0)))


def way_in_manner(registry: Registry, figure: str, manner: str) -> Ability | None:
    """Return the way to a figure that the advice calls ``manner``."""
    return next((way for way in ways_to(registry, figure) if way.reach.manner == manner), None)


def first_that(registry: Registry, can: Callable[[Operation], object]) -> Operation | None:
    """Return the first operation (by name) of which ``can`` holds."""
    return next((one for one in registry.operations() if can(one)), None)


def none_loaded(registry: Registry) -> str:
    """Say that no operation for something is loaded, and which are switched off."""
    off = ", ".join(registry.switched_off())
    return f"no operation that does it is loaded{f'; switched off: {off}' if off else ''}"


def notch_matcher(registry: Registry) -> str | None:
    """Return the name of the operation that moves a cap's notches to where its armhole's meet them."""
    found = first_that(registry, lambda one: one.matches_notches)
    return found.name if found else None


def seam_truer(registry: Registry) -> str | None:
    """Return the name of the operation that trues edges across a seam as sewn."""
    found = first_that(registry, lambda one: one.trues_seams)
    return found.name if found else None


def gap_closer(registry: Registry, edge: str) -> str | None:
    """Return the step that closes a gap in an edge, as ``--do`` takes it."""
    found = first_that(registry, lambda one: one.closes_gaps)
    return f"{found.name} {found.closes_gaps}='{edge}'" if found else None
