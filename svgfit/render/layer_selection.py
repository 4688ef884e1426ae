"""What of a drawing can be shown or printed (``--layers``): what a person drew, and each layer of ours."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from svgfit.model.refusal import Refusal
from svgfit.model.wording import closest
from svgfit.pattern.layer_patterns import name_key
from svgfit.render.annotate.scene import LAYERS

ORIGINAL = "original"
PARTS = (ORIGINAL, *LAYERS)
"""Bottom to top."""


def read_parts(text: str | None) -> tuple[str, ...] | None:
    """Read the parts of ``original,adjusted``; None for nothing said. Raises Refusal for a name that is none."""
    if text is None:
        return None
    named = [name_key(part) for part in text.split(",") if part.strip()]
    known = {name_key(name): name for name in PARTS}
    for name in named:
        if name not in known:
            near = closest(name, known, 0.5)
            todo = f"did you mean {known[near]}?" if near else f"there are {', '.join(PARTS)}"
            raise Refusal("--layers", f"there is no layer {name!r}", todo)
    if not named:
        raise Refusal("--layers", "names no layer", f"name some of {', '.join(PARTS)}")
    return tuple(name for name in PARTS if name_key(name) in named)


def check_there(file: str, wanted: Sequence[str], here: Collection[str]) -> None:
    """Refuse a wanted layer of ours that the drawing does not have; ``here``: those that it has."""
    missing = [name for name in wanted if name != ORIGINAL and name not in here]
    if missing:
        what = f"has no layer of svgfit's that is called {' or '.join(missing)}"
        among = ", ".join(name for name in PARTS if name == ORIGINAL or name in here)
        raise Refusal(file, what, f"choose by --layers among {among}, or take what svgfit adjust wrote")
