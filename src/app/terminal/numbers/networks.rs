//! Networks from the drawer as records: `sagline networks --json`.

use serde_json::Value;

use crate::app::terminal::numbers::record::{Record, layout};
use crate::bench::networks::{Element, Found, Network, USUAL_MARGIN, Wanted};
use crate::bench::showing::Shows;
use crate::explain::networks as words;
use crate::explain::resistor;
use crate::parts::{Drawer, MadeOf};

/// What was found, as JSON.
pub(in crate::app::terminal) fn print(
    supply: &str,
    drawer: &Drawer,
    found: Option<&(Wanted, Found)>,
    shows: Option<&[Shows]>,
) -> String {
    let mut record = Record::default();
    record.put("schema", "sagline networks 1");
    record.put("supply", supply);
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
    record.put(
        "mounting",
        resistor::mounting(resistor.kind, resistor.mounting),
    );
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
