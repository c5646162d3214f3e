"""Many-to-one probabilities by brute quadrature in SciPy, for test/core/statistics/dunnett.test.ts.

Equal correlation 1/2 and unequal loadings; 400-point Gauss-Legendre in the common normal and in the scale.
Run from the project folder: /usr/bin/python3 tools/reference/dunnett.py
"""
import json
import sys

import numpy
import scipy
from numpy.polynomial.legendre import leggauss
from scipy import optimize, stats


def box(loadings, df, c):
    z, wz = leggauss(400)
    z, wz = 9 * z, 9 * wz * stats.norm.pdf(9 * z)
    x, wx = leggauss(400)
    low, high = stats.chi.ppf(1e-16, df), stats.chi.isf(1e-16, df)
    x, wx = (high - low) / 2 * x + (high + low) / 2, wx * (high - low) / 2
    wx = wx * stats.chi.pdf(x, df)
    bound = c * x[:, None] / numpy.sqrt(df)
    product = 1.0
    for l in loadings:
        spread = numpy.sqrt(1 - l * l)
        product = product * (
            stats.norm.cdf((bound - l * z) / spread) - stats.norm.cdf((-bound - l * z) / spread)
        )
    return float(wx @ (product @ wz))


half = 0.5**0.5
critical = []
for k in (2, 3, 4, 9):
    for df in (3, 5, 6.4, 10, 20, 60):
        for level in (0.95, 0.99):
            c = optimize.brentq(lambda c: box([half] * k, df, c) - level, 1, 30, xtol=1e-12)
            critical.append({"k": k, "df": df, "level": level, "value": c})
loadings = [0.9, 0.5, -0.6, 0.2]
unequal = [
    {"loadings": loadings, "df": df, "c": c, "p": 1 - box(loadings, df, c)}
    for df in (4, 12.5)
    for c in (1.0, 2.5, 4.0)
]
with open("test/fixtures/statistics/dunnett.json", "w") as out:
    json.dump(
        {
            "made_by": "tools/reference/dunnett.py",
            "versions": {"python": sys.version.split()[0], "numpy": numpy.__version__, "scipy": scipy.__version__},
            "critical": critical,
            "unequal": unequal,
        },
        out,
        indent=1,
    )
