"""The one module that a plug-in's author imports. Everything here is frozen records and pure functions.

Lengths are millimetres, angles radians, y runs down; pieces come in their own frame (svgfit.model.piece). The hooks are
written down in svgfit.plugin.hookspecs. Names are fetched when first used: importing this module costs nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from svgfit.fitting.armhole import armhole_row, unsewn
    from svgfit.fitting.armhole_reshape import Reshaped, Underarm, lowered, scooped, underarm_of
    from svgfit.fitting.bicep import cap_apex, points_out, stretched
    from svgfit.fitting.blend_choice import Manner
    from svgfit.fitting.cap_range import cap_reach
    from svgfit.fitting.cap_redraw import (
        Cap,
        Recurved,
        cap_gains,
        furthest_outwards,
        overhang,
        prepare_cap,
        recurve,
        redrawn_cap,
        tighter,
    )
    from svgfit.fitting.flaws import bridged, find_flaws, true_flaw
    from svgfit.fitting.hem_slash import HemSlash, hem_slash, raised_by, widened_by
    from svgfit.fitting.measure import bicep_level, bicep_width, cap_halves, cap_height, shoulder_place
    from svgfit.fitting.movement_search import Found, smallest_movement
    from svgfit.fitting.notch_moves import Stand, armhole_stands, cap_stands, slid, with_shoulder_notch
    from svgfit.fitting.ride_along import moved_piece, ride
    from svgfit.fitting.sewn import SewnRow, seam_length, sewn_distance, sewn_edge, sewn_length, sewn_row, shoulder_at
    from svgfit.fitting.slash import Slash
    from svgfit.fitting.spread import Parted, spread
    from svgfit.fitting.truing import REACH, refuse_crossing, true, unkept
    from svgfit.geometry.affine import Affine
    from svgfit.geometry.curve import Curve
    from svgfit.geometry.self_crossing import self_crossing
    from svgfit.model.dialect import Dialect, Element, LayerFacts
    from svgfit.model.drawing import Shape, Text
    from svgfit.model.length import at_least, at_most, both_ways, format_length, parse_length
    from svgfit.model.operation import Job, Operation, Outcome, Parameter, hookimpl, replace, swap
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
    "with_allowance": "svgfit.pattern.notch_lines",
    "most_of": "svgfit.rules.body_measures",
    "Reshaped": "svgfit.fitting.armhole_reshape",
    "Underarm": "svgfit.fitting.armhole_reshape",
    "underarm_of": "svgfit.fitting.armhole_reshape",
    "scooped": "svgfit.fitting.armhole_reshape",
    "lowered": "svgfit.fitting.armhole_reshape",
    "shoulder_place": "svgfit.fitting.measure",
    "sewn_distance": "svgfit.fitting.sewn",
    "armhole_row": "svgfit.fitting.armhole",
    "Stand": "svgfit.fitting.notch_moves",
    "with_shoulder_notch": "svgfit.fitting.notch_moves",
    "slid": "svgfit.fitting.notch_moves",
    "armhole_stands": "svgfit.fitting.notch_moves",
    "cap_stands": "svgfit.fitting.notch_moves",
    "ride": "svgfit.fitting.ride_along",
    "moved_piece": "svgfit.fitting.ride_along",
    "cap_apex": "svgfit.fitting.bicep",
    "points_out": "svgfit.fitting.bicep",
    "stretched": "svgfit.fitting.bicep",
    "cut_line": "svgfit.pattern.allowance",
    "wider_than_usual": "svgfit.pattern.allowance",
    "refuse_broken": "svgfit.pattern.allowance",
    "unsewn": "svgfit.fitting.armhole",
    "self_crossing": "svgfit.geometry.self_crossing",
    "at_least": "svgfit.model.length",
    "at_most": "svgfit.model.length",
    "both_ways": "svgfit.model.length",
    "REACH": "svgfit.fitting.truing",
    "unkept": "svgfit.fitting.truing",
    "Found": "svgfit.fitting.movement_search",
    "Manner": "svgfit.fitting.blend_choice",
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
    "Parted": "svgfit.fitting.spread",
    "Slash": "svgfit.fitting.slash",
    "Cap": "svgfit.fitting.cap_redraw",
    "Recurved": "svgfit.fitting.cap_redraw",
    "cap_gains": "svgfit.fitting.cap_redraw",
    "furthest_outwards": "svgfit.fitting.cap_redraw",
    "overhang": "svgfit.fitting.cap_redraw",
    "prepare_cap": "svgfit.fitting.cap_redraw",
    "recurve": "svgfit.fitting.cap_redraw",
    "redrawn_cap": "svgfit.fitting.cap_redraw",
    "tighter": "svgfit.fitting.cap_redraw",
    "HemSlash": "svgfit.fitting.hem_slash",
    "hem_slash": "svgfit.fitting.hem_slash",
    "raised_by": "svgfit.fitting.hem_slash",
    "widened_by": "svgfit.fitting.hem_slash",
    "cap_reach": "svgfit.fitting.cap_range",
    "bicep_level": "svgfit.fitting.measure",
    "bicep_width": "svgfit.fitting.measure",
    "bridged": "svgfit.fitting.flaws",
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
    "Cap",
    "Check",
    "Curve",
    "Dart",
    "Dialect",
    "DrawnPiece",
    "Edge",
    "Element",
    "Found",
    "HemSlash",
    "Job",
    "Landmark",
    "LayerFacts",
    "Manner",
    "Mark",
    "Measurement",
    "Measurer",
    "Opening",
    "Operation",
    "Outcome",
    "Parameter",
    "Parted",
    "Piece",
    "Recogniser",
    "Recurved",
    "Refusal",
    "Reshaped",
    "Seam",
    "SewnRow",
    "Shape",
    "Slash",
    "Stand",
    "Text",
    "Underarm",
    "armhole_row",
    "armhole_stands",
    "at_least",
    "at_most",
    "bicep_level",
    "bicep_width",
    "both_ways",
    "bridged",
    "cap_apex",
    "cap_gains",
    "cap_halves",
    "cap_height",
    "cap_reach",
    "cap_stands",
    "cut_line",
    "find_flaws",
    "format_length",
    "from_svgpathtools",
    "furthest_outwards",
    "given_name",
    "hem_slash",
    "hookimpl",
    "is_group",
    "lowered",
    "most_of",
    "moved_piece",
    "overhang",
    "parse_length",
    "points_out",
    "prepare_cap",
    "raised_by",
    "recognise_bodice",
    "recognise_sleeve",
    "recognise_yoke",
    "recurve",
    "redrawn_cap",
    "refuse_broken",
    "refuse_crossing",
    "replace",
    "ride",
    "scooped",
    "seam_length",
    "self_crossing",
    "sewn_distance",
    "sewn_edge",
    "sewn_length",
    "sewn_row",
    "shoulder_at",
    "shoulder_place",
    "slid",
    "smallest_movement",
    "spaced",
    "spell_edges",
    "spread",
    "stretched",
    "suits_bodice",
    "suits_sleeve",
    "suits_yoke",
    "swap",
    "tighter",
    "title_of",
    "to_svgpathtools",
    "true",
    "true_flaw",
    "underarm_of",
    "unescaped",
    "unkept",
    "unsewn",
    "widened_by",
    "wider_than_usual",
    "with_allowance",
    "with_shoulder_notch",
]


def __getattr__(name: str) -> object:
    if name not in _HOME:
        raise AttributeError(f"svgfit.plugin has no {name!r}; it has: {', '.join(__all__)}")
    from importlib import import_module

    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
