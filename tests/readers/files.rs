//! Meshes at random, and files of them in every format, written here.

use counterpart::limits::Limits;
use counterpart::mesh::{Format, Mesh, MeshError, read_bytes};
use counterpart::record::{LengthUnit, UpAxis};
use glam::Vec3;
use std::fmt::Write as _;
use std::io::Write as _;

/// Numbers from a fixed sequence (Knuth's 64-bit linear congruential constants).
pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn next(&mut self) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        self.0 >> 33
    }

    pub(super) fn below(&mut self, n: u64) -> u64 {
        self.next() % n
    }

    pub(super) fn coordinate(&mut self) -> f32 {
        (self.below(2_000_001) as f32 - 1_000_000.0) / 8192.0
    }
}

/// A mesh at random, every vertex used, no two in one place.
pub(super) struct Sample {
    pub(super) positions: Vec<Vec3>,
    pub(super) triangles: Vec<[u32; 3]>,
    pub(super) colours: Vec<[u8; 4]>,
}

pub(super) fn sample(dice: &mut Dice) -> Sample {
    let count = 3 + dice.below(40) as u32;
    let positions: Vec<Vec3> = (0..count)
        .map(|i| Vec3::new(dice.coordinate(), dice.coordinate(), i as f32))
        .collect();
    let mut triangles: Vec<[u32; 3]> = (0..count - 2).map(|i| [i, i + 1, i + 2]).collect();
    for _ in 0..dice.below(30) {
        let a = dice.below(u64::from(count)) as u32;
        triangles.push([a, (a + 1) % count, (a + 2) % count]);
    }
    let colours = (0..count)
        .map(|_| {
            [
                dice.below(256) as u8,
                dice.below(256) as u8,
                dice.below(256) as u8,
                255,
            ]
        })
        .collect();
    Sample {
        positions,
        triangles,
        colours,
    }
}

pub(super) fn limits() -> Limits {
    Limits {
        triangles: 10_000,
        ..Limits::default()
    }
}

pub(super) fn read(bytes: &[u8], format: Format) -> Result<Mesh, MeshError> {
    read_bytes(
        bytes,
        format,
        None,
        LengthUnit::Millimetre,
        UpAxis::Y,
        &limits(),
    )
}

#[derive(Clone, Copy, PartialEq)]
pub(super) enum Order {
    Text,
    Little,
    Big,
}

pub(super) fn ply(s: &Sample, order: Order) -> Vec<u8> {
    let name = match order {
        Order::Text => "ascii",
        Order::Little => "binary_little_endian",
        Order::Big => "binary_big_endian",
    };
    let mut out = format!(
        "ply\nformat {name} 1.0\ncomment made at random\nelement vertex {}\nproperty float x\n\
         property float y\nproperty float z\nproperty float nx\nproperty uchar red\n\
         property uchar green\nproperty uchar blue\nelement face {}\n\
         property list uchar uint vertex_indices\nproperty short flags\nend_header\n",
        s.positions.len(),
        s.triangles.len()
    )
    .into_bytes();
    let put = |out: &mut Vec<u8>, mut bytes: Vec<u8>| {
        if order == Order::Big {
            bytes.reverse();
        }
        out.extend(bytes);
    };
    for (p, c) in s.positions.iter().zip(&s.colours) {
        if order == Order::Text {
            writeln!(
                out,
                "{} {} {} 0.5 {} {} {}",
                p.x, p.y, p.z, c[0], c[1], c[2]
            )
            .unwrap();
            continue;
        }
        for v in [p.x, p.y, p.z, 0.5] {
            put(&mut out, v.to_le_bytes().to_vec());
        }
        out.extend(&c[..3]);
    }
    for [a, b, c] in &s.triangles {
        if order == Order::Text {
            writeln!(out, "3 {a} {b} {c} -7").unwrap();
            continue;
        }
        out.push(3);
        for v in [a, b, c] {
            put(&mut out, v.to_le_bytes().to_vec());
        }
        put(&mut out, (-7i16).to_le_bytes().to_vec());
    }
    out
}

pub(super) fn stl(s: &Sample) -> Vec<u8> {
    let mut out = b"solid in name only".to_vec();
    out.resize(80, b' ');
    out.extend((s.triangles.len() as u32).to_le_bytes());
    for t in &s.triangles {
        out.extend([0; 12]);
        for i in t {
            for v in s.positions[*i as usize].to_array() {
                out.extend(v.to_le_bytes());
            }
        }
        out.extend([0; 2]);
    }
    out
}

pub(super) fn stl_text(s: &Sample) -> Vec<u8> {
    let mut out = String::from("solid sample\n");
    for t in &s.triangles {
        out += " facet normal 0 0 0\n  outer loop\n";
        for i in t {
            let p = s.positions[*i as usize];
            writeln!(out, "   vertex {} {} {}", p.x, p.y, p.z).unwrap();
        }
        out += "  endloop\n endfacet\n";
    }
    (out + "endsolid sample\n").into_bytes()
}

/// Indices count back from the end when `back`.
pub(super) fn obj(s: &Sample, back: bool) -> Vec<u8> {
    let mut out = String::from("# sample\no thing\n");
    for (p, c) in s.positions.iter().zip(&s.colours) {
        let [r, g, b, _] = c.map(|c| f32::from(c) / 255.0);
        writeln!(out, "v {} {} {} {r} {g} {b}", p.x, p.y, p.z).unwrap();
    }
    for t in &s.triangles {
        let [a, b, c] = t.map(|i| {
            if back {
                i64::from(i) - s.positions.len() as i64
            } else {
                i64::from(i) + 1
            }
        });
        writeln!(out, "f {a} {b} {c}").unwrap();
    }
    out.into_bytes()
}

pub(super) fn archive(model: &str) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let stored =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    archive.start_file("3D/3dmodel.model", stored).unwrap();
    archive.write_all(model.as_bytes()).unwrap();
    archive.finish().unwrap().into_inner()
}

pub(super) fn model(s: &Sample, unit: &str, build: &str, more: &str) -> String {
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"{unit}\" \
         xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n<resources>\
         <object id=\"1\" type=\"model\"><mesh><vertices>\n"
    );
    for p in &s.positions {
        writeln!(out, "<vertex x=\"{}\" y=\"{}\" z=\"{}\"/>", p.x, p.y, p.z).unwrap();
    }
    out += "</vertices><triangles>\n";
    for [a, b, c] in &s.triangles {
        writeln!(out, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>").unwrap();
    }
    out + "</triangles></mesh></object>" + more + "</resources><build>" + build + "</build></model>"
}

pub(super) fn three_mf(s: &Sample) -> Vec<u8> {
    archive(&model(s, "millimeter", "<item objectid=\"1\"/>", ""))
}

/// Corner by corner, as readers may number vertices in their own way.
pub(super) fn same(mesh: &Mesh, s: &Sample, coloured: bool) {
    assert_eq!(mesh.triangles().len(), s.triangles.len());
    for (ours, theirs) in mesh.triangles().iter().zip(&s.triangles) {
        for (i, j) in ours.iter().zip(theirs) {
            assert_eq!(mesh.positions()[*i as usize], s.positions[*j as usize]);
            if coloured {
                assert_eq!(mesh.colours().unwrap()[*i as usize], s.colours[*j as usize]);
            }
        }
    }
}

pub(super) type Writer = fn(&Sample) -> Vec<u8>;

pub(super) const WRITERS: [(&str, Format, bool, Writer); 8] = [
    ("PLY text", Format::Ply, true, |s| ply(s, Order::Text)),
    ("PLY little", Format::Ply, true, |s| ply(s, Order::Little)),
    ("PLY big", Format::Ply, true, |s| ply(s, Order::Big)),
    ("STL binary", Format::Stl, false, stl),
    ("STL text", Format::Stl, false, stl_text),
    ("OBJ", Format::Obj, true, |s| obj(s, false)),
    ("OBJ backward", Format::Obj, true, |s| obj(s, true)),
    ("3MF", Format::ThreeMf, false, three_mf),
];
