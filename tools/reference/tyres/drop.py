"""Load of a tyre pressed on a flat road, by SciPy's root finder and adaptive quadrature.

Makes test/fixtures/methods/tyre-drop.json. Run from the project folder: /usr/bin/python3 tools/reference/tyres/drop.py
A slender tyre of a carcass that does not stretch: each section lies flat on the road, its free sides are arcs of
circles that leave the road at a tangent and end at the beads. Here the width of the flat is the unknown and the
radius follows from the bead's place; the project's own code solves for the angle of the arcs.
"""
import json
import platform

import numpy as np
import scipy
from scipy.integrate import quad
from scipy.optimize import brentq


def flat(drop, width, bead):
    length = width * (np.pi - np.arcsin(bead / width))
    height = width / 2 + np.sqrt(width**2 - bead**2) / 2 - drop

    def off(b):
        dx = (bead - b) / 2  # the bead from the middle of the right arc, which stands over the flat's end
        radius = (dx**2 + height**2) / (2 * height)
        turn = np.arctan2(dx, radius - height) % (2 * np.pi)  # from the road, round the side
        return b + 2 * radius * turn - length

    return brentq(off, 0.0, length, xtol=1e-16, rtol=1e-14)


def load(drop, width, bead, outer):
    end = np.sqrt(2 * outer * drop - drop**2)

    def at(theta):
        x = end * np.sin(theta)
        here = drop - (outer - np.sqrt(outer**2 - x**2))
        return flat(here, width, bead) * end * np.cos(theta) if here > 1e-12 else 0.0

    return 2 * quad(at, 0, np.pi / 2, epsabs=0, epsrel=1e-10, limit=200)[0]


rows = []
shapes = [(25, 17, 336), (28, 19, 339), (28, 23, 339), (32, 21, 343), (45, 25, 356), (50, 25, 253)]
for width, bead, outer in shapes:
    for share in (0.02, 0.08, 0.15, 0.25):
        w, b, r = width / 1000, bead / 1000, outer / 1000
        drop = share * w
        rows.append(
            {
                "widthM": w,
                "beadWidthM": b,
                "outerRadiusM": r,
                "dropM": drop,
                "flatM": flat(drop, w, b),
                "areaM2": load(drop, w, b, r),
            }
        )
versions = {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__}
with open("test/fixtures/methods/tyre-drop.json", "w") as file:
    json.dump({"madeBy": "tools/reference/tyres/drop.py", "versions": versions, "rows": rows}, file, indent=1)
    file.write("\n")
