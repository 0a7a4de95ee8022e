"""Reference solutions of filters that run down after switch-off.

    pip install -r requirements.txt
    python discharge.py     writes discharge.json (some seconds)

`scipy.integrate.solve_ivp` follows Kirchhoff's laws of each chain, C1 - L - C2 - R - C3, with the bleeder, balancing resistors and gas
tubes across them, by two of its methods, Radau and LSODA, which must agree within 1e-6 of the first volts.

    C1·v1' = −g1·v1 − i,   L·i' = v1 − v2 − r·i,   C2·v2' = i − g2·v2 − (v2 − v3)/R
    C3·v3' = (v2 − v3)/R − g3·v3 − v3/Rb − max(0, v3 − Vg)/Rg
"""

import json
import pathlib

import numpy
from scipy.integrate import solve_ivp

CASES = [
    {"name": "two sections, little loss", "farads": [16e-6, 16e-6, 47e-6], "volts": [412.0, 405.0, 398.0],
     "balancing_ohms": [None, None, None], "henries": 10.0, "choke_ohms": 120.0, "choke_amps": 0.011,
     "link_ohms": 1000.0, "bleeder_ohms": 100e3, "gas": None},
    {"name": "balanced stacks", "farads": [34e-6, 50e-6, 50e-6], "volts": [640.0, 640.0, 632.0],
     "balancing_ohms": [440e3, 440e3, 300e3], "henries": 5.0, "choke_ohms": 90.0, "choke_amps": 0.02,
     "link_ohms": 220.0, "bleeder_ohms": 47e3, "gas": None},
    {"name": "gas tubes and no bleeder but balancing", "farads": [10e-6, 20e-6, 100e-6], "volts": [380.0, 371.0, 369.0],
     "balancing_ohms": [None, 1e6, None], "henries": 8.0, "choke_ohms": 300.0, "choke_amps": 0.03,
     "link_ohms": 4700.0, "bleeder_ohms": None, "gas": [150.0, 15e3]},
    {"name": "a slow first capacitor", "farads": [100e-6, 10e-6, 10e-6], "volts": [350.0, 350.0, 350.0],
     "balancing_ohms": [None, None, None], "henries": 20.0, "choke_ohms": 2000.0, "choke_amps": 0.0,
     "link_ohms": 100e3, "bleeder_ohms": 10e3, "gas": None},
]
LEVELS = [60.0, 10.0]
SAMPLES = [0.015625, 0.125, 0.5, 2.0, 7.5]


def siemens(ohms):
    return 0.0 if ohms is None else 1.0 / ohms


def solve(case, method):
    c1, c2, c3 = case["farads"]
    g1, g2, g3 = [siemens(ohms) for ohms in case["balancing_ohms"]]
    bleeder = siemens(case["bleeder_ohms"])

    def slope(_t, x):
        v1, i, v2, v3 = x
        between = (v2 - v3) / case["link_ohms"]
        gas = 0.0
        if case["gas"]:
            gas = max(0.0, v3 - case["gas"][0]) / case["gas"][1]
        return [
            (-g1 * v1 - i) / c1,
            (v1 - v2 - case["choke_ohms"] * i) / case["henries"],
            (i - g2 * v2 - between) / c2,
            (between - (g3 + bleeder) * v3 - gas) / c3,
        ]

    start = [case["volts"][0], case["choke_amps"], case["volts"][1], case["volts"][2]]
    events = []
    for level in LEVELS:
        def falls(_t, x, level=level):
            return max(abs(x[0]), abs(x[2]), abs(x[3])) - level
        falls.direction = -1
        events.append(falls)
    end = case.get("end", 2000.0)
    found = solve_ivp(slope, [0.0, end], start, method=method, rtol=1e-9, atol=1e-9,
                      events=events, t_eval=SAMPLES)
    assert found.success, found.message
    times = [float(one[-1]) if len(one) else None for one in found.t_events]
    volts = [[float(x[k]) for x in (found.y[0], found.y[2], found.y[3])] for k in range(len(SAMPLES))]
    amps = [float(found.y[1][k]) for k in range(len(SAMPLES))]
    return times, volts, amps


def main():
    for case in CASES:
        if case["bleeder_ohms"] is None:
            case["end"] = 4000.0
        first = solve(case, "Radau")
        second = solve(case, "LSODA")
        apart = numpy.abs(numpy.array(first[1]) - numpy.array(second[1])).max() / max(case["volts"])
        assert apart < 1e-6, (case["name"], apart)
        for a, b in zip(first[0], second[0]):
            assert (a is None) == (b is None) and (a is None or abs(a / b - 1.0) < 1e-5), (case["name"], a, b)
        case.pop("end", None)
        case["results"] = {"seconds_to": first[0], "sample_seconds": SAMPLES, "sample_volts": first[1],
                           "sample_choke_amps": first[2]}
    target = pathlib.Path(__file__).with_name("discharge.json")
    target.write_text(json.dumps(CASES, indent=2) + "\n")


if __name__ == "__main__":
    main()
