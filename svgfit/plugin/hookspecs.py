"""The hooks. A plug-in implements any of them; each is called once, when the plug-in is loaded.

Frame and units for all of them: millimetres, radians, y down, each piece in its own frame (svgfit.model.piece).
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.model.dialect import Dialect
from svgfit.model.operation import Operation, hookspec
from svgfit.model.raw_piece import Measurer, Recogniser


@hookspec
def svgfit_operations() -> Iterable[Operation]:
    """Supply operations: steps of a plan.

    When: on load; ``run`` later, once for each step that names the operation. Returns: records; the file's stem (or the
    entry-point's name) is the operation's name. On failure: an exception here marks the plug-in ``failed`` with its
    reason, and a plan that needs it stops with that reason; in ``run``, a Refusal stops the plan with its own line, any
    other exception with one that names the plug-in.

    Worked example, a file ``letter_it.py``::

        from svgfit.plugin import Job, Operation, Outcome, hookimpl

        def run(job: Job) -> Outcome:
            return Outcome(pieces=job.pieces, warnings=(f"{job.piece.title} has {len(job.piece.edges)} edges",))

        @hookimpl
        def svgfit_operations():
            return [Operation("letter-it", "Counts the edges of a piece.", (), run, kinds=("sleeve", "front", "back"))]
    """
    raise NotImplementedError


@hookspec
def svgfit_dialects() -> Iterable[Dialect]:
    """Supply ways to read layers. File stem or entry-point name begins with ``dialect``.

    When: on load; ``speaks`` once for each drawing, ``layer`` once for each group of it. Returns: records; see Dialect.
    On failure: the plug-in is ``failed`` and the drawing is read by the others.

    Worked example: plugins/dialects/ids.py.
    """
    raise NotImplementedError


@hookspec
def svgfit_recognisers() -> Iterable[Recogniser]:
    """Supply ways to know a kind of piece. File stem or entry-point name begins with ``recognise``.

    When: on load; ``suits`` once for each piece, ``recognise`` for the most sure (ties: by name). Returns: records.
    On failure: a Refusal from ``recognise`` is shown as it is; any other exception stops with the plug-in's name.

    Worked example: plugins/recognisers/sleeve.py.
    """
    raise NotImplementedError


@hookspec
def svgfit_measurers() -> Iterable[Measurer]:
    """Supply further measurements. File stem or entry-point name begins with ``measure``.

    When: on load; ``measure`` for each piece of its kinds, before the first step and after each. Returns: records; a
    name that svgfit or another plug-in uses already is an error that names both. On failure: a warning with the
    plug-in's name; the other measurements stand.

    Worked example, a file ``measure_wrist.py``: ``Measurer("wrist", ("sleeve",), lambda piece:
    [Measurement("wrist", piece.edge("hem").curve.length())])``.
    """
    raise NotImplementedError
