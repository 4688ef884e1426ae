"""How much ease which kind of garment takes, and how it is shared: data to be set otherwise, never law. Lengths in mm.

STYLES: cap ease in inches, how high the cap is and where the seam sits: common practice, no source. The shares of the
armhole, the wearing ease at bicep, back and bust and the depth of the armhole: from memory. A convention's
``[ease.NAME]`` sets other figures, or a workshop's own styles.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from msgspec import Struct

from svgfit.model.length import MM_PER_INCH, both_ways
from svgfit.model.refusal import Refusal
from svgfit.model.wording import name_key
from svgfit.rules import JUDGEMENT, MEMORY, PRACTICE, Mm, MmRange, Share, ShareRange, Source, Words

Range = tuple[float, float]
"""Least and most."""
GATHERED: Annotated[Mm, PRACTICE] = 3 * MM_PER_INCH
"""From this much cap ease on a person is warned, unless the cap is to be gathered."""
TOO_SHORT: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 4
"""A cap shorter than its armhole by more than this can't be sewn in, where no style says otherwise."""
HEIGHT_CLOSE_ENOUGH: Annotated[Mm, PRACTICE] = MM_PER_INCH / 16
"""A cap height that is off by no more than this needs no work."""
SHARE_BACK: Annotated[ShareRange, PRACTICE] = (0.5, 0.6)
"""The back takes this part of the cap ease."""
SHARE_BACK_IN_WORDS: Annotated[Words, PRACTICE] = ("half", "3/5")
"""The same, in words."""
SHARE_SLACK: Annotated[Mm, MEMORY] = MM_PER_INCH / 64
"""A share of the ease that is off by no more than this is not reported as off: a pencil line's width."""
SHARE_CLOSE_ENOUGH: Annotated[Mm, PRACTICE] = MM_PER_INCH / 16
"""In advice, a share of the ease that is off by no more than this needs no work."""
EASE_CLOSE_ENOUGH: Annotated[Mm, PRACTICE] = MM_PER_INCH / 4
"""In advice, so much cap ease more than usual is eased in before a cap is bent for it."""
SHARE_AS_DRAWN: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 4
"""In advice, a share as the maker drew it stays unless the back has this much more or less ease than practice gives."""
SLEEVE_OVER_ARM: Annotated[MmRange, PRACTICE] = (0.0, MM_PER_INCH * 3 / 4)
"""How much longer than from where the seam sits to the wrist bone, over the bent elbow, a long sleeve is."""
SLEEVE_CLOSE_ENOUGH: Annotated[Mm, PRACTICE] = MM_PER_INCH / 8
"""A sleeve's whole length that is off by no more than this needs no work."""
SLEEVE_FULL: Annotated[Share, JUDGEMENT] = 0.85
"""A sleeve shorter than this part of the arm is not meant to reach the wrist."""
LEAST_PARTED: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 16
"""Less cap ease than this is not divided into the front's and the back's."""
LEAST_SHARED_OUT: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 4
"""Less cap ease than this needs no advice on sharing it out: each side's part is an eighth of an inch."""
LEAST_CHANGE_REPORTED: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 64
"""A cap ease that changes by less than this is not reported: finer than anyone cuts."""
SHOULDER_EASED: Annotated[
    Mm, Source('clothingpatterns101.com/sewing-ease.html: a back shoulder dart of "less than 1/2 in" is eased instead')
] = MM_PER_INCH / 2
"""A back shoulder longer than the front's by no more than this is eased in, and usual, where nothing is stated."""
ELBOW_EASED: Annotated[Mm, MEMORY] = MM_PER_INCH / 2
"""The back of a sleeve's underarm seam may be longer by this, eased at the elbow, where nothing is stated."""
CAP_HEIGHT: Annotated[MmRange, PRACTICE] = (MM_PER_INCH / 4, MM_PER_INCH * 3 / 8)
"""How much higher than from where the seam sits to the arm's bicep line a cap is, where its style says no otherwise."""


class EaseRule(Struct, frozen=True):
    """What a convention, or a plug-in, says of one style. Each least and most, lengths in mm; None: nothing is said."""

    name: str
    """The style's name: one that is known, or one's own."""
    cap: Range | None = None
    """Cap ease; a style of one's own needs it."""
    still: Range | None = None
    """Cap ease that is still no cause for a warning."""
    share: Range | None = None
    """Cap ease as a part of the armhole."""
    bicep: Range | None = None
    """Wearing ease at the bicep."""
    depth: Range | None = None
    """How much deeper than the body's its armhole is."""
    height: Range | None = None
    """How much higher its cap is than from where the seam sits to the arm's bicep line."""
    sits: Range | None = None
    """How far beyond the shoulder tip the armhole seam sits."""
    back: Range | None = None
    """How much wider than the body's its back is, both halves."""
    bust: Range | None = None
    """How much more than chest or bust it measures at the underarm."""

    @property
    def words(self) -> str:
        """Say for people what it is a rule of."""
        return f"ease of style {self.name}"


KindRow = tuple[tuple[str, str], ...]
"""Edges by kind of piece, in sewing order: (("front", "armhole"), ("back", "armhole"))."""


class SeamEaseRule(Struct, frozen=True, kw_only=True):
    """What a plug-in gives for how much longer one row of a seam is than the other, where svgfit.toml states none."""

    eased: KindRow
    """The longer row."""
    onto: KindRow
    """The row that it is sewn to."""
    least: float
    """mm, not less than nothing."""
    most: float
    """mm."""

    @property
    def name(self) -> str:
        """Say what it is a rule of; no two plug-ins' may be alike."""
        return f"ease of {_spelt(self.eased)} on {_spelt(self.onto)}"

    @property
    def words(self) -> str:
        """Say it for people."""
        amounts = dict.fromkeys(both_ways(amount) for amount in (self.least, self.most))
        return f"{self.name} {' to '.join(amounts)}"


def _spelt(row: KindRow) -> str:
    return "+".join(f"{kind}/{edge}" for kind, edge in row)


class Style(Struct, frozen=True):
    """What one kind of garment takes."""

    name: str
    cap: Range
    """Cap ease, least and most."""
    still: Range | None = None
    """Cap ease that is still no cause for a warning, where that is more than ``cap``."""
    share: Range | None = None
    """Cap ease as a part of the armhole, where practice names one."""
    bicep: Range | None = None
    """Wearing ease at the bicep, least and most; None where practice names none here."""
    depth: Range | None = None
    """How much deeper than the body's its armhole is, least and most; None where practice names none here."""
    height: Range = CAP_HEIGHT
    """How much higher its cap is than from where the seam sits to the arm's bicep line; less than nothing: lower."""
    sits: Range = (0.0, 0.0)
    """How far beyond the shoulder tip the armhole seam sits, along the arm; less than nothing: inside it."""
    back: Range | None = None
    """How much wider than the body's its back is, both halves; None where practice names none here."""
    bust: Range | None = None
    """How much more than chest or bust it measures at the underarm; None where practice names none here."""

    def allows(self, ease: float) -> bool:
        """Say whether a cap ease of that much is no cause for a warning (to 1/100 mm)."""
        low, high = self.still or self.cap
        return low - 0.01 <= ease <= high + 0.01


def _inches(low: float, high: float) -> Range:
    return low * MM_PER_INCH, high * MM_PER_INCH


STYLES: tuple[Style, ...] = (
    Style(
        "flat-felled shirt",
        _inches(0, 0.25),
        _inches(-0.25, 0.25),
        bicep=_inches(3, 4),
        depth=_inches(1, 2),
        height=_inches(-3, 0.375),
        sits=_inches(0, 1.5),
        back=_inches(1, 3),
        bust=_inches(4, 9),
    ),
    Style(
        "shirt",
        _inches(0, 1),
        share=(0.0, 0.02),
        bicep=_inches(3, 4),
        depth=_inches(1, 2),
        height=_inches(-2.5, 0.375),
        sits=_inches(0, 1.5),
        back=_inches(1, 3),
        bust=_inches(4, 9),
    ),
    Style(
        "blouse",
        _inches(0.75, 1),
        share=(0.03, 0.05),
        bicep=_inches(2, 3),
        depth=_inches(0.5, 1.5),
        height=_inches(-0.75, 0.375),
        sits=_inches(0, 0.5),
        back=_inches(0.75, 2),
        bust=_inches(3, 6),
    ),
    Style(
        "fitted woven",
        _inches(1, 1.875),
        bicep=_inches(1.5, 2.5),
        depth=_inches(0.5, 1),
        back=_inches(0.5, 1.25),
        bust=_inches(2, 4),
    ),
    Style(
        "tailored jacket",
        _inches(1, 1.5),
        _inches(1, 2.5),
        (0.05, 0.08),
        bicep=_inches(3, 4),
        depth=_inches(0.75, 1.5),
        height=_inches(0.25, 0.75),
        sits=_inches(0, 0.5),
        back=_inches(0.75, 1.5),
        bust=_inches(3.5, 6),
    ),
    Style(
        "coat",
        _inches(2, 2),
        _inches(1.5, 2.5),
        bicep=_inches(4, 5),
        depth=_inches(1.25, 2),
        height=_inches(0.25, 1),
        sits=_inches(0, 0.75),
        back=_inches(1.25, 2.5),
        bust=_inches(5, 9),
    ),
    Style(
        "knit",
        _inches(0, 0.75),
        bicep=(-2 * MM_PER_INCH, 0.0),
        depth=_inches(0, 0.75),
        height=_inches(-1.5, 0.375),
        sits=_inches(0, 1),
        back=_inches(-0.5, 0.75),
        bust=_inches(-2, 2),
    ),
    Style(
        "leather",
        _inches(0, 0.25),
        bicep=_inches(3, 4),
        depth=_inches(0.75, 1.5),
        height=_inches(-1, 0.375),
        sits=_inches(0, 0.75),
        back=_inches(0.75, 1.5),
        bust=_inches(3.5, 6),
    ),
)


def styles_with(rules: Iterable[EaseRule]) -> tuple[Style, ...]:
    """Merge a convention's styles into the known ones: what it sets otherwise, and its own ones after them.

    Raises Refusal where a new style lacks its cap ease.
    """
    found = {name_key(style.name): style for style in STYLES}
    for rule in rules:
        old = found.get(name_key(rule.name))
        if old is None and rule.cap is None:
            what = f"style {rule.name!r} has no cap ease"
            todo = (
                f'add cap = ["3/4 in", "1 in"], or name one that is known: {", ".join(style.name for style in STYLES)}'
            )
            raise Refusal(f'ease."{rule.name}"', what, todo)
        old = old or Style(rule.name, rule.cap or (0.0, 0.0))
        found[name_key(rule.name)] = Style(
            old.name,
            rule.cap or old.cap,
            rule.still or (None if rule.cap else old.still),
            rule.share or (None if rule.cap else old.share),
            rule.bicep or old.bicep,
            rule.depth or old.depth,
            rule.height or old.height,
            rule.sits or old.sits,
            rule.back or old.back,
            rule.bust or old.bust,
        )
    return tuple(found.values())


def find_style(name: str, styles: tuple[Style, ...] = STYLES) -> Style:
    """Find the style of that name (case, spaces and hyphens alike); refuse with the names there are."""
    for style in styles:
        if name_key(style.name) == name_key(name):
            return style
    raise Refusal("", f"there is no style {name!r}", f"choose one of: {', '.join(style.name for style in styles)}")
