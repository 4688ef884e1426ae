"""PDFs written for tests, out of content streams, by pikepdf."""

from __future__ import annotations

from dataclasses import dataclass, field
from io import BytesIO

import pikepdf
from pikepdf import Array, Dictionary, Name, Stream, String

from svgfit.formats.pdf.read import read_pdf
from svgfit.model.file_format import Wishes
from svgfit.svg import parse_file, read_parsed

MM = 72 / 25.4
"""Points in a millimetre."""


@dataclass
class Document:
    """A PDF on the way: groups by name, pages of content streams."""

    pdf: pikepdf.Pdf = field(default_factory=pikepdf.new)
    groups: dict[str, pikepdf.Object] = field(default_factory=dict)

    def group(self, name):
        """The optional-content group of a name, made when it is first asked for."""
        if name not in self.groups:
            self.groups[name] = self.pdf.make_indirect(Dictionary(Type=Name.OCG, Name=String(name)))
        return self.groups[name]

    def form(self, content, *, matrix=None, box=(0, 0, 5000, 5000), resources=None, group=None):
        """A form that pages and forms can draw."""
        made = Stream(self.pdf, content.encode("latin-1"))
        made.Type, made.Subtype, made.BBox = Name.XObject, Name.Form, Array(box)
        if matrix:
            made.Matrix = Array(matrix)
        if resources is not None:
            made.Resources = resources
        if group:
            made.OC = self.group(group)
        return self.pdf.make_indirect(made)

    def page(self, content, *, box=(0, 0, 612, 792), layers=(), fonts=None, forms=None, **keys):
        """Add a page; ``layers``: names of groups, which the content calls /L0, /L1 …"""
        resources = Dictionary(
            Properties=Dictionary({f"/L{k}": self.group(name) for k, name in enumerate(layers)}),
            Font=Dictionary(fonts or {"/F1": Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)}),
            XObject=Dictionary(forms or {}),
        )
        for key, value in keys.pop("resources", {}).items():
            resources[key] = value
        self.pdf.add_blank_page(page_size=(box[2] - box[0], box[3] - box[1]))
        page = self.pdf.pages[-1].obj
        page.MediaBox = Array(box)
        page.Resources = resources
        page.Contents = Stream(self.pdf, content if isinstance(content, bytes) else content.encode("latin-1"))
        for key, value in keys.items():
            page[f"/{key}"] = value
        return page

    def bytes(self, *, order=None, off=(), on=(), base=None, **saving):
        """Write it; ``order``: the tree of layers, names for groups, lists for what is under them."""
        if self.groups:
            default = Dictionary(
                Order=self._tree(order if order is not None else list(self.groups)),
                OFF=Array([self.groups[name] for name in off]),
                ON=Array([self.groups[name] for name in on]),
            )
            if base:
                default.BaseState = Name(f"/{base}")
            self.pdf.Root.OCProperties = Dictionary(OCGs=Array(self.groups.values()), D=default)
        out = BytesIO()
        self.pdf.save(out, deterministic_id=not saving, **saving)
        return out.getvalue()

    def _tree(self, order):
        return Array(
            self._tree(each) if isinstance(each, list) else self.groups.get(each, String(each)) for each in order
        )


def one_page(content, **how):
    """A PDF of one page."""
    document = Document()
    document.page(content, **how)
    return document.bytes()


def convert(data, **wishes):
    """What the reader makes of it."""
    return read_pdf("maker.pdf", data, Wishes(**wishes))


def drawing(data, **wishes):
    """The drawing that svgfit then reads."""
    from svgfit.plugin.registry import open_registry

    found = convert(data, **wishes)
    return read_parsed(parse_file("maker.pdf", found.svg), dialects=open_registry().dialects())[0]


def points(data, **wishes):
    """Start and end of every stretch of line, in page mm, rounded, by layer."""
    found = {}
    for layer in drawing(data, **wishes).layers:
        for shape in layer.shapes:
            for curve in shape.curves:
                nodes = [*curve.segments[:, 0].tolist(), complex(curve.end)]
                found.setdefault("/".join(layer.path), []).append(
                    [(round(p.real, 3) + 0, round(p.imag, 3) + 0) for p in nodes]
                )
    return found
