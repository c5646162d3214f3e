"""Plans of least time on small invented courses by SciPy's SLSQP over solve_ivp: test/fixtures/methods/race-plan.json."""
import json
import math
import sys

import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import minimize

sys.path.insert(0, __file__.rsplit("/", 1)[0])
from road import acceleration  # noqa: E402

base = dict(
    air=dict(temperatureC=15, pressureHPa=1010, relativeHumidityPercent=50),
    crr=0.004, efficiency=0.98, walkBelowMps=1.0, startSpeedMps=9.0, powerW=250,
    bike=dict(massKg=80, wheelInertiaKgM2=0.14, wheelRadiusM=0.335, cdaM2=0.30, yaw=None),
    leastW=0, mostW=400,
)
hill = [dict(lengthM=1500, gradient=g, headingDeg=90) for g in (0.0, 0.05, 0.05, -0.05, -0.05, 0.0)]
wind = [dict(lengthM=2500, gradient=0.0, headingDeg=h) for h in (0, 0, 180, 180)]
cases = [
    dict(base, name="symmetric hill", stretches=hill, wind=dict(speedMps=0, fromDeg=0), exponent=4),
    dict(base, name="out and back in wind", stretches=wind, wind=dict(speedMps=5, fromDeg=0), exponent=4),
    dict(base, name="symmetric hill, plain mean", stretches=hill, wind=dict(speedMps=0, fromDeg=0), exponent=1,
         leastW=130),  # never so little that the ride comes to a stand, which this equation does not know
]


def ride(case, powers):
    """Time and the p-th moment of power, by distance: d(v)/ds = a/v, d(t)/ds = 1/v."""
    t, moment, v, height = 0.0, 0.0, case["startSpeedMps"], 0.0
    for stretch, power in zip(case["stretches"], powers):
        rhs = lambda s, y: [acceleration(case, stretch, s, height, power, y[0]) / y[0], 1 / y[0]]  # noqa: E731
        out = solve_ivp(rhs, (0, stretch["lengthM"]), [v, 0.0], method="DOP853", rtol=1e-9, atol=1e-9)
        v, dt = out.y[0, -1], out.y[1, -1]
        t += dt
        moment += max(power, 0) ** case["exponent"] * dt
        height += stretch["lengthM"] * stretch["gradient"] / math.hypot(1, stretch["gradient"])
    return t, (moment / t) ** (1 / case["exponent"])


for case in cases:
    start = np.full(len(case["stretches"]), float(case["powerW"]))
    before, held = ride(case, start)
    best = None
    for begin in (start, start * np.linspace(1.1, 0.9, len(start))):
        found = minimize(
            lambda x: ride(case, 100 * x)[0], begin / 100, method="SLSQP",
            bounds=[(case["leastW"] / 100, case["mostW"] / 100)] * len(start),
            constraints=[dict(type="eq", fun=lambda x: ride(case, 100 * x)[1] / 100 - held / 100)],
            options=dict(ftol=1e-9, maxiter=200, eps=1e-5))
        time, mean = ride(case, 100 * found.x)
        if abs(mean - held) < 1e-3 and (best is None or time < best[0]):
            best = (time, (100 * found.x).tolist())
    case.update(beforeS=before, heldW=held, bestS=best[0], bestW=best[1])

json.dump(
    dict(script="tools/reference/race/plan.py", scipy=scipy.__version__, numpy=np.__version__,
         python=sys.version.split()[0], cases=cases),
    open("test/fixtures/methods/race-plan.json", "w"), indent=1)
