"""The body measures that advice works from: names as the trade has them, and how each is taken.

The numbers of ISO 8559-1:2017 are quoted from a published list of body measurements that gives them (second hand; the
standard itself was not looked at); where no number stands, the name is as in the standard from memory, the number not
checked. How to take a measure: common practice, no source.
"""

from __future__ import annotations

from svgfit.model.body import Measure

ARM, TIP, DEPTH, SHOULDER = "upper arm girth", "shoulder tip to bicep line", "armhole depth", "shoulder length"
LENGTH, WRIST, CHEST, ARMSCYE, BACK = "arm length", "wrist girth", "chest girth", "armscye girth", "across back"
FRONT_DEPTH, HIGH_BUST = "front armhole depth", "high bust girth"

MEASURES: tuple[Measure, ...] = (
    Measure(
        SHOULDER,
        "From the side of the neck, where a chain would lie, along the top of the shoulder to the shoulder tip (the "
        "end of the bone).",
        "against the pattern's shoulder: where the armhole seam sits",
        (50.0, 230.0),
        ("shoulder", "shoulder seam", "neck to shoulder tip"),
        "shoulder length",
    ),
    Measure(
        DEPTH,
        "Lay a ruler or a tape level under both arms, round the back. From the bone at the nape (back neck point) "
        "straight down the spine to it.",
        "against the depth of the pattern's armhole, from the back neck to the underarm",
        (80.0, 400.0),
        ("scye depth", "armscye depth", "back neck to underarm", "nape to underarm"),
        "scye depth length",
    ),
    Measure(
        FRONT_DEPTH,
        "With the same tape under both arms: from the side of the neck, where a chain would lie, straight down the "
        "front to it.",
        "with the one above: whether an armhole lacks length, or a round back or a full bust takes it",
        (100.0, 450.0),
        ("front scye depth", "front armscye depth", "neck to underarm front"),
    ),
    Measure(
        ARM,
        "Round the fullest part of the upper arm, the arm hanging, its muscles relaxed; the tape lies on and does not "
        "press.",
        "against the bicep width, with wearing ease",
        (120.0, 800.0),
        ("upper arm", "arm girth", "bicep", "biceps", "bicep girth", "biceps girth", "upperarm girth"),
        "upper-arm girth (taken half way between shoulder and elbow)",
        "5.3.16",
    ),
    Measure(
        TIP,
        "Tie a tape level round the arm close under the armpit. From the shoulder tip down the outside of the arm to "
        "it.",
        "against the cap height",
        (50.0, 300.0),
        ("shoulder to bicep", "shoulder tip to bicep", "shoulder to bicep line", "crown height", "cap measure"),
    ),
    Measure(
        LENGTH,
        "From the shoulder tip over the bent elbow to the wrist bone.",
        "against the sleeve's whole length, cap top to hem",
        (200.0, 1000.0),
        ("sleeve length", "outer arm length", "shoulder to wrist"),
        "outer arm length",
        "5.7.8",
    ),
    Measure(
        ARMSCYE,
        "Round the arm where it joins the body: over the shoulder tip and through the armpit, the arm hanging.",
        "against the length of the armhole, which should not be shorter",
        (200.0, 900.0),
        ("armhole girth", "armscye", "scye girth"),
        "armscye girth",
    ),
    Measure(
        WRIST,
        "Round the wrist, over the wrist bone.",
        "to catch slips: no wrist is wider than its upper arm",
        (90.0, 350.0),
        ("wrist",),
        "wrist girth",
        "5.3.19",
    ),
    Measure(
        CHEST,
        "Round the body at the fullest part of the chest or bust, the tape level.",
        "against the garment's girth at the underarm",
        (400.0, 2200.0),
        ("bust girth", "chest", "bust"),
        "bust girth, or chest girth",
        "5.3.4 (bust girth)",
    ),
    Measure(
        HIGH_BUST,
        "Round the body close under the arms, above the fullest part of the bust, the tape level.",
        "with the chest or bust girth: whether a bust is full",
        (400.0, 2200.0),
        ("high bust", "upper bust", "high chest"),
    ),
    Measure(
        BACK,
        "Across the shoulder blades from arm to arm, half way down the armhole, arms hanging.",
        "against the back's width half way down the armhole",
        (180.0, 800.0),
        ("back width", "across the back"),
        "across back width",
    ),
)


def most_of(name: str) -> float:
    """Look up the largest value in mm that a measure of any body has; beyond it is a slip of the pen.

    Raises KeyError for a measure that is not there.
    """
    return {known.name: known.between[1] for known in MEASURES}[name]
