"""Motions against matrices multiplied by numpy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from svgfit.geometry.affine import Affine

from .curves import points

numbers = st.floats(-20, 20)
affines = st.builds(Affine, numbers, numbers, numbers, numbers, numbers, numbers)


def matrix(motion: Affine) -> np.ndarray:
    return np.array([[motion.a, motion.c, motion.e], [motion.b, motion.d, motion.f], [0, 0, 1]])


def placed(m: np.ndarray, point: complex) -> complex:
    x, y, _ = m @ [point.real, point.imag, 1]
    return complex(x, y)


@given(affines, points)
def test_apply_is_svgs_matrix(motion: Affine, point: complex) -> None:
    assert motion.apply(point) == pytest.approx(placed(matrix(motion), point), abs=1e-9)
    assert motion.apply(np.array([[point, 0j]])).shape == (1, 2)
    assert motion.apply_vector(point) == pytest.approx(motion.apply(point) - motion.apply(0j), abs=1e-8)


@given(affines, affines)
def test_then_is_the_matrix_product(first: Affine, second: Affine) -> None:
    assert np.allclose(matrix(first.then(second)), matrix(second) @ matrix(first), atol=1e-8)


@given(affines)
def test_inverse_and_determinant(motion: Affine) -> None:
    det = float(np.linalg.det(matrix(motion)))
    assert motion.determinant == pytest.approx(det, abs=1e-9)
    assume(abs(det) > 1e-3)
    assert np.allclose(matrix(motion.then(motion.inverse())), np.eye(3), atol=1e-6)
    assert motion.mirrors == (det < 0)
    assert motion.size == pytest.approx(math.sqrt(abs(det)))


def test_a_flat_motion_has_no_inverse() -> None:
    for flat in (Affine.scale(0), Affine(1, 2, 2, 4, 0, 0), Affine.scale(math.inf)):
        with pytest.raises(ValueError, match="cannot be undone"):
            flat.inverse()


@given(points, points, points)
def test_a_mirror_keeps_its_line_and_undoes_itself(start: complex, end: complex, point: complex) -> None:
    assume(abs(end - start) > 1e-3)
    mirror = Affine.mirror(start, end)
    assert mirror.apply(start) == pytest.approx(start, abs=1e-6)
    assert mirror.apply(end) == pytest.approx(end, abs=1e-6)
    assert mirror.apply(mirror.apply(point)) == pytest.approx(point, abs=1e-6)
    assert abs(mirror.apply(point) - start) == pytest.approx(abs(point - start), abs=1e-6)
    assert mirror.mirrors
    assert mirror.is_uniform()


def test_a_mirror_needs_a_line() -> None:
    with pytest.raises(ValueError, match="two different points"):
        Affine.mirror(1j, 1j)


@given(st.floats(-10, 10), points, points)
def test_a_turn_keeps_distances_and_its_centre(angle: float, about: complex, point: complex) -> None:
    turn = Affine.turn(angle, about)
    assert turn.apply(about) == pytest.approx(about, abs=1e-9)
    assert turn.apply(point) - about == pytest.approx((point - about) * np.exp(1j * angle), abs=1e-9)
    assert not turn.mirrors
    assert turn.is_uniform()


def test_what_is_uniform() -> None:
    assert Affine.scale(3, -3).is_uniform()
    assert not Affine.scale(3, 3.001).is_uniform()
    assert not Affine(1, 0, 0.1, 1, 0, 0).is_uniform()
    assert not Affine.scale(0).is_uniform()
