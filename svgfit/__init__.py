"""svgfit reads drawings of pattern pieces, adjusts them, trues the edges and proves that the seams still fit.

>>> import svgfit
>>> plan = svgfit.Plan.from_steps("cap-raise piece=Sleeve height='5 7/8 in'")

``svgfit.open_drawings("smock.svg").run(plan).write("smock-fitted.svg")`` does what ``svgfit adjust`` does. Lengths are
millimetres, angles radians, y runs down. Everything that can't be read, told or done is a ``svgfit.Refusal`` that says
where, what, and what to do. Names are fetched when they are first used: importing svgfit costs nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names
from svgfit.version import __version__

if TYPE_CHECKING:
    from svgfit.app.body_sheet import read_body
    from svgfit.app.compare import compare
    from svgfit.app.handout import FinishedHandout, HandoutOptions, handout_pdf
    from svgfit.app.picture import picture_html, picture_png
    from svgfit.app.run import Run
    from svgfit.app.session import Session, open_drawings
    from svgfit.app.walks import Walked
    from svgfit.geometry.affine import Affine
    from svgfit.geometry.curve import Curve
    from svgfit.model.advice import Advice
    from svgfit.model.body import Person
    from svgfit.model.comparison import ComparedPiece, Differences
    from svgfit.model.length import Units, format_length, parse_length
    from svgfit.model.piece import Dart, Edge, Landmark, Mark, Piece
    from svgfit.model.plan import Plan, Seam, Step
    from svgfit.model.refusal import Refusal
    from svgfit.model.report import Check, Measurement, MeasurementRow, PieceRow, Report, StepRow
    from svgfit.model.run import SizeRun, Stage
    from svgfit.model.vocabulary import EdgeName, Figure, LandmarkName, MarkKind, PieceKind, Side, Status, Unit
    from svgfit.model.walk import Walk, Zone

__all__ = [
    "Advice",
    "Affine",
    "Check",
    "ComparedPiece",
    "Curve",
    "Dart",
    "Differences",
    "Edge",
    "EdgeName",
    "Figure",
    "FinishedHandout",
    "HandoutOptions",
    "Landmark",
    "LandmarkName",
    "Mark",
    "MarkKind",
    "Measurement",
    "MeasurementRow",
    "Person",
    "Piece",
    "PieceKind",
    "PieceRow",
    "Plan",
    "Refusal",
    "Report",
    "Run",
    "Seam",
    "Session",
    "Side",
    "SizeRun",
    "Stage",
    "Status",
    "Step",
    "StepRow",
    "Unit",
    "Units",
    "Walk",
    "Walked",
    "Zone",
    "__version__",
    "compare",
    "format_length",
    "handout_pdf",
    "open_drawings",
    "parse_length",
    "picture_html",
    "picture_png",
    "read_body",
]

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.app.body_sheet": "read_body",
        "svgfit.app.compare": "compare",
        "svgfit.app.handout": "FinishedHandout HandoutOptions handout_pdf",
        "svgfit.app.picture": "picture_html picture_png",
        "svgfit.app.run": "Run",
        "svgfit.app.session": "Session open_drawings",
        "svgfit.app.walks": "Walked",
        "svgfit.geometry.affine": "Affine",
        "svgfit.geometry.curve": "Curve",
        "svgfit.model.advice": "Advice",
        "svgfit.model.body": "Person",
        "svgfit.model.comparison": "ComparedPiece Differences",
        "svgfit.model.length": "Units format_length parse_length",
        "svgfit.model.piece": "Dart Edge Landmark Mark Piece",
        "svgfit.model.plan": "Plan Seam Step",
        "svgfit.model.refusal": "Refusal",
        "svgfit.model.report": "Check Measurement MeasurementRow PieceRow Report StepRow",
        "svgfit.model.run": "SizeRun Stage",
        "svgfit.model.vocabulary": "EdgeName Figure LandmarkName MarkKind PieceKind Side Status Unit",
        "svgfit.model.walk": "Walk Zone",
        "svgfit.version": "__version__",
    },
)
