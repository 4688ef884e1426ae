"""The steps that the operations' pages show: .ci/check_docs.py runs them, draw_operations.py draws some of them."""

from __future__ import annotations

from typing import NamedTuple

STEPS = {
    "armhole-adjust": (
        "armhole-adjust lower='1/2 in'",
        "armhole-adjust scoop='1/8 in'",
        "armhole-adjust length='18 1/4 in'",
    ),
    "back-width": (
        "back-width piece=Back amount='3/4 in'",
        "back-width piece=Back width='17 in' into=dart",
        "back-width piece=Front amount='-1/2 in' how=hem",
    ),
    "bicep-widen": (
        "bicep-widen amount='1 in'",
        "bicep-widen width='14 1/2 in' how=cap-length",
        "bicep-widen amount='3/4 in' how=hem",
    ),
    "bust": (
        "bust piece=Front amount='2 in' bust-point='point 175 mm, 380 mm'",
        "bust piece=Front each='1/2 in' bust-point='point 175 mm, 380 mm' side='side seam 2 in' hinge='armhole 3 in'",
    ),
    "cap-raise": ("cap-raise piece=Sleeve height='5 7/8 in'", 'cap-raise amount=-3/8\\"'),
    "cap-redraw": ("cap-redraw amount='1/2 in'", "cap-redraw ease='1 in' within=whole outwards='3/4 in'"),
    "copy-piece": (
        "copy-piece piece=Front name='Front lining'",
        "copy-piece piece=Sleeve mirrored=yes",
    ),
    "dart-move": (),
    "dart-pivot": (),
    "ease-spread": ("ease-spread amount='1/2 in' at=0.8", "ease-spread cap-length='18 1/4 in'"),
    "edge-blend": (),
    "elbow-dart": (
        "elbow-dart amount='1 in' elbow-at='9 in'",
        "elbow-dart forward='1 in' elbow-at='9 in' short='1/2 in'",
    ),
    "gape": (
        "gape piece=Front at='neckline middle' amount='3/8 in' how='new dart' to='side seam 3 in' "
        "bust-point='point 175 mm, 360 mm'",
        "gape piece=Front at='neckline 3 in' amount='1/4 in' how=hinge to='hem middle'",
    ),
    "gusset": ("gusset amount='3 in'", "gusset amount='3 in' width='2 in'"),
    "lengthen": (
        "lengthen piece=Sleeve amount='1 in' at='8 in'",
        "lengthen piece=Sleeve amount='1 in' through=armhole",
    ),
    "neckline": (
        "neckline piece=Front amount='1/2 in'",
        "neckline piece=Front amount='0 in' wider='3/8 in'",
    ),
    "notch-match": ("notch-match", "notch-match to=cap", "notch-match share-back=0.55"),
    "round-back": (
        "round-back piece=Back amount='1/2 in'",
        "round-back piece=Back amount='-3/8 in' at='5 in'",
    ),
    "seam-allowance": (
        "seam-allowance piece=Sleeve edge=hem width='1 in'",
        "seam-allowance piece=Front width='3/8 in'",
    ),
    "seam-blend": (),
    "seam-check": (
        "seam-check a=Sleeve/cap b=Front/armhole+Back/armhole min='1/4 in' max='1 in'",
        "seam-check a='Front/side seam' b='Back/side seam'",
    ),
    "shift": (
        "shift piece=Front at='side seam 8 in' amount='1/2 in' runs-out='side seam 2 in + side seam 15 in'",
        "shift piece=Front edge=hem amount='2 in' way=down",
    ),
    "shoulder-forward": ("shoulder-forward amount='1/2 in'", "shoulder-forward front-armhole='8 1/2 in'"),
    "shoulder-pad": ("shoulder-pad amount='1/2 in' out='1/4 in'", "shoulder-pad height='6 in'"),
    "shoulder-slope": (
        "shoulder-slope amount='-1/2 in'",
        "shoulder-slope amount='3/8 in' armhole=redrawn",
        "shoulder-slope drop='2 in' shoulder=kept",
    ),
    "shoulder-width": (
        "shoulder-width amount='1/2 in'",
        "shoulder-width amount='-1/4 in' how=redraw",
        "shoulder-width width='5 3/4 in'",
    ),
    "side-seam": (
        "side-seam waist='-1 in' hem='1 in' waist-at='7 in'",
        "side-seam amount='1 in' with-sleeve=yes",
        "side-seam girth='44 in' bust-at='2 in'",
    ),
    "slash": (
        "slash piece=Front from='hem middle' to='armhole 3 in' amount='1 in'",
        "slash piece=Sleeve from='hem 3 in + hem 6 in' to='cap top' amount='1/2 in'",
    ),
    "sleeve-pitch": ("sleeve-pitch piece=Sleeve amount='3/8 in'", "sleeve-pitch piece=Sleeve to='1/4 in' which=upper"),
    "sleeve-width": (
        "sleeve-width amount='-1 1/2 in'",
        "sleeve-width elbow='1 in' elbow-at='9 in'",
        "sleeve-width width='12 in' at=forearm forearm-at='12 in'",
    ),
    "sway-back": (
        "sway-back piece=Back amount='1/2 in' at='5 in'",
        "sway-back piece=Back length='25 in' at='5 in'",
    ),
    "underarm-lift": ("underarm-lift amount='1/2 in'", "underarm-lift amount='3/4 in' out='1/2 in' taper='9 in'"),
    "unfold": ("unfold piece=Front",),
}
"""By operation; edge-blend and seam-blend find nothing to do on the demo's smock, and it has no darts."""


class Drawn(NamedTuple):
    """A step before and after, as the operation's page shows it."""

    step: str
    pieces: tuple[str, ...]
    box: tuple[float, float, float, float]
    """The part of the page shown: x, y, width, height, mm."""
    flaw: tuple[tuple[str, str], ...] = ()
    """Parts of the demo's drawing and what each is replaced by first, so that there is something to mend."""
    remark: str = ""
    """What the page says of it."""
    plugins: str = ""
    """The folder of plug-ins that does it, seen from the project's root; "" for a stock operation."""


DARTED = (
    (
        '  <g\n     inkscape:groupmode="layer"\n     id="layer2"',
        '  <g inkscape:groupmode="layer" id="darts" inkscape:label="Front details">'
        '<path style="fill:none;stroke:#1b1b1b;stroke-width:0.5" d="M 310,345 L 190,350 L 310,369"/></g>\n'
        '  <g\n     inkscape:groupmode="layer"\n     id="layer2"',
    ),
)
"""A bust dart in the smock's front, 24 mm wide."""
UPPER, CAP = (20.0, 50.0, 670.0, 330.0), (674.0, 28.0, 426.0, 255.0)

DRAWN = {
    "armhole-adjust": Drawn("armhole-adjust lower='1/2 in'", ("Front", "Back"), UPPER),
    "back-width": Drawn("back-width piece=Back amount='1 in'", ("Back",), (375, 50, 340, 330)),
    "bicep-widen": Drawn("bicep-widen amount='1 in'", ("Sleeve",), (674, 28, 426, 350)),
    "bust": Drawn("bust piece=Front amount='2 in' bust-point='point 175 mm, 380 mm'", ("Front",), (20, 40, 360, 780)),
    "cap-raise": Drawn("cap-raise piece=Sleeve height='5 7/8 in'", ("Sleeve",), CAP),
    "cap-redraw": Drawn("cap-redraw amount='1/2 in'", ("Sleeve",), CAP),
    "dart-move": Drawn(
        "dart-move piece=Front tip='side seam dart, 1 in up' parts=2",
        ("Front",),
        (150, 270, 200, 150),
        DARTED,
        "The demo's front has no dart; for the picture it was given one in the side seam.",
    ),
    "dart-pivot": Drawn(
        "dart-pivot piece=Front to='shoulder middle' tip='3/4 in'",
        ("Front",),
        (20, 40, 350, 760),
        DARTED,
        "The demo's front has no dart; for the picture it was given one in the side seam.",
    ),
    "ease-spread": Drawn("ease-spread amount='1/2 in' at=0.8", ("Sleeve",), CAP),
    "edge-blend": Drawn(
        "edge-blend piece=Front edge=hem redraw='3 in'",
        ("Front",),
        (30, 650, 310, 130),
        (
            ("L 310,740 L 40,740 ", "L 310,740 L 180,740 L 180,746 L 40,746 "),
            ("L 325.875,765.4 L 40,765.4 Z", "L 325.875,765.4 L 180,765.4 L 180,771.4 L 40,771.4 Z"),
        ),
        "The demo's edges have nothing to blend; for the picture its front was given a step of 6 mm in the hem.",
    ),
    "elbow-dart": Drawn("elbow-dart amount='1 in' elbow-at='9 in'", ("Sleeve",), (674, 28, 426, 720)),
    "gape": Drawn(
        "gape piece=Front at='neckline middle' amount='3/8 in' how='new dart' to='side seam 3 in' "
        "bust-point='point 175 mm, 360 mm'",
        ("Front",),
        (20, 40, 350, 420),
    ),
    "gusset": Drawn("gusset amount='3 in'", ("Front", "Back", "Sleeve", "Gusset"), (20, 20, 1280, 500)),
    "lengthen": Drawn(
        "lengthen piece=Sleeve amount='1 in' through=armhole", ("Front", "Back", "Sleeve"), (20, 20, 1090, 370)
    ),
    "level-line": Drawn(
        "level-line piece=Front from=underarm below='1 in'", ("Front",), UPPER, plugins="docs/examples/plugins"
    ),
    "neckline": Drawn(
        "neckline piece=Front amount='3/4 in' wider='3/8 in'",
        (
            "Front",
            "Back",
        ),
        (20, 50, 670, 330),
    ),
    "notch-match": Drawn("notch-match to=cap", ("Front", "Back"), UPPER),
    "round-back": Drawn("round-back piece=Back amount='3/4 in'", ("Back",), (375, 50, 340, 330)),
    "seam-allowance": Drawn("seam-allowance piece=Front width='3/8 in'", ("Front",), (20, 50, 340, 340)),
    "seam-blend": Drawn(
        "seam-blend edge=armhole seam='side seam'",
        ("Front", "Back"),
        (190, 210, 330, 120),
        (
            ("C 227.9514,268.1333 259.1299,300 310,300", "C 227.9514,268.1333 259.1299,282 310,300"),
            (
                "C 243.8264,246.3572 249.7073,258.5659 260.304,267.7614 C 271.6595,277.6154 288.5577,284.125 "
                "310,284.125 C 315.6085,284.125 320.9061,283.6796 325.875,282.8456",
                "C 243.8264,238.6576 244.8218,243.6753 247.3642,248.0764 C 250.1872,252.9634 254.5206,256.8185 "
                "259.0795,260.0499 C 271.81,269.0732 291.7147,276.6904 315.2955,285.0343 L 325.875,288.7777",
            ),
        ),
        "The demo's edges have nothing to blend; for the picture its front's armhole was made to run into the side "
        "seam slanting, so that it has a corner there as sewn.",
    ),
    "shift": Drawn(
        "shift piece=Front at='side seam 8 in' amount='1/2 in' runs-out='side seam 2 in + side seam 15 in'",
        ("Front",),
        (30, 280, 330, 500),
    ),
    "shoulder-forward": Drawn("shoulder-forward amount='1/2 in'", ("Front", "Back", "Sleeve"), (20, 20, 1090, 300)),
    "shoulder-pad": Drawn(
        "shoulder-pad amount='1/2 in' out='1/4 in'", ("Front", "Back", "Sleeve"), (20, 20, 1090, 300)
    ),
    "shoulder-slope": Drawn("shoulder-slope amount='-1/2 in'", ("Front", "Back"), (20, 20, 540, 780)),
    "shoulder-width": Drawn("shoulder-width amount='1/2 in'", ("Front", "Back"), (20, 20, 540, 330)),
    "side-seam": Drawn("side-seam waist='-1 in' hem='1 in' waist-at='7 in'", ("Front", "Back"), (30, 280, 660, 500)),
    "slash": Drawn(
        "slash piece=Front from='hem middle' to='armhole 3 in' amount='1 in'", ("Front",), (20, 40, 370, 760)
    ),
    "sleeve-pitch": Drawn("sleeve-pitch piece=Sleeve amount='3/8 in'", ("Sleeve",), CAP),
    "sleeve-width": Drawn("sleeve-width amount='-1 1/2 in'", ("Sleeve",), (674, 28, 426, 690)),
    "sway-back": Drawn("sway-back piece=Back amount='3/4 in' at='5 in'", ("Back",), (375, 50, 340, 740)),
    "underarm-lift": Drawn("underarm-lift amount='1/2 in'", ("Front", "Back", "Sleeve"), (20, 20, 1110, 500)),
    "unfold": Drawn(
        "unfold piece=Front",
        (
            "Front",
            "Front whole",
        ),
        (20, 40, 1700, 800),
    ),
}
"""By operation; seam-check changes no piece."""
