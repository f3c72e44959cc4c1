//! Lines on a drawing.

use glam::DVec2;

/// Points of a line on a drawing, millimetres: to the right and upward.
pub type Line = Vec<DVec2>;

/// Area within a closed line, mm², negative when it runs clockwise: the shoelace formula (Meister,
/// *Generalia de genesi figurarum planarum*, 1769).
pub fn area_mm2(closed: &[DVec2]) -> f64 {
    let ends = closed.iter().skip(1).chain(closed.first());
    closed
        .iter()
        .zip(ends)
        .map(|(a, b)| a.perp_dot(*b))
        .sum::<f64>()
        / 2.0
}

/// The line with fewer points, nowhere further from the given one than `off_mm` (Ramer, Computer
/// Graphics and Image Processing 1, 1972; Douglas and Peucker, Cartographica 10, 1973). The ends of
/// an open line stay; of a closed one its first point and the point furthest from that.
pub fn simplified(line: &[DVec2], closed: bool, off_mm: f64) -> Line {
    let Some(first) = line.first() else {
        return Vec::new();
    };
    let mut kept = vec![false; line.len()];
    kept[0] = true;
    if closed {
        let far = (0..line.len()).max_by(|a, b| {
            let from = |i: &usize| line[*i].distance_squared(*first);
            from(a).total_cmp(&from(b))
        });
        let far = far.unwrap_or(0);
        kept[far] = true;
        let around: Line = line.iter().chain([first]).copied().collect();
        keep(&around, 0, far, off_mm, &mut kept);
        keep(&around, far, line.len(), off_mm, &mut kept);
    } else {
        kept[line.len() - 1] = true;
        keep(line, 0, line.len() - 1, off_mm, &mut kept);
    }
    line.iter()
        .zip(kept)
        .filter_map(|(p, keep)| keep.then_some(*p))
        .collect()
}

/// Marks what must stay between two points of a line. Without recursion: a line may be long.
fn keep(line: &[DVec2], from: usize, to: usize, off_mm: f64, kept: &mut [bool]) {
    let mut open = vec![(from, to)];
    while let Some((from, to)) = open.pop() {
        let furthest = (from + 1..to)
            .map(|i| (off(line[i], line[from], line[to]), i))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((distance, i)) = furthest
            && distance > off_mm
        {
            kept[i] = true;
            open.extend([(from, i), (i, to)]);
        }
    }
}

/// Distance of a point from a segment.
fn off(point: DVec2, a: DVec2, b: DVec2) -> f64 {
    let along = b - a;
    let share = (point - a).dot(along) / along.length_squared().max(f64::MIN_POSITIVE);
    point.distance(a + along * share.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    #[test]
    fn a_circle_keeps_its_form_with_few_points() {
        let circle: Line = (0..3600)
            .map(|i| DVec2::from_angle(TAU * f64::from(i) / 3600.0) * 50.0)
            .collect();
        let few = simplified(&circle, true, 0.05);
        // The sagitta of a chord over the angle a is r (1 − cos a/2): 0.05 mm allow 5.1 degrees.
        assert!((70..200).contains(&few.len()), "{} points", few.len());
        assert!((area_mm2(&few) / area_mm2(&circle) - 1.0).abs() < 2e-3);
        for p in &circle {
            let ends = few.iter().skip(1).chain(few.first());
            let nearest = few.iter().zip(ends).map(|(a, b)| off(*p, *a, *b));
            assert!(nearest.fold(f64::INFINITY, f64::min) <= 0.05 + 1e-12);
        }
    }

    #[test]
    fn an_open_line_keeps_its_ends() {
        let line: Line = (0..=10).map(|i| DVec2::new(f64::from(i), 0.0)).collect();
        assert_eq!(simplified(&line, false, 0.01), [line[0], line[10]]);
        assert_eq!(simplified(&[], true, 0.01), Line::new());
        assert_eq!(simplified(&line[..1], true, 0.01), line[..1].to_vec());
    }
}
