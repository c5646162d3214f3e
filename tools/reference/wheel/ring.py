"""Wheels by a second theory, for test/core/structure/outside/: the rim as one smooth curved ring described by
waves round it, no finite elements; each spoke's energy from its true length, however the rim and the hub move;
spokes that do not push, by minimising that energy (Newton). Shares nothing with src/core/structure but the
wheel's dimensions.

What it is there for: hubs on bearings with springs, rims whose shear centre lies off the centroid, straight-pull
hubs, the tension of collapse of crossed and dished wheels, brake torque and slack spokes together, and how far
small displacements can be believed.

Run from the project folder: /usr/bin/python3 tools/reference/wheel/ring.py     (NumPy, SciPy; half a minute)
"""
import datetime
import json

import numpy as np
import scipy
from scipy.linalg import eigh

OUT = "test/fixtures/structure/ring-waves.json"
WAVES = 60  # up to this many round the rim, in each of four displacements
LOOSE = 0.1  # of the tension, where spokes are let go slack


def side(count, cross, e, area, tension, turn=None):
    one = {"count": count, "cross": cross, "materialEPa": e, "areaM2": area, "densityKgM3": 1600.0, "meanTensionN": tension}
    return one if turn is None else {**one, "hubTurnRad": turn}


BEARINGS = {"radialNPerM": 4.0e7, "axialNPerM": 1.5e7, "tiltNmPerRad": 9.0e3}
WHEELS = {
    "deep-2-1": {
        "rim": {"radiusM": 0.29, "materialEPa": 60e9, "materialGPa": 6e9, "areaM2": 180e-6, "iRadialM4": 30e-9, "iLateralM4": 8e-9,
                "torsionM4": 12e-9, "nippleOffsetM": 0.004, "massKg": 0.48, "shearCentreOffsetM": 0.006},
        "hub": {"flangeRadiusM": {"left": 0.022, "right": 0.019}, "flangeOffsetM": {"left": 0.026, "right": 0.034}, "bearingStiffness": BEARINGS},
        "spokes": {"left": side(16, 2, 130e9, 4.5e-6, 1000.0), "right": side(8, 0, 130e9, 4.5e-6, None)},
    },
    "dished-3-cross": {
        "rim": {"radiusM": 0.302, "materialEPa": 70e9, "materialGPa": 26e9, "areaM2": 110e-6, "iRadialM4": 2.2e-9, "iLateralM4": 5e-9,
                "torsionM4": 3e-9, "nippleOffsetM": 0.007, "massKg": 0.45, "shearCentreOffsetM": -0.003},
        "hub": {"flangeRadiusM": {"left": 0.022, "right": 0.025}, "flangeOffsetM": {"left": 0.036, "right": 0.018}, "bearingStiffness": BEARINGS},
        "spokes": {"left": side(14, 3, 200e9, 2.4e-6, None), "right": side(14, 3, 200e9, 3.1e-6, 1100.0)},
    },
    "straight-pull-24": {
        "rim": {"radiusM": 0.296, "materialEPa": 70e9, "materialGPa": 26e9, "areaM2": 140e-6, "iRadialM4": 4e-9, "iLateralM4": 6e-9,
                "torsionM4": 5e-9, "nippleOffsetM": 0.0, "massKg": 0.46, "shearCentreOffsetM": 0.0},
        "hub": {"flangeRadiusM": {"left": 0.028, "right": 0.018}, "flangeOffsetM": {"left": 0.022, "right": 0.036}, "bearingStiffness": BEARINGS},
        "spokes": {"left": side(12, 2, 200e9, 2.6e-6, 1050.0, 1.42), "right": side(12, 0, 200e9, 2.6e-6, None)},
    },
}


def lace(wheel):
    """Place, nipple, hole, stiffness and tension of every spoke; x to spoke 1, z to the left, arrays by spoke."""
    rim, hub, both = wheel["rim"], wheel["hub"], wheel["spokes"]
    counts = {s: both[s]["count"] for s in both}
    unit = ["left", "right"] if counts["left"] == counts["right"] else ["left", "right", "left"]
    order = [unit[i % len(unit)] for i in range(sum(counts.values()))]
    seen = {"left": 0, "right": 0}
    angles, nipples, holes, ks, sides = [], [], [], [], []
    for i, s in enumerate(order):
        own = both[s]
        a = 2 * np.pi * i / len(order)
        turn = own.get("hubTurnRad", 2 * np.pi * own["cross"] / own["count"]) * (1 if seen[s] % 2 == 0 else -1)
        seen[s] += 1
        seat, r = rim["radiusM"] - rim["nippleOffsetM"], hub["flangeRadiusM"][s]
        z = hub["flangeOffsetM"][s] * (1 if s == "left" else -1)
        nipples.append([seat * np.cos(a), seat * np.sin(a), 0.0])
        holes.append([r * np.cos(a + turn), r * np.sin(a + turn), z])
        length = np.linalg.norm(np.subtract(nipples[-1], holes[-1]))
        ks.append(own["materialEPa"] * own["areaM2"] / length)
        angles.append(a)
        sides.append(s)
    angles, nipples, holes, ks = map(np.array, (angles, nipples, holes, ks))
    lengths = np.linalg.norm(nipples - holes, axis=1)
    sine = np.abs(holes[:, 2]) / lengths
    is_left = np.array([s == "left" for s in sides])
    pull = {"left": sine[is_left].sum(), "right": sine[~is_left].sum()}
    given = {s: both[s]["meanTensionN"] for s in both}
    if given["left"] is None:
        given["left"] = given["right"] * pull["right"] / pull["left"]
    if given["right"] is None:
        given["right"] = given["left"] * pull["left"] / pull["right"]
    tension = np.array([given[s] for s in sides])
    return angles, nipples, holes, ks, tension, lengths


def turned(theta, arm):
    """An arm after the turn with rotation vector theta, to second order; rows by spoke. Works on complex numbers."""
    once = np.cross(theta, arm)
    return arm + once + np.cross(theta, once) / 2


class Ring:
    """Unknowns: waves of u (outwards), v (with the rotation), w (to the left), phi (turn about the rim's line); then
    the hub's three displacements and two tilts when it stands on springs."""

    def __init__(self, wheel, bearings=False, factor=1.0):
        self.rim, self.bearings = wheel["rim"], wheel["hub"]["bearingStiffness"] if bearings else None
        self.angles, self.nipples, self.holes, self.k, tension, self.lengths = lace(wheel)
        self.tension = tension * factor
        m = 2 * WAVES + 1
        self.waves, self.size = 4 * m, 4 * m + (5 if bearings else 0)
        self.r, self.e = self.rim["radiusM"], self.rim["shearCentreOffsetM"]
        points = 4 * WAVES + 4
        at = 2 * np.pi * np.arange(points) / points
        self.weight = self.r * 2 * np.pi / points
        f0, f1, f2 = (self.basis(at, d) for d in (0, 1, 2))
        o, r, e = np.zeros_like(f0), self.r, self.e
        row = lambda u, v, w, p: np.hstack([u, v, w, p] + [np.zeros((len(u), self.size - 4 * m))])
        self.stretch = row(f0 / r, f1 / r, o, o)
        self.tilt_z = row(-f1 / r, f0 / r, o, o)  # turn about the axle's direction
        self.slope = row(o, o, f1 / r, o)
        bend_z = row(-f2 / r**2, f1 / r**2, o, o)
        # No shear where the shear centre lies, on radius r - e: there the turn about the radius is the slope of w + e phi.
        inner = r - e
        bend_r = row(o, o, f2 / (inner * r), e * f2 / (inner * r) - f0 / r)
        twist = row(o, o, f1 / (inner * r), f1 / r + e * f1 / (inner * r))
        x = self.rim
        self.ea = x["materialEPa"] * x["areaM2"]
        stiff = [(x["materialEPa"] * x["iRadialM4"], bend_z), (x["materialEPa"] * x["iLateralM4"], bend_r), (x["materialGPa"] * x["torsionM4"], twist)]
        self.linear = sum(self.weight * c * s.T @ s for c, s in stiff)
        if bearings:
            b = self.bearings
            for i, c in enumerate([b["radialNPerM"], b["radialNPerM"], b["axialNPerM"], b["tiltNmPerRad"], b["tiltNmPerRad"]]):
                self.linear[4 * m + i, 4 * m + i] += c
        # Displacement and turn of the rim at the spokes, in fixed axes, then the hub's: (spoke, 12, unknown).
        self.moves = np.array([self.motion(a) for a in self.angles])
        inwards = np.sum((self.nipples - self.holes) / self.lengths[:, None] * self.nipples, axis=1) / np.linalg.norm(self.nipples, axis=1)
        self.press = np.sum(self.tension * inwards) / (2 * np.pi)
        self.arm = self.nipples * (1 - self.r / np.linalg.norm(self.nipples, axis=1))[:, None]
        self.rest = self.spoke_gradient(np.zeros(self.size))

    def basis(self, at, derivative):
        n = np.arange(1, WAVES + 1)
        quarter = derivative * np.pi / 2
        inner = np.outer(at, n) + quarter
        scale = n.astype(float) ** derivative
        first = np.full((len(at), 1), 1.0 if derivative == 0 else 0.0)
        return np.hstack([first, scale * np.cos(inner), scale * np.sin(inner)])

    def local(self, angle):
        """u, v, w and the turns about radius, rim line and axle at an angle: 6 rows."""
        f0, f1 = self.basis(np.array([angle]), 0)[0], self.basis(np.array([angle]), 1)[0]
        o, r, e = np.zeros_like(f0), self.r, self.e
        rows = [(f0, o, o, o), (o, f0, o, o), (o, o, f0, o), (o, o, f1 / (r - e), e * f1 / (r - e)), (o, o, o, f0), (-f1 / r, f0 / r, o, o)]
        return np.array([np.hstack([*row, np.zeros(self.size - self.waves)]) for row in rows])

    def motion(self, angle):
        c, s = np.cos(angle), np.sin(angle)
        axes = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
        local = self.local(angle)
        hub = np.zeros((6, self.size))
        for i in range(self.size - self.waves):
            hub[i, self.waves + i] = 1
        return np.vstack([axes @ local[:3], axes @ local[3:], hub])

    def stretches(self, twelve):
        nipple = self.nipples - self.arm + twelve[:, :3] + turned(twelve[:, 3:6], self.arm)
        hole = twelve[:, 6:9] + turned(twelve[:, 9:12], self.holes)
        gap = nipple - hole
        return np.sqrt((gap * gap).sum(axis=1)) - self.lengths

    def lengthen(self, q):
        """Stretch and its slope over the twelve motions, by complex steps."""
        twelve = self.moves @ q
        step, slope = 1e-30, np.empty((len(self.k), 12))
        for i in range(12):
            there = twelve.astype(complex)
            there[:, i] += 1j * step
            slope[:, i] = self.stretches(there).imag / step
        return self.stretches(twelve), slope

    def pull(self, stretch):
        return np.maximum(0, self.tension + self.k * stretch)

    def spoke_gradient(self, q):
        stretch, slope = self.lengthen(q)
        return np.einsum("s,si,siq->q", self.pull(stretch), slope, self.moves)

    def spoke_hessian(self, q):
        stretch, slope = self.lengthen(q)
        pull = self.pull(stretch)
        blocks = np.einsum("s,si,sj->sij", np.where(pull > 0, self.k, 0), slope, slope)
        h = 1e-6
        twelve = self.moves @ q
        for i in range(12):
            ends = []
            for sign in (1, -1):
                moved = twelve.copy()
                moved[:, i] += sign * h
                ends.append(self.slope_at(moved))
            blocks[:, i, :] += pull[:, None] * (ends[0] - ends[1]) / (2 * h)
        return sum(m.T @ b @ m for m, b in zip(self.moves, (blocks + blocks.transpose(0, 2, 1)) / 2))

    def slope_at(self, twelve):
        step, slope = 1e-30, np.empty((len(self.k), 12))
        for i in range(12):
            there = twelve.astype(complex)
            there[:, i] += 1j * step
            slope[:, i] = self.stretches(there).imag / step
        return slope

    def energy(self, q, force):
        e, n = self.strain(q)
        stretch = self.stretches(self.moves @ q)
        pull = self.pull(stretch)
        spokes = np.where(pull > 0, (pull**2 - self.tension**2) / (2 * self.k), -(self.tension**2) / (2 * self.k)).sum()
        rim = self.weight * np.sum(self.ea * e * e / 2 - self.press * (e - self.stretch @ q))
        return q @ self.linear @ q / 2 + rim + spokes - self.rest @ q - force @ q

    def strain(self, q):
        """Strain of the centroid line with the squares of its slopes (von Karman), and the slopes."""
        z, s = self.tilt_z @ q, self.slope @ q
        return self.stretch @ q + (z * z + s * s) / 2, (z, s)

    def gradient(self, q):
        e, (z, s) = self.strain(q)
        n = self.ea * e - self.press
        rim = self.stretch.T @ (n + self.press) + self.tilt_z.T @ (n * z) + self.slope.T @ (n * s)
        return self.linear @ q + self.weight * rim + self.spoke_gradient(q) - self.rest

    def hessian(self, q):
        e, (z, s) = self.strain(q)
        n = (self.ea * e - self.press)[:, None]
        de = self.stretch + z[:, None] * self.tilt_z + s[:, None] * self.slope
        rim = self.ea * de.T @ de + self.tilt_z.T @ (n * self.tilt_z) + self.slope.T @ (n * self.slope)
        return self.linear + self.weight * rim + self.spoke_hessian(q)

    def force(self, angle, side_n=0.0, inward_n=0.0, forward_n=0.0):
        return np.array([-inward_n, forward_n, side_n]) @ self.local(angle)[:3]

    def solve(self, force):
        """Newton from rest, in steps of the load, halved where the energy does not fall."""
        q = np.zeros(self.size)
        for share in np.linspace(0, 1, 5)[1:]:
            target = share * force
            for _ in range(60):
                g = self.gradient(q) - target
                if np.linalg.norm(g) < 1e-9 * np.linalg.norm(force):
                    break
                step = np.linalg.solve(self.hessian(q), -g)
                size, now = 1.0, self.energy(q, target)
                while size > 1e-6 and self.energy(q + size * step, target) > now + 1e-12 * abs(now):
                    size /= 2
                q = q + size * step
            else:
                raise RuntimeError("Newton does not settle")
        return q


def sig(x):
    return float(f"{x:.6g}") if abs(x) > 1e-15 else 0.0


def listed(values):
    return [sig(x) for x in values]


def unit_answers(ring):
    """Own displacement under 1 N in each direction, at spoke 1 and midway, and all spokes' changes at spoke 1."""
    h = ring.hessian(np.zeros(ring.size))
    stretch = np.einsum("si,siq->sq", ring.lengthen(np.zeros(ring.size))[1], ring.moves)
    out = {}
    for place, angle in (("atSpoke", 0.0), ("midway", np.pi / len(ring.k))):
        for name, f in (("side", {"side_n": 1.0}), ("inward", {"inward_n": 1.0}), ("forward", {"forward_n": 1.0})):
            force = ring.force(angle, **f)
            q = np.linalg.solve(h, force)
            out.setdefault(place, {})[name] = {"movedM": sig(force @ q), "tensionChangeN": listed(ring.k * (stretch @ q))}
    return out


def collapse(wheel):
    """Factor on all tensions at which the stiffness is gone: K0 + f (K1 - K0) singular."""
    with_it, without = (Ring(wheel, factor=f).hessian(np.zeros(4 * (2 * WAVES + 1))) for f in (1.0, 1e-9))
    # (K0 - K1) x = mu K1' x with K0 positive definite but for the turn of an all-radial wheel, of which there is none here.
    mu = eigh(without - with_it, without, eigvals_only=True)
    return 1 / mu.max()


def slack(wheel):
    ring = Ring(wheel, factor=LOOSE)
    load = {"side_n": 60.0, "inward_n": 90.0, "forward_n": 25.0 / ring.r}
    unit = ring.force(0.0, **load)
    h = ring.hessian(np.zeros(ring.size))
    stretch = np.einsum("si,siq->sq", ring.lengthen(np.zeros(ring.size))[1], ring.moves)
    change = ring.k * (stretch @ np.linalg.solve(h, unit))
    first = min(t / -c for t, c in zip(ring.tension, change) if c < -1e-9)
    size = 2 * first
    q = ring.solve(size * unit)
    local = ring.local(0.0)[:3] @ q
    return {
        "tensionFactor": LOOSE,
        "sideN": sig(60 * size), "inwardN": sig(90 * size), "brakeNm": sig(25 * size),
        "firstSlackShare": sig(first / size),
        "outwardM": sig(local[0]), "forwardM": sig(local[1]), "leftM": sig(local[2]),
        "spokeTensionN": listed(ring.pull(ring.stretches(ring.moves @ q))),
    }


def large(wheel):
    """Side loads at full tension: displacement with true lengths over that of small displacements."""
    ring = Ring(wheel)
    unit = ring.force(0.0, side_n=1.0)
    per_n = unit @ np.linalg.solve(ring.hessian(np.zeros(ring.size)), unit)
    rows = []
    for mm in (1.0, 2.0, 5.0, 10.0):
        force = mm * 1e-3 / per_n
        q = ring.solve(force * unit)
        rows.append({"smallDisplacementsMm": mm, "sideN": sig(force), "trueLengthsMm": sig(1e3 * unit @ q),
                     "slack": int(np.sum(ring.pull(ring.stretches(ring.moves @ q)) == 0))})
    return rows


def main():
    wheels = {}
    for name, wheel in WHEELS.items():
        wheel = {"name": f"invented, {name}", **wheel, "discSide": "left"}
        held, sprung = Ring(wheel), Ring(wheel, bearings=True)
        wheels[name] = {
            "wheel": wheel,
            "tensionN": listed(held.tension),
            "lengthM": listed(held.lengths),
            "held": unit_answers(held),
            "onBearings": unit_answers(sprung),
            "collapseFactor": sig(collapse(wheel)),
            "slack": slack(wheel),
            "large": large(wheel),
        }
        print(name, wheels[name]["collapseFactor"], wheels[name]["slack"]["firstSlackShare"], wheels[name]["large"])
    about = {"script": "tools/reference/wheel/ring.py", "versions": f"NumPy {np.__version__}, SciPy {scipy.__version__}",
             "date": datetime.date.today().isoformat(), "waves": WAVES}
    with open(OUT, "w") as f:
        json.dump({**about, "wheels": wheels}, f, indent=1)
        f.write("\n")


if __name__ == "__main__":
    main()
