//! The words themselves.

use crate::explain::glossary::Term;

const fn term(name: &'static str, also: &'static str, meaning: &'static str) -> Term {
    Term {
        name,
        also,
        meaning,
    }
}

/// All words, in the order of the alphabet.
pub const TERMS: &[Term] = &[
    term(
        "balancing resistor",
        "equalising series stack capacitor share",
        "A resistor across each capacitor of a series stack. It carries more than the capacitors leak, so that each takes its even share of the volts; without it the best one gets too much.",
    ),
    term(
        "bias rail",
        "negative c minus raw gas winding",
        "The negative supply of the regulator, from a winding and rectifier of its own. It carries the control tube's cathode or the foot of the divider below the output's negative terminal, so that the output can reach 0 V. Its volts follow the mains unless gas tubes hold them.",
    ),
    term(
        "bleeder",
        "resistor discharge",
        "A resistor across the bus that empties the capacitors after switch-off. It may fail open: measure the bus all the same.",
    ),
    term(
        "bus",
        "rail unregulated b+ plate supply",
        "The unregulated direct voltage after the filter, on the plates of the pass tubes. It sags with the load and carries what is left of the ripple.",
    ),
    term(
        "bus valley",
        "trough ripple lowest",
        "The lowest instant of the bus in a mains cycle. The regulator must work there too, so it decides the dropout line, not the mean.",
    ),
    term(
        "capacitor volts, no load",
        "working filter stress electrolytic rating",
        "What stands on a filter capacitor with nothing connected at high mains, against its working volts. In a series stack the units share it, evenly only as far as their balancing resistors see to it.",
    ),
    term(
        "cathode resistor",
        "equalising share series pass",
        "A resistor in the cathode of each pass tube. The one that takes more current biases itself back, so the tubes share better; its own drop lowers the dropout line a little.",
    ),
    term(
        "choke current",
        "inductor direct saturation",
        "The direct current through a choke against its rating. Above it the core saturates, the inductance falls and the ripple rises.",
    ),
    term(
        "clean rail",
        "plate supply separate smooth",
        "A small smooth supply on top of the output for the plate load of the control tube. Without it the load is fed from the bus and hands a part of its ripple to the pass grids.",
    ),
    term(
        "conduction angle",
        "pulse degrees rectifier",
        "The part of the mains cycle, in degrees, in which one rectifier plate conducts. The shorter it is, the higher the peak for the same mean current.",
    ),
    term(
        "control tube",
        "amplifier error triode pentode compare",
        "The small tube that compares a part of the output with the reference and drives the grids of the pass tubes. Its plate stands where those grids stand, so it cannot pull them lower than its own least plate volts.",
    ),
    term(
        "control-grid ceiling",
        "highest output divider foot fully on lost rail",
        "The highest output that the control can hold: above it the grid of the control tube would have to be lower than the foot of the sense divider. Mostly far above the bus; where a negative rail is lost, or the foot is tied to the wrong place, it comes down into the plane.",
    ),
    term(
        "crest factor",
        "mains flat top distortion harmonic sine shape peak rms",
        "Crest over rms of the mains: 1.414 for a clean sine. The rectifiers of everything on the network charge at the crest and flatten it, mostly to 1.36 to 1.40; a meter for rms volts does not see it. A bus behind a capacitor input follows the crest, one behind a choke input the mean, which hardly moves.",
    ),
    term(
        "derating",
        "power resistor mounting heat sink hot",
        "How much of its printed power a resistor may take where it is mounted: a metal-clad one without its heat sink often less than a third.",
    ),
    term(
        "dropout line",
        "regulation lost headroom",
        "The highest output volts at each current at which the valley of the bus still leaves the pass tubes their least drop. Above it the output follows the bus and hums.",
    ),
    term(
        "dummy load",
        "resistor test dummies",
        "A resistor of known ohms and watts in place of the real load, to test the supply with. Its own ratings are limits as well.",
    ),
    term(
        "envelope",
        "operating area region inside",
        "The part of the volt–ampere plane in which no limit is exceeded. Inside it the supply may run for good; outside, something is overloaded or out of regulation.",
    ),
    term(
        "filter",
        "capacitor choke smoothing section c1 c2",
        "The capacitors and chokes or resistors between rectifier and pass tubes. They store between the pulses and take most of the ripple out.",
    ),
    term(
        "filter stress zone",
        "band top capacitor near",
        "The band of bus volts from 90 to 100 % of the working volts of the last filter capacitor. Above it the capacitor is over its rating, load or no load.",
    ),
    term(
        "first capacitor",
        "reservoir input rectifier largest switch-on charge",
        "The capacitor right behind the rectifier. The larger it is, the shorter and higher the pulses that charge it, and the harder the first charge at switch-on: for many tubes the maker names the largest that is allowed.",
    ),
    term(
        "gas reference",
        "glow tube vr voltage 0a2 5651 strike ignition",
        "A glow tube that keeps nearly the same volts over a range of current. Below its least current it goes out or wanders, above its highest it wears; it strikes only from more volts than it runs at.",
    ),
    term(
        "ghost",
        "outline earlier variant compare",
        "A word of this program: an earlier variant of the supply, kept on the plot in outline to compare with, under a letter from a to d and by what it has that the present one has not.",
    ),
    term(
        "grid limit",
        "positive grid drive zero bias",
        "The highest volts to which the control can bring a pass grid above its cathode, mostly 0 V. Beyond that the grid draws current that the control tube cannot give.",
    ),
    term(
        "grid resistor",
        "leak gas current runaway circuit",
        "The resistance between a grid and what holds it. A hot or gassy tube sends a little current out of its grid; through a large resistor that current lifts the grid, the tube runs hotter still, and may run away. Several grids on one resistor share what the maker allows for one.",
    ),
    term(
        "heaters and core",
        "auxiliary filament windings magnetising",
        "What the transformer takes for its other windings, heaters above all, and for its core; it loads the primary, not the high voltage.",
    ),
    term(
        "heater–cathode volts",
        "insulation elevated winding filament",
        "The volts between a heater and its cathode against their rating. The cathodes of the pass tubes stand at the output, so a heater tied to the chassis sees the whole output volts; the cathode of a rectifier stands at the bus.",
    ),
    term(
        "high mains",
        "low nominal line volts wall",
        "The highest and lowest wall volts to reckon with. High mains load rectifier, capacitors and pass tubes; low mains bring dropout down.",
    ),
    term(
        "imbalance",
        "unequal share worst section",
        "How much more than its even share the worst of several pass tubes carries. It is set by hand, or worked out from the spread of the tubes and the cathode resistors.",
    ),
    term(
        "inrush",
        "surge switch-on hot",
        "The first current pulses into empty capacitors. Many rectifier tubes have a rating of their own for them.",
    ),
    term(
        "inrush current",
        "switch-on surge closing magnetising core saturates thermistor limiter",
        "What the mains give in the first cycles after the switch closes. The core goes on from the flux that stayed in it, saturates, and lets the primary draw many times its rated current; cold heaters and empty capacitors add to it. Worst when the switch closes at a zero crossing.",
    ),
    term(
        "internal current",
        "screen divider regulator load inside",
        "What the supply's own circuits take from the bus besides the load: screen divider, plate load, references. What a described regulator draws through the pass tubes is worked out beside it.",
    ),
    term(
        "junction law",
        "silicon diode emission saturation bulk ohms",
        "How a silicon diode's drop rises with its current: saturation current and emission set the knee, the bulk ohms the straight part.",
    ),
    term(
        "least drop",
        "headroom minimum pass tube",
        "The plate-to-cathode volts that the pass tubes need at a current with the grid as far up as the control can drive it.",
    ),
    term(
        "least plate volts",
        "knee pentode bottom control tube",
        "How low the control tube can bring its own plate above its cathode: the knee of a pentode, or where a triode's grid comes to zero. With it begins the lowest regulated output.",
    ),
    term(
        "line regulation",
        "mains stability change",
        "How far the output moves when the mains go from low to high at the same setting of the knob.",
    ),
    term(
        "load line",
        "ray ohms straight",
        "The straight line of a resistor in the volt–ampere plane: volts over current are its ohms. Turning the knob moves the point along it.",
    ),
    term(
        "load regulation",
        "droop sag fall no full load",
        "How far the output falls from no load to the load at the same setting of the knob: the output resistance over the whole way.",
    ),
    term(
        "loop gain",
        "feedback amplification divider",
        "How much stronger the control tube answers a change of the output than the change itself: its amplification times the share that the divider hands to its grid. Output resistance and hum fall by one more than it.",
    ),
    term(
        "lowest regulated output",
        "grid-drive floor lowest output zero negative pull down light load",
        "The lowest output volts at each current down to which the control tube can pull the grids of the pass tubes. Below it the output stays higher than the knob says. Little load and high mains raise it; a deeper bias rail lowers it.",
    ),
    term(
        "margin",
        "use share left used per cent",
        "What is left of a limit, one less its use. The use is the actual value over the allowed one: 80 % use leaves 20 % margin.",
    ),
    term(
        "melting I²t",
        "fuse pre-arcing joule integral amps squared seconds",
        "The integral of the squared current that melts a fuse before any heat leaves it. At one rating and letter it differs up to tenfold between makers, so it is a range here.",
    ),
    term(
        "meter shunt",
        "ammeter drop output",
        "The resistance of the current meter in the output lead. Its drop is outside the loop or inside, but always between pass tubes and terminals.",
    ),
    term(
        "output",
        "terminals knob load",
        "Where the load is connected. What is asked of it, volts and current, is the point in the plane.",
    ),
    term(
        "output range",
        "set control knob low high end",
        "The output volts between the two ends of the knob. Outside it the supply is not overloaded, it just cannot be set there.",
    ),
    term(
        "output resistance",
        "source impedance internal stiff slope",
        "How many volts the output falls for each ampere more. Without the loop it is the pass tubes' own cathode resistance; the loop divides it, until dropout.",
    ),
    term(
        "pass tube",
        "series regulator valve stage",
        "The tube between bus and output that drops whatever is too much. Its dissipation is its drop times its current, so low volts at high current are hardest on it.",
    ),
    term(
        "peak inverse volts",
        "piv reverse rectifier no load",
        "What a rectifier plate must block while the other one conducts. With a capacitor input it comes to about twice the crest of a half-winding. Diodes in series share it, as long as resistors across them see to it.",
    ),
    term(
        "plate current",
        "cathode limit pass",
        "The mean current of the hardest-worked pass tube section against its rating. Sections in parallel never share it quite evenly.",
    ),
    term(
        "plate dissipation",
        "watts heat anode pass tube",
        "The heat of a plate: volts across the tube times its current. Above the rating the plate glows, gas is set free and the tube is lost.",
    ),
    term(
        "plate load",
        "anode resistor control tube gain",
        "The resistor from the plate of the control tube to its supply. More gives more gain; the pass grids are driven from it.",
    ),
    term(
        "plate resistor",
        "series lead stopper surge rectifier",
        "A resistor in a plate lead. For a rectifier it makes up the supply resistance that the maker asks for; for a pass tube it takes some of the heat.",
    ),
    term(
        "plate volts",
        "anode rating pass tube bus",
        "The volts between plate and cathode of a pass tube against its rating. They are highest with the knob turned down and little load.",
    ),
    term(
        "preload",
        "minimum load resistor inside",
        "A resistor across the output inside the supply. It draws a little current with nothing connected, so that the pass tubes need less negative grids: it brings the lowest regulated output down.",
    ),
    term(
        "pulled tube",
        "one unit out missing fewer sections",
        "A pass tube that is taken out or has failed. The others carry its share, and their limits come nearer.",
    ),
    term(
        "rating system",
        "absolute-maximum design-centre design-maximum iec 60134",
        "How a published rating is meant (IEC 60134). Design-centre: judged at nominal mains, the maker kept a reserve. Design-maximum: for a tube of average data in bad conditions. Absolute-maximum: never to be exceeded, not even by a bad part at high mains.",
    ),
    term(
        "rectifier",
        "diode tube silicon mercury half wave bridge full wave",
        "The tubes or diodes that let current through one way only, from the winding into the filter, in short pulses near the crests of the mains.",
    ),
    term(
        "rectifier output current",
        "dc mean output current",
        "The direct current out of the rectifier against its rating, bleeder and internal currents included.",
    ),
    term(
        "rectifier peak",
        "pulse plate current steady",
        "The highest instant of a rectifier plate's current in each cycle. A larger first capacitor makes the pulses shorter and higher.",
    ),
    term(
        "regulation",
        "hold stiff",
        "Holding the output volts while load and mains change. It ends at the dropout line.",
    ),
    term(
        "residual flux",
        "remanence core magnetised switch-off",
        "What stays in the core after switch-off, as a share of the flux at work. Closing the switch in its direction saturates the core further, closing against it less; nobody knows it beforehand.",
    ),
    term(
        "ripple",
        "hum bus peak-to-peak",
        "What varies on the bus at twice the mains frequency (once, with a half-wave rectifier). The regulator takes most of it out, as long as the valley stays above dropout.",
    ),
    term(
        "ripple current",
        "capacitor rms heating",
        "The rms current that charges and discharges a capacitor. It heats the capacitor; electrolytics have a rating for it.",
    ),
    term(
        "screen dissipation",
        "beam tube pentode triode-connected grid two watts screen share",
        "The heat of a screen: its volts times its current. A screen is a thin wire spiral and bears far less than the plate. Tied to the plate it takes its share of the current at the plate's own volts.",
    ),
    term(
        "screen volts",
        "pentode grid two divider control tube",
        "The volts of a pentode's screen above its cathode. They set how much current the tube has at a given grid, and they have a rating of their own.",
    ),
    term(
        "sense divider",
        "foot tap sample output potentiometer",
        "The resistors from the output to a fixed point, its foot, that hand a part of the output to the control tube's grid. The knob moves the tap.",
    ),
    term(
        "starting volts",
        "strike ignition gas tube dark glow",
        "The volts before its feed resistor with which a gas reference surely strikes. Until it does it carries nothing and holds nothing; on a low day it may stay dark, or start late.",
    ),
    term(
        "supply resistance",
        "source winding plate per transformer",
        "The resistance in series with each rectifier plate: its half-winding and the primary seen through the turns ratio. It rounds the pulses and makes the bus sag.",
    ),
    term(
        "surge volts",
        "capacitor short time no load",
        "What an electrolytic bears for a short time only, as before the tubes are warm. It is no rating to live at.",
    ),
    term(
        "tolerance",
        "spread capacitance makers least most",
        "How far a part may lie from its printed value. Absolute-maximum ratings are judged with every capacitor at its least and at its most.",
    ),
    term(
        "transformer",
        "secondary primary winding copper",
        "It makes the high voltage from the mains. Its copper is the larger part of the resistance in series with the rectifier, and has a fifth more when warm than it was measured cold.",
    ),
    term(
        "tube spread",
        "imbalance production new worn",
        "How far single tubes of a type lie from the typical one, in current at the same volts. From it the imbalance of the pass tubes is worked out.",
    ),
    term(
        "winding rms",
        "transformer secondary heating copper",
        "The rms current of the high-voltage winding. Short pulses heat the copper more than the same mean current would; what a negative rail draws from it comes on top.",
    ),
    term(
        "working volts",
        "capacitor rating printed can",
        "The volts that are printed on a capacitor: what it bears for good. With nothing connected and high mains the filter stands highest.",
    ),
    term(
        "zero setting",
        "reverse negative knob end drift",
        "The lower end of the knob. What the output really does there depends on the bias rail and the reference: at some mains it may stay above zero, at others turn negative, which harms electrolytics and meters connected to it.",
    ),
    term(
        "zero-bias curve",
        "grid plate characteristic triode",
        "Plate current over plate volts with the grid at its cathode. It tells the least drop of a pass tube whose grid cannot be driven positive.",
    ),
];
