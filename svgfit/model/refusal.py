"""The one error a person sees: where, what, what to do."""

from __future__ import annotations


class Refusal(Exception):
    """An error that stops svgfit. Printed as ``svgfit: WHERE: WHAT; WHAT TO DO`` on one line, exit status 2.

    ``where`` names the file and, where known, line, layer, piece and element id, most general first.
    """

    def __init__(self, where: str, what: str, todo: str = "") -> None:
        self.where = where
        self.what = what
        self.todo = todo
        super().__init__(self.line())

    def __reduce__(self) -> tuple[type[Refusal], tuple[str, str, str]]:
        """Tell pickle how to make it again, so that it comes out of another process as it is."""
        return Refusal, (self.where, self.what, self.todo)

    def line(self) -> str:
        """Write the message on one line, whatever its parts hold."""
        text = f"{self.where}: {self.what}" if self.where else self.what
        if self.todo:
            text += f"; {self.todo}"
        return " ".join(text.split())

    def within(self, where: str) -> Refusal:
        """Return the same refusal with a more general place put before its own (once)."""
        if self.where.startswith(where):
            return self
        return Refusal(f"{where}: {self.where}" if self.where else where, self.what, self.todo)
