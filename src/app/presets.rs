//! The invented supplies that come with the program, embedded as the text files they are.

use crate::parts::Supply;
use crate::parts::catalogue::Catalogue;
use crate::parts::file::{FileError, read};

/// A supply that comes with the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Preset {
    /// Its name in the menu.
    pub(crate) name: &'static str,
    text: &'static str,
}

/// The demo supply: what the window shows when nothing else is asked for.
const DEMO: Preset = Preset {
    name: "School laboratory supply 350 V / 120 mA",
    text: include_str!("../../presets/school-laboratory.ron"),
};

/// All presets, the demo supply first.
pub(crate) const ALL: &[Preset] = &[
    DEMO,
    Preset {
        name: "Choke-input supply 250 V / 200 mA",
        text: include_str!("../../presets/choke-input.ron"),
    },
    Preset {
        name: "Silicon bridge supply 500 V / 60 mA",
        text: include_str!("../../presets/silicon-bridge.ron"),
    },
    Preset {
        name: "Small supply 250 V / 40 mA",
        text: include_str!("../../presets/small-fixed-range.ron"),
    },
    Preset {
        name: "Half-wave supply 120 V / 25 mA",
        text: include_str!("../../presets/half-wave.ron"),
    },
];

impl Preset {
    /// The supply itself.
    ///
    /// # Errors
    /// If the file in the program is at fault; the test below sees to it that it is not.
    pub(crate) fn supply(&self, catalogue: &Catalogue) -> Result<Supply, FileError> {
        read(self.text, catalogue)
    }
}

/// The demo supply.
///
/// # Errors
/// As [`Preset::supply`].
pub(crate) fn demo(catalogue: &Catalogue) -> Result<Supply, FileError> {
    DEMO.supply(catalogue)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_preset_is_a_supply_of_the_name_in_the_menu() {
        let catalogue = Catalogue::built_in();
        for preset in ALL {
            let supply = preset.supply(&catalogue);
            assert_eq!(
                supply.map(|s| s.name),
                Ok(preset.name.to_owned()),
                "{}",
                preset.name
            );
        }
    }
}
