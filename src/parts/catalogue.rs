//! The types that a part can be: built-in ones from `assets/catalogue`, and the user's own. How they are read and
//! written stands in [`crate::parts::file`].

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
    ]
}

/// True for a type of the user's own: not in the built-in catalogue, or not as it is there (`built_in`, of the same name).
pub fn is_own<T: PartialEq>(kind: &T, built_in: Option<&T>) -> bool {
    built_in != Some(kind)
}

impl Catalogue {
    /// The rectifier of that name.
    pub fn rectifier(&self, name: &str) -> Option<&RectifierType> {
        self.rectifiers.iter().find(|t| t.name == name)
    }

    /// The pass tube of that name.
    pub fn pass_tube(&self, name: &str) -> Option<&PassTubeType> {
        self.pass_tubes.iter().find(|t| t.name == name)
    }

    /// The control tube of that name.
    pub fn control_tube(&self, name: &str) -> Option<&ControlTubeType> {
        self.control_tubes.iter().find(|t| t.name == name)
    }

    /// The gas tube of that name.
    pub fn gas_tube(&self, name: &str) -> Option<&GasTubeType> {
        self.gas_tubes.iter().find(|t| t.name == name)
    }
}
