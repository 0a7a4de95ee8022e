//! The types that a part can be: built-in ones from `assets/catalogue`, and the user's own. How they are read and
//! written stands in [`crate::parts::file`].

use crate::parts::check::{self, Problem};
use crate::parts::{ControlTubeType, GasTubeType, PassTubeType, RectifierType};

/// Known types.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Catalogue {
    /// Rectifiers, in the order of the files.
    pub rectifiers: Vec<RectifierType>,
    /// Pass tubes, in the order of the files.
    pub pass_tubes: Vec<PassTubeType>,
    /// Control tubes, in the order of the files.
    pub control_tubes: Vec<ControlTubeType>,
    /// Gas tubes, in the order of the files.
    pub gas_tubes: Vec<GasTubeType>,
}

/// The built-in catalogue: file name and text.
pub const BUILT_IN_FILES: [(&str, &str); 4] = [
    (
        "rectifiers.ron",
        include_str!("../../assets/catalogue/rectifiers.ron"),
    ),
    (
        "pass_tubes.ron",
        include_str!("../../assets/catalogue/pass_tubes.ron"),
    ),
    (
        "control_tubes.ron",
        include_str!("../../assets/catalogue/control_tubes.ron"),
    ),
    (
        "gas_tubes.ron",
        include_str!("../../assets/catalogue/gas_tubes.ron"),
    ),
];

/// The invented supplies that come with the program: file name and text, the demo first.
pub fn presets() -> &'static [(&'static str, &'static str)] {
    &[
        (
            "school-laboratory.ron",
            include_str!("../../presets/school-laboratory.ron"),
        ),
        (
            "choke-input.ron",
            include_str!("../../presets/choke-input.ron"),
        ),
        (
            "silicon-bridge.ron",
            include_str!("../../presets/silicon-bridge.ron"),
        ),
        (
            "small-fixed-range.ron",
            include_str!("../../presets/small-fixed-range.ron"),
        ),
        ("half-wave.ron", include_str!("../../presets/half-wave.ron")),
        (
            "beam-tube-pair.ron",
            include_str!("../../presets/beam-tube-pair.ron"),
        ),
        (
            "mercury-choke.ron",
            include_str!("../../presets/mercury-choke.ron"),
        ),
        (
            "twin-triode-big-capacitor.ron",
            include_str!("../../presets/twin-triode-big-capacitor.ron"),
        ),
        (
            "series-pentodes.ron",
            include_str!("../../presets/series-pentodes.ron"),
        ),
    ]
}

/// True for a type of the user's own: not in the built-in catalogue, or not as it is there (`built_in`, of the same name).
pub fn is_own<T: PartialEq>(kind: &T, built_in: Option<&T>) -> bool {
    built_in != Some(kind)
}

/// A type that a catalogue lists.
pub(in crate::parts) trait Listed: Clone + PartialEq + 'static {
    /// Its designation.
    fn name(&self) -> &str;
    /// The list of such types.
    fn list(catalogue: &Catalogue) -> &[Self];
    /// The same, to change.
    fn list_mut(catalogue: &mut Catalogue) -> &mut Vec<Self>;
    /// What keeps it from being computed with; fields count from the entry.
    fn problems(&self) -> Vec<Problem>;
}

macro_rules! listed {
    ($($kind:ident in $list:ident, $problems:ident;)*) => {$(
        impl Listed for $kind {
            fn name(&self) -> &str {
                &self.name
            }

            fn list(catalogue: &Catalogue) -> &[Self] {
                &catalogue.$list
            }

            fn list_mut(catalogue: &mut Catalogue) -> &mut Vec<Self> {
                &mut catalogue.$list
            }

            fn problems(&self) -> Vec<Problem> {
                check::$problems(self)
            }
        }
    )*};
}
listed! {
    RectifierType in rectifiers, rectifier_type;
    PassTubeType in pass_tubes, pass_tube_type;
    ControlTubeType in control_tubes, control_tube_type;
    GasTubeType in gas_tubes, gas_tube_type;
}

impl Catalogue {
    /// The type of that name.
    pub(in crate::parts) fn find<T: Listed>(&self, name: &str) -> Option<&T> {
        T::list(self).iter().find(|kind| kind.name() == name)
    }

    /// The rectifier of that name.
    pub fn rectifier(&self, name: &str) -> Option<&RectifierType> {
        self.find(name)
    }

    /// The pass tube of that name.
    pub fn pass_tube(&self, name: &str) -> Option<&PassTubeType> {
        self.find(name)
    }

    /// The control tube of that name.
    pub fn control_tube(&self, name: &str) -> Option<&ControlTubeType> {
        self.find(name)
    }

    /// The gas tube of that name.
    pub fn gas_tube(&self, name: &str) -> Option<&GasTubeType> {
        self.find(name)
    }
}
