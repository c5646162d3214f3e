"""Times over an invented course by SciPy's solve_ivp: test/fixtures/methods/race-ride.json."""
import json
import math
import sys

import numpy as np
import scipy
from scipy.integrate import solve_ivp

sys.path.insert(0, __file__.rsplit("/", 1)[0])
from road import acceleration  # noqa: E402

# Invented: flat start, rolling, a wall, a long climb, descents, turns. Whole metres, so that steps of 1 m fit.
stretches = [
    dict(lengthM=length, gradient=gradient, headingDeg=heading)
    for length, gradient, heading in [
        (1500, 0.0, 20), (800, 0.03, 60), (600, -0.02, 95), (300, 0.16, 95), (1200, 0.005, 140),
        (2500, 0.065, 180), (900, -0.09, 215), (1700, -0.045, 250), (400, 0.08, 290), (2100, -0.004, 330),
    ]
]
base = dict(
    stretches=stretches,
    air=dict(temperatureC=22, pressureHPa=985, relativeHumidityPercent=55),
    wind=dict(speedMps=3.5, fromDeg=240),
    crr=0.0045,
    efficiency=0.97,
    walkBelowMps=1.0,
    bike=dict(massKg=84, wheelInertiaKgM2=0.14, wheelRadiusM=0.335, cdaM2=0.31, yaw=None),
)
table = dict(yawDeg=[0, 5, 10, 15, 30], cdaM2=[0.31, 0.300, 0.288, 0.292, 0.33])
cases = [
    dict(base, name="one drag area, from rest", startSpeedMps=0.0, powerW=[260] * 10),
    dict(base, name="rolling start, power by stretch", startSpeedMps=9.0,
         powerW=[270, 290, 220, 420, 260, 300, 0, 120, 320, 265]),
    dict(base, name="yaw table, along", startSpeedMps=2.0, powerW=[260] * 10,
         bike=dict(base["bike"], yaw=dict(table, reference="along"))),
    dict(base, name="yaw table, whole airspeed", startSpeedMps=2.0, powerW=[260] * 10,
         bike=dict(base["bike"], yaw=dict(table, reference="whole"))),
]

for case in cases:
    t, v, height, passed = 0.0, case["startSpeedMps"], 0.0, []
    for stretch, power in zip(stretches, case["powerW"]):
        end = lambda _t, y, length=stretch["lengthM"]: y[0] - length  # noqa: E731
        end.terminal, end.direction = True, 1
        # The drive force has a kink at the lowest ridden speed: end a piece there.
        kink = lambda _t, y: y[1] - case["walkBelowMps"]  # noqa: E731
        kink.terminal = True
        s = 0.0
        while s < stretch["lengthM"] - 1e-9:
            rhs = lambda _t, y: [y[1], acceleration(case, stretch, y[0], height, power, y[1])]  # noqa: E731
            out = solve_ivp(rhs, (0, 1e5), [s, v], method="DOP853", rtol=1e-10, atol=1e-10, max_step=2.0,
                            events=[end, kink] if v < case["walkBelowMps"] else [end])
            t += out.t[-1]
            s, v = out.y[0, -1], out.y[1, -1]
            if abs(v - case["walkBelowMps"]) < 1e-9:
                v = case["walkBelowMps"] + 1e-9
        height += stretch["lengthM"] * stretch["gradient"] / math.hypot(1, stretch["gradient"])
        passed.append(dict(timeS=t, speedMps=v))
    case["passed"] = passed

json.dump(
    dict(script="tools/reference/race/ride.py", scipy=scipy.__version__, numpy=np.__version__,
         python=sys.version.split()[0], cases=cases),
    open("test/fixtures/methods/race-ride.json", "w"), indent=1)
