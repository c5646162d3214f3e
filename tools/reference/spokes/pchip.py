"""Monotone cubics through gauge tables, for test/core/methods/tension/monotone-curve.test.ts.

Run from the project folder: python3 tools/reference/spokes/pchip.py
Needs SciPy. Writes test/fixtures/methods/pchip.json.
"""
import datetime
import json

import numpy as np
import scipy
from scipy.interpolate import PchipInterpolator

# Invented gauge tables: bending up, bending down, a flat piece, two points, uneven steps.
TABLES = [
    ([15, 17, 19, 21, 23, 25, 27], [310, 430, 560, 720, 920, 1180, 1530]),
    ([0.5, 0.8, 1.0, 1.5, 2.2, 2.4], [1800, 1350, 1100, 640, 300, 210]),
    ([1, 2, 3, 4, 5], [100, 400, 401, 402, 900]),
    ([10, 30], [200, 1200]),
    ([10, 10.5, 16, 17, 30, 31], [100, 160, 420, 470, 1650, 1660]),
    ([0, 1, 2], [0, 5, 500]),
]


def main():
    out = []
    for x, y in TABLES:
        curve = PchipInterpolator(x, y)
        at = np.linspace(x[0], x[-1], 23)
        out.append({"x": x, "y": y, "at": at.tolist(), "value": curve(at).tolist(), "slope": curve.derivative()(at).tolist()})
    with open("test/fixtures/methods/pchip.json", "w") as f:
        json.dump({"script": "tools/reference/spokes/pchip.py", "scipy": scipy.__version__, "date": datetime.date.today().isoformat(), "tables": out}, f, indent=1)
        f.write("\n")


main()
