"""Print the lowest versions that pyproject.toml allows of what svgfit runs on, as constraints for pip.

What only tests use comes as new as it fits: other versions of it draw other examples.

python .ci/lowest.py > lowest.txt && pip install -c lowest.txt -e '.[test]'
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent / "pyproject.toml"
BOUND = re.compile(r"(?P<name>[\w.-]+)(?:\[[\w,]+\])?\s*>=\s*(?P<version>[\w.]+)")


def constraints() -> list[str]:
    project = tomllib.loads(PROJECT.read_text(encoding="utf-8"))["project"]
    found = [(text, BOUND.fullmatch(text)) for text in project["dependencies"]]
    if unbound := [text for text, bound in found if bound is None]:
        raise SystemExit(f"not of the form NAME>=VERSION: {', '.join(unbound)}")
    return sorted({f"{bound['name']}=={bound['version']}" for _, bound in found if bound})


if __name__ == "__main__":
    print("\n".join(constraints()))
