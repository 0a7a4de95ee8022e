//! Filters that run down after switch-off against a general-purpose solver (`discharge.py`): a choke between two capacitors, a resistor to a
//! third, bleeder, balancing resistors and gas tubes.

use sagline::physics::discharge::cold::Cold;
use sagline::physics::discharge::{Chain, GasPath, Link, Store};
use serde_json::Value;

fn number(case: &Value, path: &str) -> f64 {
    (case.pointer(path).and_then(Value::as_f64)).unwrap_or_else(|| panic!("no {path}"))
}

fn maybe_siemens(case: &Value, path: &str) -> f64 {
    case.pointer(path)
        .and_then(Value::as_f64)
        .map_or(0.0, |ohms| 1.0 / ohms)
}

fn chain(case: &Value) -> Chain {
    let stores = (0..3).map(|k| Store {
        farads: number(case, &format!("/farads/{k}")),
        tolerance: 0.0,
        volts: number(case, &format!("/volts/{k}")),
        balancing_siemens: maybe_siemens(case, &format!("/balancing_ohms/{k}")),
    });
    let choke = Link::Choke {
        henries: number(case, "/henries"),
        ohms: number(case, "/choke_ohms"),
        amps: number(case, "/choke_amps"),
    };
    let gas = case["gas"].is_array().then(|| GasPath {
        volts: number(case, "/gas/0"),
        ohms: number(case, "/gas/1"),
    });
    Chain {
        stores: stores.collect(),
        links: vec![choke, Link::Resistor(number(case, "/link_ohms"))],
        bleeder_siemens: maybe_siemens(case, "/bleeder_ohms"),
        fixed_siemens: 0.0,
        gas,
    }
}

/// Volts within 0.01 % of the first, currents within 0.01 % of the largest, times within 0.05 %.
#[test]
fn filters_run_down_as_a_general_purpose_solver_says() {
    let cases: Vec<Value> = serde_json::from_str(include_str!("discharge.json")).unwrap();
    assert!(cases.len() >= 4);
    let mut worst: f64 = 0.0;
    for case in &cases {
        let name = case["name"].as_str().unwrap();
        let chain = chain(case);
        let cold = Cold::of(&chain);
        let first = chain.highest_volts();
        let samples = case["results"]["sample_seconds"].as_array().unwrap();
        let most_amps = (0..samples.len())
            .map(|k| number(case, &format!("/results/sample_choke_amps/{k}")).abs())
            .fold(1e-3, f64::max);
        for (k, seconds) in samples.iter().enumerate() {
            // To the step that the ladder has.
            let [volts, amps] = cold.at(seconds.as_f64().unwrap());
            for (place, got) in volts.iter().enumerate() {
                let want = number(case, &format!("/results/sample_volts/{k}/{place}"));
                let miss = (got - want).abs() / first;
                worst = worst.max(miss);
                assert!(
                    miss < 1e-4,
                    "{name} C{place} at {seconds} s: {got} of {want} V"
                );
            }
            let want = number(case, &format!("/results/sample_choke_amps/{k}"));
            let miss = (amps[0] - want).abs() / most_amps;
            assert!(
                miss < 1e-3,
                "{name} choke at {seconds} s: {} of {want} A",
                amps[0]
            );
        }
        for (k, level) in [60.0, 10.0].into_iter().enumerate() {
            let got = cold.seconds_to(level);
            let want = case["results"]["seconds_to"][k].as_f64();
            match (got, want) {
                (Some(got), Some(want)) => assert!(
                    (got / want - 1.0).abs() < 5e-4,
                    "{name} to {level} V: {got} of {want} s"
                ),
                (got, want) => assert_eq!(got, want, "{name} to {level} V"),
            }
        }
    }
    println!("worst miss of volts {worst:.2e} of the first");
}
