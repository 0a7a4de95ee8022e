//! Where labels go, so that none lies on another and as few lines as possible run through one.
//!
//! Greedy: the labels come in order of importance, each brings its candidate places in order of liking, the
//! cheapest free place wins. No label is ever drawn over another; one that finds no place is left out, which
//! the caller can see.

use crate::app::plots::geometry::{clip_segment, nearest_on_polyline};
use egui::{Pos2, Rect, Vec2, vec2};

/// Air around a label.
const AIR: f32 = 2.0;
/// Air beside a name that must not be read together with its neighbour.
const SIDE: f32 = 8.0;
/// What a point of length of a line under a label costs, in steps down the list of candidates.
const LINE_COST: f32 = 0.25;

/// Steps in which a free place is sought (points).
const ACROSS: f32 = 8.0;
const DOWN: f32 = 5.0;
/// So many points of a line tell roughly where it runs.
const ROUGH: usize = 24;
/// What a point of length of a line under a label with a leader costs, in points of distance.
const LED_LINE_COST: f32 = 1.5;
/// What a label under the leader costs, in points of distance.
const LED_OVER_COST: f32 = 150.0;

/// What is under a label that was placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Under {
    /// Nothing: it needs no ground of its own.
    Nothing,
    /// A line, which would make it hard to read.
    Line,
}

/// The labels and lines placed so far.
#[derive(Debug, Clone)]
pub(crate) struct LabelPlaces {
    frame: Rect,
    taken: Vec<Rect>,
    /// The lines, cut into upright strips from the frame's left edge on: a label asks only the few strips under it.
    strips: Vec<Vec<[Pos2; 2]>>,
}

/// Width of a strip (points): about a third of a short label.
const STRIP: f32 = 20.0;
/// Most strips that a frame is cut into.
const MOST_STRIPS: usize = 512;

impl LabelPlaces {
    /// Nothing placed yet; labels will stay inside `frame`.
    pub(crate) fn new(frame: Rect) -> Self {
        Self {
            frame,
            taken: Vec::new(),
            strips: Vec::new(),
        }
    }

    /// The strip in which this x lies; the first and the last reach to infinity.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held between 0 and the number of strips on the line before"
    )]
    fn strip(&self, x: f32) -> usize {
        let at = ((x - self.frame.left()) / STRIP).clamp(0.0, (MOST_STRIPS - 1) as f32);
        at as usize
    }

    /// Nothing may be placed here.
    pub(crate) fn take(&mut self, area: Rect) {
        self.taken.push(area);
    }

    /// Labels avoid this line where they can.
    pub(crate) fn avoid(&mut self, line: [Pos2; 2]) {
        let Some([a, b]) = clip_segment(line[0], line[1], self.frame) else {
            return;
        };
        let (first, last) = (self.strip(a.x.min(b.x)), self.strip(a.x.max(b.x)));
        if self.strips.len() <= last {
            self.strips.resize(last + 1, Vec::new());
        }
        for (place, strip) in self
            .strips
            .iter_mut()
            .enumerate()
            .take(last + 1)
            .skip(first)
        {
            let left = self.frame.left() + place as f32 * STRIP;
            let upright = Rect::from_x_y_ranges(left..=left + STRIP, -1e6..=1e6);
            if first == last {
                strip.push([a, b]);
            } else {
                strip.extend(clip_segment(a, b, upright));
            }
        }
    }

    /// Puts a label of `size` at the best of the `candidates` (places of its left top corner, best liked first).
    pub(crate) fn place(
        &mut self,
        size: Vec2,
        candidates: impl IntoIterator<Item = Pos2>,
    ) -> Option<Rect> {
        self.place_in(self.frame, size, candidates)
    }

    /// The same for a label that may go beyond the frame, as far as `bounds`.
    pub(crate) fn place_in(
        &mut self,
        bounds: Rect,
        size: Vec2,
        candidates: impl IntoIterator<Item = Pos2>,
    ) -> Option<Rect> {
        let mut best: Option<(f32, Rect)> = None;
        for (rank, corner) in candidates.into_iter().enumerate() {
            let liking = rank as f32;
            if best.is_some_and(|(cost, _)| cost <= liking) {
                break;
            }
            let area = Rect::from_min_size(corner, size);
            if !self.is_free(bounds, area) {
                continue;
            }
            let cost = liking + LINE_COST * self.line_length_in(area);
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, area));
            }
        }
        let (_, area) = best?;
        self.taken.push(area.expand(AIR));
        Some(area)
    }

    /// Puts a label of `size` where no line runs under it or touches it, if any candidate is so; else at the one with the
    /// least of them. Says where, and whether a line runs there.
    pub(crate) fn place_clear(
        &mut self,
        size: Vec2,
        candidates: impl IntoIterator<Item = Pos2>,
    ) -> Option<(Rect, Under)> {
        let mut best: Option<(f32, Rect)> = None;
        for corner in candidates {
            let area = Rect::from_min_size(corner, size);
            if !self.is_free(self.frame, area) {
                continue;
            }
            let crossed = self.line_length_in(area.expand(AIR));
            if best.is_none_or(|(least, _)| crossed < least) {
                best = Some((crossed, area));
            }
            if crossed <= 0.0 {
                break;
            }
        }
        let (crossed, area) = best?;
        self.taken.push(area.expand2(vec2(SIDE, AIR)));
        let under = if crossed > 0.0 {
            Under::Line
        } else {
            Under::Nothing
        };
        Some((area, under))
    }

    /// Puts a label of `size` at the first of the `candidates` that is free and has at most so much of lines under it (points).
    pub(crate) fn place_clean(
        &mut self,
        size: Vec2,
        candidates: &[Pos2],
        most: f32,
    ) -> Option<Rect> {
        let area = (candidates.iter())
            .map(|corner| Rect::from_min_size(*corner, size))
            .find(|area| self.is_free(self.frame, *area) && self.line_length_in(*area) <= most)?;
        self.taken.push(area.expand(AIR));
        Some(area)
    }

    /// Puts a label of `size` as near as can be to a line, anywhere in one of `bounds` where nothing is, few lines run, and a leader to the
    /// line runs over no other label; gives the leader as well.
    pub(crate) fn place_near(
        &mut self,
        bounds: &[Rect],
        size: Vec2,
        line: &[Pos2],
    ) -> Option<(Rect, [Pos2; 2])> {
        // A rough line does to find the way to it.
        let every = line.len().div_ceil(ROUGH).max(1);
        let rough: Vec<Pos2> = (line.iter().step_by(every).chain(line.last()))
            .copied()
            .collect();
        let mut best: Option<(f32, Rect)> = None;
        // A look at every third place first says how near a better one must be.
        for (across, down) in [(3.0 * ACROSS, 3.0 * DOWN), (ACROSS, DOWN)] {
            for bounds in bounds {
                let mut y = bounds.top();
                while y + size.y <= bounds.bottom() {
                    let mut x = bounds.left();
                    while x + size.x <= bounds.right() {
                        let area = Rect::from_min_size(Pos2::new(x, y), size);
                        x += across;
                        if !self.is_free(*bounds, area) {
                            continue;
                        }
                        let at = nearest_in(&rough, area.center())?;
                        let leader = [area.clamp(at), at];
                        let far = leader[0].distance(at);
                        let most = best.map_or(f32::INFINITY, |(cost, _)| cost);
                        if far >= most {
                            // The next places come nearer by no more than they are apart.
                            x += ((far - most) / across).floor() * across;
                        } else if let Some(cost) = self.cost_of_leader(area, leader, far, most) {
                            best = Some((cost, area));
                        }
                    }
                    y += down;
                }
            }
        }
        let (_, area) = best?;
        self.taken.push(area.expand(AIR));
        let at = nearest_in(line, area.center())?;
        Some((area, [area.clamp(at), at]))
    }

    /// What a place with a leader so long costs; `None` if that is `most` or more.
    fn cost_of_leader(&self, area: Rect, leader: [Pos2; 2], far: f32, most: f32) -> Option<f32> {
        let over = (self.taken.iter())
            .filter(|taken| clip_segment(leader[0], leader[1], **taken).is_some())
            .count();
        let cost = far + LED_OVER_COST * over as f32;
        let lines = self.line_length_up_to(area, (most - cost) / LED_LINE_COST)?;
        Some(cost + LED_LINE_COST * lines)
    }

    /// True if a label may stand there and no line would touch it.
    pub(crate) fn is_clear(&self, area: Rect) -> bool {
        self.is_free(self.frame, area) && self.line_length_in(area.expand(AIR)) <= 0.0
    }

    fn is_free(&self, bounds: Rect, area: Rect) -> bool {
        area.is_finite()
            && bounds.contains_rect(area)
            && !self.taken.iter().any(|t| overlap(*t, area))
    }

    /// Length of the lines that run under an area.
    pub(crate) fn line_length_in(&self, area: Rect) -> f32 {
        self.line_length_up_to(area, f32::INFINITY).unwrap_or(0.0)
    }

    /// The same, as far as it is less than `most`.
    fn line_length_up_to(&self, area: Rect, most: f32) -> Option<f32> {
        let (first, last) = (self.strip(area.left()), self.strip(area.right()));
        let mut length = 0.0;
        for [a, b] in self.strips.iter().take(last + 1).skip(first).flatten() {
            if length >= most {
                return None;
            }
            // Most lines are far away: comparing boxes first spares the clipping.
            let apart = (a.y < area.top() && b.y < area.top())
                || (a.y > area.bottom() && b.y > area.bottom());
            if !apart && let Some([a, b]) = clip_segment(*a, *b, area) {
                length += a.distance(b);
            }
        }
        (length < most).then_some(length)
    }
}

/// True if two areas share more than an edge.
fn overlap(a: Rect, b: Rect) -> bool {
    a.left() < b.right() && b.left() < a.right() && a.top() < b.bottom() && b.top() < a.bottom()
}

/// The point of a line nearest to `at`; a line of one point is that.
pub(crate) fn nearest_in(line: &[Pos2], at: Pos2) -> Option<Pos2> {
    nearest_on_polyline(line, at).or(line.first().copied())
}

/// Where things of these middles and lengths go in a row, so that none lies on its neighbour, each as near to where it would like
/// to be as can be (least squares); their order stays. Gives where each begins; `None` if they do not fit between the bounds.
///
/// # Source
/// Isotonic regression by pooling adjacent violators: M. Ayer and others, Annals of Mathematical Statistics 26 (1955) 641 (from
/// memory).
pub(crate) fn spread(wanted: &[[f32; 2]], gap: f32, [from, to]: [f32; 2]) -> Option<Vec<f32>> {
    let lengths: f32 = wanted.iter().map(|[_, length]| length + gap).sum::<f32>() - gap;
    if !wanted.is_empty() && lengths > to - from {
        return None;
    }
    // With all that stands before it taken off, each wants a place, and the places must rise.
    let mut before = 0.0;
    let mut pools: Vec<(f32, usize)> = Vec::new();
    let mut offsets = Vec::new();
    for [middle, length] in wanted {
        offsets.push(before);
        pools.push((middle - 0.5 * length - before, 1));
        before += length + gap;
        while let [.., (a, n), (b, m)] = pools.as_slice()
            && a > b
        {
            let count = n + m;
            let mean = (a * *n as f32 + b * *m as f32) / count as f32;
            pools.truncate(pools.len() - 2);
            pools.push((mean, count));
        }
    }
    let most = to - lengths - from;
    let places = pools
        .into_iter()
        .flat_map(|(place, count)| std::iter::repeat_n(place.clamp(from, from + most), count));
    Some(
        places
            .zip(offsets)
            .map(|(place, offset)| place + offset)
            .collect(),
    )
}

/// On which side of a curve a label is liked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Beside {
    /// Above it on the screen.
    Above,
    /// Below it on the screen.
    Below,
}

/// Candidate places for a label of `size` beside a curve that is a function of x, `gap` away from it.
///
/// `curve` rises or falls but never turns back in x. The label starts at shares of the curve's width given by
/// `shares`, best first; each is tried on the `liked` side, then all on the other side.
pub(crate) fn beside_curve(
    curve: &[Pos2],
    size: Vec2,
    gap: f32,
    liked: Beside,
    shares: &[f32],
) -> Vec<Pos2> {
    let (Some(first), Some(last)) = (curve.first(), curve.last()) else {
        return Vec::new();
    };
    let (left, right) = (first.x.min(last.x), first.x.max(last.x));
    let other = match liked {
        Beside::Above => Beside::Below,
        Beside::Below => Beside::Above,
    };
    let mut places = Vec::new();
    for side in [liked, other] {
        for share in shares {
            let x = left + (right - left - size.x).max(0.0) * share;
            let under: Vec<f32> = heights_between(curve, x, x + size.x);
            let top = under.iter().copied().fold(f32::INFINITY, f32::min);
            let bottom = under.iter().copied().fold(f32::NEG_INFINITY, f32::max);
            if top > bottom {
                continue;
            }
            places.push(match side {
                Beside::Above => Pos2::new(x, top - gap - size.y),
                Beside::Below => Pos2::new(x, bottom + gap),
            });
        }
    }
    places
}

/// The y of a curve at the ends of an interval of x and at its own points between.
fn heights_between(curve: &[Pos2], from: f32, to: f32) -> Vec<f32> {
    let strip = Rect::from_min_max(Pos2::new(from, -1e6), Pos2::new(to, 1e6));
    // It never turns back, so that the part of it that matters is soon found.
    let is_rising = (curve.first().zip(curve.last())).is_some_and(|(a, b)| a.x <= b.x);
    let [begin, end] = if is_rising {
        [
            curve.partition_point(|p| p.x < from),
            curve.partition_point(|p| p.x <= to),
        ]
    } else {
        [
            curve.partition_point(|p| p.x > to),
            curve.partition_point(|p| p.x >= from),
        ]
    };
    let part = begin.saturating_sub(1)..(end + 1).min(curve.len());
    crate::app::plots::geometry::segments(curve.get(part).unwrap_or_default())
        .filter_map(|[a, b]| clip_segment(a, b, strip))
        .flat_map(|[a, b]| [a.y, b.y])
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    const FRAME: Rect = Rect {
        min: Pos2::new(0.0, 0.0),
        max: Pos2::new(200.0, 100.0),
    };

    #[test]
    fn a_second_label_does_not_lie_on_the_first() {
        let mut places = LabelPlaces::new(FRAME);
        let size = vec2(60.0, 12.0);
        let wanted = [pos2(10.0, 10.0), pos2(10.0, 16.0), pos2(10.0, 40.0)];
        let first = places.place(size, wanted).unwrap();
        let second = places.place(size, wanted).unwrap();
        assert_eq!(first.min, wanted[0]);
        assert_eq!(second.min, wanted[2]);
        assert!(places.place(size, wanted).is_none());
    }

    #[test]
    fn labels_stay_in_the_frame_and_off_lines_if_there_is_a_place_without() {
        let mut places = LabelPlaces::new(FRAME);
        places.avoid([pos2(0.0, 15.0), pos2(200.0, 15.0)]);
        let got = places.place(
            vec2(60.0, 12.0),
            [pos2(170.0, 60.0), pos2(10.0, 10.0), pos2(10.0, 60.0)],
        );
        assert_eq!(got.unwrap().min, pos2(10.0, 60.0));
        let crossed = places.place(vec2(60.0, 12.0), [pos2(10.0, 10.0)]);
        assert!(crossed.is_some(), "a crossed label is better than none");
    }

    #[test]
    fn a_label_goes_far_down_its_list_for_a_place_that_no_line_touches() {
        let mut places = LabelPlaces::new(FRAME);
        places.avoid([pos2(0.0, 15.0), pos2(200.0, 15.0)]);
        let size = vec2(60.0, 12.0);
        // The second only touches the line's air, which is too near as well.
        let tried = [pos2(10.0, 10.0), pos2(10.0, 16.0), pos2(10.0, 60.0)];
        let got = places.place_clear(size, tried);
        assert_eq!(
            got,
            Some((Rect::from_min_size(tried[2], size), Under::Nothing))
        );
        let (_, under) = places.place_clear(size, [pos2(100.0, 10.0)]).unwrap();
        assert_eq!(under, Under::Line);
    }

    #[test]
    fn a_row_is_spread_no_more_than_it_must_be_and_keeps_its_order() {
        // By hand: the first two would overlap by 20 and give way by half of that each; the third is free.
        let row = [[50.0, 40.0], [74.0, 40.0], [150.0, 40.0]];
        let lefts = spread(&row, 4.0, [0.0, 200.0]).unwrap();
        assert_eq!(lefts, vec![20.0, 64.0, 130.0]);
        let tight = spread(&row, 4.0, [40.0, 200.0]).unwrap();
        assert!(tight[0] >= 40.0 && tight[1] >= tight[0] + 44.0 && tight[2] + 40.0 <= 200.0);
        let none: [[f32; 2]; 0] = [];
        assert_eq!(spread(&none, 4.0, [0.0, 10.0]), Some(Vec::new()));
        assert_eq!(spread(&row, 4.0, [0.0, 127.0]), None);
    }

    #[test]
    fn a_label_without_room_at_its_line_goes_to_the_nearest_free_place_with_a_leader() {
        let mut places = LabelPlaces::new(FRAME);
        places.take(Rect::from_min_max(pos2(0.0, 0.0), pos2(200.0, 60.0)));
        let line = [pos2(0.0, 20.0), pos2(200.0, 20.0)];
        let (area, [from, to]) = places
            .place_near(&[FRAME], vec2(60.0, 12.0), &line)
            .unwrap();
        assert!((60.0..=65.0).contains(&area.top()), "{area:?}");
        assert!(
            area.contains(from) && (to.y - 20.0).abs() < 1e-3,
            "{from:?} {to:?}"
        );
        places.take(FRAME);
        assert!(
            places
                .place_near(&[FRAME], vec2(60.0, 12.0), &line)
                .is_none()
        );
    }

    #[test]
    fn places_beside_a_sloping_curve_do_not_touch_it() {
        let curve = [pos2(0.0, 20.0), pos2(100.0, 40.0), pos2(200.0, 80.0)];
        let size = vec2(50.0, 10.0);
        for corner in beside_curve(&curve, size, 3.0, Beside::Above, &[0.0, 0.5, 1.0]) {
            let area = Rect::from_min_size(corner, size);
            let crossed = crate::app::plots::geometry::segments(&curve)
                .any(|[a, b]| clip_segment(a, b, area).is_some());
            assert!(!crossed, "{area:?}");
        }
        assert!(beside_curve(&[], size, 3.0, Beside::Above, &[0.5]).is_empty());
    }
}
