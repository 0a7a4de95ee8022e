//! What of the drawer makes a load for a point or for so many ohms, and which few loads show the envelope: `sagline networks`.

use serde_json::Value;

use crate::app::disk::drawer::{DrawerFile, read_any};
use crate::app::disk::settings::Folders;
use crate::app::terminal::NetworksArguments;
use crate::app::terminal::input::{Complaint, Opened};
use crate::app::terminal::numbers::record::{Record, layout};
use crate::bench::networks::{Element, Found, Network, USUAL_MARGIN, Wanted, networks};
use crate::bench::showing::{Shows, showing};
use crate::explain::networks as words;
use crate::explain::resistor;
use crate::parts::escape::escaped_lines;
use crate::parts::{Drawer, MadeOf};
use crate::physics::envelope::envelope;
use crate::physics::{Failure, Model};

/// The text for a supply and a drawer.
///
/// # Errors
/// If the drawer cannot be read or no load leads to the point, and where the loads that show the envelope are asked for, if the parts
/// give none.
pub(super) fn print(wanted: &NetworksArguments, opened: &Opened) -> Result<String, Complaint> {
    let drawer = drawer(wanted)?;
    let asked = asked(wanted)?;
    let found = asked.map(|asked| (asked, networks(&drawer, asked, USUAL_MARGIN)));
    let shows = if asked.is_none() {
        let about = |failure: Failure| opened.fails(&failure);
        let model = Model::of(&opened.work.supply).map_err(about)?;
        let envelope = envelope(&model).map_err(about)?;
        Some(showing(&envelope, &drawer, USUAL_MARGIN))
    } else {
        None
    };
    if wanted.json {
        return Ok(json(opened, &drawer, found.as_ref(), shows.as_deref()));
    }
    let mut text = String::new();
    if let Some((asked, found)) = &found {
        text.push_str(&words::text(found, *asked, &drawer, USUAL_MARGIN));
    }
    if let Some(shows) = &shows {
        if drawer.resistors.is_empty() {
            text.push_str(&format!("{}\n", words::EMPTY));
        } else {
            text.push_str(&words::showing_text(shows));
        }
        text.push_str(&format!("{}\n", words::CAUTION));
    }
    Ok(escaped_lines(&text))
}

/// The drawer that is named, else that of the user.
fn drawer(wanted: &NetworksArguments) -> Result<Drawer, Complaint> {
    let Some(path) = &wanted.drawer else {
        let (_, drawer, faults) = DrawerFile::load(&Folders::of_system());
        return if faults.is_empty() {
            Ok(drawer)
        } else {
            Err(Complaint(faults.join("\nsagline: ")))
        };
    };
    read_any(path).map_err(|faults| Complaint(faults.join("\nsagline: ")))
}

/// What is wanted of it; none where it is asked which loads show the envelope.
fn asked(wanted: &NetworksArguments) -> Result<Option<Wanted>, Complaint> {
    match (&wanted.at, &wanted.ohms) {
        (Some(at), _) => {
            let asked = Wanted::at([at.amps.0, at.volts.0]);
            let none = || {
                Complaint(format!(
                    "--at: found {} at {}, expected a current and volts above zero: no load leads there",
                    at.volts, at.amps
                ))
            };
            asked.ok_or_else(none).map(Some)
        }
        (None, Some(ohms)) if ohms.0 > 0.0 => Ok(Some(Wanted {
            ohms: ohms.0,
            volts: wanted.volts.map(|volts| volts.0).filter(|volts| *volts > 0.0),
        })),
        (None, Some(ohms)) => Err(Complaint(format!(
            "--ohms: found {ohms}, expected a resistance above zero"
        ))),
        (None, None) => Ok(None),
    }
}

fn json(
    opened: &Opened,
    drawer: &Drawer,
    found: Option<&(Wanted, Found)>,
    shows: Option<&[Shows]>,
) -> String {
    let mut record = Record::default();
    record.put("schema", "sagline networks 1");
    record.put("supply", opened.work.name.as_str());
    record.put("cautions", vec![Value::from(words::CAUTION)]);
    record.put("resistors_in_drawer", drawer.count());
    record.number("largest_share_of_watts", USUAL_MARGIN.watts);
    record.number("largest_share_of_volts", USUAL_MARGIN.volts);
    if let Some((asked, found)) = found {
        record.number("wanted_ohms", asked.ohms);
        record.number_or("wanted_volts", asked.volts, "only ohms were asked for");
        let all = found.networks.iter().map(network);
        record.put("networks", all.collect::<Vec<Value>>());
        if found.networks.is_empty() {
            record.put("none_because", words::none(found, *asked, drawer));
        }
    }
    if let Some(shows) = shows {
        record.put("shows", shows.iter().map(show).collect::<Vec<Value>>());
    }
    layout(&record.into_map())
}

fn show(one: &Shows) -> Value {
    let mut record = Record::default();
    record.put("purpose", words::purpose(one.purpose));
    record.number("output_amps", one.at[0]);
    record.number("output_volts", one.at[1]);
    record.put("changes", one.changes);
    match &one.network {
        Some(found) => record.put("network", network(found)),
        None => record.null("network", "nothing in the drawer bears it"),
    }
    record.into()
}

fn network(network: &Network) -> Value {
    let mut record = Record::default();
    record.put("wiring", words::wiring(&network.made_of));
    record.number("resistance_ohms", network.ohms);
    record.number("off_fraction", network.off);
    record.number("lowest_ohms", network.between_ohms[0]);
    record.number("highest_ohms", network.between_ohms[1]);
    let nothing = "nothing is known that ends it";
    record.number_or("highest_volts", network.most_volts, nothing);
    record.number_or("highest_watts", network.most_watts(), nothing);
    let hottest = network.largest_share();
    record.number_or("largest_share_of_watts", hottest, "the volts are not known");
    let elements = network.elements.iter().map(element);
    record.put("resistors", elements.collect::<Vec<Value>>());
    record.put("tree", tree(&network.made_of));
    record.into()
}

fn element(element: &Element) -> Value {
    let mut record = Record::default();
    let resistor = &element.resistor;
    record.put("name", resistor.name.as_str());
    record.number("resistance_ohms", resistor.resistance.0);
    record.number("power_watts", resistor.power.0);
    record.number("tolerance_fraction", resistor.tolerance.0);
    record.put("kind", resistor::kind_key(resistor.kind));
    record.put("mounting", resistor::mounting(resistor.kind, resistor.mounting));
    record.number("bears_watts", element.bears_watts);
    let only_ohms = "only ohms were asked for";
    record.number_or("volts", element.volts, only_ohms);
    record.number_or("watts", element.watts, only_ohms);
    record.into()
}

/// How it is wired: a number of ohms, or `{"series": […]}`, `{"parallel": […]}`.
fn tree(made_of: &MadeOf) -> Value {
    let (key, parts) = match made_of {
        MadeOf::One(one) => {
            let mut ohms = Record::default();
            ohms.number("ohms", one.resistance.0);
            return ohms.into();
        }
        MadeOf::Series(parts) => ("series", parts),
        MadeOf::Parallel(parts) => ("parallel", parts),
    };
    let mut record = Record::default();
    record.put(key, parts.iter().map(tree).collect::<Vec<Value>>());
    record.into()
}
