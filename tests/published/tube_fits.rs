//! x
use sagline::parts::catalogue::Catalogue;
use sagline::parts::{ControlTubeKind, PlateCharacteristic};
use sagline::physics::device::{triode, triode_fit};

#[test]
fn print_all() {
    let c = Catalogue::built_in();
    let mut all: Vec<(String, PlateCharacteristic)> = c
        .pass_tubes
        .iter()
        .map(|t| (t.name.clone(), t.characteristic.clone()))
        .collect();
    for t in &c.control_tubes {
        if let ControlTubeKind::Triode(k) = &t.kind {
            all.push((t.name.clone(), k.clone()));
        }
    }
    for (name, k) in all {
        let PlateCharacteristic::Published {
            points,
            small_signal,
        } = k
        else {
            continue;
        };
        match triode_fit::fit(&points, &small_signal) {
            Err(e) => println!("{name}: {e:?}"),
            Ok(f) => {
                let l = f.law;
                println!(
                    "{name}: mu {:.2} x {:.2} kg1 {:.0} kp {:.1} kvb {:.0}  mu/law {:.2}",
                    l.mu,
                    l.exponent,
                    l.kg1,
                    l.kp,
                    l.kvb,
                    small_signal.first().and_then(|s| s.mu).unwrap_or(0.0) / l.mu
                );
                for (p, a) in points.iter().zip(f.misses.iter().map(|m| m.law_amps)) {
                    let v = triode::plate_volts(&l, p.current.0, p.grid.0).unwrap_or(f64::NAN);
                    println!(
                        "   {:.1} V {:.1} V {:.1} mA: law {:.2} mA ({:+.1} %) {:+.1} V",
                        p.plate.0,
                        p.grid.0,
                        1e3 * p.current.0,
                        1e3 * a,
                        100. * (a / p.current.0 - 1.),
                        v - p.plate.0
                    );
                }
                for s in &small_signal {
                    let (gm, rp, mu) = triode::small_signal(&l, s.plate.0, s.grid.0);
                    println!(
                        "   gm {:.2} ({:?}) rp {:.0} ({:?}) mu {:.2} ({:?})",
                        gm * 1e3,
                        s.transconductance.map(|g| g.0 * 1e3),
                        rp,
                        s.plate_resistance.map(|r| r.0),
                        mu,
                        s.mu
                    );
                }
                let i = points.iter().map(|p| p.current.0).fold(0.0, f64::max);
                println!("   {:?}", f.zero_bias(i));
            }
        }
    }
}
