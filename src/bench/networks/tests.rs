//! Networks against every network there is, tried one by one; and what holds of any network.

use proptest::prelude::*;

use super::*;
use crate::parts::drawer::read_lines;
use crate::parts::{Fraction, Mounting, Ohms, Owned, ResistorKind, Watts};

fn drawer(text: &str) -> Drawer {
    let mut drawer = Drawer::default();
    for (_, owned) in read_lines(text).read {
        drawer.put(owned);
    }
    drawer
}

/// One resistor in the hand: its ohms, and the volts that it may have with its margin.
#[derive(Clone, Copy)]
struct InHand {
    ohms: f64,
    volts: f64,
}

/// Every resistor of a drawer by itself.
fn in_hand(drawer: &Drawer) -> Vec<InHand> {
    let mut all = Vec::new();
    for Owned { count, resistor } in &drawer.resistors {
        let ohms = resistor.resistance.0;
        // Wire on a tube in free air bears all of its watts.
        let volts = (USUAL_MARGIN.watts * resistor.power.0 * ohms).sqrt();
        all.extend((0..*count).map(|_| InHand { ohms, volts }));
    }
    all
}

/// All networks of a set of resistors, each as ohms and the share of its volts at each resistor: every way to part the set in two,
/// in series and in parallel. Many come several times.
fn every(set: &[usize], hand: &[InHand]) -> Vec<(f64, Vec<(usize, f64)>)> {
    if let [one] = set {
        return vec![(hand[*one].ohms, vec![(*one, 1.0)])];
    }
    let mut all = Vec::new();
    // The first of the set is always in the left part.
    for chosen in 0..(1_u32 << (set.len() - 1)) - 1 {
        let (mut left, mut right) = (vec![set[0]], Vec::new());
        for (place, one) in set.iter().skip(1).enumerate() {
            if (chosen >> place) & 1 == 1 {
                left.push(*one);
            } else {
                right.push(*one);
            }
        }
        for (a, of_a) in every(&left, hand) {
            for (b, of_b) in every(&right, hand) {
                let sum = a + b;
                let scaled = |of: &[(usize, f64)], share: f64| -> Vec<(usize, f64)> {
                    of.iter().map(|(one, part)| (*one, part * share)).collect()
                };
                let series = [scaled(&of_a, a / sum), scaled(&of_b, b / sum)].concat();
                all.push((sum, series));
                let parallel = [of_a.clone(), of_b.clone()].concat();
                all.push((a * b / sum, parallel));
            }
        }
    }
    all
}

/// The best rank there is: step, how many, and the largest share of the volts that one may have.
fn best_of_all(hand: &[InHand], wanted: Wanted) -> Option<(usize, usize, f64)> {
    let mut best: Option<(usize, usize, f64)> = None;
    for chosen in 1..1_u32 << hand.len() {
        let set: Vec<usize> = (0..hand.len())
            .filter(|one| (chosen >> one) & 1 == 1)
            .collect();
        if set.len() > MOST_RESISTORS {
            continue;
        }
        for (ohms, shares) in every(&set, hand) {
            let off = (ohms / wanted.ohms - 1.0).abs();
            let Some(step) = [0.01, 0.02, 0.05, 0.1].iter().position(|most| off <= *most) else {
                continue;
            };
            let volts = wanted.volts.unwrap_or_default();
            let uses = shares
                .iter()
                .map(|(one, share)| volts * share / hand[*one].volts);
            let used = uses.fold(0.0, f64::max);
            if used > 1.0 {
                continue;
            }
            let found = (step, set.len(), used);
            let is_better = best.is_none_or(|(s, m, u)| {
                (found.0, found.1) < (s, m) || ((found.0, found.1) == (s, m) && found.2 < u)
            });
            if is_better {
                best = Some(found);
            }
        }
    }
    best
}

fn rank_of(network: &Network) -> (usize, usize, f64) {
    let off = network.off.abs();
    let step = [0.01, 0.02, 0.05, 0.1].iter().position(|most| off <= *most);
    let uses = network.elements.iter().map(|element| {
        let may =
            (USUAL_MARGIN.watts * element.resistor.power.0 * element.resistor.resistance.0).sqrt();
        element.volts.unwrap_or(f64::NAN) / may
    });
    (
        step.unwrap_or(9),
        network.elements.len(),
        uses.fold(0.0, f64::max),
    )
}

#[test]
fn of_a_small_drawer_the_best_network_of_all_is_found() {
    let stocks = [
        "3 x 10k 25W ww\n2 x 4k7 50W ww",
        "1k 10W ww\n2k2 10W ww\n4k7 10W ww\n10k 10W ww\n15k 25W ww",
        "6 x 2k2 10W ww",
        "2 x 1k5 50W ww\n2 x 3k3 25W ww\n1 x 6k8 10W ww",
    ];
    for text in stocks {
        let drawer = drawer(text);
        let hand = in_hand(&drawer);
        for (ohms, volts) in [
            (2.5e3, 100.0),
            (3.8e3, 250.0),
            (7e3, 200.0),
            (12e3, 350.0),
            (900.0, 60.0),
            (33e3, 400.0),
        ] {
            let wanted = Wanted {
                ohms,
                volts: Some(volts),
            };
            let found = networks(&drawer, wanted, USUAL_MARGIN);
            let best = best_of_all(&hand, wanted);
            match (found.networks.first(), best) {
                (None, None) => {}
                (Some(first), Some(best)) => {
                    let rank = rank_of(first);
                    assert_eq!(
                        (rank.0, rank.1),
                        (best.0, best.1),
                        "{text}: {wanted:?} {first:?}"
                    );
                    assert!(
                        (rank.2 - best.2).abs() < 1e-9,
                        "{text}: {wanted:?} {rank:?} {best:?}"
                    );
                }
                (found, best) => panic!("{text}: {wanted:?}: {found:?}, {best:?}"),
            }
        }
    }
}

/// Series-parallel networks of equal resistors: 1, 2, 4, 10, 24, 66 (OEIS A000084); of different ones each used at most once there
/// are 2 of a pair, 8 of three (A006351).
#[test]
fn each_network_is_listed_once() {
    let listed_of = |text: &str, size: usize| {
        let stock = listed::Stock::of(&drawer(text), USUAL_MARGIN);
        let lists = listed::Lists::of(&stock);
        lists.of_size(size).0.len()
    };
    for (size, many) in (1..).zip([1, 2, 4, 10, 24, 66]) {
        assert_eq!(listed_of("6 x 1k 5W ww", size), many, "{size}");
    }
    let three = "1k 5W ww\n2k 5W ww\n3k 5W ww";
    for (size, many) in (1..).zip([3, 3 * 2, 8, 0]) {
        assert_eq!(listed_of(three, size), many, "{size}");
    }
    let six = "1k 5W ww\n2k 5W ww\n3k 5W ww\n4k 5W ww\n5k 5W ww\n6k 5W ww";
    for (size, many) in (1..).zip([6, 15 * 2, 20 * 8, 15 * 52, 6 * 472, 5504]) {
        assert_eq!(listed_of(six, size), many, "{size}");
    }
}

/// Where a list ends early, two listed networks still meet at the ohms that are wanted, and nothing is used twice.
#[test]
fn beyond_the_lists_networks_still_meet() {
    let text = "1k 50W ww\n1k5 50W ww\n2k2 50W ww\n3k3 50W ww\n4k7 50W ww\n6k8 50W ww\n10k 50W ww";
    let drawer = drawer(text);
    let stock = listed::Stock::of(&drawer, USUAL_MARGIN);
    let short = listed::Lists::up_to(&stock, 30);
    assert_eq!(short.of_size(3).1, listed::Extent::OfEqual);
    for ohms in [730.0, 5.35e3, 16.2e3] {
        let wanted = Wanted { ohms, volts: None };
        let found = search::best(&stock, &short, wanted, 5);
        assert!(!found.is_empty(), "{ohms}");
        for plan in &found {
            let network = Network::of(stock.made_of(&drawer, plan), wanted);
            assert!(network.off.abs() <= FARTHEST + 1e-9, "{network:?}");
            let mut ohms: Vec<f64> = network
                .elements
                .iter()
                .map(|e| e.resistor.resistance.0)
                .collect();
            ohms.sort_by(f64::total_cmp);
            ohms.dedup();
            assert_eq!(
                ohms.len(),
                network.elements.len(),
                "each is there once: {network:?}"
            );
        }
        let whole = networks(&drawer, wanted, USUAL_MARGIN);
        assert!(whole.networks[0].off.abs() <= 0.01, "{whole:?}");
    }
}

#[test]
fn what_would_not_bear_it_is_said() {
    let drawer = drawer("2 x 10k 5W ww");
    let wanted = Wanted {
        ohms: 10e3,
        volts: Some(400.0),
    };
    let found = networks(&drawer, wanted, USUAL_MARGIN);
    assert!(found.networks.is_empty());
    let would_be = found
        .would_be
        .map(|network| (network.elements.len(), network.ohms));
    assert_eq!(would_be, Some((1, 10e3)));
    for ohms in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let none = networks(&drawer, Wanted { ohms, volts: None }, USUAL_MARGIN);
        assert!(none.networks.is_empty() && none.would_be.is_none());
    }
    assert_eq!(Wanted::at([0.0, 100.0]), None);
}

fn owned() -> impl Strategy<Value = Owned> {
    let kinds = proptest::sample::select(vec![
        None,
        Some(ResistorKind::WireWound),
        Some(ResistorKind::AluminiumHoused),
        Some(ResistorKind::Cement),
        Some(ResistorKind::CarbonComposition),
    ]);
    (2.0..5.0_f64, 0.5..60.0_f64, 1..3_u8, kinds, 0..3_usize).prop_map(
        |(decades, watts, count, kind, mounting)| Owned {
            count,
            resistor: Resistor {
                name: String::new(),
                resistance: Ohms(10_f64.powf(decades)),
                power: Watts(watts),
                tolerance: Fraction(0.05),
                working_volts: None,
                kind,
                mounting: Mounting::ALL[mounting],
                derating: None,
            },
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    /// Ohm's law, no element over what it bears, all watts together those of the whole, equal tolerances that of the whole.
    #[test]
    fn every_network_keeps_what_holds_of_networks(
        resistors in proptest::collection::vec(owned(), 1..5),
        decades in 2.5..4.7_f64,
        watts in 0.5..40.0_f64,
    ) {
        let drawer = Drawer { resistors };
        let ohms = 10_f64.powf(decades);
        let volts = (watts * ohms).sqrt();
        let wanted = Wanted { ohms, volts: Some(volts) };
        let found = networks(&drawer, wanted, USUAL_MARGIN);
        for network in &found.networks {
            prop_assert!(network.off.abs() <= FARTHEST + 1e-9);
            prop_assert!((network.ohms - network.made_of.ohms()).abs() <= 1e-9 * network.ohms);
            let all: f64 = network.elements.iter().filter_map(|e| e.watts).sum();
            prop_assert!((all - volts * volts / network.ohms).abs() < 1e-9 * all);
            for element in &network.elements {
                let watts = element.watts.unwrap_or(f64::NAN);
                let across = element.volts.unwrap_or(f64::NAN);
                prop_assert!(watts <= USUAL_MARGIN.watts * element.bears_watts * (1.0 + 1e-9));
                let most = Body::from(&element.resistor).size_volts();
                prop_assert!(most.is_none_or(|most| across <= USUAL_MARGIN.volts * most * (1.0 + 1e-9)));
            }
            prop_assert!(network.most_volts.is_some_and(|most| most >= volts));
            let [low, high] = network.between_ohms.map(|end| end / network.ohms);
            prop_assert!((low - 0.95).abs() < 1e-9 && (high - 1.05).abs() < 1e-9);
            // No more of any resistor than there are.
            for owned in &drawer.resistors {
                let used = network.elements.iter().filter(|e| e.resistor == owned.resistor).count();
                let there: usize = drawer.resistors.iter()
                    .filter(|other| other.resistor == owned.resistor)
                    .map(|other| usize::from(other.count)).sum();
                prop_assert!(used <= there);
            }
        }
    }
}
