//! Distances between all that is drawn, measured by code that shares nothing with the drawing's own:
//! every stroke and dot becomes points, and the points of two things are held against one another.

use super::*;
use crate::mesh::Mesh;
use glam::{DVec3, Vec3};
use std::f64::consts::TAU;

/// Knuth's 64-bit linear congruential constants.
struct Dice(u64);

impl Dice {
    /// Between two numbers.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// A ragged star about a point of the drawing, at one depth: a fan of triangles.
fn star(dice: &mut Dice) -> Mesh {
    let centre = DVec2::new(dice.between(-40.0, 40.0), dice.between(-40.0, 40.0));
    let (depth, r) = (dice.between(-60.0, 60.0), dice.between(8.0, 45.0));
    let points = 5 + (dice.between(0.0, 40.0) as u32);
    let mut places = vec![Vec3::new(centre.x as f32, centre.y as f32, depth as f32)];
    for i in 0..points {
        let at = DVec2::from_angle(TAU * f64::from(i) / f64::from(points));
        let at = centre + at * r * dice.between(0.2, 1.0);
        places.push(Vec3::new(at.x as f32, at.y as f32, depth as f32));
    }
    let triangles = (0..points)
        .map(|i| [0, 1 + i, 1 + (i + 1) % points])
        .collect();
    Mesh::new(places, triangles).unwrap()
}

/// A thing on paper: points every quarter of a millimetre, and half its width.
struct Thing {
    name: String,
    points: Vec<DVec2>,
    half_mm: f64,
}

fn points_of(stroke: &Stroke) -> Vec<DVec2> {
    let back = stroke.line.first().filter(|_| stroke.closed);
    let ends: Vec<DVec2> = stroke.line.iter().chain(back).copied().collect();
    let mut out = ends.clone();
    for two in ends.windows(2) {
        let steps = (two[0].distance(two[1]) / 0.25).ceil();
        out.extend((1..steps as u32).map(|i| two[0].lerp(two[1], f64::from(i) / steps)));
    }
    out
}

/// Outlines and inner lines one by one; all symbols' strokes of one mark together with nothing
/// else, since a plus sign crosses itself; the dots of each letter together.
fn things(drawing: &Drawing, symbols: &[(Symbol, DVec2)], letters: &[Vec<DVec2>]) -> Vec<Thing> {
    let lines = drawing.strokes.iter().filter(|s| s.role != Role::Symbol);
    let lines = lines.enumerate().map(|(i, stroke)| Thing {
        name: format!("{:?} {i}", stroke.role),
        points: points_of(stroke),
        half_mm: stroke.width_mm / 2.0,
    });
    let symbols = symbols.iter().map(|(symbol, at)| Thing {
        name: format!("{symbol:?} at {at}"),
        points: symbol.strokes(*at).iter().flat_map(points_of).collect(),
        half_mm: SYMBOL_MM / 2.0,
    });
    let letters = letters.iter().enumerate().map(|(i, dots)| Thing {
        name: format!("letter {i}"),
        points: dots.clone(),
        half_mm: DOT_MM / 2.0,
    });
    lines.chain(symbols).chain(letters).collect()
}

fn apart_mm(a: &Thing, b: &Thing) -> f64 {
    let least = a.points.iter().flat_map(|p| {
        let p = *p;
        b.points.iter().map(move |q| p.distance_squared(*q))
    });
    least.fold(f64::INFINITY, f64::min).sqrt() - a.half_mm - b.half_mm
}

fn drawn(meshes: &[Mesh], marks: &[Mark], scale: f64) -> (Drawing, Vec<Thing>) {
    let trees: Vec<Tree> = meshes.iter().map(Tree::build).collect();
    let trees: Vec<&Tree> = trees.iter().collect();
    let subject = Subject {
        trees: &trees,
        plane: Plane::upright(DVec3::ZERO, 0.0),
        half_mm: DVec2::splat(90.0),
        scale,
        jump_mm: 4.0,
        marks,
    };
    let drawing = draw(&subject);
    // Where each mark was put is asked again, as the drawing has strokes only.
    let seen = look::look(&subject, STEP_MM);
    let outlines = shape::outlines(&seen);
    let placed = marks::place(&subject, &outlines);
    let (mut symbols, mut letters) = (Vec::new(), Vec::new());
    for (mark, place) in marks.iter().zip(&placed) {
        if let Some(place) = place {
            symbols.push((mark.symbol, place.symbol));
            letters.push(dots(&cells_of_letters(&mark.letters), place.letters));
        }
    }
    assert_eq!(letters.concat(), drawing.dots);
    let things = things(&drawing, &symbols, &letters);
    (drawing, things)
}

const SYMBOLS: [Symbol; 8] = [
    Symbol::Disc,
    Symbol::Bars,
    Symbol::FilledSquare,
    Symbol::Roof,
    Symbol::Plus,
    Symbol::Ring,
    Symbol::Square,
    Symbol::Triangle,
];

#[test]
fn nothing_comes_nearer_to_anything_else_than_the_clearance() {
    let mut dice = Dice(3);
    let (mut inner, mut marked) = (0, 0);
    for round in 0..16 {
        let meshes: Vec<Mesh> = (0..2 + round % 4).map(|_| star(&mut dice)).collect();
        let marks: Vec<Mark> = (0..9)
            .map(|i| Mark {
                letters: ["a", "m", "ab"][i % 3].to_owned(),
                symbol: SYMBOLS[i % 8],
                at: DVec2::new(dice.between(-50.0, 50.0), dice.between(-50.0, 50.0)),
            })
            .collect();
        let (drawing, things) = drawn(&meshes, &marks, [0.8, 1.0, 1.3][round % 3]);
        for stroke in &drawing.strokes {
            let (least, length) = match stroke.role {
                Role::Outline => (1.0, 20.0),
                Role::Inner => (0.6, SHORTEST_MM - 0.1),
                Role::Symbol => (1.0, 5.0),
            };
            assert!(stroke.width_mm >= least);
            let points = stroke.line.windows(2);
            let long: f64 = points.map(|two| two[0].distance(two[1])).sum();
            assert!(long >= length, "{:?} is {long} mm long", stroke.role);
        }
        for (i, a) in things.iter().enumerate() {
            for b in &things[i + 1..] {
                let apart = apart_mm(a, b);
                // An eighth of a millimetre beside the nearest point, at this distance, is 2.5 µm too much.
                assert!(
                    apart >= CLEAR_MM,
                    "round {round}: {} and {}: {apart} mm",
                    a.name,
                    b.name
                );
            }
        }
        inner += drawing
            .strokes
            .iter()
            .filter(|s| s.role == Role::Inner)
            .count();
        marked += marks.len() - drawing.left_out.len();
    }
    // The rule is not kept by drawing nothing.
    assert!(
        inner > 8 && marked > 20,
        "{inner} inner lines, {marked} marks"
    );
}

/// Where a line turns back on itself the same distance holds: between points that are further apart
/// along the line than the tightest half circle allows.
#[test]
fn no_line_comes_too_near_to_itself() {
    let mut dice = Dice(17);
    for round in 0..12 {
        let meshes: Vec<Mesh> = (0..3).map(|_| star(&mut dice)).collect();
        let (drawing, _) = drawn(&meshes, &[], 1.0);
        for stroke in &drawing.strokes {
            let line = Stroke {
                line: stroke.line.clone(),
                ..stroke.clone()
            };
            let points = resampled(&line);
            let total = 0.5 * points.len() as f64;
            for (i, p) in points.iter().enumerate() {
                for (j, q) in points.iter().enumerate().skip(i) {
                    let way = 0.5 * (j - i) as f64;
                    let way = if stroke.closed {
                        way.min(total - way)
                    } else {
                        way
                    };
                    let apart = p.distance(*q) - stroke.width_mm;
                    assert!(
                        way < 1.7 * (CLEAR_MM + stroke.width_mm) || apart >= CLEAR_MM - 0.05,
                        "round {round}, {:?}: {apart} mm after {way} mm",
                        stroke.role
                    );
                }
            }
        }
    }
}

/// Points every half millimetre along a stroke.
fn resampled(stroke: &Stroke) -> Vec<DVec2> {
    let back = stroke.line.first().filter(|_| stroke.closed);
    let ends: Vec<DVec2> = stroke.line.iter().chain(back).copied().collect();
    let mut out = Vec::new();
    let mut over = 0.0;
    for two in ends.windows(2) {
        let length = two[0].distance(two[1]);
        while over < length {
            out.push(two[0].lerp(two[1], over / length));
            over += 0.5;
        }
        over -= length;
    }
    out
}

/// A square with a narrow slit and a thin spur: neither is there for a finger, and the square is.
#[test]
fn slits_and_spurs_are_left_out() {
    let plate = |low: [f32; 2], high: [f32; 2]| {
        let places = [low, [high[0], low[1]], high, [low[0], high[1]]]
            .map(|[x, y]| Vec3::new(x, y, 0.0))
            .to_vec();
        Mesh::new(places, vec![[0, 1, 2], [0, 2, 3]]).unwrap()
    };
    let meshes = [
        plate([-30.0, -30.0], [-1.0, 30.0]),
        plate([1.0, -30.0], [30.0, 30.0]),
        plate([29.0, 0.0], [60.0, 1.5]),
    ];
    let joined = Mesh::joined(meshes.iter()).unwrap();
    let (drawing, _) = drawn(&[joined], &[], 1.0);
    assert_eq!(drawing.strokes.len(), 1);
    let outline = &drawing.strokes[0].line;
    let (low, high) = (
        outline.iter().copied().reduce(DVec2::min).unwrap(),
        outline.iter().copied().reduce(DVec2::max).unwrap(),
    );
    assert!(
        (low + 30.0).length() < 1.0 && (high - 30.0).length() < 1.0,
        "{low} {high}"
    );
    // Corners are rounded by a disc of 3.25 mm: (4 − π) r² less than the square.
    let area = crate::profile::area_mm2(outline).abs();
    assert!((area - 3600.0).abs() < 40.0, "{area}");
}

/// A mark in the middle of a large square stands there; one without room is told.
#[test]
fn a_mark_stands_at_its_place_or_is_told() {
    let square = |half: f32| {
        let places = [[-half, -half], [half, -half], [half, half], [-half, half]]
            .map(|[x, y]| Vec3::new(x, y, 0.0))
            .to_vec();
        Mesh::new(places, vec![[0, 1, 2], [0, 2, 3]]).unwrap()
    };
    let mark = Mark {
        letters: "c".to_owned(),
        symbol: Symbol::Ring,
        at: DVec2::new(3.0, -4.0),
    };
    let (drawing, _) = drawn(&[square(40.0)], std::slice::from_ref(&mark), 1.0);
    assert!(drawing.left_out.is_empty());
    let ring = drawing.strokes.iter().find(|s| s.role == Role::Symbol);
    let line = &ring.unwrap().line;
    let middle = line.iter().sum::<DVec2>() / line.len() as f64;
    assert!(middle.distance(mark.at) < 1e-9);
    // Dots 5 and 6 of the sign, dots 1 and 4 of c.
    assert_eq!(drawing.dots.len(), 4);
    let (small, _) = drawn(&[square(7.0)], &[mark], 1.0);
    assert_eq!((small.left_out, small.dots.len()), (vec![0], 0));
}
