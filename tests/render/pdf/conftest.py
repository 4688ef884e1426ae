from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pymupdf
import pytest

from tests.render.pdf.reading import opened

DEMOS = Path(__file__).parents[3] / "demo_svgs"


@pytest.fixture(scope="session")
def fitted(tmp_path_factory) -> Path:
    """The demo's smock as svgfit writes it."""
    from svgfit.cli import main

    folder = tmp_path_factory.mktemp("fitted")
    assert main(["demo", str(folder), "--quiet"]) == 0
    return folder / "smock-fitted.svg"


@pytest.fixture
def handout(tmp_path, capsys) -> Callable[..., pymupdf.Document]:
    """Runs ``svgfit handout`` and opens what it wrote; ``.said`` is what it printed."""
    from svgfit.cli import main

    def run(file: Path | str, *options: str) -> pymupdf.Document:
        out = tmp_path / "out.pdf"
        capsys.readouterr()
        behind = () if "--teaching" in options else ("--no-teaching",)
        status = main(["handout", str(file), "-o", str(out), "--force", *behind, *options])
        said = capsys.readouterr()
        assert status == 0, said.err
        made = opened(out.read_bytes())
        made.said, made.warned, made.bytes = said.out, said.err, out.read_bytes()
        return made

    return run


@pytest.fixture
def drawing(tmp_path) -> Callable[[str], Path]:
    """A drawing of 600 x 800 mm with what is given in it."""

    def write(inside: str, name: str = "drawing.svg") -> Path:
        file = tmp_path / name
        file.write_text(
            '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
            'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
            f'width="600mm" height="800mm" viewBox="0 0 600 800">{inside}</svg>'
        )
        return file

    return write
