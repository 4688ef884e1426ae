"""Complaints at a fitting: their causes in the order to look at them, what to measure, and what is done about each.

Common practice, from memory, no source. A table of records with a page of its own (docs/complaints.md). What is done is
a complaint too, as operations say it of themselves (``Operation.answers``): by that the operations are found.
"""

from __future__ import annotations

from msgspec import Struct


class Cause(Struct, frozen=True):
    """One cause of a complaint."""

    cause: str
    """What is wrong, in words for people."""
    measure: str
    """What to measure, or to look at, to know whether it is this."""
    asks: tuple[str, ...]
    """What operations that mend it answer to; the most ordinary way first."""


class Complaint(Struct, frozen=True):
    """What is seen at a fitting."""

    complaint: str
    """As a fitter says it."""
    causes: tuple[Cause, ...]
    """In the order in which to look at them."""


_BACK_LENGTH = Cause(
    "the back is too short over the curve of the back",
    "nape to waist over the curve, against the pattern's centre back",
    ("drags from the neck to the armhole over the shoulder blades",),
)
_FORWARD = Cause(
    "the shoulder seam lies too far back at the tip",
    "from the seam as it lies to the bone's end, at the shoulder tip",
    ("shoulder seam pulls to the back",),
)
_SLOPE = Cause(
    "the shoulder is more or less sloping than the pattern's",
    "how far the neck point stands above the shoulder tip",
    ("folds from the neck to the underarm",),
)
_BICEP = Cause(
    "the sleeve is too narrow at the upper arm",
    "round the upper arm with ease, against the bicep width",
    ("sleeve tight across the upper arm",),
)
_CAP = Cause(
    "the cap is too low",
    "from the shoulder tip down to a tape round the arm, against the cap height",
    ("drags from the underarm to the cap top",),
)
_BUST = Cause(
    "the front is too small over the bust",
    "full bust less high bust, against the pattern's",
    ("drag lines to the bust",),
)

COMPLAINTS: tuple[Complaint, ...] = (
    Complaint("the shoulder seam pulls to the back", (_FORWARD, _BACK_LENGTH)),
    Complaint("drags from the neck to the armhole over the shoulder blades", (_BACK_LENGTH, _SLOPE)),
    Complaint("the hem rises at the back", (_BACK_LENGTH,)),
    Complaint("the hem rises at the front", (_BUST,)),
    Complaint("drag lines to the bust", (_BUST,)),
    Complaint(
        "folds across the back above the seat",
        (
            Cause(
                "the back is too long between nape and seat",
                "centre back from nape to waist, and where the waist lies",
                ("folds across the back above the seat",),
            ),
            Cause(
                "the hips are too narrow, and the cloth rides up",
                "hip girth with ease, at its level",
                ("side seam tight at the hip",),
            ),
        ),
    ),
    Complaint(
        "strain across the shoulder blades",
        (
            Cause(
                "the back is too narrow",
                "across the back half-way down the armhole, arms hanging, against the pattern's",
                ("strain across the shoulder blades",),
            ),
            _BICEP,
        ),
    ),
    Complaint(
        "strain across the chest between the armholes",
        (
            Cause(
                "the front is too narrow across the chest",
                "across the chest half-way down the armhole, against the pattern's",
                ("strain across the chest between the armholes",),
            ),
            _BUST,
        ),
    ),
    Complaint("folds from the neck to the underarm", (_SLOPE,)),
    Complaint(
        "the armhole seam hangs off the shoulder",
        (
            Cause(
                "the shoulder is too wide",
                "neck point to shoulder tip, against the pattern's shoulder",
                ("armhole seam hangs off the shoulder",),
            ),
        ),
    ),
    Complaint(
        "the neckline chokes",
        (
            Cause(
                "the neckline is too high or too narrow",
                "round the base of the neck, and where a chain would lie, against the neckline as sewn",
                ("neckline chokes",),
            ),
            _BACK_LENGTH,
        ),
    ),
    Complaint(
        "the neckline stands away",
        (
            Cause(
                "the neckline is too long for the chest",
                "pinch out what stands away, and measure the pinch",
                ("neckline or armhole gapes",),
            ),
            _BUST,
        ),
    ),
    Complaint(
        "the armhole gapes", (_BUST, Cause("the armhole is too long", "pinch it", ("neckline or armhole gapes",)))
    ),
    Complaint(
        "the armhole cuts in under the arm",
        (
            Cause(
                "the armhole is not deep enough",
                "nape to a level tape under both arms, against the armhole depth",
                ("armhole cuts in under the arm",),
            ),
            Cause(
                "front and back are too short above the underarm",
                "neck point to underarm level, front and back apart",
                ("neckline rides back, armhole tight though the cap is right",),
            ),
        ),
    ),
    Complaint("drags from the underarm to the cap top", (_CAP, _BICEP)),
    Complaint("the sleeve is tight across the upper arm", (_BICEP, _CAP)),
    Complaint(
        "folds from one side of the cap, the arm hangs forward",
        (
            Cause(
                "the sleeve is set in turned",
                "how the arm hangs, and whether the sleeve's lengthwise grain hangs upright",
                ("sleeve hangs turned, folds from one side of the cap",),
            ),
        ),
    ),
    Complaint(
        "the garment rises when the arm is lifted",
        (
            Cause(
                "the armhole is too deep, or sleeve and underarm are too short",
                "armhole depth, and the sleeve's underarm seam",
                ("garment rises when the arm is lifted",),
            ),
        ),
    ),
    Complaint(
        "the hem, waist or elbow sits in the wrong place",
        (
            Cause(
                "the piece is too long or too short",
                "nape to waist, shoulder tip to elbow and to wrist, against the pattern's",
                ("hem, waist or elbow sits too high or too low",),
            ),
        ),
    ),
    Complaint(
        "too tight or too wide at bust, waist or hip",
        (
            Cause(
                "the width is wrong at one level",
                "the girth at that level with ease, against the pattern's",
                ("side seam tight or wide at bust, waist, hip",),
            ),
        ),
    ),
)
"""By what is seen."""
