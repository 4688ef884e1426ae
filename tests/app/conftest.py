from __future__ import annotations

import pytest

from svgfit.app.advice.advise import advise, set_up
from svgfit.app.run_plan import run_plan
from svgfit.app.session import open_drawings
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.advice import Advice
from svgfit.model.body import Person
from svgfit.model.piece import Edge, Landmark, Piece
from svgfit.model.plan import Plan

from .advising import FITS, SMOCK

SLEEVE = (("cap", -150 + 0j, 150 + 0j), ("underarm front", 150 + 0j, 120 + 400j), ("hem", 120 + 400j, -120 + 400j))


def chain(*names_and_points: tuple[str, complex]) -> tuple[Edge, ...]:
    points = [point for _, point in names_and_points]
    after = [*points[1:], points[0]]
    return tuple(Edge(name, Curve.polyline([a, b]), 15.0) for (name, a), b in zip(names_and_points, after, strict=True))


@pytest.fixture
def sleeve() -> Piece:
    """A sleeve with a roof-shaped cap, half bicep 150 mm, cap 120 mm high."""
    cap = Edge("cap", Curve.polyline([-150 + 0j, -120j, 150 + 0j]), 15.0, backwards=True)
    rest = chain(("underarm front", 150 + 0j), ("hem", 120 + 400j), ("underarm back", -120 + 400j), ("x", -150 + 0j))
    marks = (
        Landmark("cap top", -120j),
        Landmark("underarm front", 150 + 0j),
        Landmark("underarm back", -150 + 0j),
    )
    return Piece("a.svg", "Left sleeve", "sleeve", (cap, *rest[:3]), Affine(), landmarks=marks)


@pytest.fixture
def bodice() -> tuple[Piece, ...]:
    """A front and a back whose armholes are together as long as a 120 mm high roof cap, less 10 mm."""
    half = abs(150 + 120j)

    def piece(name: str, length: float, side: float) -> Piece:
        edges = chain(
            ("armhole", 0j), ("shoulder", -1j * length), ("centre", -100 - 1j * length), ("hem", -100 + side * 1j)
        )
        seam = Edge("side seam", Curve.polyline([side * 1j, 0j]), 15.0)
        hem = Edge("hem", Curve.polyline([-100 + side * 1j, side * 1j]), 15.0)
        return Piece("a.svg", name, name.lower(), (*edges[:3], hem, seam), Affine())

    return piece("Front", half - 5, 300.0), piece("Back", half - 5, 301.0)


@pytest.fixture(scope="module")
def session():
    """The smock, without ``ease-spread``, whose search takes seconds: one test of its own holds that it is a way."""
    return open_drawings(SMOCK, without=("ease-spread",))


@pytest.fixture
def take(session):
    """Advice for a body that differs from one that fits in the measures given."""

    def advice(measures=None, *, style="smock", choices=(), without=(), pieces=None, **wishes) -> Advice:
        known = {**FITS, **(measures or {})}
        body = {name: value for name, value in known.items() if value is not None and name not in without}
        person = Person("Ines Marlow", measures=body, style=style, **wishes)
        there = session.pieces if pieces is None else pieces
        names = {piece.name for piece in there}
        seams = [seam for seam in session.seams if all(name in names for name, _ in (*seam.a, *seam.b))]
        return advise(*set_up(person, there, seams, session.registry, session.convention, choices=choices))

    def run(found: Advice):
        plan = Plan((*found.steps, *found.check), "--do")
        return run_plan(session.pieces, session.seams, plan, session.registry)

    advice.run = run
    return advice
