"""The one module that a plug-in's author imports. Everything here is frozen records and pure functions.

Lengths are millimetres, angles radians, y runs down; pieces come in their own frame (svgfit.model.piece). The hooks are
written down in svgfit.plugin.hookspecs. Names are fetched when first used: importing this module costs nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from svgfit.fitting.armhole import unsewn
    from svgfit.fitting.armholes import Reshaped, Underarm, lowered, scooped, underarm_of
    from svgfit.fitting.bodymeasures import most_of
    from svgfit.fitting.capreach import cap_reach
    from svgfit.fitting.carry import moved_piece, ride
    from svgfit.fitting.flaws import bridged, find_flaws, true_flaw
    from svgfit.fitting.hemslash import HemSlash, hem_slash, raised_by, widened_by
    from svgfit.fitting.measure import armhole_row, bicep_level, bicep_width, cap_halves, cap_height, shoulder_place
    from svgfit.fitting.notching import Stand, armhole_stands, cap_stands, slid, with_shoulder_notch
    from svgfit.fitting.recurve import (
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
    from svgfit.fitting.redraw import Manner
    from svgfit.fitting.seamlength import seam_length, seam_name
    from svgfit.fitting.sewn import SewnRow, sewn_distance, sewn_edge, sewn_length, sewn_row, shoulder_at
    from svgfit.fitting.slash import Slash
    from svgfit.fitting.spread import Parted, spread
    from svgfit.fitting.target import Found, smallest_movement
    from svgfit.fitting.truing import REACH, refuse_crossing, true, unkept
    from svgfit.fitting.widen import cap_apex, points_out, stretched
    from svgfit.geometry.affine import Affine
    from svgfit.geometry.curve import Curve
    from svgfit.geometry.selfcross import self_crossing
    from svgfit.model.dialect import Dialect, Element, LayerFacts
    from svgfit.model.drawing import Shape, Text
    from svgfit.model.drawn import DrawnPiece, Measurer, Recogniser
    from svgfit.model.length import at_least, at_most, both_ways, format_length, parse_length
    from svgfit.model.names import given_name, is_group, spaced, title_of, unescaped
    from svgfit.model.operation import Job, Operation, Outcome, Parameter, hookimpl, replace, swap
    from svgfit.model.piece import Dart, Edge, Landmark, Mark, Piece
    from svgfit.model.plan import Seam
    from svgfit.model.refusal import Refusal
    from svgfit.model.report import Annotation, Check, Measurement, Opening
    from svgfit.pattern.allowance import cut_line, refuse_broken, wider_than_usual
    from svgfit.pattern.bodice import recognise_bodice, suits_bodice
    from svgfit.pattern.notchlines import with_allowance
    from svgfit.pattern.sleeve import recognise_sleeve, suits_sleeve
    from svgfit.pattern.yoke import recognise_yoke, suits_yoke
    from svgfit.plugin.svgpathtools_bridge import from_svgpathtools, to_svgpathtools

_HOME = {
    "with_allowance": "svgfit.pattern.notchlines",
    "most_of": "svgfit.fitting.bodymeasures",
    "Reshaped": "svgfit.fitting.armholes",
    "Underarm": "svgfit.fitting.armholes",
    "underarm_of": "svgfit.fitting.armholes",
    "scooped": "svgfit.fitting.armholes",
    "lowered": "svgfit.fitting.armholes",
    "shoulder_place": "svgfit.fitting.measure",
    "sewn_distance": "svgfit.fitting.sewn",
    "armhole_row": "svgfit.fitting.measure",
    "Stand": "svgfit.fitting.notching",
    "with_shoulder_notch": "svgfit.fitting.notching",
    "slid": "svgfit.fitting.notching",
    "armhole_stands": "svgfit.fitting.notching",
    "cap_stands": "svgfit.fitting.notching",
    "ride": "svgfit.fitting.carry",
    "moved_piece": "svgfit.fitting.carry",
    "cap_apex": "svgfit.fitting.widen",
    "points_out": "svgfit.fitting.widen",
    "stretched": "svgfit.fitting.widen",
    "cut_line": "svgfit.pattern.allowance",
    "wider_than_usual": "svgfit.pattern.allowance",
    "refuse_broken": "svgfit.pattern.allowance",
    "unsewn": "svgfit.fitting.armhole",
    "self_crossing": "svgfit.geometry.selfcross",
    "at_least": "svgfit.model.length",
    "at_most": "svgfit.model.length",
    "both_ways": "svgfit.model.length",
    "REACH": "svgfit.fitting.truing",
    "unkept": "svgfit.fitting.truing",
    "Found": "svgfit.fitting.target",
    "Manner": "svgfit.fitting.redraw",
    "Affine": "svgfit.geometry.affine",
    "Annotation": "svgfit.model.report",
    "Check": "svgfit.model.report",
    "Curve": "svgfit.geometry.curve",
    "Dialect": "svgfit.model.dialect",
    "DrawnPiece": "svgfit.model.drawn",
    "Edge": "svgfit.model.piece",
    "Element": "svgfit.model.dialect",
    "Job": "svgfit.model.operation",
    "Landmark": "svgfit.model.piece",
    "LayerFacts": "svgfit.model.dialect",
    "given_name": "svgfit.model.names",
    "is_group": "svgfit.model.names",
    "spaced": "svgfit.model.names",
    "title_of": "svgfit.model.names",
    "unescaped": "svgfit.model.names",
    "Mark": "svgfit.model.piece",
    "Measurement": "svgfit.model.report",
    "Measurer": "svgfit.model.drawn",
    "Opening": "svgfit.model.report",
    "Operation": "svgfit.model.operation",
    "Outcome": "svgfit.model.operation",
    "Parameter": "svgfit.model.operation",
    "Piece": "svgfit.model.piece",
    "Recogniser": "svgfit.model.drawn",
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
    "Cap": "svgfit.fitting.recurve",
    "Recurved": "svgfit.fitting.recurve",
    "cap_gains": "svgfit.fitting.recurve",
    "furthest_outwards": "svgfit.fitting.recurve",
    "overhang": "svgfit.fitting.recurve",
    "prepare_cap": "svgfit.fitting.recurve",
    "recurve": "svgfit.fitting.recurve",
    "redrawn_cap": "svgfit.fitting.recurve",
    "tighter": "svgfit.fitting.recurve",
    "HemSlash": "svgfit.fitting.hemslash",
    "hem_slash": "svgfit.fitting.hemslash",
    "raised_by": "svgfit.fitting.hemslash",
    "widened_by": "svgfit.fitting.hemslash",
    "cap_reach": "svgfit.fitting.capreach",
    "bicep_level": "svgfit.fitting.measure",
    "bicep_width": "svgfit.fitting.measure",
    "bridged": "svgfit.fitting.flaws",
    "cap_halves": "svgfit.fitting.measure",
    "cap_height": "svgfit.fitting.measure",
    "find_flaws": "svgfit.fitting.flaws",
    "recognise_bodice": "svgfit.pattern.bodice",
    "recognise_sleeve": "svgfit.pattern.sleeve",
    "recognise_yoke": "svgfit.pattern.yoke",
    "suits_yoke": "svgfit.pattern.yoke",
    "refuse_crossing": "svgfit.fitting.truing",
    "Dart": "svgfit.model.piece",
    "SewnRow": "svgfit.fitting.sewn",
    "sewn_edge": "svgfit.fitting.sewn",
    "sewn_length": "svgfit.fitting.sewn",
    "sewn_row": "svgfit.fitting.sewn",
    "shoulder_at": "svgfit.fitting.sewn",
    "seam_length": "svgfit.fitting.seamlength",
    "seam_name": "svgfit.fitting.seamlength",
    "smallest_movement": "svgfit.fitting.target",
    "spread": "svgfit.fitting.spread",
    "suits_bodice": "svgfit.pattern.bodice",
    "suits_sleeve": "svgfit.pattern.sleeve",
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
    "seam_name",
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
