"""Reference solutions of the regulator, by general-purpose libraries.

    pip install -r requirements.txt
    python regulator.py           writes regulator.json (a minute)

Bias rails: the rectifier, its filter, the feed resistor and the gas tubes (straight lines, conducting one way) are written
down as differential equations and marched with `scipy.integrate.solve_ivp` (Radau) until one mains cycle equals the last.
The program takes a constant current in place of the feed resistor; what that costs is part of the comparison.

Loops: the whole circuit of pass tubes, control tube, divider and gas tubes is solved for its working point with
`scipy.optimize.fsolve`. Then every element is replaced by its small-signal conductance, the nodal conductance matrix of all
nodes is set up, and `numpy.linalg.solve` gives output resistance and the ripple's ways to the output.
Nothing here knows how the program finds its own answer.
"""

import json
import math
import pathlib
import platform

import numpy
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, fsolve

# Gas tubes as (volts in the middle of the range, least A, most A, change of volts over the range).
D3 = ("0D3", 150.0, 5e-3, 40e-3, 4.0)
C3 = ("0C3", 105.0, 5e-3, 40e-3, 2.0)
A3 = ("0A3", 75.0, 5e-3, 40e-3, 5.0)
A2 = ("85A2", 85.0, 1e-3, 10e-3, 2.7)


def rail(name, hertz, mains, primary, winding, connection, law, first, sections, load, feed=None, tubes=()):
    return dict(name=name, hertz=hertz, mains_volts=mains, primary_volts=primary[0], primary_ohms=primary[1],
                auxiliary_va=primary[2], winding_volts=winding[0], winding_ohms=winding[1], connection=connection,
                law=law, first_farads=first, sections=sections, load_amps=load, feed_ohms=feed, tubes=[t[0] for t in tubes],
                lines=[t[1:] for t in tubes])


X4 = dict(drop_volts=22.0, at_amps=70e-3)

RAILS = [
    rail("half-wave, one tube", 60.0, 120.0, (117.0, 2.0, 40.0), (180.0, 300.0), "half_wave", X4, 16e-6,
         [(1e3, 16e-6)], 2e-3, 4.7e3, (D3,)),
    rail("half-wave, three tubes, low mains", 60.0, 108.0, (117.0, 2.0, 40.0), (400.0, 400.0), "half_wave", X4, 32e-6,
         [(680.0, 32e-6)], 1e-3, 3.9e3, (D3, D3, A3)),
    rail("full-wave, two tubes", 50.0, 240.0, (230.0, 12.0, 30.0), (280.0, 350.0), "centre_tap", X4, 8e-6,
         [(2.2e3, 16e-6)], 1e-3, 5.6e3, (D3, C3)),
    rail("full-wave, no reference", 50.0, 230.0, (230.0, 12.0, 30.0), (150.0, 200.0), "centre_tap", X4, 16e-6,
         [], 10e-3),
    rail("half-wave, reference out", 60.0, 70.0, (117.0, 2.0, 40.0), (180.0, 300.0), "half_wave", X4, 16e-6,
         [(1e3, 16e-6)], 2e-3, 4.7e3, (D3,)),
]


def solve_rail(case):
    ratio = case["winding_volts"] / case["primary_volts"]
    mains = case["mains_volts"]
    emf = ratio * (mains - case["primary_ohms"] * case["auxiliary_va"] / mains)
    ohms = case["winding_ohms"] + ratio**2 * case["primary_ohms"]
    omega = 2.0 * math.pi * case["hertz"]
    perveance = case["law"]["at_amps"] / case["law"]["drop_volts"] ** 1.5
    slopes = [(over / (most - least), volts, 0.5 * (least + most)) for volts, least, most, over in case["lines"]]
    stack_ohms = sum(r for r, _, _ in slopes)
    stack_volts = sum(v - r * m for r, v, m in slopes)

    def path(forward):
        if forward <= 0.0:
            return 0.0
        return brentq(lambda i: i * ohms + (i / perveance) ** (2.0 / 3.0) - forward, 0.0, forward / ohms, xtol=1e-15)

    def gas(volts):
        if case["feed_ohms"] is None:
            return 0.0
        return max((volts - stack_volts) / (case["feed_ohms"] + stack_ohms), 0.0)

    farads = [case["first_farads"]] + [c for _, c in case["sections"]]
    series = [r for r, _ in case["sections"]]

    def slope(t, y):
        e = math.sqrt(2.0) * emf * math.sin(omega * t)
        inflow = path(e - y[0])
        if case["connection"] == "centre_tap":
            inflow += path(-e - y[0])
        out = []
        for k, c in enumerate(farads):
            onward = (y[k] - y[k + 1]) / series[k] if k < len(series) else case["load_amps"] + gas(y[k])
            out.append((inflow - onward) / c)
            inflow = onward
        return out

    cycle = 2.0 * math.pi / omega

    def end(y):
        return solve_ivp(slope, (0.0, cycle), y, method="Radau", rtol=1e-9, atol=1e-9, max_step=cycle / 200).y[:, -1]

    y = numpy.full(len(farads), 1.1 * emf)
    for _ in range(12):
        away = end(y) - y
        if numpy.max(numpy.abs(away)) < 1e-7 * emf:
            break
        jacobian = numpy.empty((len(y), len(y)))
        for k in range(len(y)):
            step = numpy.zeros(len(y))
            step[k] = 1e-3 * emf
            jacobian[:, k] = (end(y + step) - end(y)) / (1e-3 * emf)
        y = y - numpy.linalg.solve(jacobian - numpy.eye(len(y)), away)
    times = numpy.linspace(0.0, cycle, 4001)
    volts = solve_ivp(slope, (0.0, cycle), y, method="Radau", rtol=1e-9, atol=1e-9, max_step=cycle / 400,
                      t_eval=times).y[-1]
    mean = numpy.trapezoid(volts, times) / cycle
    current = numpy.trapezoid([gas(v) for v in volts], times) / cycle
    return dict(closure=float(numpy.max(numpy.abs(end(y) - y))), mean_volts=float(mean),
                ripple_volts=float(numpy.max(volts) - numpy.min(volts)), gas_amps=float(current))


# Pass tube: coefficients of the triode law (Koren 1996), with an offset of the grid volts. Control pentode: one operating point.
PASS = dict(mu=8.0, exponent=1.4, kg1=1500.0, kp=60.0, kvb=300.0, grid_offset=0.6)
CONTROL = dict(plate_amps=3e-3, screen_amps=0.8e-3, grid_volts=-3.0, screen_volts=100.0, transconductance=1.65e-3,
               plate_ohms=1e6)

LOOPS = [
    dict(name="positive reference from the bus", bus=420.0, amps=0.05, volts=250.0, units=2, cathode_ohms=22.0,
         plate_ohms=10.0, shunt_ohms=2.0, load_ohms=470e3, clean=None, divider_ohms=200e3, preload=100e3,
         positive=dict(tubes=[A2], feed=68e3, fed_from="bus"), cathode="positive", foot="common"),
    dict(name="positive reference from the output", bus=420.0, amps=0.08, volts=200.0, units=2, cathode_ohms=22.0,
         plate_ohms=0.0, shunt_ohms=0.0, load_ohms=470e3, clean=None, divider_ohms=150e3, preload=None,
         positive=dict(tubes=[A2], feed=33e3, fed_from="output"), cathode="positive", foot="common"),
    dict(name="clean rail", bus=420.0, amps=0.03, volts=200.0, units=2, cathode_ohms=22.0, plate_ohms=0.0,
         shunt_ohms=1.0, load_ohms=220e3, clean=150.0, divider_ohms=150e3, preload=None,
         positive=dict(tubes=[A2], feed=33e3, fed_from="output"), cathode="positive", foot="common"),
    dict(name="negative rail, low output", bus=400.0, amps=0.02, volts=20.0, units=3, cathode_ohms=47.0, plate_ohms=0.0,
         shunt_ohms=1.0, load_ohms=680e3, clean=None, divider_ohms=220e3, preload=47e3,
         negative=dict(tubes=[D3, A3], feed=4e3, volts=330.0, ohms=2500.0), cathode="negative 1", foot="negative 2"),
    dict(name="negative rail, high output", bus=400.0, amps=0.08, volts=250.0, units=3, cathode_ohms=47.0, plate_ohms=0.0,
         shunt_ohms=1.0, load_ohms=680e3, clean=None, divider_ohms=220e3, preload=47e3,
         negative=dict(tubes=[D3, C3], feed=4e3, volts=360.0, ohms=2500.0), cathode="negative 1", foot="negative 2"),
]


def koren(plate, grid):
    inner = PASS["kp"] * (1.0 / PASS["mu"] + (grid + PASS["grid_offset"]) / math.sqrt(PASS["kvb"] + plate * plate))
    effective = plate / PASS["kp"] * numpy.logaddexp(0.0, inner)
    return 2.0 * effective ** PASS["exponent"] / PASS["kg1"]


class Pentode:
    """Cathode current by a three-halves law of grid and screen volts, softened at cut-off over a sixth of the screen volts over µ:
    `e = s·ln(1 + exp((Vs/µ + Vg + 0.6 V)/s))`, `s = Vs/(6·µ)`, `Ik = P·e^1.5`, µ and P from the operating point. Below where
    d ln Ik/dVg is 4.5 per volt it stays that. Everything here by differences and root search over the grid volts."""

    STEEPEST = 4.5

    def __init__(self, point):
        self.screen = point["screen_volts"]
        self.share = point["plate_amps"] / (point["plate_amps"] + point["screen_amps"])
        steep = point["transconductance"] / point["plate_amps"]
        grid = point["grid_volts"]

        def miss(mu):
            self.mu = mu
            return self.steepness(grid) - steep

        self.mu = brentq(miss, 3.0, 100.0, xtol=1e-14)
        self.perveance = 1.0
        self.perveance = point["plate_amps"] / self.share / math.exp(self.log_bare(grid))
        self.end = brentq(lambda v: self.steepness(v) - self.STEEPEST, -40.0, grid) \
            if self.steepness(-40.0) > self.STEEPEST else None

    def log_bare(self, grid):
        scale = self.screen / (6.0 * self.mu)
        effective = scale * numpy.logaddexp(0.0, (self.screen / self.mu + grid + 0.6) / scale)
        return math.log(self.perveance if hasattr(self, "perveance") else 1.0) + 1.5 * math.log(effective)

    def steepness(self, grid):
        return (self.log_bare(grid + 1e-5) - self.log_bare(grid - 1e-5)) / 2e-5

    def log_amps(self, grid):
        if self.end is not None and grid < self.end:
            return self.log_bare(self.end) + self.STEEPEST * (grid - self.end)
        return self.log_bare(grid)

    def at(self, plate_amps):
        """Grid volts and transconductance to the plate."""
        wanted = math.log(plate_amps / self.share)
        grid = brentq(lambda v: self.log_amps(v) - wanted, -40.0, 20.0, xtol=1e-13)
        slope = (self.log_amps(grid + 1e-5) - self.log_amps(grid - 1e-5)) / 2e-5
        return grid, plate_amps * slope


def line(tube):
    _, volts, least, most, over = tube
    return volts, over / (most - least), 0.5 * (least + most)


class Loop:
    """The circuit of a case: its working point, then its nodal matrix."""

    def __init__(self, case):
        self.case = case
        self.positive = case.get("positive")
        self.negative = case.get("negative")
        stack = self.positive or self.negative
        self.tubes = [line(t) for t in stack["tubes"]]
        self.cathode_at = self.position(case["cathode"])
        self.foot_at = self.position(case["foot"])

    def position(self, tap):
        """After so many gas tubes from the common; 0 is the common itself."""
        if tap == "common":
            return 0
        return len(self.positive["tubes"]) if tap == "positive" else int(tap.split()[1])

    def stack_potential(self, gas, count):
        volts = sum(v + r * (i - m) for (v, r, m), i in zip(self.tubes[:count], gas))
        return volts if self.positive else -volts

    def residual(self, x):
        """Unknown: unit current, pass grid, gas tube currents, feed current, all scaled to about one."""
        case = self.case
        unit, grid, feed = x[0] * 1e-2, x[1] * 100.0, x[2] * 1e-2
        gas = x[3:] * 1e-2
        cathode = self.stack_potential(gas, self.cathode_at)
        foot = self.stack_potential(gas, self.foot_at)
        volts = case["volts"]
        divider = (volts - foot) / case["divider_ohms"]
        own = divider + (volts / case["preload"] if case["preload"] else 0.0)
        end = self.stack_potential(gas, len(self.tubes))
        if self.positive:
            source = volts if self.positive["fed_from"] == "output" else case["bus"]
            if self.positive["fed_from"] == "output":
                own += feed
            feed_law = feed - (source - end) / self.positive["feed"]
        else:
            raw = self.negative["volts"] - self.negative["ohms"] * feed
            feed_law = feed - (raw + end) / self.negative["feed"]
        shunt = case["amps"] * case["shunt_ohms"]
        pass_cathode = volts + shunt + unit * case["cathode_ohms"]
        plate = case["bus"] - unit * case["plate_ohms"] - pass_cathode
        hung = case["bus"] if case["clean"] is None else volts + case["clean"]
        plate_amps = (hung - grid) / case["load_ohms"]
        cathode_amps = plate_amps * (1.0 + CONTROL["screen_amps"] / CONTROL["plate_amps"])
        out = [
            (koren(plate, grid - pass_cathode) - unit) / 1e-2,
            (unit * case["units"] - case["amps"] - own) / 1e-2,
            feed_law / 1e-2,
        ]
        for k in range(len(self.tubes)):
            # Node after tube k: what comes in from the common's side or the feed's, and what joins.
            outer = gas[k + 1] if k + 1 < len(self.tubes) else feed
            joins = (cathode_amps if self.cathode_at == k + 1 else 0.0)
            if self.positive:
                out.append((outer + joins - gas[k]) / 1e-2)
            else:
                joins += divider if self.foot_at == k + 1 else 0.0
                out.append((gas[k] + joins - outer) / 1e-2)
        return out

    def working_point(self):
        start = [self.case["amps"] / self.case["units"] / 1e-2 + 0.1, (self.case["volts"] - 20.0) / 100.0, 1.0]
        start += [1.0] * len(self.tubes)
        x, info, ok, message = fsolve(self.residual, start, full_output=True, xtol=1e-13)
        assert ok == 1 and max(abs(r) for r in info["fvec"]) < 1e-9, message
        return x

    def solve(self):
        case = self.case
        x = self.working_point()
        unit, grid = x[0] * 1e-2, x[1] * 100.0
        gas = x[3:] * 1e-2
        pass_cathode = case["volts"] + case["amps"] * case["shunt_ohms"] + unit * case["cathode_ohms"]
        plate = case["bus"] - unit * case["plate_ohms"] - pass_cathode
        h = 1e-4
        gm_pass = (koren(plate, grid - pass_cathode + h) - koren(plate, grid - pass_cathode - h)) / (2 * h)
        g_pass = (koren(plate + h, grid - pass_cathode) - koren(plate - h, grid - pass_cathode)) / (2 * h)
        hung = case["bus"] if case["clean"] is None else case["volts"] + case["clean"]
        plate_amps = (hung - grid) / case["load_ohms"]
        share = plate_amps / CONTROL["plate_amps"]
        control_grid, gm = Pentode(CONTROL).at(plate_amps)
        cathode = self.stack_potential(gas, self.cathode_at)
        foot = self.stack_potential(gas, self.foot_at)
        beta = (cathode + control_grid - foot) / (case["volts"] - foot)
        results = self.nodal(gm_pass, g_pass, (gm, share / CONTROL["plate_ohms"]), beta)
        return dict(unit_amps=float(unit), pass_grid_volts=float(grid - pass_cathode), control_amps=float(plate_amps),
                    divider_share=float(beta), gas_amps=[float(i) for i in gas], **results)

    def nodal(self, gm_pass, g_pass, control, beta):
        """Nodes of every conductor; sources: one ampere out of the output, one volt on the bus, on the rail's e.m.f."""
        case = self.case
        names = ["out", "common cathode", "sense", "grid", "plate"] + [f"gas {k}" for k in range(len(self.tubes))]
        names += [f"cathode {k}" for k in range(case["units"])] + [f"anode {k}" for k in range(case["units"])]
        index = {n: k for k, n in enumerate(names)}
        size = len(names)
        matrix = numpy.zeros((size, size))
        right = numpy.zeros((size, 3))
        # A node given as a number is a source: 0 is ground, 1 the bus, 2 the rail's e.m.f. (negative going).
        ground, bus, raw = ("source", None), ("source", 1), ("source", 2)
        signs = {1: 1.0, 2: -1.0}

        def add(row, node, g):
            if isinstance(node, tuple):
                if node[1] is not None:
                    right[row, node[1]] -= g * signs[node[1]]
            else:
                matrix[row, index[node]] += g

        def conductor(a, b, g):
            for here, there in ((a, b), (b, a)):
                if not isinstance(here, tuple):
                    add(index[here], here, g)
                    add(index[here], there, -g)

        def controlled(into, out_of, plus, minus, g):
            """A current g*(plus - minus) that leaves node `into` and enters node `out_of`."""
            for node, sign in ((into, 1.0), (out_of, -1.0)):
                if not isinstance(node, tuple):
                    add(index[node], plus, sign * g)
                    add(index[node], minus, -sign * g)

        short = 1e5  # 10 µΩ: nothing beside an ohm, and the matrix stays well-conditioned
        conductor("common cathode", "out", 1.0 / case["shunt_ohms"] if case["shunt_ohms"] else short)
        for k in range(case["units"]):
            conductor(f"cathode {k}", "common cathode", 1.0 / case["cathode_ohms"] if case["cathode_ohms"] else short)
            conductor(bus, f"anode {k}", 1.0 / case["plate_ohms"] if case["plate_ohms"] else short)
            conductor(f"anode {k}", f"cathode {k}", g_pass)
            controlled(f"anode {k}", f"cathode {k}", "plate", f"cathode {k}", gm_pass)
        cathode = ground if self.cathode_at == 0 else f"gas {self.cathode_at - 1}"
        foot = ground if self.foot_at == 0 else f"gas {self.foot_at - 1}"
        gm, ga = control
        conductor("plate", bus if case["clean"] is None else "out", 1.0 / case["load_ohms"])
        conductor("plate", cathode, ga)
        # The divider's two arms; the control grid draws nothing.
        conductor("out", "sense", 1.0 / ((1.0 - beta) * case["divider_ohms"]))
        conductor("sense", foot, 1.0 / (beta * case["divider_ohms"]))
        conductor("grid", "sense", 1.0)
        screen = CONTROL["screen_amps"] / CONTROL["plate_amps"]
        controlled("plate", cathode, "grid", cathode, gm)
        # The screen's current follows the grid as the plate's does; it comes from a stiff place.
        controlled(ground, cathode, "grid", cathode, screen * gm)
        before = ground
        for k, (_, ohms, _) in enumerate(self.tubes):
            conductor(before, f"gas {k}", 1.0 / ohms)
            before = f"gas {k}"
        if self.positive:
            conductor(before, "out" if self.positive["fed_from"] == "output" else bus, 1.0 / self.positive["feed"])
        else:
            conductor(before, raw, 1.0 / (self.negative["feed"] + self.negative["ohms"]))
        if case["preload"]:
            conductor("out", ground, 1.0 / case["preload"])
        right[index["out"], 0] = -1.0
        x = numpy.linalg.solve(matrix, right)[index["out"]]
        return dict(output_ohms=float(-x[0]), bus_share=float(x[1]), rail_share=float(x[2]))


def main():
    rails = [dict(case, result=solve_rail(case)) for case in RAILS]
    loops = []
    for case in LOOPS:
        flat = dict(case)
        for side in ("positive", "negative"):
            if side in flat:
                flat[side] = dict(flat[side], tubes=[t[0] for t in flat[side]["tubes"]])
        loops.append(dict(flat, result=Loop(case).solve()))
    whole = dict(about="written by regulator.py", python=platform.python_version(), numpy=numpy.__version__,
                 scipy=scipy.__version__, pass_tube=PASS, control=CONTROL, rails=rails, loops=loops)
    path = pathlib.Path(__file__).with_name("regulator.json")
    path.write_text(json.dumps(whole, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    for case in rails + loops:
        print(case["name"], case["result"])


if __name__ == "__main__":
    main()
