"""Reference transients of switching on, by a general-purpose solver of differential equations.

    pip install -r requirements.txt
    python switch_on.py           writes switch_on.json (a minute)

The circuit is written down as differential equations from the instant of closing: linkages of a core of two straight lines with a
parabola between, mains and primary in series, heaters whose tungsten warms as a first-order lag, the rectifier's law, and the filter's
capacitors and chokes. `scipy.integrate.solve_ivp` (LSODA, relative tolerance 1e-9) marches them; the rectifier's current is found by
`scipy.optimize.brentq` at every call. The inductance of the mains is counted with what magnetises the core, as the program does. Nothing here knows the program's steps.
"""

import json
import math
import pathlib
import platform

import numpy
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from circuits import FIVE_U4, GZ34, SILICON, case, choke, resistor

# Resistivity of tungsten from 300 K in steps of 100 K (Forsythe and Worthing 1925).
TUNGSTEN = [5.65, 8.06, 10.56, 13.23, 16.09, 19.00, 21.94, 24.93, 27.94, 30.98, 34.08, 37.19, 40.36, 43.55]
HOT_KELVIN, LEADS, LAG = 1500.0, 0.03, 6.7 / math.log(10.0)
PRIMARY_VOLTS = 100.0  # of every circuit, as in the other cases


def tungsten(kelvin):
    return numpy.interp(kelvin, 300.0 + 100.0 * numpy.arange(len(TUNGSTEN)), TUNGSTEN)


def heater_conductance(hot, seconds):
    kelvin = 300.0 + (1.0 - math.exp(-seconds / LAG)) * (HOT_KELVIN - 300.0)
    return hot * (1.0 + LEADS) / (tungsten(kelvin) / tungsten(HOT_KELVIN) + LEADS)


def magnetising(core, linkages):
    beyond = 1.0 / core["saturated_henries"] - 1.0 / core["henries"]
    above, width = abs(linkages) - core["knee"], core["rounding"]
    if above <= -width:
        bent = 0.0
    elif above >= width:
        bent = above
    else:
        bent = (above + width) ** 2 / (4.0 * width)
    return linkages / core["henries"] + math.copysign(beyond * bent, linkages)


def drop(law, amps, devices):
    if law["kind"] == "vacuum":
        return devices * law["drop_volts"] * (amps / law["at_amps"]) ** (2.0 / 3.0)
    return devices * (law["emission_volts"] * math.log1p(amps / law["saturation_amps"])
                      + law["resistance_ohms"] * amps)


def capacitance(stack):
    return stack["unit_farads"] * stack["strings"] / stack["in_series"]


class Transient:
    def __init__(self, circuit, side, closing):
        self.circuit, self.side, self.closing = circuit, side, closing
        self.omega = 2.0 * math.pi * circuit["hertz"]
        inner = PRIMARY_VOLTS - side["primary_ohms"] * side["auxiliary_va"] / PRIMARY_VOLTS
        self.turns = circuit["emf_volts"] / inner
        self.secondary_ohms = circuit["path_ohms"] - self.turns**2 * side["primary_ohms"]
        self.ohms = side["mains_ohms"] + side["primary_ohms"]
        self.auxiliary = 0.0
        if side["auxiliary_va"] > 0.0:
            self.auxiliary = 1.0 / (PRIMARY_VOLTS**2 / side["auxiliary_va"] - side["primary_ohms"])
        core = dict(side["core"])
        core["henries"] += side["mains_henries"]
        core["saturated_henries"] += side["mains_henries"]
        self.core = core
        self.first = circuit["input_capacitor"]
        self.devices = 2 if circuit["connection"] == "bridge" else 1

    def conductance(self, t):
        if self.closing["rectifier"] == "hot":
            return self.auxiliary
        heaters = self.side["heater_share"] * self.auxiliary
        return self.auxiliary - heaters + heater_conductance(heaters, t)

    def currents(self, t, state):
        """Volts of the core, magnetising current, primary current, and what flows into the filter."""
        e = math.sqrt(2.0) * self.side["mains_volts"] * math.sin(
            self.omega * t + math.radians(self.closing["degrees"]))
        i_m = magnetising(self.core, state[0])
        g = self.conductance(t)
        share = 1.0 / (1.0 + self.ohms * g)
        seen = share * (e - self.ohms * i_m)
        sign = 1.0 if seen >= 0.0 else -1.0
        amps = 0.0
        if self.closing["rectifier"] == "hot" and (sign > 0.0 or self.circuit["connection"] != "half-wave"):
            ohms = self.secondary_ohms + self.turns**2 * share * self.ohms
            driving = self.turns * abs(seen) - state[1]
            if driving > 0.0:
                law = self.circuit["law"]
                amps = brentq(lambda i: driving - ohms * i - drop(law, i, self.devices), 0.0, driving / ohms,
                              xtol=1e-13, rtol=1e-12)
        reflected = sign * self.turns * amps
        volts = seen - share * self.ohms * reflected
        return volts, i_m + g * volts + reflected, amps

    def slopes(self, t, state):
        volts, primary, amps = self.currents(t, state)
        out = [volts]
        into, place = amps, 1
        node = state[1]
        farads = capacitance(self.first)
        for section in self.circuit["sections"]:
            series = section["series"]
            if series["kind"] == "choke":
                current, behind = state[place + 1], state[place + 2]
                out.append((into - current) / farads)
                out.append((node - behind - series["ohms"] * current) / series["henries"])
                place += 2
            else:
                behind = state[place + 1]
                current = (node - behind) / series["ohms"]
                out.append((into - current) / farads)
                place += 1
            node, into, farads = behind, current, capacitance(section["capacitor"])
        leak = node / self.circuit["bleeder_ohms"]
        out.append((into - leak) / farads)
        out.append(primary**2)
        return out

    def solve(self):
        states = 2 + sum(2 if s["series"]["kind"] == "choke" else 1 for s in self.circuit["sections"]) + 1
        begin = numpy.zeros(states)
        working = math.sqrt(2.0) * PRIMARY_VOLTS / self.omega
        begin[0] = self.closing["residual"] * working
        cycle = 2.0 * math.pi / self.omega
        end = self.closing["cycles"] * cycle
        # Short steps, so that no corner of the circuit falls between them unseen.
        found = solve_ivp(self.slopes, (0.0, end), begin, method="LSODA", rtol=1e-9, atol=1e-11, max_step=cycle / 400.0,
                          dense_output=True)
        assert found.success, found.message
        bus = states - 2
        fine = numpy.linspace(0.0, end, self.closing["cycles"] * 2000 + 1)
        primary = numpy.array([self.currents(t, found.sol(t))[1] for t in fine])
        top = int(numpy.argmax(numpy.abs(primary)))
        around = slice(max(top - 1, 0), max(top - 1, 0) + 3)
        fit = numpy.polyfit(numpy.arange(len(primary))[around] - top, numpy.abs(primary[around]), 2)
        inside = 0 < top < len(primary) - 1
        crest = float(fit[2] - fit[1] ** 2 / (4.0 * fit[0])) if inside else float(abs(primary[top]))
        marks = [0.002, 0.005, 0.01, cycle, 0.05, min(0.1, end)]
        return {
            "crest_amps": crest,
            "marks": [{
                "seconds": float(t),
                "heating": float(found.sol(t)[-1]),
                "bus_volts": float(found.sol(t)[bus]),
            } for t in marks],
        }


def side(core, **more):
    made = {"mains_volts": PRIMARY_VOLTS, "mains_ohms": 0.3, "mains_henries": 0.3e-3, "primary_ohms": 1.5,
            "auxiliary_va": 40.0, "heater_share": 0.8, "core": core}
    made.update(more)
    return made


# 100 V, 60 Hz: a working flux of 0.375 V·s, a knee at 5/3 of it.
CORE = {"knee": 0.625, "rounding": 0.125, "henries": 1.5, "saturated_henries": 6e-3}
SHARP = {"knee": 0.55, "rounding": 0.02, "henries": 4.0, "saturated_henries": 2.5e-3}

TUBE = case("5U4, C-L-C", FIVE_U4, 300.0, 70.0, 60.0, 20, [choke(5.0, 90.0, 60)], 0.0, bleeder=50e3)
BRIDGE = case("silicon bridge, C-R-C", SILICON, 300.0, 40.0, 50.0, 47, [resistor(100.0, 80)], 0.0, bleeder=50e3,
              connection="bridge")
SMALL = case("GZ34, capacitor", GZ34, 250.0, 90.0, 50.0, 32, [], 0.0, bleeder=30e3)
HALF = case("silicon half-wave, C-R-C", SILICON, 200.0, 60.0, 60.0, 22, [resistor(470.0, 22)], 0.0, bleeder=60e3,
            connection="half-wave")


def closing(degrees, residual, rectifier="hot", cycles=7):
    return {"degrees": degrees, "residual": residual, "rectifier": rectifier, "cycles": cycles}


CASES = [
    (TUBE, side(CORE), closing(0.0, 0.0, "cold")),
    (TUBE, side(CORE), closing(20.0, 0.5, "cold")),
    (TUBE, side(SHARP, primary_ohms=0.8), closing(330.0, 0.6, "cold")),
    (TUBE, side(CORE), closing(40.0, 0.3)),
    (BRIDGE, side(CORE), closing(90.0, 0.0)),
    (BRIDGE, side(CORE), closing(10.0, -0.4)),
    (SMALL, side(SHARP), closing(0.0, 0.5)),
    (HALF, side(CORE), closing(60.0, 0.2)),
]


def main():
    solved = []
    for circuit, primary, how in CASES:
        solved.append({"circuit": circuit, "side": primary, "closing": how,
                       "results": Transient(circuit, primary, how).solve()})
        print(circuit["name"], how, solved[-1]["results"]["crest_amps"])
    head = {
        "made_by": "switch_on.py",
        "python": platform.python_version(),
        "numpy": numpy.__version__,
        "scipy": scipy.__version__,
        "method": "solve_ivp LSODA, rtol 1e-9, at least 400 steps in a cycle",
    }
    path = pathlib.Path(__file__).with_name("switch_on.json")
    path.write_text(json.dumps({"head": head, "cases": solved}, indent=1) + "\n")


if __name__ == "__main__":
    main()
