//! One operating point of everything before the pass tubes: what the repeating waveform is like.

/// For which mains and which corner of the tolerances something was computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Case {
    /// Lowest mains to reckon with.
    Low,
    /// Mains now (the slider).
    Present,
    /// Highest mains to reckon with.
    High,
    /// Nominal mains: where design-centre ratings are judged.
    Nominal,
    /// Lowest mains, every capacitor at the low end of its tolerance.
    LowLeast,
    /// Lowest mains, every capacitor at the high end of its tolerance.
    LowMost,
    /// Highest mains, every capacitor at the low end of its tolerance.
    HighLeast,
    /// Highest mains, every capacitor at the high end of its tolerance.
    HighMost,
}

/// The bus: the unregulated rail on the pass tubes' plates (V).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bus {
    /// Mean over the cycle.
    pub mean_volts: f64,
    /// Lowest instant.
    pub trough_volts: f64,
    /// Highest instant.
    pub crest_volts: f64,
    /// Root mean square of what varies.
    pub ripple_rms_volts: f64,
}

impl Bus {
    /// Peak-to-peak ripple (V).
    pub fn ripple_volts(&self) -> f64 {
        self.crest_volts - self.trough_volts
    }
}

/// What one device (plate, diode) of the rectifier carries.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RectifierStress {
    /// Highest instant of the current of one device (A).
    pub peak_amps: f64,
    /// Mean current of one device over the whole mains cycle (A).
    pub mean_amps: f64,
    /// Rms current of one device over the whole mains cycle (A).
    pub rms_amps: f64,
    /// Angle of the mains cycle in which one device conducts (degrees).
    pub conduction_degrees: f64,
}

/// What one choke carries.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ChokeStress {
    /// Mean current (A).
    pub mean_amps: f64,
    /// Highest instant (A).
    pub peak_amps: f64,
    /// Lowest instant (A); zero when a choke input runs below its critical current.
    pub least_amps: f64,
    /// Rms current (A).
    pub rms_amps: f64,
}

/// Everything before the pass tubes at one output current.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Operation {
    /// Output current (A).
    pub output_amps: f64,
    /// The bus.
    pub bus: Bus,
    /// Mean current out of the rectifier, all devices together (A).
    pub rectified_amps: f64,
    /// Rms current out of the rectifier, all devices together (A).
    pub rectified_rms_amps: f64,
    /// One rectifier device: of each figure the higher, where the halves of the winding differ.
    pub rectifier: RectifierStress,
    /// One device on the first and one on the second half of a winding, where the halves differ.
    pub by_half: Option<[RectifierStress; 2]>,
    /// Rms current of one half-winding (centre-tap), the harder worked where they differ, or of the winding (bridge, half-wave) (A).
    pub winding_rms_amps: f64,
    /// Rms ripple current of each capacitor stack, first to last (A).
    pub capacitor_rms_amps: Vec<f64>,
    /// Rms ripple volts of each capacitor stack, first to last (V).
    pub capacitor_ripple_rms_volts: Vec<f64>,
    /// Crest volts of each capacitor stack, first to last (V).
    pub capacitor_crest_volts: Vec<f64>,
    /// Mean volts of each capacitor stack, first to last (V).
    pub capacitor_mean_volts: Vec<f64>,
    /// Each choke, in the order of the filter's sections (V, A).
    pub chokes: Vec<ChokeStress>,
    /// Relative closure error of the repeating waveform.
    pub closure: f64,
    /// Periods computed to find it.
    pub periods: u32,
}

/// The supply with nothing on its terminals, for one case.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NoLoad {
    /// Everything before the pass tubes at no output current.
    pub operation: Operation,
    /// Peak inverse volts on one rectifier device (V).
    pub peak_inverse_volts: f64,
    /// Volts across the worst unit of each capacitor stack, first to last (V).
    pub worst_unit_volts: Vec<f64>,
    /// The regulator with nothing on the terminals.
    pub regulator: AtRest,
}

/// Current of a gas tube of a reference at the setting where it is at its least or most, with nothing on the terminals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferenceAtRest {
    /// That setting (V).
    pub set_volts: f64,
    /// Current through the feed resistor (A).
    pub feed_amps: f64,
    /// Current of the gas tube that binds: what joins or leaves the stack on the way to it is the difference (A).
    pub amps: f64,
}

/// The dissipation of an electrode at the setting where it is most, with nothing on the terminals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorstDissipation {
    /// That setting (V).
    pub set_volts: f64,
    /// Volts above the cathode (V).
    pub volts: f64,
    /// Its current (A).
    pub amps: f64,
}

impl WorstDissipation {
    /// What it dissipates (W).
    pub fn watts(self) -> f64 {
        (self.volts * self.amps).max(0.0)
    }
}

/// The regulator with nothing on the terminals, each at its worst setting within the output range; `None` is not known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct AtRest {
    /// The negative rail's gas tube that has least.
    pub negative_least: Option<ReferenceAtRest>,
    /// The negative rail's gas tube that has most.
    pub negative_most: Option<ReferenceAtRest>,
    /// Volts that the negative rail gives its gas tubes before they strike (V).
    pub negative_dark_volts: Option<f64>,
    /// The positive reference's gas tube that has most.
    pub positive_most: Option<ReferenceAtRest>,
    /// The control tube's plate.
    pub control_plate: Option<WorstDissipation>,
    /// Screen volts of the control tube (V).
    pub control_screen_volts: Option<f64>,
    /// The control tube's screen.
    pub control_screen: Option<WorstDissipation>,
    /// Volts by which the control tube's cathode is above its heater (V).
    pub control_heater_volts: Option<f64>,
}
