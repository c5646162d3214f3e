"""The invented wheels that are solved in CalculiX, and where their spokes run.

SI throughout. A rim is asked for by its stiffnesses and gets the solid rectangle that CalculiX makes of
them: one C3D20R brick across a section warps like x*y, so its torsion constant is 4*I1*I2/(I1+I2). The
stretching stiffness is taken high where nothing else is said, which makes the rectangle slender and keeps
CalculiX's shear flexibility, which the beam theory of the wheel leaves out, far under the tolerance.
"""
from math import cos, pi, sin, sqrt


def rim(radius, in_plane, lateral, torsion, stretching=None, nipple_offset=0.0, mass=0.45, nu=None):
    """Rim of the given EI1, EI2, GJ (N m2) and EA (N); with `nu` isotropic, and GJ follows from it."""
    ea = stretching or 1e9
    depth, width = sqrt(12 * in_plane / ea), sqrt(12 * lateral / ea)
    area = depth * width
    i1, i2 = width * depth**3 / 12, depth * width**3 / 12
    j = 4 * i1 * i2 / (i1 + i2)
    e = ea / area
    return {
        "wheel": {
            "radiusM": radius,
            "materialEPa": e,
            "materialGPa": torsion / j if nu is None else e / (2 * (1 + nu)),
            "areaM2": area,
            "iRadialM4": i1,
            "iLateralM4": i2,
            "torsionM4": j,
            "nippleOffsetM": nipple_offset,
            "massKg": mass,
        },
        "depth": depth,
        "width": width,
        "nu": nu,
    }


def side(count, cross, e, area, density, tension=None):
    return {
        "count": count,
        "cross": cross,
        "materialEPa": e,
        "areaM2": area,
        "densityKgM3": density,
        "meanTensionN": tension,
    }


def steel(count, cross, diameter=2e-3, tension=None, e=210e9):
    return side(count, cross, e, pi * diameter**2 / 4, 7900, tension)


def carbon(count, cross, tension=None):
    return side(count, cross, 130e9, 4.5e-6, 1600, tension)


def hub(radius_left, radius_right, offset_left, offset_right):
    return {
        "flangeRadiusM": {"left": radius_left, "right": radius_right},
        "flangeOffsetM": {"left": offset_left, "right": offset_right},
    }


# Rim, hub and radial lacing of the fully specified reference wheel (reference table C).
reference_rim = lambda: rim(0.3, 100, 200, 25, 3e8)
even_hub = lambda: hub(0.02, 0.02, 0.03, 0.03)

WHEELS = [
    ("radial-32", "Reference wheel, radial", reference_rim(), even_hub(), steel(32 // 2, 0, tension=1000), steel(16, 0)),
    ("cross-3-32", "Reference wheel, 3-cross", reference_rim(), even_hub(), steel(16, 3, tension=1000), steel(16, 3)),
    ("mixed-2-1-24", "Deep front, 2:1", rim(0.29, 1800, 480, 72), hub(0.022, 0.019, 0.026, 0.034), carbon(16, 2, 600), carbon(8, 0)),
    ("deep-carbon-20", "Deep carbon, 20 spokes, nipples off the centroid", rim(0.285, 1500, 1500, 400, nipple_offset=0.018), hub(0.02, 0.02, 0.032, 0.032), carbon(10, 0, 1100), carbon(10, 2)),
    ("dished-rear-28", "Dished rear, 28 spokes, nipples off the centroid", rim(0.302, 130, 130, 45, 3e8, nipple_offset=0.006), hub(0.022, 0.025, 0.035, 0.019), steel(14, 3, 1.8e-3), steel(14, 2, 2e-3, tension=1100)),
    ("low-count-16", "Sixteen spokes, plain metal rim", rim(0.3, 150, 250, 0, 2.5e7, nu=0.3), hub(0.018, 0.03, 0.036, 0.026), steel(8, 0, 2e-3), steel(8, 2, 2e-3, tension=1000)),
]


def lace(rim_, hub_, left, right):
    """Spokes in order round the rim: side, angle at the rim, angle at the hub, rim point, nipple, hole."""
    sides = {"left": left, "right": right}
    a, b = left["count"], right["count"]
    pattern = ["left", "right"] if a == b else ["left", "right", "left"] if a == 2 * b else None
    if pattern is None:
        raise ValueError("lacing not known")
    radius, e = rim_["wheel"]["radiusM"], rim_["wheel"]["nippleOffsetM"]
    seen = {"left": 0, "right": 0}
    spokes = []
    for i in range(a + b):
        name = pattern[i % len(pattern)]
        s = sides[name]
        turn = 2 * pi * s["cross"] / s["count"] * (1 if seen[name] % 2 == 0 else -1)
        seen[name] += 1
        at = 2 * pi * i / (a + b)
        hole = hub_["flangeRadiusM"][name]
        z = hub_["flangeOffsetM"][name] * (1 if name == "left" else -1)
        spokes.append({
            "side": name,
            "rimRad": at,
            "hubRad": at + turn,
            "centroid": (radius * cos(at), radius * sin(at), 0.0),
            "nipple": ((radius - e) * cos(at), (radius - e) * sin(at), 0.0),
            "hole": (hole * cos(at + turn), hole * sin(at + turn), z),
            "ea": s["materialEPa"] * s["areaM2"],
            "area": s["areaM2"],
            "e": s["materialEPa"],
        })
    for s in spokes:
        d = [p - q for p, q in zip(s["nipple"], s["hole"])]
        s["length"] = sqrt(sum(x * x for x in d))
        s["along"] = [x / s["length"] for x in d]  # hub to rim
    given = "left" if left["meanTensionN"] else "right"
    other = "right" if given == "left" else "left"
    pull = {n: sum(s["along"][2] for s in spokes if s["side"] == n) for n in ("left", "right")}
    tension = {given: sides[given]["meanTensionN"]}
    tension[other] = -tension[given] * pull[given] / pull[other]
    for s in spokes:
        s["tension"] = tension[s["side"]]
    return spokes
