"""Pieces cut after another one, as their names say: a lining, a facing, an interfacing."""

from __future__ import annotations

import re

from svgfit.pattern.layer_patterns import same
from svgfit.rules.piece_names import CUT_AFTER


def copied(name: str) -> tuple[str, str] | None:
    """The name of the piece that this one is cut after, in lower case, and what it is; None for a piece of its own.

    >>> copied("Sleeve lining"), copied("Facing of Front"), copied("Sleeve")
    (('sleeve', 'lining'), ('front', 'facing'), None)
    """
    if not any(word in name.casefold() for word in CUT_AFTER):
        return None
    words = re.findall(r"[^\W_]+", same(name))
    kinds = [word for word in words if word in CUT_AFTER]
    if not kinds:
        return None
    rest = [word for word in words if word not in CUT_AFTER and word not in ("of", "for", "the")]
    return " ".join(rest), kinds[0]
