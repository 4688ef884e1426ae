"""The one module that a plug-in's author imports. Everything here is frozen records and pure functions.

Lengths are millimetres, angles radians, y runs down; pieces come in their own frame (svgfit.model.piece). The hooks are
written down in svgfit.plugin.hookspecs. Names are fetched when first used: importing this module costs nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from svgfit import rules
    from svgfit.fitting.armhole import armhole_row, why_unsewn
    from svgfit.fitting.armhole_reshape import ReshapedArmhole, Underarm, lower_armhole, scoop_armhole, underarm_of
    from svgfit.fitting.bicep import cap_apex, move_underarms_out, stretch_cap
    from svgfit.fitting.blend_choice import TruingMethod
    from svgfit.fitting.cap_range import cap_range
    from svgfit.fitting.cap_redraw import (
        CapEdge,
        RedrawnCap,
        cap_gains,
        furthest_outwards,
        overhang,
        prepare_cap,
        redraw_cap,
        times_tighter,
        with_redrawn_cap,
    )
    from svgfit.fitting.flaws import bridged_gaps, find_flaws, true_flaw
    from svgfit.fitting.hem_slash import HemSlash, hem_slash, raise_needed, widening_needed
    from svgfit.fitting.measure import bicep_level, bicep_width, cap_halves, cap_height, shoulder_point
    from svgfit.fitting.movement_search import SearchResult, smallest_movement
    from svgfit.fitting.notch_moves import NotchPlace, armhole_notches, cap_notches, slide_notch, with_shoulder_notch
    from svgfit.fitting.parts import parts_moved
    from svgfit.fitting.ride_along import move_piece, ride_along_edge
    from svgfit.fitting.sewn import SewnRow, seam_length, sewn_distance, sewn_edge, sewn_length, sewn_row, shoulder_at
    from svgfit.fitting.slash import Slash
    from svgfit.fitting.spread import SpreadPiece, spread
    from svgfit.fitting.truing import REACH, refuse_crossing, true, unkept_promises
    from svgfit.geometry.affine import Affine
    from svgfit.geometry.curve import Curve
    from svgfit.geometry.intersect import self_crossing
    from svgfit.model.dialect import Dialect, Element, LayerFacts
    from svgfit.model.drawing import Shape, Text
    from svgfit.model.length import at_least, at_most, both_ways, format_length, parse_length
    from svgfit.model.operation import (
        Comparison,
        Job,
        Movement,
        Operation,
        Outcome,
        Parameter,
        Reach,
        hookimpl,
        replace,
        swap,
    )
    from svgfit.model.piece import Dart, Edge, Landmark, Mark, Piece
    from svgfit.model.plan import Seam, spell_edges
    from svgfit.model.raw_piece import DrawnPiece, Measurer, Recogniser
    from svgfit.model.refusal import Refusal
    from svgfit.model.report import Annotation, Check, Measurement, Opening
    from svgfit.pattern.allowance import cut_line, refuse_broken, wider_than_usual
    from svgfit.pattern.notch_lines import with_allowance
    from svgfit.pattern.recognise.bodice import recognise_bodice, suits_bodice
    from svgfit.pattern.recognise.sleeve import recognise_sleeve, suits_sleeve
    from svgfit.pattern.recognise.yoke import recognise_yoke, suits_yoke
    from svgfit.plugin.svgpathtools_bridge import from_svgpathtools, to_svgpathtools
    from svgfit.rules.body_measures import most_of
    from svgfit.svg.id_names import given_name, is_group, spaced, title_of, unescaped

_HOME = {
    "rules": "svgfit",
    "with_allowance": "svgfit.pattern.notch_lines",
    "most_of": "svgfit.rules.body_measures",
    "ReshapedArmhole": "svgfit.fitting.armhole_reshape",
    "Underarm": "svgfit.fitting.armhole_reshape",
    "underarm_of": "svgfit.fitting.armhole_reshape",
    "scoop_armhole": "svgfit.fitting.armhole_reshape",
    "lower_armhole": "svgfit.fitting.armhole_reshape",
    "shoulder_point": "svgfit.fitting.measure",
    "sewn_distance": "svgfit.fitting.sewn",
    "armhole_row": "svgfit.fitting.armhole",
    "NotchPlace": "svgfit.fitting.notch_moves",
    "with_shoulder_notch": "svgfit.fitting.notch_moves",
    "slide_notch": "svgfit.fitting.notch_moves",
    "armhole_notches": "svgfit.fitting.notch_moves",
    "cap_notches": "svgfit.fitting.notch_moves",
    "parts_moved": "svgfit.fitting.parts",
    "Movement": "svgfit.model.operation",
    "Comparison": "svgfit.model.operation",
    "Reach": "svgfit.model.operation",
    "ride_along_edge": "svgfit.fitting.ride_along",
    "move_piece": "svgfit.fitting.ride_along",
    "cap_apex": "svgfit.fitting.bicep",
    "move_underarms_out": "svgfit.fitting.bicep",
    "stretch_cap": "svgfit.fitting.bicep",
    "cut_line": "svgfit.pattern.allowance",
    "wider_than_usual": "svgfit.pattern.allowance",
    "refuse_broken": "svgfit.pattern.allowance",
    "why_unsewn": "svgfit.fitting.armhole",
    "self_crossing": "svgfit.geometry.intersect",
    "at_least": "svgfit.model.length",
    "at_most": "svgfit.model.length",
    "both_ways": "svgfit.model.length",
    "REACH": "svgfit.fitting.truing",
    "unkept_promises": "svgfit.fitting.truing",
    "SearchResult": "svgfit.fitting.movement_search",
    "TruingMethod": "svgfit.fitting.blend_choice",
    "Affine": "svgfit.geometry.affine",
    "Annotation": "svgfit.model.report",
    "Check": "svgfit.model.report",
    "Curve": "svgfit.geometry.curve",
    "Dialect": "svgfit.model.dialect",
    "DrawnPiece": "svgfit.model.raw_piece",
    "Edge": "svgfit.model.piece",
    "Element": "svgfit.model.dialect",
    "Job": "svgfit.model.operation",
    "Landmark": "svgfit.model.piece",
    "LayerFacts": "svgfit.model.dialect",
    "given_name": "svgfit.svg.id_names",
    "is_group": "svgfit.svg.id_names",
    "spaced": "svgfit.svg.id_names",
    "title_of": "svgfit.svg.id_names",
    "unescaped": "svgfit.svg.id_names",
    "Mark": "svgfit.model.piece",
    "Measurement": "svgfit.model.report",
    "Measurer": "svgfit.model.raw_piece",
    "Opening": "svgfit.model.report",
    "Operation": "svgfit.model.operation",
    "Outcome": "svgfit.model.operation",
    "Parameter": "svgfit.model.operation",
    "Piece": "svgfit.model.piece",
    "Recogniser": "svgfit.model.raw_piece",
    "Refusal": "svgfit.model.refusal",
    "Seam": "svgfit.model.plan",
    "Shape": "svgfit.model.drawing",
    "Text": "svgfit.model.drawing",
    "format_length": "svgfit.model.length",
    "from_svgpathtools": "svgfit.plugin.svgpathtools_bridge",
    "hookimpl": "svgfit.model.operation",
    "parse_length": "svgfit.model.length",
    "replace": "svgfit.model.operation",
    "swap": "svgfit.model.operation",
    "to_svgpathtools": "svgfit.plugin.svgpathtools_bridge",
    "SpreadPiece": "svgfit.fitting.spread",
    "Slash": "svgfit.fitting.slash",
    "CapEdge": "svgfit.fitting.cap_redraw",
    "RedrawnCap": "svgfit.fitting.cap_redraw",
    "cap_gains": "svgfit.fitting.cap_redraw",
    "furthest_outwards": "svgfit.fitting.cap_redraw",
    "overhang": "svgfit.fitting.cap_redraw",
    "prepare_cap": "svgfit.fitting.cap_redraw",
    "redraw_cap": "svgfit.fitting.cap_redraw",
    "with_redrawn_cap": "svgfit.fitting.cap_redraw",
    "times_tighter": "svgfit.fitting.cap_redraw",
    "HemSlash": "svgfit.fitting.hem_slash",
    "hem_slash": "svgfit.fitting.hem_slash",
    "raise_needed": "svgfit.fitting.hem_slash",
    "widening_needed": "svgfit.fitting.hem_slash",
    "cap_range": "svgfit.fitting.cap_range",
    "bicep_level": "svgfit.fitting.measure",
    "bicep_width": "svgfit.fitting.measure",
    "bridged_gaps": "svgfit.fitting.flaws",
    "cap_halves": "svgfit.fitting.measure",
    "cap_height": "svgfit.fitting.measure",
    "find_flaws": "svgfit.fitting.flaws",
    "recognise_bodice": "svgfit.pattern.recognise.bodice",
    "recognise_sleeve": "svgfit.pattern.recognise.sleeve",
    "recognise_yoke": "svgfit.pattern.recognise.yoke",
    "suits_yoke": "svgfit.pattern.recognise.yoke",
    "refuse_crossing": "svgfit.fitting.truing",
    "Dart": "svgfit.model.piece",
    "SewnRow": "svgfit.fitting.sewn",
    "sewn_edge": "svgfit.fitting.sewn",
    "sewn_length": "svgfit.fitting.sewn",
    "sewn_row": "svgfit.fitting.sewn",
    "shoulder_at": "svgfit.fitting.sewn",
    "seam_length": "svgfit.fitting.sewn",
    "spell_edges": "svgfit.model.plan",
    "smallest_movement": "svgfit.fitting.movement_search",
    "spread": "svgfit.fitting.spread",
    "suits_bodice": "svgfit.pattern.recognise.bodice",
    "suits_sleeve": "svgfit.pattern.recognise.sleeve",
    "true": "svgfit.fitting.truing",
    "true_flaw": "svgfit.fitting.flaws",
}

__all__ = [
    "REACH",
    "Affine",
    "Annotation",
    "CapEdge",
    "Check",
    "Comparison",
    "Curve",
    "Dart",
    "Dialect",
    "DrawnPiece",
    "Edge",
    "Element",
    "HemSlash",
    "Job",
    "Landmark",
    "LayerFacts",
    "Mark",
    "Measurement",
    "Measurer",
    "Movement",
    "NotchPlace",
    "Opening",
    "Operation",
    "Outcome",
    "Parameter",
    "Piece",
    "Reach",
    "Recogniser",
    "RedrawnCap",
    "Refusal",
    "ReshapedArmhole",
    "Seam",
    "SearchResult",
    "SewnRow",
    "Shape",
    "Slash",
    "SpreadPiece",
    "Text",
    "TruingMethod",
    "Underarm",
    "armhole_notches",
    "armhole_row",
    "at_least",
    "at_most",
    "bicep_level",
    "bicep_width",
    "both_ways",
    "bridged_gaps",
    "cap_apex",
    "cap_gains",
    "cap_halves",
    "cap_height",
    "cap_notches",
    "cap_range",
    "cut_line",
    "find_flaws",
    "format_length",
    "from_svgpathtools",
    "furthest_outwards",
    "given_name",
    "hem_slash",
    "hookimpl",
    "is_group",
    "lower_armhole",
    "most_of",
    "move_piece",
    "move_underarms_out",
    "overhang",
    "parse_length",
    "parts_moved",
    "prepare_cap",
    "raise_needed",
    "recognise_bodice",
    "recognise_sleeve",
    "recognise_yoke",
    "redraw_cap",
    "refuse_broken",
    "refuse_crossing",
    "replace",
    "ride_along_edge",
    "rules",
    "scoop_armhole",
    "seam_length",
    "self_crossing",
    "sewn_distance",
    "sewn_edge",
    "sewn_length",
    "sewn_row",
    "shoulder_at",
    "shoulder_point",
    "slide_notch",
    "smallest_movement",
    "spaced",
    "spell_edges",
    "spread",
    "stretch_cap",
    "suits_bodice",
    "suits_sleeve",
    "suits_yoke",
    "swap",
    "times_tighter",
    "title_of",
    "to_svgpathtools",
    "true",
    "true_flaw",
    "underarm_of",
    "unescaped",
    "unkept_promises",
    "why_unsewn",
    "widening_needed",
    "wider_than_usual",
    "with_allowance",
    "with_redrawn_cap",
    "with_shoulder_notch",
]


def __getattr__(name: str) -> object:
    if name not in _HOME:
        raise AttributeError(f"svgfit.plugin has no {name!r}; it has: {', '.join(__all__)}")
    from importlib import import_module

    if name == "rules":  # a package of files, each read when first used
        return import_module("svgfit.rules")
    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
