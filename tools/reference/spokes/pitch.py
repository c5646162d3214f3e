"""Pitch of tensioned spokes, for test/core/structure/tensioned-spoke.test.ts, in three ways that share nothing
with each other: the root of the frequency equation as a 4 x 4 determinant (SciPy brentq), finite elements of
a beam with geometric stiffness and springs at its ends (SciPy eigh), and CalculiX (solid beam elements, a
frequency step after a static step with the tension).

Run from the project folder: python3 tools/reference/spokes/pitch.py
Needs NumPy, SciPy and ccx (Debian: calculix-ccx). Writes test/fixtures/structure/spoke-pitch.json.
"""
import datetime
import json
import re
import subprocess
import sys
import tempfile
from math import pi, sqrt

import numpy as np
import scipy
from scipy.linalg import eigh
from scipy.optimize import brentq

OUT = "test/fixtures/structure/spoke-pitch.json"

# name, length m, E*I N m2, mass kg/m
STEEL = {"E": 200e9, "rho": 7900.0}


def round_spoke(d, length, e=STEEL["E"], rho=STEEL["rho"]):
    return {"lengthM": length, "bendingNm2": e * pi * d**4 / 64, "massKgM": rho * pi * d**2 / 4}


def blade(width, thickness, length, flat):
    depth = thickness if flat else width
    area = width * thickness
    return {"lengthM": length, "bendingNm2": STEEL["E"] * area * depth**2 / 12, "massKgM": STEEL["rho"] * area}


BEAMS = {
    "steel 2.0 mm, 280 mm": round_spoke(0.002, 0.28),
    "steel 1.5 mm, 280 mm": round_spoke(0.0015, 0.28),
    "steel blade 2.2 x 0.9 mm, flat": blade(0.0022, 0.0009, 0.28, True),
    "steel blade 2.2 x 0.9 mm, on edge": blade(0.0022, 0.0009, 0.28, False),
    "carbon 2.6 mm, 265 mm": round_spoke(0.0026, 0.265, 130e9, 1600.0),
}
TENSIONS = [150.0, 1000.0]
# N m/rad at the two ends; None is clamped.
ENDS = [[0.0, 0.0], [None, None], [8.0, 8.0], [40.0, 40.0], [3.0, None], [0.0, 20.0]]


def determinant(beam, tension, ends, omega):
    length, ei, mu = beam["lengthM"], beam["bendingNm2"], beam["massKgM"]
    h = tension / (2 * ei)
    root = sqrt(h * h + mu * omega**2 / ei)
    a, b = sqrt(root + h), sqrt(root - h)
    # w = A sin bx + B cos bx + C exp(-ax) + D exp(-a(L-x))
    def rows(x):
        e0, e1 = np.exp(-a * x), np.exp(-a * (length - x))
        s, c = np.sin(b * x), np.cos(b * x)
        w = np.array([s, c, e0, e1])
        d1 = np.array([b * c, -b * s, -a * e0, a * e1])
        d2 = np.array([-b * b * s, -b * b * c, a * a * e0, a * a * e1])
        return w, d1, d2

    def end(x, spring, sign):
        w, d1, d2 = rows(x)
        return [w, d1 if spring is None else ei * d2 - sign * spring * d1]

    matrix = np.array(end(0.0, ends[0], 1) + end(length, ends[1], -1))
    matrix = matrix / np.abs(matrix).max(axis=1, keepdims=True)
    return np.linalg.det(matrix)


def by_equation(beam, tension, ends, near):
    """The root beside the one that the elements found."""
    f = lambda hz: determinant(beam, tension, ends, 2 * pi * hz)
    low, high = near * 0.995, near * 1.005
    if f(low) * f(high) > 0:
        sys.exit("no root beside the elements' one")
    return brentq(f, low, high, xtol=1e-10, rtol=1e-14)


def by_elements(beam, tension, ends, count=80):
    length, ei, mu = beam["lengthM"], beam["bendingNm2"], beam["massKgM"]
    h = length / count
    bending = ei / h**3 * np.array([[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h], [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h * h, -6 * h, 4 * h * h]])
    stress = tension / (30 * h) * np.array([[36, 3 * h, -36, 3 * h], [3 * h, 4 * h * h, -3 * h, -h * h], [-36, -3 * h, 36, -3 * h], [3 * h, -h * h, -3 * h, 4 * h * h]])
    mass = mu * h / 420 * np.array([[156, 22 * h, 54, -13 * h], [22 * h, 4 * h * h, 13 * h, -3 * h * h], [54, 13 * h, 156, -22 * h], [-13 * h, -3 * h * h, -22 * h, 4 * h * h]])
    n = 2 * (count + 1)
    k, m = np.zeros((n, n)), np.zeros((n, n))
    for e in range(count):
        at = slice(2 * e, 2 * e + 4)
        k[at, at] += bending + stress
        m[at, at] += mass
    held = [0, n - 2]
    for spring, turn in zip(ends, [1, n - 1]):
        if spring is None:
            held.append(turn)
        else:
            k[turn, turn] += spring
    free = [i for i in range(n) if i not in held]
    values = eigh(k[np.ix_(free, free)], m[np.ix_(free, free)], eigvals_only=True, subset_by_index=[0, 2])
    return [sqrt(v) / (2 * pi) for v in values]


def by_calculix(beam, tension, clamped, elements=200):
    """Square section of the same E*I and mass per metre; tension as an end force, large displacements."""
    length = beam["lengthM"]
    side = 0.0004  # thin, so that shear, in the spoke and in its clamp, plays no part
    e = beam["bendingNm2"] * 12 / side**4
    rho = beam["massKgM"] / side**2
    # A clamped end goes on for a few elements whose axis is held; a held rotation of an end node is too soft.
    over = 6 if clamped else 0
    n = 2 * (elements + 2 * over) + 1
    step = length / (2 * elements)
    out = ["*NODE,NSET=ALL"] + [f"{i + 1},{step * (i - 2 * over):.12e},0.,0." for i in range(n)]
    out += ["*ELEMENT,TYPE=B32R,ELSET=SPOKE"] + [f"{i + 1},{2 * i + 1},{2 * i + 2},{2 * i + 3}" for i in range(elements + 2 * over)]
    out += ["*MATERIAL,NAME=M", "*ELASTIC", f"{e:.10e},0.", "*DENSITY", f"{rho:.10e}"]
    out += ["*BEAM SECTION,ELSET=SPOKE,MATERIAL=M,SECTION=RECT", f"{side:.6e},{side:.6e}", "0.,0.,1."]
    # Only the plane of z is looked at: everything else is held, and turning about the axis.
    held = list(range(1, 2 * over + 2)) + list(range(n - 2 * over, n + 1))
    out += ["*BOUNDARY", "1,1,1", "ALL,2,2", "1,4,4", f"{n},4,4"] + [f"{node},3,3" for node in held]
    out += ["*STEP,NLGEOM", "*STATIC", "1.,1.", "*CLOAD", f"{n},1,{tension:.6e}", "*END STEP"]
    out += ["*STEP,PERTURBATION", "*FREQUENCY", "4", "*END STEP"]
    folder = tempfile.mkdtemp(prefix="spoke-")
    with open(f"{folder}/s.inp", "w") as f:
        f.write("\n".join(out) + "\n")
    run = subprocess.run(["ccx", "s"], cwd=folder, capture_output=True, text=True)
    text = open(f"{folder}/s.dat").read()
    if "*ERROR" in run.stdout:
        sys.exit(run.stdout[-2000:])
    rows = re.findall(r"^\s+(\d+)\s+(\S+)\s+(\S+)\s+(\S+)\s+(\S+)\s*$", text, re.M)
    return [float(r[3]) for r in rows[:2]]


def sig(x):
    return float(f"{x:.9g}")


def main():
    cases, solid = [], []
    for name, beam in BEAMS.items():
        for tension in TENSIONS:
            for ends in ENDS:
                elements = by_elements(beam, tension, ends)
                for mode in (1, 2):
                    cases.append({"beam": name, **{k: sig(v) for k, v in beam.items()}, "tensionN": tension, "endsNmPerRad": ends, "mode": mode,
                                  "equationHz": sig(by_equation(beam, tension, ends, elements[mode - 1])), "elementsHz": sig(elements[mode - 1])})
    version = subprocess.run(["ccx", "-v"], capture_output=True, text=True).stdout.strip()
    for name in ("steel 2.0 mm, 280 mm", "steel blade 2.2 x 0.9 mm, flat", "carbon 2.6 mm, 265 mm"):
        for tension in (600.0, 1200.0):
            for clamped in (True, False):
                hz = by_calculix(BEAMS[name], tension, clamped)
                solid.append({"beam": name, **{k: sig(v) for k, v in BEAMS[name].items()}, "tensionN": tension, "clamped": clamped, "hz": [sig(x) for x in hz]})
    worst = max(abs(c["equationHz"] / c["elementsHz"] - 1) for c in cases)
    print(f"{len(cases)} cases; equation and elements apart by at most {worst:.1e}")
    with open(OUT, "w") as f:
        json.dump({"script": "tools/reference/spokes/pitch.py", "programs": {"scipy": scipy.__version__, "numpy": np.__version__, "calculix": version},
                   "date": datetime.date.today().isoformat(), "cases": cases, "calculix": solid}, f, indent=1)
        f.write("\n")


main()
