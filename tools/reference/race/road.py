"""Equation of motion and air for the race references, written apart from Lapbench's own code.

Road load: Martin et al. (1998) J Appl Biomech 14:276. Air: CIPM-2007 (Picard et al. 2008, Metrologia 45:149)
at the pressure of the barometric formula (ISO 2533:1975).
"""
import math

G = 9.80665


def cipm2007(t, p, h):
    """Density, kg/m3, at t C, p Pa, h as a fraction."""
    T = t + 273.15
    f = 1.00062 + 3.14e-8 * p + 5.6e-7 * t * t
    psv = math.exp(1.2378847e-5 * T * T - 1.9121316e-2 * T + 33.93711047 - 6343.1645 / T)
    x = h * f * psv / p
    Z = (
        1
        - p / T * (1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t
                   + (5.707e-6 - 2.051e-8 * t) * x + (1.9898e-4 - 2.376e-6 * t) * x * x)
        + (p / T) ** 2 * (1.83e-11 - 0.765e-8 * x * x)
    )
    return p * 28.96546e-3 / (Z * 8.314472 * T) * (1 - x * (1 - 18.01528e-3 / 28.96546e-3))


def density(air, rise):
    T0 = air["temperatureC"] + 273.15
    p = air["pressureHPa"] * 100 * (1 - 0.0065 * rise / T0) ** (G / (287.05287 * 0.0065))
    return cipm2007(air["temperatureC"] - 0.0065 * rise, p, air["relativeHumidityPercent"] / 100)


def drag(bike, v, head, cross, rho):
    along = v + head
    if bike["yaw"] is None:
        return 0.5 * rho * bike["cdaM2"] * along * abs(along)
    yaw = math.degrees(math.atan2(abs(cross), abs(along)))
    xs, ys = bike["yaw"]["yawDeg"], bike["yaw"]["cdaM2"]
    if yaw <= xs[0]:
        cda = ys[0]
    elif yaw >= xs[-1]:
        cda = ys[-1]
    else:
        j = max(k for k in range(len(xs)) if xs[k] <= yaw)
        cda = ys[j] + (ys[j + 1] - ys[j]) * (yaw - xs[j]) / (xs[j + 1] - xs[j])
    if bike["yaw"]["reference"] == "along":
        return 0.5 * rho * cda * along * abs(along)
    return 0.5 * rho * cda * (along**2 + cross**2) * math.copysign(1, along)


def acceleration(case, stretch, s_in, height, power, v):
    """dv/dt on one stretch, s_in metres after its start at the given height above the course's start."""
    bike, wind = case["bike"], case["wind"]
    sine = stretch["gradient"] / math.hypot(1, stretch["gradient"])
    cosine = math.sqrt(1 - sine * sine)
    angle = math.radians(wind["fromDeg"] - stretch["headingDeg"])
    head, cross = wind["speedMps"] * math.cos(angle), wind["speedMps"] * math.sin(angle)
    weight = bike["massKg"] * G
    drive = case["efficiency"] * power / max(v, case["walkBelowMps"])
    resist = (weight * (sine + case["crr"] * cosine) + 0.091 + 0.0087 * v
              + drag(bike, v, head, cross, density(case["air"], height + sine * s_in)))
    return (drive - resist) / (bike["massKg"] + bike["wheelInertiaKgM2"] / bike["wheelRadiusM"] ** 2)
