"""Readers and writers that can't be used are named, with what is wrong."""

from __future__ import annotations

import pytest

from svgfit.plugin.registry import open_registry

HEAD = "from svgfit.plugin import hookimpl\nfrom svgfit.plugin.formats import Reader, Writer\n"
HEAD += "@hookimpl\ndef svgfit_{}s():\n    return [{}]\n"


@pytest.mark.parametrize(
    ("kind", "record", "why"),
    [
        ("reader", 'Reader("x", (".x",), None, print)', "needs functions suits and read"),
        ("reader", 'Reader("x", ("x",), print, print)', "no ending in lower case"),
        ("writer", 'Writer("x", ".x", None)', "needs a function write"),
        ("writer", 'Writer("x", ".X", print)', "no ending in lower case"),
        ("writer", 'Writer("x", ".x", print, needs="all")', "not one of drawing, pieces"),
    ],
)
def test_what_cannot_be_used(folder, kind, record, why):
    registry = open_registry([folder(**{f"{kind}_x": HEAD.format(kind, record)})])
    (found,) = [item for item in registry.all() if item.source.name == f"{kind}-x"]
    assert why in found.status


def test_a_reader_that_throws_when_asked_is_warned_of(folder):
    text = HEAD.format("reader", 'Reader("x", (".x",), lambda head: head["x"], print)')
    registry = open_registry([folder(reader_x=text)])
    assert not any(reader.suits(b"x") for reader in registry.readers() if reader.name == "x")
    assert any("reader-x" in warning for warning in registry.warnings)


def test_a_writer_that_gives_back_no_bytes_is_refused(folder):
    from types import SimpleNamespace

    from svgfit.model.refusal import Refusal

    text = HEAD.format("writer", 'Writer("x", ".x", lambda drawing: "text")')
    registry = open_registry([folder(writer_x=text)])
    (writer,) = [writer for writer in registry.writers() if writer.name == "x"]
    with pytest.raises(Refusal, match="gives back a str, not bytes"):
        writer.write(SimpleNamespace(file="a.svg"))
