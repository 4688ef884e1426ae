"""The one place where typst is called: in this process, or as a job in one of its own (``svgfit.render.limited``)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def compile_pdf(sources: Mapping[str, bytes], inputs: Mapping[str, str], fonts: str) -> bytes:
    """Typeset sources, the main one first, as a PDF, with the letters of a folder alone; the same bytes every time.

    Raises ValueError with typst's own first line, or in plain words, where it can't be typeset.
    """
    import typst

    compile_all: Any = typst.compile  # its stub does not know of several files
    try:
        made: bytes = compile_all(
            sources,
            sys_inputs=inputs,
            font_paths=[fonts],
            ignore_system_fonts=True,
            format="pdf",
            timestamp=0,
            pdf_tags=False,
        )
    except typst.TypstError as error:
        reason = str(error).strip().splitlines()[0]
    except BaseException as fault:  # what typst's own code breaks off with is no Exception
        if type(fault).__name__ != "PanicException":
            raise
        reason = "typst broke off at something in the drawing"
    else:
        return made
    raise ValueError(reason)
