//! The limits at a point as a table of text, to be pasted into a letter or a spreadsheet.

use crate::explain::limits;
use crate::explain::number;
use crate::parts::Supply;
use crate::physics::envelope::Point;

/// Of the supply of this name: columns apart by tabs, a limit a line, the tightest first; the first line says what the columns are.
pub fn at_point(name: &str, point: &Point, supply: &Supply) -> String {
    let mut lines = vec![
        [
            name,
            &number::volts(point.volts),
            &number::amps(point.amps),
            &limits::verdict(point, supply).sentence,
        ]
        .join("\t"),
        ["limit", "actual", "allowed", "use", "why"].join("\t"),
    ];
    lines.extend(point.uses.iter().map(|one| {
        let name = limits::name(one.limit, supply);
        match &one.judged {
            Ok(judged) => [
                name,
                number::measured(judged.actual, judged.measure),
                number::measured(judged.allowed, judged.measure),
                number::per_cent(judged.ratio),
                limits::sentence(one, supply, point),
            ],
            Err(_) => [
                name,
                String::new(),
                String::new(),
                "not known".to_owned(),
                limits::not_known(one, supply),
            ],
        }
        .map(|cell| cell.replace(['\t', '\n'], " "))
        .join("\t")
    }));
    lines.push(String::new());
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::explain::samples;
    use crate::physics::Model;
    use crate::physics::envelope::envelope;

    #[test]
    fn every_limit_has_a_line_of_five_cells() {
        let supply = samples::laboratory_supply();
        let point = envelope(&Model::of(&supply).unwrap())
            .unwrap()
            .point(&Model::of(&supply).unwrap(), 0.03, 250.0)
            .unwrap();
        let table = at_point("Bench", &point, &supply);
        let lines: Vec<&str> = table.lines().collect();
        assert_eq!(lines.len(), 2 + point.uses.len());
        assert!(
            lines[0].contains("250 V") && lines[0].contains("30 mA"),
            "{}",
            lines[0]
        );
        for line in &lines[1..] {
            assert_eq!(line.split('\t').count(), 5, "{line}");
        }
    }
}
