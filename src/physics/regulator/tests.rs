//! Scratch.
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::physics::operation::Case;
use crate::physics::regulator::feedback::regulation;
use crate::physics::regulator::floor::{drive, floor};
use crate::physics::regulator::zero::{held, zero_setting};
use crate::physics::regulator::{Load, stand};
use crate::physics::steady_state::operate;

#[test]
fn scratch() {
    for name in ["school-laboratory.ron", "small-fixed-range.ron"] {
        let text = presets().iter().find(|p| p.0 == name).unwrap().1;
        let supply =
            read_checked(text, &Catalogue::built_in()).unwrap_or_else(|e| panic!("{e:#?}"));
        println!("== {name}");
        for case in [Case::Low, Case::Present, Case::High] {
            let s = stand(&supply, case).unwrap();
            if let Some(Ok(r)) = &s.rail {
                println!(
                    "{case:?} rail mean {:.1} ripple {:.2} amps {:.4} unstruck {:.1} line {:?}",
                    r.operation.bus.mean_volts,
                    r.operation.bus.ripple_volts(),
                    r.amps,
                    r.unstruck_volts,
                    r.line
                );
                println!("  rect peak {:.3}", r.operation.rectifier.peak_amps);
            }
            println!("  neg {:?}", s.negative_carried(0.0, 0.0008));
            for amps in [0.0, 0.02, 0.06, 0.1] {
                let op = operate(&supply, case, amps).unwrap();
                println!(
                    "  I {amps} bus {:.1} crest {:.1} ripple {:.2} floor {:?} dropout {:?}",
                    op.bus.mean_volts,
                    op.bus.crest_volts,
                    op.bus.ripple_volts(),
                    floor(&s, &op),
                    op.dropout_volts()
                );
                for volts in [0.0, 100.0, 150.0, 200.0, 250.0, 300.0, 340.0] {
                    let r = regulation(&s, &op, volts).unwrap();
                    let load = Load {
                        bus_volts: op.bus.mean_volts,
                        amps,
                        volts,
                    };
                    if case == Case::Present {
                        println!(
                            "    V {volts} {:?} drive {:?} pass Va {:.0} Vg {:.1} unit {:.4} ctrl i {:.2e} Vp {:.0} Vg {:.2} gm {:.2e} ra {:.2e} A {:.0} beta {:.3} T {:.1} Ro {:.2} share {:.5} rail {:.6} hum {:.4} pos {:?}",
                            r.hold,
                            drive(&s, &op, volts).unwrap().ratio(),
                            r.pass.plate_volts,
                            r.pass.grid_volts,
                            r.pass.unit_amps,
                            r.control.amps,
                            r.control.plate_volts,
                            r.control.grid_volts,
                            r.control.transconductance,
                            r.control.plate_resistance,
                            r.control_gain,
                            r.divider_share,
                            r.loop_gain,
                            r.output_ohms,
                            r.bus_share,
                            r.rail_share,
                            r.hum_volts,
                            s.positive_carried(s.positive_feed_volts(load), r.control.amps)
                                .map(|c| c.least_amps)
                        );
                    }
                }
            }
        }
        let e = crate::physics::envelope::envelope(&supply).unwrap();
        for l in &e.limits {
            let c = match &l.curve {
                crate::physics::Curve::Ceiling(p) => {
                    format!("ceiling {:?} .. {:?}", p.first(), p.last())
                }
                crate::physics::Curve::Floor(p) => {
                    format!("floor {:?} .. {:?}", p.first(), p.last())
                }
                other => format!("{other:?}"),
            };
            println!("{:?} {c}", l.limit);
        }
        println!(
            "broken {:?} region {:?} {:?}",
            e.broken_everywhere,
            e.region.first(),
            e.region.last()
        );
        for (i, v) in [(0.0, 0.0), (0.05, 250.0), (0.0, 340.0), (0.08, 290.0)] {
            let p = e.point(&supply, i, v).unwrap();
            for u in &p.uses {
                println!("   {}", crate::explain::limits::sentence(u, &supply, &p));
            }
            println!("   --");
        }
        println!("rest {:?}", e.column(Case::High).unwrap().no_load.regulator);
        println!("{:#?}", zero_setting(&supply));
        println!("{:#?}", held(&supply, 0.05, 200.0));
    }
}
