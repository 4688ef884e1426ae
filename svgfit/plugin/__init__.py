"""The one module that a plug-in's author imports. Everything here is frozen records and pure functions.

Three groups of names: records (svgfit.model), geometry (curves, motions, lengths), the engine (svgfit.fitting); beside
them modules of their own.

Lengths are millimetres, angles radians, y runs down; pieces come in their own frame (svgfit.model.piece). The hooks are
written down in svgfit.plugin.hookspecs. What only some plug-ins need lies in modules of its own: ``sewing``,
``alterations``, ``recognising``, ``geometry``, ``edgework``, ``sleeves``, ``formats``, ``naming``, and the rules of the
trade in ``rules``; so ``from svgfit.plugin import sleeves`` and ``sleeves.cap_height(piece)``. Names are fetched when
first used: importing this module costs nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit import rules as rules
    from svgfit.fitting.movement_search import SearchResult as SearchResult
    from svgfit.fitting.movement_search import smallest_movement as smallest_movement
    from svgfit.fitting.parts import parts_moved as parts_moved
    from svgfit.fitting.slash import Slash as Slash
    from svgfit.fitting.spread import SpreadPiece as SpreadPiece
    from svgfit.fitting.spread import spread as spread
    from svgfit.fitting.truing import REDRAW as REDRAW
    from svgfit.fitting.truing import refuse_crossing as refuse_crossing
    from svgfit.fitting.truing import true as true
    from svgfit.fitting.truing import unkept_promises as unkept_promises
    from svgfit.geometry.affine import Affine as Affine
    from svgfit.geometry.curve import Curve as Curve
    from svgfit.model.cap_turn import CapTurn as CapTurn
    from svgfit.model.checker import Checker as Checker
    from svgfit.model.checker import GarmentMeasurer as GarmentMeasurer
    from svgfit.model.checker import SeamFinder as SeamFinder
    from svgfit.model.checker import Subject as Subject
    from svgfit.model.dialect import Dialect as Dialect
    from svgfit.model.dialect import LayerFacts as LayerFacts
    from svgfit.model.instructions import Instructions as Instructions
    from svgfit.model.instructions import StepFacts as StepFacts
    from svgfit.model.instructions import Words as Words
    from svgfit.model.instructions import slash_words as slash_words
    from svgfit.model.length import at_least as at_least
    from svgfit.model.length import at_most as at_most
    from svgfit.model.length import both_ways as both_ways
    from svgfit.model.length import format_length as format_length
    from svgfit.model.length import parse_length as parse_length
    from svgfit.model.line_kind import LineKind as LineKind
    from svgfit.model.operation import Job as Job
    from svgfit.model.operation import Movement as Movement
    from svgfit.model.operation import Operation as Operation
    from svgfit.model.operation import Outcome as Outcome
    from svgfit.model.operation import Parameter as Parameter
    from svgfit.model.operation import Reach as Reach
    from svgfit.model.operation import beside as beside
    from svgfit.model.operation import hookimpl as hookimpl
    from svgfit.model.operation import replace as replace
    from svgfit.model.operation import swap as swap
    from svgfit.model.piece import Dart as Dart
    from svgfit.model.piece import Edge as Edge
    from svgfit.model.piece import Landmark as Landmark
    from svgfit.model.piece import Mark as Mark
    from svgfit.model.piece import Piece as Piece
    from svgfit.model.plan import Seam as Seam
    from svgfit.model.raw_piece import DrawnPiece as DrawnPiece
    from svgfit.model.raw_piece import Measurer as Measurer
    from svgfit.model.raw_piece import Recogniser as Recogniser
    from svgfit.model.refusal import Refusal as Refusal
    from svgfit.model.report import Annotation as Annotation
    from svgfit.model.report import Check as Check
    from svgfit.model.report import Measurement as Measurement
    from svgfit.model.report import Opening as Opening
    from svgfit.plugin import alterations as alterations
    from svgfit.plugin import edgework as edgework
    from svgfit.plugin import formats as formats
    from svgfit.plugin import geometry as geometry
    from svgfit.plugin import naming as naming
    from svgfit.plugin import recognising as recognising
    from svgfit.plugin import sewing as sewing
    from svgfit.plugin import sleeves as sleeves
    from svgfit.plugin.svgpathtools_bridge import from_svgpathtools as from_svgpathtools
    from svgfit.plugin.svgpathtools_bridge import to_svgpathtools as to_svgpathtools
    from svgfit.rules.allowances import AllowanceRule as AllowanceRule
    from svgfit.rules.ease import EaseRule as EaseRule
    from svgfit.rules.ease import SeamEaseRule as SeamEaseRule
    from svgfit.rules.matching import MatchingRule as MatchingRule
    from svgfit.rules.notches import NotchRule as NotchRule
    from svgfit.version import API_VERSION as API_VERSION

PARTS = ("sewing", "alterations", "recognising", "geometry", "edgework", "sleeves", "formats", "naming")
"""Modules of the authors' module. A name of theirs can also be had from here, where plug-ins found it before, with a
DeprecationWarning that says where it is now."""

HOMES = {
    "svgfit.fitting.movement_search": "SearchResult smallest_movement",
    "svgfit.fitting.parts": "parts_moved",
    "svgfit.fitting.slash": "Slash",
    "svgfit.fitting.spread": "SpreadPiece spread",
    "svgfit.fitting.truing": "REDRAW refuse_crossing true unkept_promises",
    "svgfit.geometry.affine": "Affine",
    "svgfit.geometry.curve": "Curve",
    "svgfit.model.cap_turn": "CapTurn",
    "svgfit.model.checker": "Checker GarmentMeasurer SeamFinder Subject",
    "svgfit.model.dialect": "Dialect LayerFacts",
    "svgfit.model.instructions": "Instructions StepFacts Words slash_words",
    "svgfit.model.length": "at_least at_most both_ways format_length parse_length",
    "svgfit.model.line_kind": "LineKind",
    "svgfit.model.operation": "beside Job Movement Operation Outcome Parameter Reach hookimpl replace swap",
    "svgfit.model.piece": "Dart Edge Landmark Mark Piece",
    "svgfit.model.plan": "Seam",
    "svgfit.model.raw_piece": "DrawnPiece Measurer Recogniser",
    "svgfit.model.refusal": "Refusal",
    "svgfit.model.report": "Annotation Check Measurement Opening",
    "svgfit.plugin.svgpathtools_bridge": "from_svgpathtools to_svgpathtools",
    "svgfit.rules.allowances": "AllowanceRule",
    "svgfit.rules.ease": "EaseRule SeamEaseRule",
    "svgfit.rules.matching": "MatchingRule",
    "svgfit.rules.notches": "NotchRule",
    "svgfit.version": "API_VERSION",
}
"""The names that are offered, by the module that defines them."""

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    HOMES,
    modules={"rules": "svgfit.rules"} | {part: f"svgfit.plugin.{part}" for part in PARTS},
    parts=PARTS,
)
