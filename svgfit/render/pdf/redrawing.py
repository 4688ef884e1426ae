"""What the teaching sheet says of steps that cut nothing: the piece is laid on new paper and an edge drawn anew."""

from __future__ import annotations

from svgfit.render.pdf.facts import Facts, Words, length

_TRACE = "Lay the piece on new paper and draw round it."


def _got(facts: Facts, name: str) -> str:
    """A figure that the step got; "" where it has none of that name."""
    return length(facts.row.got[name], facts.unit) if name in facts.row.got else ""


def cap_redraw(facts: Facts) -> Words:
    """A cap drawn fuller or flatter between fixed points."""
    got = facts.row.got
    gained = got.get("cap length gained", 0.0)
    way = facts.lies[0] if len(facts.lies) == 1 else "beside"
    whole = facts.row.asked.get("within", "notches") == "whole"
    where = "from underarm point to underarm point" if whole else "from the front notch to the lower back notch"
    below = "" if whole else " Below the notches the old edge stays."
    longer = f"{length(gained, facts.unit)} {'longer' if gained >= 0 else 'shorter'}"
    return Words(
        "Redraw the cap",
        f"Lay the sleeve on new paper, pin it at both underarm points and draw round it. Mark the cap top: cap height "
        f"and bicep width stay. The new edge is to be {longer} than this one.",
        "",
        "",
        f"Draw the new edge (heavy) {where}, {way} the old (dotted): {length(facts.aside, facts.unit)} from it where "
        f"they lie farthest apart, running smoothly into it at both ends.{below} Stand a tape measure on its edge "
        f"along the whole cap: it must show {_got(facts, 'cap length')}.",
        "Only the edge changes here, so what the tape shows is what counts, not how far the pencil moved.",
    )


def notch_match(facts: Facts) -> Words:
    """Notches marked anew where cap and armhole meet."""
    to_armhole = facts.row.asked.get("to", "armhole") != "cap"
    fixed, marked = ("armhole", "cap") if to_armhole else ("cap", "armhole")
    found = [(side, _got(facts, f"{side} underarm to notch, {fixed}")) for side in ("front", "back")]
    sides = " and ".join(f"{figure} in the {side}" for side, figure in found if figure)
    lengths = f": {sides}" if sides else ""
    shoulder = facts.row.got.get("shoulder notch towards the front", 0.0)
    way = "front" if shoulder >= 0 else "back"
    split = (
        f" The shoulder notch moves {length(shoulder, facts.unit)} towards the {way}, so that the ease falls as asked."
    )
    moves = sum(abs(one) > 0.3 for one in facts.moved) > (abs(shoulder) > 0.3)
    shifts = abs(shoulder) > 0.3
    done = f"Mark the {marked}'s notches there (heavy). Thin: where they were. The edge itself stays."
    return Words(
        "Match the notches",
        "Pin the underarm points of cap and armhole together, stitch line on stitch line. Walk one along the other, "
        f"pin by pin, from the underarm up to the {fixed}'s notch{lengths}.",
        "",
        "",
        (done if moves else f"The {marked}'s notches are there already{'.' if shifts else ': nothing moves.'}")
        + (split if shifts else ""),
    )


def armhole_adjust(facts: Facts) -> Words:
    """An armhole lowered, raised or hollowed, front and back alike."""
    amount = facts.moved[0] if facts.moved else facts.aside
    inwards = facts.lies[:1] != ("outside",)
    hollow = "scoop" in facts.row.asked or facts.row.asked.get("by") == "scoop"
    figure = length(amount, facts.unit)
    first = f" First mark where the new curve begins: {facts.begins}." if facts.begins else ""
    if hollow:
        way = "into the piece" if inwards else "out of the piece"
        draw = f"{_TRACE}{first} Where the lower curve is deepest, mark a point {figure} {way}, square to the edge."
        end = "through that point and into the old edge at both ends; the underarm point stays"
    else:
        way = "down" if inwards else "up"
        draw = (
            f"{_TRACE}{first} Then mark the new underarm point on the side seam, {figure} {way} along it; on front and "
            "back alike."
        )
        draw = (
            draw
            if first
            else (
                f"{_TRACE} Mark the new underarm point on the side seam, {figure} {way} along it; on front and back "
                "alike."
            )
        )
        start = "where you marked its beginning" if first else "the upper armhole"
        end = (
            f"from {start} to the new point, running smoothly on from the old edge, and meet the side seam square there"
        )
    return Words(
        "Adjust the armhole",
        draw,
        "",
        "",
        f"Draw the armhole anew (heavy; dotted: as it was): {end}. The shoulder stays, and notches keep their length "
        "from it.",
        "Front and back change alike, so that the side seams stay equal. Then walk the cap against the new armhole: "
        "its ease is another now.",
    )


def widened(facts: Facts) -> Words:
    """A bicep widened or narrowed at the underarm points, without a cut."""
    how = facts.row.asked.get("how", "height")
    wide = sum(facts.moved[:2]) >= 0
    figure = length(facts.moved[0], facts.unit) if facts.moved else length(facts.aside, facts.unit)
    cap = {
        "height": "The cap top stays: draw each half of the cap from it to the new point.",
        "cap-length": "Draw each half of the cap from the new cap top to the new point: the edge keeps its length.",
        "underarm": "Draw the cap below the notches to the new points; above them it stays.",
    }.get(how, "Draw the cap to the new points.")
    lower = ""
    if how == "cap-length" and len(facts.moved) > 2:
        down = "down" if facts.moved[2] >= 0 else "up"
        lower = f" Mark the cap top {length(facts.moved[2], facts.unit)} further {down} on the centre line."
    end = "to the hem, which stays" if "over" not in facts.row.asked else "into the old seams"
    return Words(
        "Widen the bicep" if wide else "Narrow the bicep",
        f"Lay the sleeve on new paper and draw round it. Carry the bicep line on beyond the seams. On it, mark each "
        f"underarm point anew, {figure} {'out' if wide else 'in'}.{lower}",
        "",
        "",
        f"{cap} Draw the underarm seams from the new points {end} (heavy; dotted: as it was).",
        "The underarm seams lean otherwise now, and so do their corners at the hem: pin the seam, look at the hem "
        "across it, and where it kinks draw it anew in one smooth line. The cap's edge is another too, so its notches "
        "no longer meet the armhole's: walk the cap along the armhole and mark them anew.",
    )


_HEM = (
    " At the hem's ends fold the paper along the stitch line of the hem, as it will be turned up, and cut along the "
    "seam's cut line through both layers: unfolded, the ends slant so that what is turned up lies flat on the piece."
)


def seam_allowance(facts: Facts) -> Words:
    """A cut line at another width."""
    widths = dict.fromkeys(length(value, facts.unit) for name, value in facts.row.got.items() if "allowance" in name)
    width = " and ".join(widths) or "the width asked"
    edge = facts.row.asked.get("edge", "")
    along = f"the {edge.rpartition('/')[2]}" if edge and edge != "all" else "every edge"
    return Words(
        "Change the seam allowance",
        f"Lay a ruler square to the stitch line (solid) and mark {width} outwards from it, all along "
        f"{along}, closer together on a curve. Fine dashes: the cut line as it was.",
        "",
        "",
        "Join the marks: that is the new cut line (heavy). Carry it on at both ends until it meets its neighbours."
        + (_HEM if "hem" in edge or edge in ("", "all") else ""),
        "The stitch line stays, so no seam changes its length. Only what is cut becomes wider or narrower.",
    )


def edge_blend(facts: Facts) -> Words:
    """A flaw in an edge redrawn."""
    edge = facts.row.asked.get("edge", "edge")
    off = f", at most {length(facts.aside, facts.unit)} off the old line" if facts.aside > 0.3 else ""
    return Words(
        f"True the {edge}",
        f"{_TRACE} Look along the {edge}: here it steps, gaps or kinks.",
        "",
        "",
        f"Lay a curved ruler so that it runs into the edge on both sides of the flaw, through its middle, and draw the "
        f"edge anew (heavy; dotted: as it was){off}.",
    )
