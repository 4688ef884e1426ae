"""Words that records are compared by: units, piece kinds, edges, landmarks, marks, parameters, statuses, figures.

Every word is a string, so that it can be written into reports and drawings as it stands; a member is what code
compares with, so that a misspelt word is found by a type checker and not by a person with cloth in hand. Where people
or plug-ins bring words of their own (the edges of a panel, a recogniser's kind of piece) a record's field stays a text.
"""

from __future__ import annotations

from enum import StrEnum


class Unit(StrEnum):
    """A unit in which lengths are written for people."""

    IN = "in"
    """Inches."""
    MM = "mm"
    """Millimetres."""
    CM = "cm"
    """Centimetres."""


class MeasureUnit(StrEnum):
    """The unit of a measurement's value."""

    MM = "mm"
    """A length."""
    MM2 = "mm2"
    """An area, in square millimetres."""
    DEG = "deg"
    """An angle."""
    NUMBER = "number"
    """A plain number: a count, a ratio."""
    SHARE = "share"
    """A part of a whole, 1 for all of it; read as per cent."""


class PieceKind(StrEnum):
    """The kind of a piece, where a stock recogniser knows it."""

    SLEEVE = "sleeve"
    FRONT = "front"
    BACK = "back"
    YOKE = "yoke"
    OTHER = "other"


ANY_KIND = "any"
"""Stands among the kinds of an operation or a measurer for every kind of piece, a plug-in's own among them."""


def is_of_kinds(kind: str, kinds: tuple[str, ...]) -> bool:
    """Tell whether a piece's kind is one of ``kinds``, of which ``ANY_KIND`` stands for all.

    >>> is_of_kinds("cuff", ("sleeve", "any")), is_of_kinds("cuff", ("sleeve",))
    (True, False)
    """
    return kind in kinds or ANY_KIND in kinds


class Side(StrEnum):
    """A half of the body."""

    FRONT = "front"
    BACK = "back"


class EdgeName(StrEnum):
    """Edges that the stock recognisers name."""

    CAP = "cap"
    ARMHOLE = "armhole"
    ARMHOLE_FRONT = "armhole front"
    ARMHOLE_BACK = "armhole back"
    UNDERARM_FRONT = "underarm front"
    UNDERARM_BACK = "underarm back"
    HEM = "hem"
    SIDE_SEAM = "side seam"
    SHOULDER = "shoulder"
    NECKLINE = "neckline"
    CENTRE = "centre"
    FOLD = "fold"
    FRONT_SEAM = "front seam"
    BACK_SEAM = "back seam"


class LandmarkName(StrEnum):
    """Points that the stock recognisers know and that a drawing may mark."""

    CAP_TOP = "cap top"
    SHOULDER_NOTCH = "shoulder notch"
    UNDERARM_FRONT = "underarm front"
    UNDERARM_BACK = "underarm back"
    UNDERARM = "underarm"
    HEM_FRONT = "hem front"
    HEM_BACK = "hem back"
    HEM_SIDE = "hem side"
    HEM_CENTRE = "hem centre"
    SHOULDER_TIP = "shoulder tip"
    NECK_POINT = "neck point"
    NECK_CENTRE = "neck centre"
    ARMHOLE_FRONT = "armhole front"
    ARMHOLE_BACK = "armhole back"
    BACK_CENTRE = "back centre"


class MarkKind(StrEnum):
    """The kind of a mark on a piece."""

    NOTCH = "notch"
    SHOULDER_NOTCH = "shoulder notch"
    GRAIN_LINE = "grain line"
    BICEP_LINE = "bicep line"
    CENTRE_LINE = "centre line"
    FOLD_LINE = "fold line"
    DETAIL = "detail"
    TEXT = "text"


class Status(StrEnum):
    """The verdict of a check."""

    PASS = "pass"
    WARN = "warn"
    FAIL = "fail"


class Origin(StrEnum):
    """Whence a mismatch comes that a check found."""

    BEFORE = "before the run"
    """It was so before the run."""
    RUN = "the run"
    """The run made it, or made it more."""


class FindingStatus(StrEnum):
    """The outcome of one comparison of a pattern with a body (svgfit.model.advice)."""

    PASS = "pass"
    DO = "do"
    """One way, taken."""
    CHOSEN = "chosen"
    """Several ways, one picked."""
    OPEN = "choose"
    """Several ways, none picked yet."""
    UNKNOWN = "not known"
    """A measure or a piece is missing."""
    CANT = "can't be"
    """No way reaches it."""


class ParameterKind(StrEnum):
    """The kind of value that a parameter of an operation takes (svgfit.model.operation.Parameter)."""

    LENGTH = "length"
    """Handed over in mm."""
    NUMBER = "number"
    """A plain number, a fraction or a percentage."""
    TEXT = "text"
    EDGES = "edges"
    """``Piece/edge``, joined with ``+``; handed over as ((piece, edge), …)."""
    ANGLE = "angle"
    """``12 deg`` or ``12°``; handed over in radians."""
    COUNT = "count"
    """A whole number, none or more; handed over as an int."""
    YES_NO = "yes/no"
    """Handed over as True or False."""
    EDGE = "edge"
    """One edge: ``Piece/edge``, or ``edge`` of the step's own piece; handed over as (piece, edge)."""
    LANDMARK = "landmark"
    """``Piece/landmark``, or ``landmark`` of the step's own piece; handed over as (piece, landmark)."""
    PLACE = "place"
    """A place on a piece, as svgfit.fitting.places reads it; handed over as a Place."""
    PLACES = "places"
    """Places, joined with ``+``; handed over as a tuple of Place."""
    PIECES = "pieces"
    """Pieces, joined with ``+``; handed over as a tuple of names."""
    FILE = "file"
    """A file that is there, seen from the plan's folder (else from where svgfit runs); handed over as its path."""


BOUNDED = (ParameterKind.LENGTH, ParameterKind.NUMBER, ParameterKind.ANGLE, ParameterKind.COUNT)
"""The kinds of values that can have a minimum and a maximum."""


class AnnotationKind(StrEnum):
    """The meaning of a working line (svgfit.model.report.Annotation)."""

    SLASH = "slash"
    HINGE = "hinge"
    ARROW = "arrow"
    OLD_EDGE = "old edge"
    CUT_END = "cut end"
    CONSTRUCTION = "construction"


class DrawnLine(StrEnum):
    """A line of a piece that a drawing may have."""

    STITCH = "stitch"
    CUT = "cut"


class Figure(StrEnum):
    """Measurements that svgfit takes itself; plug-ins may add others."""

    OUTLINE_LENGTH = "outline length"
    OUTLINE_WIDTH = "outline width"
    OUTLINE_HEIGHT = "outline height"
    CAP_HEIGHT = "cap height"
    CAP_HEIGHT_AT_SHOULDER_NOTCH = "cap height at shoulder notch"
    CAP_LENGTH = "cap length"
    CAP_LENGTH_FRONT = "cap length front"
    CAP_LENGTH_BACK = "cap length back"
    BICEP_WIDTH = "bicep width"
    UNDERARM_SEAM_FRONT = "underarm seam front"
    UNDERARM_SEAM_BACK = "underarm seam back"
    UNDERARM_CORNER = "underarm corner"
    CAP_EASE = "cap ease"
    CAP_EASE_FRONT = "cap ease front"
    CAP_EASE_BACK = "cap ease back"
    CAP_TURN = "turned to the front on purpose"
    ARMHOLE_LENGTH = "armhole length"
    SIDE_SEAM = "side seam"
    SHOULDER = "shoulder"
