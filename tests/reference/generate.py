"""Reference solutions of the steady state, by a general-purpose solver of ordinary differential equations.

    pip install -r requirements.txt
    python generate.py            writes cases.json (some minutes)
    python generate.py NAME...    solves only the cases whose name contains one of the words, and prints them
    python generate.py --new      solves the cases that cases.json does not have yet, and adds them

The circuit is written down as plain differential equations and handed to `scipy.integrate.solve_ivp`; nothing
here knows how the program finds its own answer. One whole mains cycle is the map; its fixed point is found by
Newton with a difference quotient for the Jacobian, every evaluation being one solve_ivp run over the cycle.

Source of e.m.f. e(t) = sqrt(2) E sin(wt) behind R; with a crest factor of its own, a third and a fifth harmonic of the same
size h, e(t) = sqrt(2) E (sin wt + h sin 3wt - h sin 5wt) / sqrt(1 + 2 h^2), where h is found by trial so that the crest comes out. A device drops d(i) at current i and never conducts backwards:
vacuum d = (i/K)^(2/3); silicon d = nVt ln(1 + i/Is) + i Rd; mercury vapour d = constant. With n devices in series,
f(x) is the current that x volts drive through one path: R f + n d(f) = x for x > n d(0), else 0. Two paths feed the
node behind a full-wave rectifier, f(e - w) + f(-e - w); where the halves of the winding differ, f1(e - w) + f2(-k e - w), with k
the second half's e.m.f. over the first's and with a resistance of its own in f2. With choke input the choke sets the current and w follows
from it (both paths may share it near the zero of e). A bridge shares it without the winding: its currents p and q obey
p + q = i, d(p) - d(q) + R (p - q) = |e| with d one device, and w = -d(p) - d(q). A choke current that has come to 0 stays there until
the e.m.f. exceeds the capacitor.

Second opinions, whose worst disagreement is written into the header of cases.json:
- every case: the same cycle with an implicit Radau method, other tolerance and other step bound;
- choke input: backward Euler as a linear complementarity step of fixed length, two step lengths extrapolated;
- some cases: the whole search for the fixed point again with Radau.
"""

import json
import math
import multiprocessing
import pathlib
import platform
import sys

import numpy
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, minimize_scalar

from circuits import CASES

TINY = 1e-300
EPS4 = 8.9e-16


class Path:
    """One path through the rectifier: winding resistance, and one or two devices."""

    def __init__(self, case, extra_ohms=0.0, half=None):
        law = case["law"]
        legs = 2 if case["connection"] == "bridge" else 1
        in_series = case.get("in_series", 1)
        n = legs * in_series
        self.ohms = (case if half is None else half)["path_ohms"] + extra_ohms
        self.kind = law["kind"]
        self.threshold = 0.0
        self.devices, self.winding_ohms, self.bulk_ohms = legs, self.ohms, 0.0
        if self.kind == "vacuum":
            perveance = law["at_amps"] / law["drop_volts"] ** 1.5
            self.scale = n * perveance ** (-2.0 / 3.0)
        elif self.kind == "silicon":
            self.bulk_ohms = in_series * law["resistance_ohms"]
            self.ohms += legs * self.bulk_ohms
            self.saturation = law["saturation_amps"]
            self.scale = n * law["emission_volts"]
        else:
            self.threshold = n * law["drop_volts"]

    def volts(self, amps):
        """Volts across the path at a current > 0 (its limit from above at 0)."""
        if self.kind == "vacuum":
            return self.ohms * amps + self.scale * amps ** (2.0 / 3.0)
        if self.kind == "silicon":
            return self.ohms * amps + self.scale * math.log1p(amps / self.saturation)
        return self.ohms * amps + self.threshold

    def device_volts(self, amps):
        """Volts across one of the legs (one device, or those in series) at a current >= 0; the resistance of the winding is not in it."""
        if self.kind == "vacuum":
            return self.scale / self.devices * amps ** (2.0 / 3.0)
        if self.kind == "silicon":
            return self.bulk_ohms * amps + self.scale / self.devices * math.log1p(amps / self.saturation)
        return self.threshold / self.devices

    def amps(self, volts):
        """Current at these volts."""
        if volts <= self.threshold:
            return 0.0
        if self.kind == "mercury":
            return (volts - self.threshold) / self.ohms
        most = volts / self.ohms
        if self.kind == "vacuum":
            most = min(most, (volts / self.scale) ** 1.5)
        return brentq(lambda i: self.volts(i) - volts, 0.0, most * (1.0 + 1e-12), xtol=TINY, rtol=EPS4)


class Circuit:
    """The differential equations of one case. State: volts of the capacitors, then amps of the chokes."""

    def __init__(self, case):
        self.case = case
        self.full_wave = case["connection"] != "half-wave"
        self.bridge = case["connection"] == "bridge"
        self.crest = math.sqrt(2.0) * case["emf_volts"]
        self.harmonic = 0.0
        if "crest_factor" in case:
            wanted = case["crest_factor"] / math.sqrt(2.0)
            self.harmonic = brentq(
                lambda h: (1.0 - 2.0 * h) / math.sqrt(1.0 + 2.0 * h * h) - wanted, 0.0, 0.2, xtol=1e-16
            )
        self.omega = 2.0 * math.pi * case["hertz"]
        self.period = 1.0 / case["hertz"]
        sections = list(case["sections"])
        stacks = [s["capacitor"] for s in sections]
        self.input = "capacitor"
        between = sections
        if case["input_capacitor"] is not None:
            stacks.insert(0, case["input_capacitor"])
        else:
            self.input = sections[0]["series"]["kind"]
            between = sections[1:]
        self.farads = [s["unit_farads"] * s["strings"] / s["in_series"] for s in stacks]
        self.leak = [
            0.0 if s["balancing_ohms"] is None else s["strings"] / (s["balancing_ohms"] * s["in_series"])
            for s in stacks
        ]
        if case["bleeder_ohms"] is not None:
            self.leak[-1] += 1.0 / case["bleeder_ohms"]
        self.load = case["output_amps"] + case["internal_amps"]
        self.n = len(stacks)
        self.chokes = []  # (henries, ohms)
        self.input_ohms = 0.0
        if self.input == "choke":
            self.chokes.append((sections[0]["series"]["henries"], sections[0]["series"]["ohms"]))
        elif self.input == "resistor":
            self.input_ohms = sections[0]["series"]["ohms"]
        # A resistor straight behind the rectifier is in series with whichever path conducts; the paths never
        # conduct together then, for the capacitor's volts stay above zero (checked in `measure`).
        self.path = Path(case, self.input_ohms)
        half = case.get("second_half")
        self.second = self.path if half is None else Path(case, self.input_ohms, half)
        self.ratio = 1.0 if half is None else half["emf_volts"] / case["emf_volts"]
        self.between = []  # ("resistor", ohms) or ("choke", index)
        for s in between:
            if s["series"]["kind"] == "resistor":
                self.between.append(("resistor", s["series"]["ohms"]))
            else:
                self.between.append(("choke", len(self.chokes)))
                self.chokes.append((s["series"]["henries"], s["series"]["ohms"]))
        self.size = self.n + len(self.chokes)

    def emf(self, t):
        angle, h = self.omega * t, self.harmonic
        if h == 0.0:
            return self.crest * math.sin(angle)
        wave = math.sin(angle) + h * math.sin(3.0 * angle) - h * math.sin(5.0 * angle)
        return self.crest * wave / math.sqrt(1.0 + 2.0 * h * h)

    def forward(self, e):
        """The e.m.f. that drives the better of the paths."""
        return max(e, -self.ratio * e) if self.full_wave else e

    def port_volts(self, e, amps):
        """Volts of the node before the choke while the rectifier carries `amps` > 0."""
        return self.share(e, amps)[0]

    def share(self, e, amps):
        """The same, with the current of the path that e drives and of the other one."""
        best = self.forward(e)
        turn, other = (self.path, self.second) if e >= 0.0 or not self.full_wave else (self.second, self.path)
        alone = best - turn.volts(amps)
        if not self.full_wave:
            return alone, amps, 0.0
        if self.bridge:
            path = self.path

            def excess(q):
                p = amps - q
                return path.device_volts(p) - path.device_volts(q) + path.winding_ohms * (p - q) - best

            if excess(0.0) <= 0.0:
                return alone, amps, 0.0
            q = brentq(excess, 0.0, amps, xtol=TINY, rtol=EPS4)
            return -path.device_volts(amps - q) - path.device_volts(q), amps - q, q
        against = min(e, -self.ratio * e)
        if against - alone <= other.threshold:
            return alone, amps, 0.0
        w = brentq(
            lambda w: turn.amps(best - w) + other.amps(against - w) - amps,
            alone - 1e-9,
            best,
            xtol=1e-13,
            rtol=EPS4,
        )
        return w, turn.amps(best - w), other.amps(against - w)

    def path_amps(self, e, state, blocked):
        """Current of either path: (while e > 0 is its turn, while e < 0)."""
        if self.input == "choke":
            if blocked or state[self.n] <= 0.0:
                return 0.0, 0.0
            _, driven, other = self.share(e, state[self.n])
            if not self.full_wave:
                return driven, 0.0
            return (driven, other) if e >= 0.0 else (other, driven)
        w = state[0]
        return self.path.amps(e - w), self.second.amps(-self.ratio * e - w) if self.full_wave else 0.0

    def slopes(self, t, state, blocked):
        """Derivatives of the state, and the ripple current of each capacitor."""
        e = self.emf(t)
        slope = [0.0] * self.size
        n = self.n
        if self.input == "choke":
            henries, ohms = self.chokes[0]
            flow = 0.0 if blocked else state[n]
            if not blocked:
                w = self.port_volts(e, max(flow, 0.0))
                slope[n] = (w - state[0] - ohms * flow) / henries
        else:
            flow = sum(self.path_amps(e, state, blocked))
        ripple = []
        for k in range(n):
            into = flow
            if k < n - 1:
                kind, what = self.between[k]
                if kind == "resistor":
                    flow = (state[k] - state[k + 1]) / what
                else:
                    henries, ohms = self.chokes[what]
                    flow = state[n + what]
                    slope[n + what] = (state[k] - state[k + 1] - ohms * flow) / henries
            else:
                flow = self.load
            charge = into - flow - state[k] * self.leak[k]
            ripple.append(charge)
            slope[k] = charge / self.farads[k]
        return slope, ripple


class Method:
    """A solver with its tolerance, its step bound, and the closure error that it must reach."""

    def __init__(self, name, rtol, steps_a_cycle, closure):
        self.name, self.rtol, self.steps, self.closure = name, rtol, steps_a_cycle, closure


FIRST = Method("DOP853", 1e-11, 400, 1e-8)
SECOND = Method("Radau", 1e-8, 500, 1e-5)


def cycle(circuit, start, method, integrals=False):
    """One mains cycle from `start`: list of (solution, blocked), last state with the integrals behind it."""

    def right_side(blocked):
        def plain(t, y):
            return circuit.slopes(t, y, blocked)[0]

        def augmented(t, y):
            slope, ripple = circuit.slopes(t, y, blocked)
            first, second = circuit.path_amps(circuit.emf(t), y, blocked)
            winding = first - second if circuit.bridge else first
            bus = y[circuit.n - 1]
            more = [bus, bus * bus, first, first * first, winding * winding]
            more += [y[k] for k in range(circuit.n)]
            more += [i * i for i in ripple]
            for k in range(len(circuit.chokes)):
                amps = y[circuit.n + k]
                more += [amps, amps * amps]
            if "second_half" in circuit.case:
                more += [second, second * second]
            return slope + more

        return augmented if integrals else plain

    halves = 2 if "second_half" in circuit.case else 0
    count = 5 + 2 * circuit.n + 2 * len(circuit.chokes) + halves if integrals else 0
    y = numpy.concatenate([numpy.asarray(start, float), numpy.zeros(count)])
    atol = numpy.concatenate(
        [numpy.full(circuit.n, 1e-9), numpy.full(len(circuit.chokes), 1e-12), numpy.full(count, 1e-12)]
    )
    t, parts = 0.0, []
    blocked = circuit.input == "choke" and y[circuit.n] <= 0.0 and not exceeds(circuit, 0.0, y)
    while t < circuit.period:
        event = None
        if circuit.input == "choke":
            event = starts(circuit) if blocked else stops(circuit)
        solution = solve_ivp(
            right_side(blocked),
            (t, circuit.period),
            y,
            method=method.name,
            rtol=method.rtol,
            atol=atol,
            max_step=circuit.period / method.steps,
            events=event,
            dense_output=integrals,
        )
        assert solution.success, solution.message
        parts.append((solution, blocked))
        y = solution.y[:, -1].copy()
        t = solution.t[-1]
        if solution.status == 1:
            y[circuit.n] = 0.0
            # The e.m.f. may already be above the capacitor when the current comes to zero; then it goes on.
            blocked = not blocked and not exceeds(circuit, t, y)
        else:
            break
    return parts, y


def exceeds(circuit, t, y):
    return circuit.forward(circuit.emf(t)) - circuit.path.threshold > y[0]


def stops(circuit):
    def choke_current(_, y):
        return y[circuit.n]

    choke_current.terminal, choke_current.direction = True, -1
    return choke_current


def starts(circuit):
    def excess(t, y):
        return circuit.forward(circuit.emf(t)) - circuit.path.threshold - y[0]

    excess.terminal, excess.direction = True, 1
    return excess


def scales(circuit):
    return numpy.concatenate(
        [numpy.full(circuit.n, circuit.crest), numpy.full(len(circuit.chokes), max(circuit.load, 0.02))]
    )


def first_guess(circuit):
    drive = 0.85 * circuit.crest if circuit.input == "capacitor" else 0.6 * circuit.crest
    if not circuit.full_wave and circuit.input != "capacitor":
        drive *= 0.5
    return numpy.concatenate([numpy.full(circuit.n, drive), numpy.full(len(circuit.chokes), circuit.load)])


def steady(circuit, method):
    """The state at the start of a cycle that repeats; closure error; size of the last Newton step (relative)."""
    scale = scales(circuit)

    def end(x):
        return cycle(circuit, x, method)[1]

    x = first_guess(circuit)
    for _ in range(3):
        x = end(x)
    miss = end(x) - x
    step_size = math.inf
    for _ in range(60):
        jacobian = numpy.empty((circuit.size, circuit.size))
        for k in range(circuit.size):
            h = 1e-5 * scale[k]
            moved = x.copy()
            moved[k] += h
            jacobian[:, k] = ((end(moved) - moved) - miss) / h
        step = -numpy.linalg.solve(jacobian, miss)
        # A far guess may leave no conduction at all in a cycle; short steps keep it in sight.
        step *= min(1.0, 0.2 / max(numpy.max(numpy.abs(step / scale)[: circuit.n]), TINY))
        better = False
        for _ in range(8):
            trial = x + step
            if circuit.input == "choke":
                trial[circuit.n] = max(trial[circuit.n], 0.0)
            trial_miss = end(trial) - trial
            if numpy.max(numpy.abs(trial_miss / scale)) < numpy.max(numpy.abs(miss / scale)):
                better = True
                break
            step *= 0.5
        if not better:
            break
        step_size = float(numpy.max(numpy.abs((trial - x) / scale)))
        x, miss = trial, trial_miss
        if step_size < 1e-9:
            break
    closure = float(numpy.max(numpy.abs(miss / scale)))
    assert closure < method.closure, (circuit.case["name"], closure, step_size)
    return x, closure, step_size


def extreme(parts, value, sign):
    """Highest (sign 1) or lowest (sign -1) of `value(t, state, blocked)` over the cycle, and when."""
    best, place = -math.inf, None
    for solution, blocked in parts:
        t0, t1 = solution.t[0], solution.t[-1]
        if t1 <= t0:
            continue
        times = numpy.linspace(t0, t1, 4001)
        states = solution.sol(times)
        values = [sign * value(t, states[:, k], blocked) for k, t in enumerate(times)]
        k = int(numpy.argmax(values))
        if values[k] > best:
            best, place = values[k], (solution, blocked, times[max(k - 1, 0)], times[min(k + 1, 4000)])
    solution, blocked, a, b = place
    found = minimize_scalar(
        lambda t: -sign * value(t, solution.sol(t), blocked), bounds=(a, b), method="bounded",
        options={"xatol": 1e-12},
    )
    return sign * max(best, -found.fun) + 0.0  # no negative zero


def measure(circuit, start, method):
    """What one cycle from the repeating state gives."""
    parts, last = cycle(circuit, start, method, integrals=True)
    n, chokes, period = circuit.n, len(circuit.chokes), circuit.period
    sums = list(last[circuit.size :] / period)
    bus_mean, bus_square, device_mean, device_square, winding_square = sums[:5]
    cap_mean, cap_square = sums[5 : 5 + n], sums[5 + n : 5 + 2 * n]
    choke_sums = sums[5 + 2 * n : 5 + 2 * n + 2 * chokes]
    lowest = extreme(parts, lambda t, y, b: y[0], -1)
    assert lowest > 0.0, "the first capacitor must stay positive for these equations"

    def device(t, y, blocked):
        return circuit.path_amps(circuit.emf(t), y, blocked)[0]

    result = {
        "bus_mean_volts": bus_mean,
        "bus_trough_volts": extreme(parts, lambda t, y, b: y[n - 1], -1),
        "bus_crest_volts": extreme(parts, lambda t, y, b: y[n - 1], 1),
        "bus_ripple_rms_volts": math.sqrt(max(bus_square - bus_mean**2, 0.0)),
        "rectifier_peak_amps": extreme(parts, device, 1),
        "rectifier_mean_amps": device_mean,
        "rectifier_rms_amps": math.sqrt(device_square),
        "winding_rms_amps": math.sqrt(winding_square),
        "capacitor_rms_amps": [math.sqrt(s) for s in cap_square],
        "capacitor_mean_volts": cap_mean,
        "capacitor_crest_volts": [extreme(parts, lambda t, y, b, k=k: y[k], 1) for k in range(n)],
        "choke_mean_amps": choke_sums[0::2],
        "choke_rms_amps": [math.sqrt(s) for s in choke_sums[1::2]],
        "choke_peak_amps": [extreme(parts, lambda t, y, b, k=k: y[n + k], 1) for k in range(chokes)],
        "choke_least_amps": [extreme(parts, lambda t, y, b, k=k: y[n + k], -1) for k in range(chokes)],
    }
    if "second_half" in circuit.case:
        mean, square = sums[5 + 2 * n + 2 * chokes :]
        peak = extreme(parts, lambda t, y, b: circuit.path_amps(circuit.emf(t), y, b)[1], 1)
        result["second_half_amps"] = [peak, mean, math.sqrt(square)]
    return {k: [float(x) for x in v] if isinstance(v, list) else float(v) for k, v in result.items()}


def apart(one, other):
    """Largest relative difference of the compared quantities, and which it is."""
    worst, where = 0.0, ""
    for key, a in one.items():
        if key in ("choke_least_amps", "bus_ripple_rms_volts"):
            continue
        pairs = zip(a, other[key]) if isinstance(a, list) else [(a, other[key])]
        for p, q in pairs:
            if p != 0.0 and abs(q / p - 1.0) > worst:
                worst, where = abs(q / p - 1.0), key
    return worst, where


def backward_euler(circuit, start, steps):
    """One cycle of fixed steps in which current and blocking volts of the rectifier complement each other.

    Every step solves (1 - hA) y' = y + h(b + c w) with w = port_volts(y'_choke) if that gives a current,
    else with the current held at zero. Returns last state, means of the states, rms of first path.
    """
    h, n, size = circuit.period / steps, circuit.n, circuit.size
    probe = Circuit(circuit.case)
    probe.port_volts = lambda e, amps: probe.w
    probe.w = 0.0
    constant = numpy.array(probe.slopes(0.0, numpy.zeros(size), False)[0])
    matrix = numpy.empty((size, size))
    for k in range(size):
        unit = numpy.zeros(size)
        unit[k] = 1.0
        matrix[:, k] = numpy.array(probe.slopes(0.0, unit, False)[0]) - constant
    inverse = numpy.linalg.inv(numpy.eye(size) - h * matrix)
    gain = h * inverse[:, n] / circuit.chokes[0][0]
    offset = h * inverse @ constant
    y = numpy.array(start)
    total, square = numpy.zeros(size), 0.0
    for k in range(1, steps + 1):
        e = circuit.emf(k * h)
        free = inverse @ y + offset
        bare, slope = free[n], gain[n]
        if bare + slope * (circuit.forward(e) - circuit.path.threshold) <= 0.0:
            w, first = -bare / slope, 0.0
        else:
            most = bare + slope * circuit.forward(e)
            amps = brentq(
                lambda i: bare + slope * circuit.port_volts(e, i) - i, 0.0, most, xtol=1e-17, rtol=EPS4
            )
            w = circuit.port_volts(e, amps)
            driven, other = circuit.share(e, amps)[1:]
            first = driven if e >= 0.0 or not circuit.full_wave else other
        y = free + gain * w
        total += y
        square += first * first
    return numpy.concatenate([y, total / steps, [math.sqrt(square / steps)]])


def euler_disagreement(circuit, start, result):
    fine, coarse = backward_euler(circuit, start, 16000), backward_euler(circuit, start, 8000)
    got = 2.0 * fine - coarse
    size, n = circuit.size, circuit.n
    scale = scales(circuit)
    closing = numpy.max(numpy.abs((got[:size] - start) / scale))
    mean = abs(got[size + n - 1] / result["bus_mean_volts"] - 1.0)
    choke = abs(got[size + n] / result["choke_mean_amps"][0] - 1.0)
    rms = abs(got[-1] / result["rectifier_rms_amps"] - 1.0)
    return float(max(closing, mean, choke, rms))


SHOT_AGAIN = {
    "capacitor, light load",
    "C-L-C, choke current reverses",
    "choke input, well above critical",
    "choke input, just above critical",
    "choke input, just below critical",
    "mercury vapour, choke input, below critical",
    "bridge, huge, light load",
}


def solve(case):
    circuit = Circuit(case)
    start, closure, step = steady(circuit, FIRST)
    result = measure(circuit, start, FIRST)
    opinions = {"radau_cycle": apart(result, measure(circuit, start, SECOND))}
    if circuit.input == "choke":
        opinions["backward_euler"] = (euler_disagreement(circuit, start, result), "")
    if case["name"] in SHOT_AGAIN:
        again, _, _ = steady(circuit, SECOND)
        opinions["radau_whole_search"] = apart(result, measure(circuit, again, SECOND))
    print(
        f"{case['name']:48s} bus {result['bus_mean_volts']:9.4f} {result['bus_trough_volts']:9.4f} "
        f"{result['bus_crest_volts']:9.4f} V  peak {result['rectifier_peak_amps']:.5f} A  "
        f"choke {[round(x, 5) for x in result['choke_least_amps']]}  closure {closure:.1e} step {step:.1e}  "
        + "  ".join(f"{k} {v[0]:.1e} {v[1]}" for k, v in opinions.items()),
        flush=True,
    )
    return {"circuit": case, "results": result, "closure": closure, "last_newton_step": step}, opinions


def main():
    words = sys.argv[1:]
    place = pathlib.Path(__file__).with_name("cases.json")
    known, worst, worst_closure = {}, {}, 0.0
    if words == ["--new"]:
        old = json.loads(place.read_text(encoding="utf-8"))
        known = {c["circuit"]["name"]: c for c in old["cases"]}
        worst, worst_closure = old["worst_disagreement_of_second_methods"], old["worst_closure"]
        chosen = [c for c in CASES if c["name"] not in known]
    else:
        chosen = [c for c in CASES if not words or any(w in c["name"] for w in words)]
    with multiprocessing.Pool(2) as pool:
        solved = pool.map(solve, chosen, chunksize=1)
    if words and not known:
        return
    for answer, opinions in solved:
        known[answer["circuit"]["name"]] = answer
        worst_closure = max(worst_closure, answer["closure"])
        for key, (value, _) in opinions.items():
            worst[key] = max(worst.get(key, 0.0), value)
    document = {
        "about": "Steady state of rectifier and filter over one mains cycle, SI units; see generate.py",
        "generator": {
            "python": platform.python_version(),
            "numpy": numpy.__version__,
            "scipy": scipy.__version__,
            "method": f"solve_ivp {FIRST.name}, rtol {FIRST.rtol}, at least {FIRST.steps} steps a cycle, Newton on one cycle",
        },
        "worst_closure": worst_closure,
        "worst_disagreement_of_second_methods": worst,
        "cases": [known[c["name"]] for c in CASES],
    }
    place.write_text(json.dumps(document, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
