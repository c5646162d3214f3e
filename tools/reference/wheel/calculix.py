"""Wheels in CalculiX, for test/core/structure/outside/: rim of B32R beams, spokes as two-node springs
(SPRINGA, E*A/L), which carry their pretension and are followed through large displacements.

Not T3D2 trusses: CalculiX expands a truss to a brick, which makes the rim's section rigid where it is tied
on (on the thick rim of the sixteen-spoke wheel that stiffens everything by 2 to 3 %), and its hinges hold a
tensioned truss against being led aside several times too stiffly.

Run from the project folder: /usr/bin/python3 tools/reference/wheel/calculix.py [wheel ...]
Needs ccx (Debian: calculix-ccx). Decks and raw answers are left in a temporary folder that is named at the end.
"""
import datetime
import json
import os
import re
import subprocess
import sys
import tempfile
from math import cos, pi, sin

sys.path.insert(0, os.path.dirname(__file__))
from wheels import WHEELS, lace

PER_GAP = 4  # B32R elements between two neighbouring spokes; each has a middle node
OUT = "test/fixtures/structure"
# N; linear steps print the springs' reactions with the second order of their stretch in it.
SMALL = 0.01
LOOSE = 0.1  # of the tension, where spokes are let go slack


PITCH = 0.0254 / 56  # m, the usual nipple thread (common practice)


def lines(card, rows):
    return [card] + [",".join(real(v) if isinstance(v, float) else str(v) for v in r) for r in rows]


def real(x):
    """A force of "0" without its point sends a table of springs astray; at most 20 characters are read."""
    return f"{x:.11e}"


def mesh(rim, spokes):
    """Nodes and rim elements; node numbers of the rim points and nipples of the spokes and of their holes."""
    n = 2 * PER_GAP * len(spokes)
    r = rim["wheel"]["radiusM"]
    nodes = [(i + 1, r * cos(2 * pi * i / n), r * sin(2 * pi * i / n), 0.0) for i in range(n)]
    beams = [(k + 1, 2 * k + 1, 2 * k + 2, (2 * k + 2) % n + 1) for k in range(n // 2)]
    points = [2 * PER_GAP * i + 1 for i in range(len(spokes))]
    offset = rim["wheel"]["nippleOffsetM"] > 0
    nipples = [10001 + i for i in range(len(spokes))] if offset else points
    holes = [20001 + i for i in range(len(spokes))]
    if offset:
        nodes += [(a, *s["nipple"]) for a, s in zip(nipples, spokes)]
    nodes += [(a, *s["hole"]) for a, s in zip(holes, spokes)]
    return nodes, beams, points, nipples, holes


def model(rim, spokes, pretension, pull_only=False):
    nodes, beams, points, nipples, holes = mesh(rim, spokes)
    w = rim["wheel"]
    e, g = w["materialEPa"], w["materialGPa"]
    out = lines("*NODE,NSET=ALL", nodes)
    out += lines("*ELEMENT,TYPE=B32R,ELSET=RIM", beams)
    if nipples is not points:
        arms = [(5001 + i, p, q) for i, (p, q) in enumerate(zip(points, nipples))]
        out += lines("*ELEMENT,TYPE=B31,ELSET=ARMS", arms)
        # Stiff against everything round it, yet not so stiff that digits are lost.
        out += ["*MATERIAL,NAME=STIFF", "*ELASTIC", f"{e * 20:.12g},0."]
        out += ["*BEAM SECTION,ELSET=ARMS,MATERIAL=STIFF,SECTION=RECT"]
        out += [f"{3 * rim['width']:.12g},{3 * rim['depth']:.12g}", "0.,0.,1."]
    out += ["*MATERIAL,NAME=RIM"]
    if rim["nu"] is None:
        out += ["*ELASTIC,TYPE=ENGINEERING CONSTANTS", f"{e:.12g},{e:.12g},{e:.12g},0.,0.,0.,{g:.12g},{g:.12g},", f"{g:.12g}"]
        out += ["*ORIENTATION,NAME=ROUND,SYSTEM=CYLINDRICAL", "0.,0.,0.,0.,0.,1."]
        out += ["*BEAM SECTION,ELSET=RIM,MATERIAL=RIM,ORIENTATION=ROUND,SECTION=RECT"]
    else:
        out += ["*ELASTIC", f"{e:.12g},{rim['nu']}"]
        out += ["*BEAM SECTION,ELSET=RIM,MATERIAL=RIM,SECTION=RECT"]
    out += [f"{rim['width']:.12g},{rim['depth']:.12g}", "0.,0.,1."]
    for i, (s, p, q) in enumerate(zip(spokes, nipples, holes)):
        out += lines(f"*ELEMENT,TYPE=SPRINGA,ELSET=S{i}", [(6001 + i, q, p)])
        k, reach = s["ea"] / s["length"], 0.01
        if pretension:
            t0 = pretension[i]
            taut = [(0.0, -reach), (0.0, -t0 / k)] if pull_only else [(t0 - k * reach, -reach)]
            out += lines(f"*SPRING,ELSET=S{i},NONLINEAR", taut + [(t0 + k * reach, reach)])
        else:
            out += [f"*SPRING,ELSET=S{i}", "", f"{k:.12g}"]
    out += lines("*NSET,NSET=SEEN", [(p,) for p in sorted(set(points + nipples))] + [(points[0] + PER_GAP,)])
    out += lines("*NSET,NSET=HOLES", [(q,) for q in holes])
    out += ["*BOUNDARY", "HOLES,1,3"]
    if not pretension and turns_freely(spokes):
        out += [f"{points[0]},2,2"]  # carries nothing: no load of these turns the wheel
    return out


def turns_freely(spokes):
    """Radial on both sides: without tension nothing holds the rim against the hub's torque."""
    return all(s["rimRad"] == s["hubRad"] for s in spokes)


def loads(spokes):
    """Unit loads at the centroid line at spoke 1 (angle 0) and midway to spoke 2; radial ones towards the hub."""
    at, mid = 1, 1 + PER_GAP
    half = pi / len(spokes)
    return [
        ("lateral-at-spoke", at, (0.0, 0.0, 1.0)),
        ("lateral-midway", mid, (0.0, 0.0, 1.0)),
        ("radial-at-spoke", at, (-1.0, 0.0, 0.0)),
        ("radial-midway", mid, (-cos(half), -sin(half), 0.0)),
        ("tangential-at-spoke", at, (0.0, 1.0, 0.0)),
    ]


def deck(rim, spokes, pretension, chosen):
    out = model(rim, spokes, pretension)
    size = 1 if pretension else SMALL
    prints = ["*NODE PRINT,NSET=SEEN", "U", "*NODE PRINT,NSET=HOLES", "RF"]
    if pretension:
        out += ["*STEP,NLGEOM", "*STATIC", "1.,1."] + prints + ["*END STEP"]
    for _, node, force in chosen:
        out += ["*STEP,PERTURBATION" if pretension else "*STEP", "*STATIC"]
        out += lines("*CLOAD,OP=NEW", [(node, d + 1, f * size) for d, f in enumerate(force) if f])
        out += prints + ["*END STEP"]
    return "\n".join(out) + "\n"


def slack_deck(rim, spokes, pretension, node, force):
    """Spokes that pull and never push, under a whole load: followed step by step, large displacements."""
    out = model(rim, spokes, pretension, pull_only=True)
    prints = ["*NODE PRINT,NSET=SEEN", "U", "*NODE PRINT,NSET=HOLES", "RF"]
    out += ["*STEP,NLGEOM", "*STATIC", "1.,1."] + prints + ["*END STEP"]
    out += ["*STEP,NLGEOM,INC=100", "*STATIC", "0.1,1."]
    out += lines("*CLOAD", [(node, d + 1, f) for d, f in enumerate(force) if f])
    out += ["*NODE PRINT,NSET=SEEN,FREQUENCY=100", "U", "*NODE PRINT,NSET=HOLES,FREQUENCY=100", "RF", "*END STEP"]
    return "\n".join(out) + "\n"


def solve(folder, name, text):
    with open(f"{folder}/{name}.inp", "w") as f:
        f.write(text)
    run = subprocess.run(["ccx", name], cwd=folder, capture_output=True, text=True)
    if "*ERROR" in run.stdout or not os.path.exists(f"{folder}/{name}.dat"):
        sys.exit(f"{name}: ccx failed\n{run.stdout[-2000:]}")
    tables = []
    for line in open(f"{folder}/{name}.dat"):
        if re.match(r"\s*(displacements|forces)", line):
            tables.append({})
        elif line.strip():
            words = line.split()
            tables[-1][int(words[0])] = [float(x) for x in words[1:4]]
    return [tables[i : i + 2] for i in range(0, len(tables), 2)]


def dot(a, b):
    return sum(x * y for x, y in zip(a, b))


def answers(chosen, spokes, nipples, holes, points, steps, linear):
    out = {}
    for (name, node, force), (u, rf) in zip(chosen, steps):
        if linear:  # the hub's reaction along the spoke
            u = {p: [x / SMALL for x in v] for p, v in u.items()}
            change = [-dot(rf[q], s["along"]) / SMALL for s, q in zip(spokes, holes)]
        else:  # the perturbation step prints no clean reaction of springs: force from stretch
            change = [s["ea"] / s["length"] * dot(u[p], s["along"]) for s, p in zip(spokes, nipples)]
        out[name] = {
            "loadPointM": dot(u[node], force),
            "spokePointsM": [[sig(x) for x in u[p]] for p in points],
            "tensionChangeN": [sig(x) for x in change],
        }
    return out


def tensions(spokes, start, u, nipples):
    return [t0 + s["ea"] / s["length"] * dot(u[p], s["along"]) for t0, s, p in zip(start, spokes, nipples)]


def one_turn(folder, name, rim, spokes, start, at_rest, nipples, points):
    """Spoke 1 shortened by a small part of a thread pitch: what each spoke gains and where the rim goes."""
    part = 0.02
    turned = list(start)
    turned[0] += spokes[0]["ea"] / spokes[0]["length"] * PITCH * part
    u = solve(folder, f"{name}-turn", deck(rim, spokes, turned, []))[0][0]
    before, after = tensions(spokes, start, at_rest, nipples), tensions(spokes, turned, u, nipples)
    return {
        "threadPitchM": PITCH,
        "tensionPerTurnN": [sig((b - a) / part) for a, b in zip(before, after)],
        "spokePointsPerTurnM": [[sig((b - a) / part) for a, b in zip(at_rest[p], u[p])] for p in points],
    }


def slack(folder, name, rim, spokes, start, linear):
    """Load at spoke 1, twice the one that takes the first spoke's tension, on a wheel of a tenth of the tension.

    At full tension such a load moves the rim so far that large displacements, which the linear wheel leaves
    out, hide what slack does (a 32-spoke wheel then gives a third more than the linear answer).
    """
    out = {"tensionFactor": LOOSE}
    start = [LOOSE * t for t in start]
    for load, node, force in loads(spokes):
        if load not in ("lateral-at-spoke", "radial-at-spoke"):
            continue
        change = linear[load]["tensionChangeN"]
        losing = [s["tension"] / -x for s, x in zip(spokes, change) if x < -1e-3 * max(map(abs, change))]
        size = 2 * LOOSE * min(losing)
        text = slack_deck(rim, spokes, start, node, [f * size for f in force])
        steps = solve(folder, f"{name}-slack", text)
        rest, end = steps[0][0], steps[-1]
        u = {p: [b - a for a, b in zip(rest[p], end[0][p])] for p in rest}
        # The pull on the hub: all of it, whichever way the spoke now points.
        pull = [sum(x * x for x in end[1][20001 + i]) ** 0.5 for i in range(len(spokes))]
        out[load] = {"forceN": sig(size), "loadPointM": sig(dot(u[node], force)), "spokeTensionN": [sig(x) for x in pull]}
    return out


def sig(x):
    return float(f"{x:.5g}") if abs(x) > 1e-15 else 0.0


def main():
    chosen = sys.argv[1:]
    version = subprocess.run(["ccx", "-v"], capture_output=True, text=True).stdout.strip()
    folder = tempfile.mkdtemp(prefix="wheel-decks-")
    os.makedirs(OUT, exist_ok=True)
    for name, title, rim, hub, left, right in WHEELS:
        if chosen and name not in chosen:
            continue
        spokes = lace(rim, hub, left, right)
        _, _, points, nipples, holes = mesh(rim, spokes)
        every = loads(spokes)
        held = every[:-1] if turns_freely(spokes) else every
        linear = solve(folder, f"{name}-linear", deck(rim, spokes, None, held))
        # Springs start with what the rim's own compression will take away, so that they end at the wanted tension.
        start = [s["tension"] for s in spokes]
        for _ in range(200):
            steps = solve(folder, f"{name}-tension", deck(rim, spokes, start, []))
            now = tensions(spokes, start, steps[0][0], nipples)
            if max(abs(n - s["tension"]) for n, s in zip(now, spokes)) < 0.1:
                break
            start = [t0 + s["tension"] - n for t0, s, n in zip(start, spokes, now)]
        else:
            sys.exit(f"{name}: tensions do not settle")
        # A deck for each load: a second perturbation step would start from what the first one left behind.
        tensioned = [solve(folder, f"{name}-tension", deck(rim, spokes, start, [one]))[1] for one in every]
        after = answers(every, spokes, nipples, holes, points, tensioned, False)
        result = {
            "script": "tools/reference/wheel/calculix.py",
            "program": version,
            "date": datetime.date.today().isoformat(),
            "wheel": {"name": title, "rim": rim["wheel"], "hub": hub, "spokes": {"left": left, "right": right}, "discSide": None},
            "section": {"depthM": rim["depth"], "widthM": rim["width"], "poisson": rim["nu"] or 0},
            "mesh": {"rim": "B32R", "elementsPerSpokeGap": PER_GAP, "spokes": "SPRINGA"},
            "axes": "z along the axle towards the left flange; spoke 1 on x; lateral load +z, radial towards the hub, tangential +y",
            "spokes": [{"side": s["side"], "rimRad": s["rimRad"], "hubRad": s["hubRad"], "tensionN": sig(n)} for s, n in zip(spokes, now)],
            "linear": answers(held, spokes, nipples, holes, points, linear, True),
            "tensioned": after,
            "oneTurnOfNipple1": one_turn(folder, name, rim, spokes, start, steps[0][0], nipples, points),
            # The stiff arms of nipples off the centroid keep CalculiX from converging at such loads.
            "slack": None if nipples is not points else slack(folder, name, rim, spokes, start, after),
        }
        with open(f"{OUT}/calculix-{name}.json", "w") as f:
            f.write(json.dumps(result, separators=(",", ":")) + "\n")
        worst = max(abs(n / s["tension"] - 1) for n, s in zip(now, spokes))
        print(name, f"spoke tensions within {worst:.1e}; N/mm:")
        for state in ("linear", "tensioned"):
            print(" ", state, *(f"{k} {1e-3 / x['loadPointM']:.2f}" for k, x in result[state].items()))
    print("decks in", folder)


main()
