"""The hooks: the contract between svgfit and plug-ins. Those that a plug-in implements are called once, on load.

Frame and units for all of them: millimetres, radians, y down, each piece in its own frame (svgfit.model.piece). All
functions that a plug-in hands over are pure: they change nothing of what they are given and print, read and write
nothing. They may be called from several threads at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from svgfit.model.checker import Checker, GarmentMeasurer, SeamFinder
from svgfit.model.dialect import Dialect
from svgfit.model.file_format import Reader, Writer
from svgfit.model.line_kind import LineKind
from svgfit.model.operation import Operation, hookspec
from svgfit.model.raw_piece import Measurer, Recogniser

if TYPE_CHECKING:
    from svgfit.plugin.sound_rules import TradeRule
    from svgfit.rules.ease import EaseRule


@hookspec
def svgfit_operations() -> Iterable[Operation]:
    """Supply operations: steps of a plan. A file in ``operations/``, or one named as its one operation.

    When: on load. ``run`` later, once for each step that names the operation, or that svgfit chooses by what the
    operation says that it ``reaches``; ``instructions.words`` once for each piece that a step changed, where a
    teaching sheet or a mini is made.

    Returns: ``Operation`` records. The name of one that is alone in a file is the file's stem (or the entry point's
    name); several in a file, or beside other hooks, have names of their own. ``run(job)`` is given a ``Job``
    (lengths among its values in mm) and returns an ``Outcome``: all pieces of the job, changed or not, and new ones
    (see "Pieces in and out"); ``got``, measured afterwards, each with its unit; ``moved``, the parts of a piece
    that was cut (``parted.moved``). ``words(facts)`` is given ``StepFacts`` (mm) and returns ``Words``.

    On failure: an exception here marks the plug-in ``failed`` with its reason, and a plan that needs it stops with that
    reason. In ``run``, a Refusal (``raise job.refuse("what is wrong", "what to do")``) stops the plan with its own
    line, any other exception, or an Outcome that can't be (see "What is checked"), with one that names the plug-in,
    its file and the step; nothing is written. In ``words``, general words
    take the place of its own, with a warning.

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
    """Supply ways to read layers. A file in ``dialects/``, or one whose name begins with ``dialect``.

    When: on load. ``speaks(root)`` once for each drawing, in ascending ``order``, until one says yes; that one's
    ``layer(element)`` once for each group, ``extra(element)`` for each shape that may be none of the person's.

    Returns: ``Dialect`` records. The functions are given lxml elements and only read them; ``layer`` returns
    ``LayerFacts`` or None for what is no layer.

    On failure: an exception here marks the plug-in ``failed``, with a warning, and the drawing is read by the others;
    after an exception in one of its functions too.

    Worked example: plugins/dialects/ids.py.
    """
    raise NotImplementedError


@hookspec
def svgfit_recognisers() -> Iterable[Recogniser]:
    """Supply ways to know a kind of piece. A file in ``recognisers/``, or one whose name begins with ``recognise``.

    When: on load. ``suits(drawn)`` once for each piece; ``recognise(drawn)`` of the one that is most sure (ties: by
    name).

    Returns: ``Recogniser`` records. Both functions are given a ``DrawnPiece`` on the page, in mm; ``suits`` returns 0
    (no) to 1 (sure) and never refuses, ``recognise`` the ``Piece`` in its own frame, with what had to be guessed in
    ``guessed``.

    On failure: an exception in ``suits``, or what is not 0 to 1, counts as 0, with a warning. A Refusal from
    ``recognise`` is shown as it is, or told of a piece that is then of kind "other"; any other exception, or a piece
    that can't be (see "What is checked"), stops with the plug-in's name and file.

    Worked example: docs/examples/plugins/cuffs.py; of the stock ones plugins/recognisers/yoke.py.
    """
    raise NotImplementedError


@hookspec
def svgfit_measurers() -> Iterable[Measurer | GarmentMeasurer]:
    """Supply further measurements. A file in ``measurers/``, or one whose name begins with ``measure``.

    When: on load. A ``Measurer``'s ``measure(piece)`` for each piece of its kinds, before the first step and after
    each; a ``GarmentMeasurer``'s ``measure(subject)`` for the garment of each size, before all steps and after.

    Returns: ``Measurer`` and ``GarmentMeasurer`` records; ``measure`` is given a ``Piece`` in its own frame, or a
    ``Subject`` with all pieces and seams (where one that it needs is not there, it returns ()), and returns
    ``Measurement`` records, each in its unit: "mm", "mm2" (an area in square millimetres), "deg", "number" (a count, a
    ratio) or "share" (1 for all of it). A name that svgfit or another plug-in uses already is an error that names both.

    On failure: a warning with the plug-in's name and file. A figure that is no finite number, or in no such unit, is
    left out; after an exception all of the measurer's on that piece (or garment) are. The other measurements stand.

    Worked example, a file ``measure_wrist.py``: ``Measurer("wrist", ("sleeve",), lambda piece:
    [Measurement("wrist", sewing.sewn_length(piece, "hem"))])``. Across pieces: ``GarmentMeasurer(name="hem round",
    measure=hem_round)``, where ``hem_round(subject)`` adds up the hems of ``subject.pieces``.
    """
    raise NotImplementedError


@hookspec
def svgfit_checks() -> Iterable[Checker]:
    """Supply checks: what else to look at before the cloth is cut. A file in ``checks/``, or one named ``check…``.

    When: on load. ``check(subject)`` for each piece of its kinds, each seam, or once for the garment of each size (as
    ``of`` says): in ``check`` and ``walk``, in ``adjust`` before the first step and after the last, and where a plan is
    done again for paper.

    Returns: ``Checker`` records. ``check`` is given a ``Subject`` (pieces in their own frames, mm) and returns
    ``Check`` records, each a name, "pass", "warn" or "fail", and a sentence with its figures; () where there is nothing
    to say. They stand among svgfit's own, named ``plug-in NAME: …, Sleeve``; one that fails makes the exit status 1.
    Of what was so before a run, that is told.

    On failure: a warning with the plug-in's name and file; that check is not done, on what it broke on. All other
    checks stand, svgfit's own first of all.

    Worked example, a file ``check_wrist.py``::

        from svgfit.plugin import Check, Checker, hookimpl, sewing

        def wide_enough(subject):
            wrist = sewing.sewn_length(subject.piece, "hem")
            status = "pass" if wrist >= 200 else "fail"
            return [Check("wrist", status, f"{wrist:.0f} mm round the hand", {"wrist": wrist})]

        @hookimpl
        def svgfit_checks():
            return [Checker(name="wrist", of="piece", kinds=("sleeve",), check=wide_enough)]
    """
    raise NotImplementedError


@hookspec
def svgfit_line_kinds() -> Iterable[LineKind]:
    """Supply kinds of annotation lines. A file in ``line_kinds/``, or one whose name begins with ``line``.

    When: on load, and only where an operation's outcome has an annotation of a kind that is not svgfit's.

    Returns: ``LineKind`` records: a name, which an ``Annotation`` has for its kind; what the legend says; colour,
    weight and dashes (mm on a full-size pattern), unlike svgfit's own where there is no colour; and, where it is not to
    lie among the working lines, the name of a ``layer`` of its own beside svgfit's three. That layer is replaced, kept
    where a person has edited it, and printed as the working lines are.

    On failure: an exception, or a line that can't be, marks the plug-in ``failed``; an annotation of a kind that nobody
    supplies is refused, with the name of the plug-in that made it, and nothing is written.

    Worked example, a file ``line_chalk.py``: ``LineKind("chalk", "chalk: tack along here", "#CC79A7", 0.6,
    (5.0, 1.0, 1.0, 1.0, 1.0, 1.0), layer="fitting notes")``.
    """
    raise NotImplementedError


@hookspec
def svgfit_seams() -> Iterable[SeamFinder]:
    """Supply rules of what is sewn to what, for pieces that svgfit does not know. A file ``seams…``, or in ``seams/``.

    When: on load. ``find(pieces)`` once for the drawings of a session, after svgfit's own rules; not where svgfit.toml
    says what is sewn to what (``[[seams]]`` without ``ease``): then that holds.

    Returns: ``SeamFinder`` records. ``find`` is given one piece of each name, in their own frames, and returns ``Seam``
    records of edges that these have: ``Seam((("Cuff", "sleeve edge"),), (("Sleeve", "hem"),))``. A seam at an edge of
    which svgfit.toml or svgfit knows another gives way to it; of two plug-ins that contradict each other neither is
    taken. Both are warned of, with both sides.

    On failure: a warning with the plug-in's name and file; its seams are left out.

    Worked example, a file ``seams_cuff.py``: ``SeamFinder(name="cuff", find=lambda pieces: [Seam(((piece.name,
    "sleeve edge"),), (("Sleeve", "hem"),)) for piece in pieces if piece.kind == "cuff"])``.
    """
    raise NotImplementedError


@hookspec
def svgfit_rules() -> Iterable[EaseRule | TradeRule]:
    """Supply rules of the trade as a house has them. A file in ``rules/``, or one whose name begins with ``rules``.

    When: on load, for every command that looks at drawings.

    Returns: records of these kinds, lengths in mm. They hold where neither the drawing nor svgfit.toml says anything:

    - ``EaseRule``, ease by style, as the tables ``[ease.NAME]`` of svgfit.toml: least and most. One with the name of a
      style that svgfit knows changes only what it gives, any other is a style of its own and needs ``cap``;
    - ``AllowanceRule``, the seam allowance of an edge, or of all, where no line is drawn to measure it at;
    - ``MatchingRule``, how far two seams may differ that are to be equally long, in ``walk``, ``check``, ``advise`` and
      where ``adjust`` tells what can't be sewn. An operation's own ``tolerance`` stays what its page says;
    - ``SeamEaseRule``, by how much one row of edges is longer than the one that it is sewn to, both by kind of piece;
    - ``NotchRule``, how many notches mark front and back of a cap, by which the two are told.

    Whatever rests on one says whose it is: a warning with the plug-in's name and file, in every command. What
    svgfit.toml says holds over it, with a warning that names both; one rule, or one style, from two plug-ins is an
    error that names both. ``svgfit plugins`` lists them with their figures.

    On failure: an exception, or a rule that can't be, marks the plug-in ``failed``, with a warning.

    Worked example, a file ``rules_house.py``::

        from svgfit.plugin import AllowanceRule, EaseRule, MatchingRule, NotchRule, SeamEaseRule, hookimpl

        SHOULDER = SeamEaseRule(eased=(("back", "shoulder"),), onto=(("front", "shoulder"),), least=3.0, most=6.0)

        @hookimpl
        def svgfit_rules():
            return [
                EaseRule("tunic", cap=(0.0, 12.0), bicep=(80.0, 120.0)),
                AllowanceRule(edge="all", width=15.0),
                AllowanceRule(edge="hem", width=40.0),
                MatchingRule(careful=1.0, workable=2.0),
                SHOULDER,
                NotchRule(front=2, back=1),
            ]
    """
    raise NotImplementedError


@hookspec
def svgfit_readers() -> Iterable[Reader]:
    """Supply ways to read files that are no SVG. A file in ``readers/``, or one whose name begins with ``reader``.

    When: on load, and only where a file is given that is no SVG. ``suits(head)`` for each such file, by name, until one
    says yes; ``read(file, data, wishes)`` of that one, once.

    Returns: ``Reader`` records. ``suits`` is given the file's first bytes and never refuses. ``read`` is given the
    file's name for messages, all its bytes and the person's ``Wishes`` (lengths in mm), and returns ``Converted``: a
    layered SVG whose unit is 1 mm, and what there is to mind. It opens no file itself.

    On failure: an exception in ``suits`` counts as no, with a warning. A Refusal from ``read`` is shown as it is; any
    other exception, or what is no ``Converted``, stops with the plug-in's name and file.

    Worked example, a file ``reader_packed.py``: ``formats.Reader("packed", (".packed",), lambda head:
    head.startswith(b"PACK"), lambda file, data, wishes: formats.Converted(zlib.decompress(data[4:])))``.
    """
    raise NotImplementedError


@hookspec
def svgfit_writers() -> Iterable[Writer]:
    """Supply ways to write a drawing as another kind of file. A file in ``writers/``, or one named ``writer…``.

    When: on load, and only for ``svgfit convert``. ``write(drawing)`` of the one with the ending of the file to write.

    Returns: ``Writer`` records. ``write`` is given a ``Convertible`` (lines in page millimetres; ``needs`` says whether
    its pieces must be known) and returns the file's bytes, the same for the same drawing. It writes no file itself.

    On failure: a Refusal from ``write`` is shown as it is; any other exception, or what is no bytes, stops with the
    plug-in's name and file.

    Worked example: plugins/writers/svg.py.
    """
    raise NotImplementedError
