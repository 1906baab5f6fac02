"""Throttle curves through points, worked out with SciPy: writes curves.json beside this file.

Slopes follow Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246: mean of the neighbouring secants, pulled into
the circle of radius 3 from left to right, in exact arithmetic but for the square root. Values and derivatives are those
of scipy.interpolate.CubicHermiteSpline. Run with Python 3, SciPy 1.17.1, NumPy 2.4.6.
"""

import json
import math
import random
from fractions import Fraction
from pathlib import Path

import numpy as np
import scipy
from scipy.interpolate import CubicHermiteSpline

random.seed(1980)


def random_points():
    n = random.randint(2, 9)
    while True:
        inner = sorted(random.sample(range(20, 981), n - 2))
        x = [0, *inner, 1000]
        if all(b - a >= 20 for a, b in zip(x, x[1:])):
            break
    # Steps of 50 make level stretches common.
    y = [0, *sorted(random.choice([random.randint(0, 1000), 50 * random.randint(0, 20)]) for _ in inner), 1000]
    return list(zip(x, y))


def slopes_of(points):
    secants = [Fraction(y1 - y0, x1 - x0) for (x0, y0), (x1, y1) in zip(points, points[1:])]
    m = [secants[0], *[(a + b) / 2 if a * b > 0 else Fraction(0) for a, b in zip(secants, secants[1:])], secants[-1]]
    for i, d in enumerate(secants):
        if d == 0:
            m[i] = m[i + 1] = Fraction(0)
            continue
        size = (m[i] / d) ** 2 + (m[i + 1] / d) ** 2
        if size > 9:
            t = Fraction(3) / Fraction(math.sqrt(size))
            m[i], m[i + 1] = t * m[i], t * m[i + 1]
    return [float(slope) for slope in m]


# Clear of the points, where a second derivative jumps and the first may be asked of either side.
at = [(2 * i + 1) / 74 for i in range(37)]
curves = []
for _ in range(60):
    points = random_points()
    spline = CubicHermiteSpline(np.array([x for x, _ in points]) / 1000, np.array([y for _, y in points]) / 1000, slopes_of(points))
    curves.append({"points": points, "values": spline(at).tolist(), "slopes": spline(at, 1).tolist()})

Path(__file__).with_suffix(".json").write_text(
    json.dumps({"source": f"SciPy {scipy.__version__}, NumPy {np.__version__}: curves.py", "at": at, "curves": curves}) + "\n"
)
