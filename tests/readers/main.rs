//! Every reader on files written here from meshes at random, and on damaged ones.
//!
//! Formats: Turk, "The PLY polygon file format" (1994); 3MF Core Specification 1.4.0; the sizes
//! 84 + 50 n of binary STL; OBJ and MTL as common practice has them.

mod files;

use counterpart::mesh::{Format, read_bytes};
use counterpart::record::{LengthUnit, UpAxis};
use files::*;
use glam::Vec3;
use std::io::Write as _;

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
