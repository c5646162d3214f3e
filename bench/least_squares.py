"""Solves the least squares of least-squares.ts with SciPy: sparse normal equations, direct solver.

Usage: least_squares.py FOLDER   (files start, index, value, right; writes solution)
Prints one line of JSON: the time of forming and solving, best of three, without reading.
"""

import json
import sys
import time
from pathlib import Path

import numpy
import scipy
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import spsolve

folder = Path(sys.argv[1])
start = numpy.fromfile(folder / "start", dtype="<i4")
index = numpy.fromfile(folder / "index", dtype="<i4")
value = numpy.fromfile(folder / "value", dtype="<f8")
right = numpy.fromfile(folder / "right", dtype="<f8")
rows = csr_matrix((value, index, start))
seconds = []
for _ in range(3):
    begin = time.perf_counter()
    solution = spsolve((rows.T @ rows).tocsc(), rows.T @ right)
    seconds.append(time.perf_counter() - begin)
solution.astype("<f8").tofile(folder / "solution")
print(json.dumps({"seconds": min(seconds), "scipy": scipy.__version__, "numpy": numpy.__version__}))
