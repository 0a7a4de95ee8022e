"""Reference solutions of a negative rail that hangs on the high-voltage winding, with the bus on the same winding, as one circuit.

    pip install -r requirements.txt
    python rail_on_winding.py     writes rail_on_winding.json (some minutes)

Both are solved together by `scipy.integrate.solve_ivp`, which knows nothing of two supplies. One volt-source behind the primary's
resistance Rp, an ideal transformer of N turns per half, the copper Rs of each half in series. With p, q the currents of the plates on
the first and the second half and r that of the rail's diode, which flows into the first end (of the part t of its turns at a tap):

    u = N·(vp − Rp·N·(p − q − t·r))                   e.m.f. of a half
    first end  a = u − Rs·((1−t)·p + t·(p − r))       the plate's, against the centre tap
    tap        b = t·u − t·Rs·(p − r)
    second end c = −u − Rs·q
    p = f(a − v1), q = f(c − v1), r = f'(−b − v2)     f: vacuum, i = K·v^1.5 behind the plate's resistor

    C1·dv1/dt = p + q − I1,  C2·dv2/dt = r − I2       bus and rail, both into a capacitor

It is followed over whole mains cycles until it repeats within 1e-6. The drops are published ones (44 V at 225 mA, 22 V at 70 mA).
"""

import json
import math
import pathlib

import numpy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

HERTZ = 60.0
CASES = [
    {"name": "from the end, a stiff primary", "primary_ohms": 0.0, "tap": 1.0},
    {"name": "from the end", "primary_ohms": 2.0, "tap": 1.0},
    {"name": "from a tap", "primary_ohms": 2.0, "tap": 0.4},
    {"name": "from a tap, a stiff primary", "primary_ohms": 0.0, "tap": 0.4},
    {
        "name": "from the end, little but copper",
        "primary_ohms": 2.0,
        "tap": 1.0,
        "plate_drop": [1.0, 0.225],
        "plate_resistor_ohms": 0.0,
        "half_ohms": 30.0,
    },
]
COMMON = {
    "hertz": HERTZ,
    "mains_volts": 120.0,
    "half_volts": 360.0,
    "half_ohms": 60.0,
    "plate_resistor_ohms": 20.0,
    "plate_drop": [44.0, 0.225],
    "bus_farads": 16e-6,
    "bus_amps": 0.08,
    "rail_resistor_ohms": 47.0,
    "rail_drop": [22.0, 0.070],
    "rail_farads": 16e-6,
    "rail_amps": 0.03,
}


def current(volts, drop, ohms):
    """Through a device and a resistor in series."""
    if volts <= 0.0:
        return 0.0
    k = drop[1] / drop[0] ** 1.5
    low, high = 0.0, volts
    for _ in range(60):
        v = 0.5 * (low + high)
        i = k * v**1.5
        f = v + ohms * i - volts
        if f > 0.0:
            high = v
        else:
            low = v
        step = v - f / (1.0 + 1.5 * ohms * k * math.sqrt(v))
        if low < step < high:
            if abs(f) < 1e-12 * volts:
                break
            i = k * step**1.5
            if step + ohms * i - volts > 0.0:
                high = step
            else:
                low = step
        if high - low < 1e-14 * volts:
            break
    return k * (0.5 * (low + high)) ** 1.5


class Circuit:
    def __init__(self, case):
        self.c = {**COMMON, **case}
        self.turns = self.c["half_volts"] / self.c["mains_volts"]

    def currents(self, time, v1, v2):
        """p, q, r: each falls when u is pulled its way, so that u has one answer."""
        c, t = self.c, self.c["tap"]
        rs, n = c["half_ohms"], self.turns
        open_volts = n * math.sqrt(2.0) * c["mains_volts"] * math.sin(2.0 * math.pi * c["hertz"] * time)

        def at(u):
            # In the first half p and r share copper: r flows only while its e.m.f. is negative, where p is none.
            p = current(u - v1, c["plate_drop"], rs + c["plate_resistor_ohms"])
            r = current(-t * u - v2, c["rail_drop"], t * rs + c["rail_resistor_ohms"])
            assert p == 0.0 or r == 0.0
            q = current(-u - v1, c["plate_drop"], rs + c["plate_resistor_ohms"])
            return p, q, r

        reflected = n * n * c["primary_ohms"]
        if reflected == 0.0:
            return at(open_volts)

        def miss(u):
            p, q, r = at(u)
            return u - open_volts + reflected * (p - q - t * r)

        low, high = sorted([0.0, open_volts])
        if miss(low) * miss(high) > 0.0:
            return at(open_volts)
        return at(brentq(miss, low, high, xtol=1e-11, rtol=1e-13))

    def slope(self, time, state):
        p, q, r = self.currents(time, *state)
        c = self.c
        return [(p + q - c["bus_amps"]) / c["bus_farads"], (r - c["rail_amps"]) / c["rail_farads"]]

    def cycle(self, start, **more):
        span = (0.0, 1.0 / self.c["hertz"])
        return solve_ivp(self.slope, span, start, method="RK45", rtol=1e-8, atol=1e-7, max_step=span[1] / 400, **more)

    def solve(self):
        crest = math.sqrt(2.0) * self.c["half_volts"]
        state = numpy.array([0.9 * crest, 0.85 * self.c["tap"] * crest])
        for _ in range(400):
            end = self.cycle(state).y[:, -1]
            moved = numpy.max(numpy.abs(end - state) / state)
            state = end
            if moved < 1e-7:
                break
        assert moved < 1e-6, moved
        steps = 8000
        times = numpy.linspace(0.0, 1.0 / self.c["hertz"], steps, endpoint=False)
        found = self.cycle(state, dense_output=True).sol(times)
        paths = numpy.array([self.currents(t, *v) for t, v in zip(times, found.T)])
        p, q, r = paths.T
        rms = lambda x: float(numpy.sqrt(numpy.mean(x * x)))
        return {
            "bus_mean_volts": float(numpy.mean(found[0])),
            "rail_mean_volts": float(numpy.mean(found[1])),
            "plate_rms_amps": rms(p),
            "rail_rms_amps": rms(r),
            "shared_rms_amps": rms(p - r),
            "mean_plate_amps": [float(numpy.mean(p)), float(numpy.mean(q))],
            "other_half_rms_amps": rms(q),
        }


if __name__ == "__main__":
    cases = []
    for case in CASES:
        got = Circuit(case).solve()
        print(case["name"], got, flush=True)
        cases.append({**COMMON, **case, "results": got})
    where = pathlib.Path(__file__).with_name("rail_on_winding.json")
    where.write_text(json.dumps(cases, indent=2) + "\n")
