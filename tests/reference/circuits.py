"""The circuits that are solved: invented supplies of the kind found at a bench, in SI units.

A case is a plain dictionary; `generate.py` solves it and writes it with its results.
Drops of the vacuum types are published ones (tube handbooks): 44 V at 225 mA, 17 V at 225 mA, 22 V at 70 mA.
The silicon coefficients and the 15 V of mercury vapour are common practice, no source.
"""

MICRO = 1e-6


def vacuum(drop_volts, at_amps):
    return {"kind": "vacuum", "drop_volts": drop_volts, "at_amps": at_amps}


FIVE_U4 = vacuum(44.0, 0.225)
GZ34 = vacuum(17.0, 0.225)
SIX_X4 = vacuum(22.0, 0.070)
SILICON = {
    "kind": "silicon",
    "saturation_amps": 1.4e-8,
    "emission_volts": 1.8 * 0.02585,
    "resistance_ohms": 0.04,
}
MERCURY = {"kind": "mercury", "drop_volts": 15.0}


def stack(unit_microfarads, in_series=1, strings=1, balancing_ohms=None):
    return {
        "unit_farads": unit_microfarads * MICRO,
        "in_series": in_series,
        "strings": strings,
        "balancing_ohms": balancing_ohms,
    }


def resistor(ohms, capacitor):
    return {"series": {"kind": "resistor", "ohms": ohms}, "capacitor": as_stack(capacitor)}


def choke(henries, ohms, capacitor):
    return {
        "series": {"kind": "choke", "henries": henries, "ohms": ohms},
        "capacitor": as_stack(capacitor),
    }


def as_stack(capacitor):
    return capacitor if isinstance(capacitor, dict) else stack(capacitor)


def case(name, law, emf, path_ohms, hertz, first, sections, output, **more):
    """`first` is the first capacitor in µF (or a stack), or None; `output` in A."""
    made = {
        "name": name,
        "connection": more.pop("connection", "centre-tap"),
        "law": law,
        "emf_volts": emf,
        "path_ohms": path_ohms,
        "plate_resistor_ohms": more.pop("plate_resistor", 0.0),
        "hertz": hertz,
        "input_capacitor": None if first is None else as_stack(first),
        "sections": sections,
        "bleeder_ohms": more.pop("bleeder", None),
        "internal_amps": more.pop("internal", 0.0),
        "output_amps": output,
    }
    # Left out of the other cases: one diode in each leg, halves alike, a clean sine.
    if "in_series" in more:
        made["in_series"] = more.pop("in_series")
    if "second_half" in more:
        emf_volts, path_ohms = more.pop("second_half")
        made["second_half"] = {"emf_volts": emf_volts, "path_ohms": path_ohms}
    if "crest_factor" in more:
        made["crest_factor"] = more.pop("crest_factor")
    assert not more, more
    return made


CASES = [
    # Capacitor only.
    case("capacitor, light load", FIVE_U4, 350.0, 100.0, 60.0, 40, [], 0.005),
    case("capacitor, heavy load", FIVE_U4, 450.0, 67.0, 60.0, 40, [], 0.275),
    case("capacitor, bleeder only", GZ34, 400.0, 75.0, 50.0, 47, [], 0.0, bleeder=220e3),
    case("capacitor, bleeder only, huge", FIVE_U4, 420.0, 90.0, 60.0, 1000, [], 0.0, bleeder=100e3),
    case("capacitor, tiny", SIX_X4, 250.0, 150.0, 60.0, 1, [], 0.015, bleeder=100e3),
    case("capacitor, tiny, heavy", FIVE_U4, 400.0, 100.0, 50.0, 1, [], 0.040),
    case("capacitor, huge", GZ34, 350.0, 60.0, 50.0, 1000, [], 0.150),
    case("capacitor, heavy, 50 Hz", GZ34, 400.0, 125.0, 50.0, 60, [], 0.250),
    case("capacitor, overload", GZ34, 300.0, 75.0, 60.0, 50, [], 0.600),
    case("capacitor, internal current", SIX_X4, 325.0, 520.0, 50.0, 10, [], 0.050,
         internal=0.012, bleeder=150e3),
    case("capacitor, plate resistors", SIX_X4, 300.0, 400.0, 60.0, 20, [], 0.060, plate_resistor=220.0),
    # Stacks with balancing resistors.
    case("stack of two", GZ34, 500.0, 110.0, 50.0, stack(100, 2, 1, 100e3), [], 0.120),
    case("stack of three, two strings", FIVE_U4, 550.0, 97.0, 60.0, stack(47, 3, 2, 150e3),
         [resistor(150.0, stack(100, 3, 1, 100e3))], 0.140),
    # Capacitor and resistor sections.
    case("C-R-C", FIVE_U4, 375.0, 80.0, 60.0, 40, [resistor(100.0, 80)], 0.150, bleeder=100e3),
    case("C-R-C, tiny first", SIX_X4, 250.0, 180.0, 60.0, 1, [resistor(1000.0, 40)], 0.030),
    case("C-R-C, huge", GZ34, 380.0, 50.0, 50.0, 1000, [resistor(22.0, 1000)], 0.200),
    case("C-R-C-R-C", GZ34, 350.0, 120.0, 60.0, 32, [resistor(220.0, 47), resistor(470.0, 47)],
         0.080, bleeder=220e3),
    # Capacitor and choke sections.
    case("C-L-C", FIVE_U4, 400.0, 70.0, 60.0, 20, [choke(5.0, 90.0, 60)], 0.200),
    case("C-L-C, 50 Hz", GZ34, 325.0, 85.0, 50.0, 32, [choke(10.0, 220.0, 32)], 0.120, bleeder=100e3),
    case("C-L-C, tiny first", FIVE_U4, 450.0, 80.0, 60.0, 1, [choke(10.0, 150.0, 50)], 0.120),
    case("C-L-C, choke current reverses", GZ34, 300.0, 90.0, 60.0, 8, [choke(1.0, 40.0, 40)], 0.004,
         bleeder=100e3),
    case("C-L-C-R-C", FIVE_U4, 420.0, 75.0, 50.0, 16, [choke(8.0, 130.0, 40), resistor(330.0, 80)],
         0.110, bleeder=150e3),
    case("C-L-C, stack", FIVE_U4, 550.0, 100.0, 60.0, 10, [choke(6.0, 100.0, stack(100, 2, 1, 82e3))], 0.175),
    # Choke input. Critical current at 60 Hz with 10 H and about 380 V is near 34 mA, bleeder included.
    case("choke input, well above critical", FIVE_U4, 450.0, 60.0, 60.0, None,
         [choke(10.0, 120.0, 40)], 0.200, bleeder=50e3),
    case("choke input, just above critical", FIVE_U4, 450.0, 60.0, 60.0, None,
         [choke(10.0, 120.0, 40)], 0.0290, bleeder=50e3),
    case("choke input, just below critical", FIVE_U4, 450.0, 60.0, 60.0, None,
         [choke(10.0, 120.0, 40)], 0.0240, bleeder=50e3),
    case("choke input, far below critical", FIVE_U4, 450.0, 60.0, 60.0, None,
         [choke(10.0, 120.0, 40)], 0.004, bleeder=50e3),
    case("choke input, bleeder only", GZ34, 500.0, 80.0, 50.0, None,
         [choke(12.0, 200.0, 32)], 0.0, bleeder=100e3),
    case("choke input, two L-C sections", GZ34, 475.0, 75.0, 50.0, None,
         [choke(12.0, 180.0, 16), choke(8.0, 120.0, 50)], 0.180, bleeder=47e3),
    case("choke input, two L-C sections, below critical", GZ34, 475.0, 75.0, 50.0, None,
         [choke(8.0, 180.0, 16), choke(8.0, 120.0, 50)], 0.012, bleeder=100e3),
    case("choke input, then R-C", FIVE_U4, 500.0, 110.0, 60.0, None,
         [choke(6.0, 90.0, 20), resistor(180.0, 60)], 0.150, bleeder=60e3),
    case("choke input, high resistance", SIX_X4, 325.0, 900.0, 50.0, None,
         [choke(15.0, 400.0, 20)], 0.060, plate_resistor=300.0),
    case("choke input, silicon", SILICON, 400.0, 40.0, 60.0, None,
         [choke(5.0, 60.0, 60)], 0.150, bleeder=33e3),
    # Commutation within some microseconds of the zero crossing.
    case("choke input, silicon, stiff winding", SILICON, 400.0, 12.0, 60.0, None,
         [choke(6.0, 40.0, 60)], 0.250, bleeder=33e3, plate_resistor=2.0),
    # A winding of high resistance for its volts: for long both plates share the choke's current.
    case("choke input, both plates share for long", FIVE_U4, 115.0, 1000.0, 60.0, None,
         [choke(10.0, 60.0, 60)], 0.068, bleeder=47e3, plate_resistor=300.0),
    case("choke input, half-wave", GZ34, 400.0, 80.0, 50.0, None,
         [choke(5.0, 100.0, 100)], 0.050, bleeder=47e3, connection="half-wave"),
    # Mercury vapour.
    case("mercury vapour, choke input", MERCURY, 600.0, 55.0, 60.0, None,
         [choke(8.0, 80.0, 30)], 0.225, bleeder=30e3),
    case("mercury vapour, choke input, below critical", MERCURY, 600.0, 55.0, 60.0, None,
         [choke(8.0, 80.0, 30)], 0.010, bleeder=30e3),
    case("mercury vapour, choke input, stiff winding", MERCURY, 550.0, 20.0, 50.0, None,
         [choke(12.0, 80.0, 30)], 0.250, bleeder=40e3),
    case("mercury vapour, C-L-C", MERCURY, 400.0, 120.0, 50.0, 4, [choke(8.0, 100.0, 32)], 0.150),
    case("mercury vapour, capacitor", MERCURY, 350.0, 100.0, 60.0, 16, [], 0.100),
    # Silicon.
    case("bridge, capacitor", SILICON, 320.0, 35.0, 60.0, 100, [], 0.200, connection="bridge"),
    case("bridge, huge, light load", SILICON, 250.0, 20.0, 50.0, 1000, [], 0.004,
         bleeder=100e3, connection="bridge"),
    case("bridge, bleeder only", SILICON, 280.0, 20.0, 60.0, 100, [], 0.0,
         bleeder=1e6, connection="bridge"),
    case("bridge, C-L-C", SILICON, 300.0, 45.0, 50.0, 47, [choke(4.0, 70.0, 100)], 0.250,
         connection="bridge"),
    # Near the zero crossing a bridge lets the choke's current through its diodes, past the winding.
    case("bridge, choke input", SILICON, 400.0, 60.0, 60.0, None, [choke(6.0, 60.0, 60)], 0.200,
         bleeder=33e3, connection="bridge"),
    case("bridge of vacuum diodes, choke input", FIVE_U4, 400.0, 150.0, 50.0, None,
         [choke(8.0, 90.0, 40)], 0.150, bleeder=33e3, connection="bridge"),
    case("bridge, choke input, both sides share for long", SILICON, 100.0, 1000.0, 50.0, None,
         [choke(10.0, 60.0, 60)], 0.060, bleeder=47e3, connection="bridge"),
    case("bridge, choke input, below critical", SILICON, 400.0, 60.0, 60.0, None,
         [choke(6.0, 60.0, 60)], 0.006, bleeder=100e3, connection="bridge"),
    case("bridge of vacuum diodes, C-R-C", SIX_X4, 300.0, 200.0, 60.0, 20, [resistor(470.0, 40)], 0.045,
         connection="bridge"),
    case("silicon, capacitor, plate resistors", SILICON, 350.0, 75.0, 60.0, 47, [], 0.150,
         plate_resistor=47.0),
    # Diodes in series: low volts, so that their drops count.
    case("three diodes in series, capacitor", SILICON, 40.0, 12.0, 60.0, 100, [], 0.100, in_series=3,
         plate_resistor=2.0),
    case("bridge of four in series, choke input", SILICON, 60.0, 25.0, 60.0, None, [choke(4.0, 30.0, 60)], 0.150,
         bleeder=10e3, in_series=4, connection="bridge"),
    # Half-wave.
    case("half-wave, capacitor", SIX_X4, 250.0, 200.0, 60.0, 32, [], 0.025, connection="half-wave"),
    case("half-wave, C-R-C", SILICON, 230.0, 60.0, 50.0, 100, [resistor(330.0, 100)], 0.080,
         connection="half-wave"),
    case("half-wave, C-L-C", GZ34, 300.0, 120.0, 60.0, 47, [choke(7.0, 150.0, 47)], 0.050,
         bleeder=100e3, connection="half-wave"),
    # Resistor straight behind the rectifier.
    case("resistor input", FIVE_U4, 400.0, 90.0, 60.0, None, [resistor(250.0, 60)], 0.100, bleeder=100e3),
    # Mains with flat tops: house mains of today have 1.36 to 1.40.
    case("flat tops, capacitor, light load", FIVE_U4, 350.0, 100.0, 60.0, 40, [], 0.005, crest_factor=1.37),
    case("flat tops, capacitor, heavy load", FIVE_U4, 450.0, 67.0, 60.0, 40, [], 0.275, crest_factor=1.37),
    case("flat tops, bridge, C-R-C", SILICON, 300.0, 30.0, 50.0, 47, [resistor(100.0, 100)], 0.150,
         connection="bridge", crest_factor=1.345),
    case("flat tops, C-L-C", GZ34, 400.0, 75.0, 50.0, 16, [choke(8.0, 130.0, 40)], 0.120, crest_factor=1.39),
    case("flat tops, choke input", FIVE_U4, 450.0, 60.0, 60.0, None, [choke(10.0, 120.0, 40)], 0.200,
         bleeder=50e3, crest_factor=1.37),
    case("flat tops, choke input, below critical", GZ34, 450.0, 60.0, 50.0, None,
         [choke(10.0, 120.0, 40)], 0.010, bleeder=50e3, crest_factor=1.36),
    case("flat tops, half-wave rail", SILICON, 60.0, 25.0, 60.0, 20, [resistor(1000.0, 20)], 0.005,
         connection="half-wave", crest_factor=1.36),
    case("flattest tops, capacitor", SILICON, 350.0, 45.0, 60.0, 100, [], 0.150, crest_factor=1.331),
    # Negative bias rails.
    case("bias rail, resistor input", SILICON, 60.0, 25.0, 60.0, None, [resistor(1000.0, 20)], 0.005,
         connection="half-wave"),
    case("bias rail, plate resistor", SILICON, 60.0, 1025.0, 50.0, 20, [], 0.005,
         plate_resistor=1000.0, connection="half-wave"),
    case("bias rail, C-R-C", SILICON, 60.0, 25.0, 60.0, 20, [resistor(1000.0, 20)], 0.005,
         connection="half-wave"),
    case("bias rail, vacuum diode", SIX_X4, 60.0, 40.0, 60.0, 20, [resistor(1000.0, 20)], 0.005,
         bleeder=47e3, connection="half-wave"),
    # A centre-tapped winding whose halves differ (volts and path ohms of the second): the period is a whole mains cycle, with ripple at
    # the mains' own frequency.
    case("unequal halves, capacitor", FIVE_U4, 362.0, 106.0, 60.0, 40, [], 0.150, bleeder=100e3, second_half=(355.0, 98.0)),
    case("unequal halves, capacitor, light load", GZ34, 350.0, 90.0, 50.0, 47, [], 0.004, bleeder=220e3, second_half=(356.0, 95.0)),
    case("unequal halves, one of them idle", SILICON, 300.0, 60.0, 60.0, 100, [], 0.050, plate_resistor=10.0, second_half=(240.0, 50.0)),
    case("unequal halves, silicon, the same volts", SILICON, 350.0, 75.0, 60.0, 47, [], 0.150, plate_resistor=20.0,
         second_half=(350.0, 90.0)),
    case("unequal halves, two sections", GZ34, 325.0, 85.0, 50.0, 16, [choke(8.0, 130.0, 40), resistor(330.0, 80)], 0.110,
         bleeder=150e3, second_half=(340.0, 92.0)),
    case("unequal halves, choke input", FIVE_U4, 450.0, 60.0, 60.0, None, [choke(10.0, 120.0, 40)], 0.200, bleeder=50e3,
         second_half=(430.0, 56.0)),
    case("unequal halves, choke input, below critical", FIVE_U4, 440.0, 60.0, 60.0, None, [choke(10.0, 120.0, 40)], 0.015,
         bleeder=50e3, second_half=(450.0, 63.0)),
    case("unequal halves, mercury vapour, choke input", MERCURY, 600.0, 55.0, 50.0, None, [choke(8.0, 80.0, 30)], 0.225,
         bleeder=30e3, second_half=(585.0, 50.0)),
]
