"""Odd functions as short polynomials, which a processor evaluates for many numbers at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from glint.kernels.arrays import Floats


def odd_series(function: Callable[[Floats], Floats], end: float, terms: int) -> tuple[float, ...]:
    """Coefficients c of function(x) = x (c0 + c1 x**2 + ...) for x from 0 to an end: the polynomial
    through the values at Chebyshev's points."""
    # In closed form: as eigenvalues, which numpy makes of them, they may come out complex.
    angles = np.pi * (np.arange(terms) + 0.5) / terms
    at = 0.5 * end**2 * (1.0 - np.cos(angles))
    root = np.sqrt(at)
    shape = np.polynomial.Polynomial.fit(at, function(root) / root, terms - 1)
    return tuple(float(c) for c in shape.convert().coef)
