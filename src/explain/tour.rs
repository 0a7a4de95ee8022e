//! The words of the tour: six short steps on the demo supply.

/// A step of the tour; what it does on the plot is the window's business.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// The point and the envelope.
    Point,
    /// Down to where the pass tubes burn.
    Limit,
    /// A dummy load.
    Dummy,
    /// The mains.
    Mains,
    /// Another capacitor.
    Capacitor,
    /// Where the watts go.
    Watts,
}

impl Step {
    /// All of them, in order.
    pub const ALL: [Self; 6] = [
        Self::Point,
        Self::Limit,
        Self::Dummy,
        Self::Mains,
        Self::Capacitor,
        Self::Watts,
    ];

    /// What it is called.
    pub fn title(self) -> &'static str {
        match self {
            Self::Point => "The point is your knob",
            Self::Limit => "Why low volts are hard",
            Self::Dummy => "Test it with a resistor",
            Self::Mains => "A low day at the wall",
            Self::Capacitor => "Swap a capacitor",
            Self::Watts => "Where the watts go",
        }
    }

    /// What it says, in sentences.
    pub fn text(self) -> &'static str {
        match self {
            Self::Point => {
                "The filled area is the envelope: where the supply may run. The ring is what you ask of it, volts upwards, current to the right. Drag it, or go to the plot with Ctrl+L and use the arrow keys."
            }
            Self::Limit => {
                "The pass tubes drop whatever the output does not take. Turn the volts down at a high current and their plates get all of it. On the right it now says which limit is passed, by how much, and what leads back inside."
            }
            Self::Dummy => {
                "A resistor is a straight line from the corner. The point now moves along it as the knob would, the marks are its watts, and the bold part is where supply and resistor both are safe."
            }
            Self::Mains => {
                "Move the mains slider on top. On a low day the bus sags and the dropout line comes down; on a high day the capacitors get more volts. The thin lines beside dropout show both."
            }
            Self::Capacitor => {
                "Twice the first capacitor looks harmless. The supply as it was stays on the plot in outline: the valleys are filled, so dropout rises, but the bus and the rectifier's peaks rise with it. Undo, Ctrl+Z, brings the old one back."
            }
            Self::Watts => {
                "The band at the left is what the meter at the wall counts. See how much of it reaches the load at this point, and what warms the room. Words you do not know are in the glossary, F1."
            }
        }
    }

    /// What its button does, for the button.
    pub fn deed(self) -> &'static str {
        match self {
            Self::Point => "Put the point inside",
            Self::Limit => "Turn it down to a limit",
            Self::Dummy => "Pick the second dummy",
            Self::Mains => "Slide to low mains",
            Self::Capacitor => "Double the first capacitor",
            Self::Watts => "Show the watts",
        }
    }
}

/// What offers the tour at the first start.
pub const OFFER: &str = "New here? Take six short steps on the demo, or begin with your own supply";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_step_is_short_and_ends_with_a_full_stop() {
        for step in Step::ALL {
            let words = step.text().split_whitespace().count();
            assert!(words <= 50, "{step:?}: {words} words");
            assert!(step.text().ends_with('.'), "{step:?}");
        }
    }
}
