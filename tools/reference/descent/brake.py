"""Heat of one brake by SciPy's solver for differential equations: temperatures as the state, specific heats as
formulas, melting as a raised specific heat. Lapbench has heat contents as its state and steps of its own.

Makes test/fixtures/methods/descent-heat.json. Run from the project folder: /usr/bin/python3 tools/reference/descent/brake.py
"""

import json
import math
import platform

import numpy
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

SIGMA = 5.670374419e-8


def steel_cp(t):
    """EN 1993-1-2:2005, 3.4.1.2."""
    if t < 600:
        return 425 + 7.73e-1 * t - 1.69e-3 * t**2 + 2.22e-6 * t**3
    if t < 735:
        return 666 + 13002 / (738 - t)
    if t < 900:
        return 545 + 17820 / (t - 731)
    return 650.0


def aluminium_cp(t):
    """EN 1999-1-2 to the solidus, heat of fusion spread to the melting point, liquid above."""
    if t <= 582:
        return 903 + 0.41 * t
    if t <= 660.323:
        return 903 + 0.41 * 582 + 397e3 / (660.323 - 582)
    return 1180.0


def steel_k(t):
    """AISI 410: 24.9 at 100, 28.7 at 500 °C, held beyond 0 and 800."""
    t = min(800.0, max(0.0, t))
    return 24.9 + 3.8 / 400 * (t - 100)


def rates(time, y, body, case):
    track, carrier, pads, caliper = y[:4]
    air = case["airC"]
    power = power_at(time, case)
    forced = case["forcedWPerM2K"]
    h = max(forced, 1.42 * max(0.0, (track - air) / body["diameterM"]) ** 0.25)
    kelvin = 273.15
    light = lambda t: case["emissivity"] * SIGMA * ((t + kelvin) ** 4 - (air + kelvin) ** 4)
    to_carrier = (body["rivetsWPerK"] + body["armsM"] * steel_k((track + carrier) / 2)) * (track - carrier)
    to_pads = body["padsWPerK"] * (track - pads) if power > 0 else 0.0
    to_caliper = body["caliperWPerK"] * (pads - caliper)
    straight = body["padShare"] * power
    c_track = body["track"]["steelKg"] * steel_cp(track) + body["track"]["aluminiumKg"] * aluminium_cp(track)
    c_carrier = body["carrier"]["steelKg"] * steel_cp(carrier) + body["carrier"]["aluminiumKg"] * aluminium_cp(carrier)
    return [
        (power - straight - h * body["trackAreaM2"] * (track - air) - body["trackAreaM2"] * light(track) - to_carrier - to_pads) / c_track,
        (to_carrier - h * body["carrierAreaM2"] * (carrier - air) - body["carrierAreaM2"] * light(carrier) - body["hubWPerK"] * (carrier - air)) / c_carrier,
        (straight + to_pads - h * body["padsAreaM2"] * (pads - air) - to_caliper) / body["padsJPerK"],
        (to_caliper - h * body["caliperAreaM2"] * (caliper - air)) / body["caliperJPerK"],
    ]


def power_at(time, case):
    for begin, end, watts in case["powers"]:
        if begin <= time < end:
            return watts
    return 0.0


def solve(body, case):
    """Each stretch of even power by itself, so that no jump lies inside a step."""
    y = [case["startC"]] * 4 if "startC" in case else [case["airC"]] * 4
    found = []
    edges = sorted({0.0, case["untilS"], *[x for p in case["powers"] for x in p[:2] if x <= case["untilS"]]})
    wanted = case["atS"]
    for begin, end in zip(edges, edges[1:]):
        middle = dict(case, powers=[[begin - 1, end + 1, power_at((begin + end) / 2, case)]])
        inside = [t for t in wanted if begin < t <= end]
        solved = solve_ivp(
            rates, (begin, end), y, method="LSODA", t_eval=sorted({*inside, end}),
            args=(body, middle), rtol=1e-9, atol=1e-8, max_step=0.5,
        )
        assert solved.success
        for t in inside:
            found.append([float(v) for v in solved.y[:, list(solved.t).index(t)]])
        y = solved.y[:, -1]
    return found


STEEL = {
    "diameterM": 0.16, "trackWidthM": 0.014, "armsM": 0.004, "rivetsWPerK": 0.0, "hubWPerK": 0.3,
    "track": {"steelKg": 0.063, "aluminiumKg": 0.0}, "carrier": {"steelKg": 0.055, "aluminiumKg": 0.0},
    "trackAreaM2": 0.013, "carrierAreaM2": 0.0098, "padsJPerK": 12.0, "padsAreaM2": 0.001,
    "padsWPerK": 0.33, "padShare": 0.01, "padFaceM2": 6.6e-4,
    "caliperJPerK": 117.0, "caliperAreaM2": 0.012, "caliperWPerK": 0.5,
}
LAYERED = dict(
    STEEL, armsM=0.0, rivetsWPerK=0.3, track={"steelKg": 0.035, "aluminiumKg": 0.01},
    carrier={"steelKg": 0.0, "aluminiumKg": 0.055}, carrierAreaM2=0.017, padsWPerK=2.8, padShare=0.04,
)

PULSES = [[8.0 * i, 8.0 * i + 3.0, 900.0] for i in range(25)]
CASES = [
    {"name": "a steel rotor dragged for five minutes", "body": "steel", "airC": 15.0, "forcedWPerM2K": 34.0,
     "emissivity": 0.5, "powers": [[0.0, 300.0, 350.0]], "untilS": 300.0, "atS": [10.0, 30.0, 60.0, 120.0, 300.0]},
    {"name": "a layered rotor through the melting of its core", "body": "layered", "airC": 15.0, "forcedWPerM2K": 34.0,
     "emissivity": 0.5, "powers": [[0.0, 216.0, 990.0]], "untilS": 216.0, "atS": [10.0, 21.0, 40.0, 60.0, 120.0, 216.0]},
    {"name": "steel through its change of phase and back", "body": "steel", "airC": 15.0, "forcedWPerM2K": 40.0,
     "emissivity": 0.7, "powers": [[0.0, 150.0, 1400.0]], "untilS": 400.0, "atS": [30.0, 60.0, 150.0, 200.0, 400.0]},
    {"name": "pulses of three seconds in eight", "body": "layered", "airC": 25.0, "forcedWPerM2K": 60.0,
     "emissivity": 0.3, "powers": PULSES, "untilS": 200.0, "atS": [3.0, 8.0, 51.0, 56.0, 195.0, 200.0]},
    {"name": "standing still after a descent", "body": "steel", "airC": 15.0, "forcedWPerM2K": 0.0, "startC": 320.0,
     "emissivity": 0.5, "powers": [], "untilS": 900.0, "atS": [30.0, 120.0, 300.0, 900.0]},
]

# The steady temperature of one body by convection and radiation, as in the table of reference values.
STEADY = brentq(
    lambda t: 60 * 0.03 * (t - 20) + 0.3 * SIGMA * 0.03 * ((t + 273.15) ** 4 - 293.15**4) - 500, 20, 900
)

if __name__ == "__main__":
    bodies = {"steel": STEEL, "layered": LAYERED}
    out = {
        "script": "tools/reference/descent/brake.py",
        "versions": {"python": platform.python_version(), "numpy": numpy.__version__, "scipy": scipy.__version__},
        "bodies": bodies,
        "steadyC": STEADY,
        "cases": [dict(case, temperaturesC=solve(bodies[case["body"]], case)) for case in CASES],
    }
    assert math.isclose(STEADY, 274.4, abs_tol=0.2)
    with open("test/fixtures/methods/descent-heat.json", "w") as file:
        json.dump(out, file, indent=1)
        file.write("\n")
