//! Every reader on files written here from meshes at random, and on damaged ones.
//!
//! Formats: Turk, "The PLY polygon file format" (1994); 3MF Core Specification 1.4.0; the sizes
//! 84 + 50 n of binary STL; OBJ and MTL as common practice has them.

use counterpart::limits::Limits;
use counterpart::mesh::{Format, Mesh, MeshError, read_bytes};
use counterpart::record::{LengthUnit, UpAxis};
use glam::Vec3;
use std::fmt::Write as _;
use std::io::Write as _;

/// Numbers from a fixed sequence (Knuth's 64-bit linear congruential constants).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        self.0 >> 33
    }

    fn below(&mut self, n: u64) -> u64 {
        self.next() % n
    }

    fn coordinate(&mut self) -> f32 {
        (self.below(2_000_001) as f32 - 1_000_000.0) / 8192.0
    }
}

/// A mesh at random, every vertex used, no two in one place.
struct Sample {
    positions: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    colours: Vec<[u8; 4]>,
}

fn sample(dice: &mut Dice) -> Sample {
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

fn limits() -> Limits {
    Limits {
        triangles: 10_000,
        ..Limits::default()
    }
}

fn read(bytes: &[u8], format: Format) -> Result<Mesh, MeshError> {
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
enum Order {
    Text,
    Little,
    Big,
}

fn ply(s: &Sample, order: Order) -> Vec<u8> {
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

fn stl(s: &Sample) -> Vec<u8> {
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

fn stl_text(s: &Sample) -> Vec<u8> {
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
fn obj(s: &Sample, back: bool) -> Vec<u8> {
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

fn archive(model: &str) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let stored =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    archive.start_file("3D/3dmodel.model", stored).unwrap();
    archive.write_all(model.as_bytes()).unwrap();
    archive.finish().unwrap().into_inner()
}

fn model(s: &Sample, unit: &str, build: &str, more: &str) -> String {
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

fn three_mf(s: &Sample) -> Vec<u8> {
    archive(&model(s, "millimeter", "<item objectid=\"1\"/>", ""))
}

/// Corner by corner, as readers may number vertices in their own way.
fn same(mesh: &Mesh, s: &Sample, coloured: bool) {
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

type Writer = fn(&Sample) -> Vec<u8>;

const WRITERS: [(&str, Format, bool, Writer); 8] = [
    ("PLY text", Format::Ply, true, |s| ply(s, Order::Text)),
    ("PLY little", Format::Ply, true, |s| ply(s, Order::Little)),
    ("PLY big", Format::Ply, true, |s| ply(s, Order::Big)),
    ("STL binary", Format::Stl, false, stl),
    ("STL text", Format::Stl, false, stl_text),
    ("OBJ", Format::Obj, true, |s| obj(s, false)),
    ("OBJ backward", Format::Obj, true, |s| obj(s, true)),
    ("3MF", Format::ThreeMf, false, three_mf),
];

#[test]
fn what_was_written_is_read() {
    let mut dice = Dice(1);
    for round in 0..60 {
        let s = sample(&mut dice);
        for (name, format, coloured, write) in WRITERS {
            let mesh =
                read(&write(&s), format).unwrap_or_else(|e| panic!("{name}, round {round}: {e}"));
            same(&mesh, &s, coloured);
        }
    }
}

/// Cut short anywhere, a file gives an error, or (text that happens to end well) fewer triangles;
/// with bytes changed it gives an error or a mesh. Nothing brings the program down.
#[test]
fn no_damage_brings_a_reader_down() {
    let mut dice = Dice(2);
    let s = sample(&mut dice);
    for (name, format, _, write) in WRITERS {
        let whole = write(&s);
        let mut cut_short = 0;
        for end in 0..whole.len() {
            match read(&whole[..end], format) {
                Ok(mesh) => assert!(
                    mesh.triangles().len() <= s.triangles.len(),
                    "{name} at {end}"
                ),
                Err(error) => {
                    cut_short += 1;
                    assert!(!error.what.is_empty() && !error.remedy.is_empty());
                }
            }
        }
        assert!(
            cut_short > whole.len() / 4,
            "{name}: {cut_short} of {}",
            whole.len()
        );
        for _ in 0..2000 {
            let mut bytes = whole.clone();
            for _ in 0..=dice.below(4) {
                let at = dice.below(bytes.len() as u64) as usize;
                bytes[at] = dice.below(256) as u8;
            }
            let _ = read(&bytes, format);
        }
    }
}

fn refused(bytes: &[u8], format: Format, because: &str) {
    let error = read(bytes, format).expect_err(because);
    assert!(error.to_string().contains(because), "{error}");
}

#[test]
fn lies_are_refused_with_their_place() {
    let ply = |vertices: &str, faces: &str, body: &str| {
        format!(
            "ply\nformat ascii 1.0\nelement vertex {vertices}\nproperty float x\nproperty float y\n\
             property float z\nelement face {faces}\nproperty list uchar int vertex_indices\n\
             end_header\n{body}"
        )
        .into_bytes()
    };
    let three = "0 0 0\n1 0 0\n0 1 0\n";
    let good = ply("3", "1", &format!("{three}3 0 1 2\n"));
    assert_eq!(read(&good, Format::Ply).unwrap().triangles(), [[0, 1, 2]]);
    refused(
        &ply("4000000000", "1", three),
        Format::Ply,
        "promises 4000000000 of ‘vertex’",
    );
    refused(
        &ply("3", "1", &format!("{three}3 0 1 7\n")),
        Format::Ply,
        "names a vertex beyond the 3",
    );
    refused(
        &ply("3", "1", &format!("{three}3 0 1 -2\n")),
        Format::Ply,
        "line 13: ‘-2’",
    );
    refused(
        &ply("3", "1", "0 0 0\n1 0 0\n0 nan 0\n3 0 1 2\n"),
        Format::Ply,
        "not finite",
    );
    refused(&ply("3", "0", three), Format::Ply, "no triangles");
    refused(
        &ply("3", "1", &format!("{three}3 0 x 2\n")),
        Format::Ply,
        "line 13: ‘x’",
    );
    refused(b"", Format::Ply, "has no end");
    refused(b"plY\n", Format::Ply, "does not begin with the word");
    refused(&[0; 84], Format::Stl, "no triangles");
    let mut lying = vec![0; 84 + 50];
    lying[80..84].copy_from_slice(&9u32.to_le_bytes());
    refused(
        &lying,
        Format::Stl,
        "promises 9 triangles, 534 bytes; it has 134",
    );
    refused(b"solid a\nfacet\nvertex 1 2\n", Format::Stl, "line 3");
    refused(
        b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n",
        Format::Obj,
        "line 4",
    );
    refused(b"", Format::Obj, "no triangles");
    refused(b"not an archive", Format::ThreeMf, "3MF file is damaged");
}

/// Files that fuzzing found to bring a reader down, cut to what matters.
#[test]
fn what_fuzzing_found_stays_mended() {
    // A GLB whose header gives a length shorter than the header itself.
    let mut short = b"glTF".to_vec();
    short.extend([2, 0, 0, 0, 1, 0, 0, 0, 4, 0, 0, 0]);
    short.extend(b"JSON{}  ");
    let error = read_bytes(
        &short,
        Format::Gltf,
        None,
        LengthUnit::Metre,
        UpAxis::Y,
        &limits(),
    );
    assert!(error.unwrap_err().what.contains("damaged"));
}

/// A hexagon as one polygon of six corners: four triangles, area 3√3/2.
#[test]
fn polygons_become_triangles() {
    let corners: Vec<(f64, f64)> = (0..6)
        .map(|i| (f64::from(i) * std::f64::consts::PI / 3.0).sin_cos())
        .collect();
    let obj = "vn 0 0 1\n".to_owned()
        + &corners
            .iter()
            .map(|(y, x)| format!("v {x} {y} 0\n"))
            .collect::<String>()
        + "f 1//1 2//1 3//1 4//1 5//1 6//1\n";
    let ply: String =
        "ply\nformat ascii 1.0\nelement vertex 6\nproperty double x\nproperty double y\n\
         property double z\nelement face 1\nproperty list uchar int vertex_index\nend_header\n"
            .to_owned()
            + &corners
                .iter()
                .map(|(y, x)| format!("{x} {y} 0\n"))
                .collect::<String>()
            + "6 0 1 2 3 4 5\n";
    for (bytes, format) in [(obj, Format::Obj), (ply, Format::Ply)] {
        let mesh = read(bytes.as_bytes(), format).unwrap();
        assert_eq!(mesh.triangles().len(), 4);
        let area = counterpart::mesh::area_mm2(&mesh);
        assert!((area - 1.5 * 3f64.sqrt()).abs() < 1e-6, "{area}");
    }
}

/// Components and items multiply transforms; a mirror turns triangles about; +Z becomes +Y.
#[test]
fn objects_of_a_3mf_stand_where_the_build_puts_them() {
    let s = Sample {
        positions: vec![Vec3::ZERO, Vec3::X, Vec3::Y],
        triangles: vec![[0, 1, 2]],
        colours: vec![[0; 4]; 3],
    };
    let more = "<object id=\"2\"><components><component objectid=\"1\" \
         transform=\"0 1 0 -1 0 0 0 0 1 5 0 0\"/></components></object>";
    let build = "<item objectid=\"2\" transform=\"2 0 0 0 2 0 0 0 2 0 0 10\"/>\
         <item objectid=\"1\" transform=\"-1 0 0 0 1 0 0 0 1 0 0 0\"/>";
    let bytes = archive(&model(&s, "millimeter", build, more));
    let mesh = read(&bytes, Format::ThreeMf).unwrap();
    // (1, 0, 0) turned by 90° about z and moved by 5 is (5, 1, 0); doubled and lifted, (10, 2, 10).
    let place = |t: usize, k: usize| mesh.positions()[mesh.triangles()[t][k] as usize];
    assert_eq!(place(0, 0), Vec3::new(10.0, 0.0, 10.0));
    assert_eq!(place(0, 1), Vec3::new(10.0, 2.0, 10.0));
    assert_eq!(place(0, 2), Vec3::new(8.0, 0.0, 10.0));
    assert_eq!(
        [place(1, 0), place(1, 1), place(1, 2)],
        [Vec3::ZERO, Vec3::Y, -Vec3::X]
    );
    let upright = read_bytes(
        &bytes,
        Format::ThreeMf,
        None,
        LengthUnit::Millimetre,
        UpAxis::Z,
        &limits(),
    )
    .unwrap();
    assert_eq!(
        upright.positions()[upright.triangles()[0][1] as usize],
        Vec3::new(10.0, 10.0, -2.0)
    );
    // The unit in the file and the one in the record must agree.
    let inches = archive(&model(&s, "inch", "<item objectid=\"1\"/>", ""));
    refused(&inches, Format::ThreeMf, "write unit = \"in\"");
    let own = "<object id=\"2\"><components><component objectid=\"2\"/></components></object>";
    refused(
        &archive(&model(&s, "millimeter", "<item objectid=\"2\"/>", own)),
        Format::ThreeMf,
        "nested too deeply",
    );
    refused(
        &archive(&model(&s, "millimeter", "<item objectid=\"9\"/>", "")),
        Format::ThreeMf,
        "no object 9",
    );
}

/// Each object holds the one before it ten times: a million million triangles from one.
#[test]
fn bombs_are_defused() {
    let s = sample(&mut Dice(3));
    let more: String = (2..14)
        .map(|id| {
            let ten = format!("<component objectid=\"{}\"/>", id - 1).repeat(10);
            format!("<object id=\"{id}\"><components>{ten}</components></object>")
        })
        .collect();
    let bytes = archive(&model(&s, "millimeter", "<item objectid=\"13\"/>", &more));
    assert!(read(&bytes, Format::ThreeMf).is_err());
    let mut zeros = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let packed = zip::write::SimpleFileOptions::default()
        .compression_method(zip::CompressionMethod::Deflated);
    zeros.start_file("3D/3dmodel.model", packed).unwrap();
    zeros.write_all(&vec![b' '; 50_000_000]).unwrap();
    let bytes = zeros.finish().unwrap().into_inner();
    assert!(bytes.len() < 100_000);
    refused(&bytes, Format::ThreeMf, "unpacks to more than");
}

/// A file of one triangle in inches, centimetres and metres.
#[test]
fn units_become_millimetres() {
    let text = b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n";
    for (unit, mm) in [
        (LengthUnit::Millimetre, 1.0),
        (LengthUnit::Centimetre, 10.0),
        (LengthUnit::Inch, 25.4),
        (LengthUnit::Metre, 1000.0),
    ] {
        let mesh = read_bytes(text, Format::Obj, None, unit, UpAxis::Y, &limits()).unwrap();
        assert_eq!(mesh.positions()[1], Vec3::new(mm, 0.0, 0.0));
    }
}

/// A texture beside the model, named by its materials: the lower half red, the upper half blue.
#[test]
fn an_obj_takes_its_texture_along() {
    let folder = tempfile::tempdir().unwrap();
    let picture = image::RgbImage::from_fn(2, 2, |_, y| {
        if y == 1 {
            image::Rgb([200, 0, 0])
        } else {
            image::Rgb([0, 0, 200])
        }
    });
    picture.save(folder.path().join("skin.png")).unwrap();
    let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    put("a.mtl", "newmtl skin\nmap_Kd skin.png\n");
    put(
        "a.obj",
        "mtllib a.mtl\nusemtl skin\nv 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0.25 0.25\nvt 0.75 0.25\nvt 0.25 0.75\nf 1/1 2/2 3/3\n",
    );
    let path = folder.path().join("a.obj");
    let mesh = counterpart::mesh::read(&path, LengthUnit::Metre, UpAxis::Y, &limits()).unwrap();
    let low = mesh.colour_at(0, [1.0, 0.0, 0.0]).unwrap();
    let high = mesh.colour_at(0, [0.0, 0.0, 1.0]).unwrap();
    assert!(low[0] > 0.7 && low[2] < 0.1, "{low:?}");
    assert!(high[2] > 0.7 && high[0] < 0.1, "{high:?}");
    put("a.mtl", "newmtl skin\nmap_Kd ../skin.png\n");
    let error =
        counterpart::mesh::read(&path, LengthUnit::Metre, UpAxis::Y, &limits()).unwrap_err();
    assert!(error.what.contains("outside its own folder"), "{error}");
}
