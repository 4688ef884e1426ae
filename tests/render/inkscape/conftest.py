from __future__ import annotations

import pytest

from svgfit.model.operation import Operation
from svgfit.plugin.registry import open_registry
from svgfit.render.inkscape.dialogs import Printing, menu_files
from svgfit.render.inkscape.launcher import Start

START = Start("/opt/svgfit/bin/python", "/opt/svgfit/lib")
PRINTING = Printing(("a4", "letter"), ("original", "adjusted"))


@pytest.fixture(scope="session")
def operations() -> tuple[Operation, ...]:
    """Every operation that comes with svgfit."""
    registry = open_registry()
    return tuple(registry.operation(name) for name in registry.operation_names())


@pytest.fixture(scope="session")
def files(operations) -> dict[str, str]:
    return menu_files(operations, ("bicep width", "cap ease"), PRINTING, START)
