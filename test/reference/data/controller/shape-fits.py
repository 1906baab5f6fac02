"""One number for curves that are no shape: least squares over u = 0, 0.01 .. 1 over all allowed shapes.

Run: python3 shape-fits.py > shape-fits.json   (NumPy 2.4.6)
The curves are powers u**g and the regularised incomplete beta function I(u; a, b) of SciPy 1.17.1.
"""
import json
import numpy as np
from scipy.special import betainc

u = np.arange(101) / 100
curves = [{"kind": "power", "g": g, "y": (u**g).tolist()} for g in (0.3, 0.5, 0.8, 1.3, 2.0, 3.5)]
curves += [{"kind": "beta", "a": a, "b": b, "y": betainc(a, b, u).tolist()} for a, b in ((2, 2), (2, 5), (5, 2), (0.5, 0.5))]
for curve in curves:
    curve["fits"] = []
    for low, high, step in ((-100, 100, 1), (-100, 100, 10), (-45, 60, 7)):
        shapes = np.arange(low, high + 1, step)
        k = 8.0 ** (shapes / 100)
        c = k[:, None] * u / (1 + (k[:, None] - 1) * u)
        squares = ((c - np.array(curve["y"])) ** 2).sum(axis=1)
        best = int(squares.argmin())
        curve["fits"].append({"min": low, "max": high, "step": step, "shape": int(shapes[best]), "squares": float(squares[best])})
    curve["y"] = [round(float(y), 12) for y in curve["y"]]
print(json.dumps({"source": "NumPy 2.4.6, SciPy 1.17.1: shape-fits.py", "curves": curves}))
