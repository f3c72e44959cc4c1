//! Whole files of every kind, small: made here, or taken from the demonstration and the other tests.

use counterpart::mesh::{Format, read_bytes};
use counterpart::record::{LengthUnit, UpAxis};
use std::io::{Cursor, Write};
use std::path::{Path, PathBuf};
use zip::CompressionMethod;
use zip::write::{SimpleFileOptions, ZipWriter};

const OBJ: &str = "mtllib a.mtl\nv 0 0 0 1 0 0\nv 9 0 0\nv 0 9 0\nv 0 0 9\nvn 0 0 1\nvt 0 1\nusemtl a\nf 1/1/1 3/1/1 2/1/1\nf 1 2 4\nf -4//1 -1//1 -2//1\nf 2 3 4\n";
const PLY: &str = "ply\nformat ascii 1.0\ncomment a\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\nproperty uchar red\nproperty uchar green\nproperty uchar blue\nelement face 2\nproperty list uchar int vertex_indices\nend_header\n0 0 0 1 2 3\n9 0 0 4 5 6\n0 9 0 7 8 9\n0 0 9 1 1 1\n4 0 1 2 3\n3 0 1 3\n";
const STL: &str = "solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 9 0 0\nvertex 0 9 0\nendloop\nendfacet\nendsolid a\n";
const MODEL: &str = r##"<?xml version="1.0" encoding="UTF-8"?><model unit="millimeter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources><basematerials id="5"><base name="a" displaycolor="#FF0000"/></basematerials><object id="1" type="model" pid="5" pindex="0"><mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="9" y="0" z="0"/><vertex x="0" y="9" z="0"/></vertices><triangles><triangle v1="0" v2="1" v3="2"/></triangles></mesh></object><object id="2"><components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/></components></object></resources><build><item objectid="2"/><item objectid="1"/></build></model>"##;
const LIDO: &str = r#"<lido:lidoWrap xmlns:lido="http://www.lido-schema.org"><lido:lido><lido:lidoRecID lido:type="local">BRKMU:1</lido:lidoRecID><lido:descriptiveMetadata xml:lang="en"><lido:objectIdentificationWrap><lido:titleWrap><lido:titleSet><lido:appellationValue xml:lang="en">Jug &amp; lid</lido:appellationValue></lido:titleSet></lido:titleWrap></lido:objectIdentificationWrap></lido:descriptiveMetadata></lido:lido></lido:lidoWrap>"#;
const TABLE: &str = "object;number;title.en;material.1.name.en;rights.1.holder;rights.1.statement\njug;\"1\";\"a\"\"b\";tin;\"M; N\";x\n";
const REQUESTS: [&str; 26] = [
    "GET /",
    "GET /api/desk",
    "GET /api/file?path=site.toml",
    "GET /api/drafts",
    "GET /api/history",
    "GET /api/bin",
    "GET /api/words?lang=en",
    "GET /api/site",
    "GET /api/picture?path=pilgrim-token/a.jpg",
    "GET /api/model?object=pilgrim-token&body=original",
    "GET /preview/abcdefgh/a.html",
    "GET /assets/desk.js",
    "POST /api/save\n{\"files\":[{\"path\":\"terms/new/en.md\",\"version\":null,\"text\":\"# New\\n\",\"changes\":[]}],\"why\":\"a note\",\"window\":\"abcdefgh\"}",
    "POST /api/save\n{\"files\":[{\"path\":\"terms/new/record.toml\",\"version\":null,\"text\":null,\"changes\":[{\"set\":{\"key\":[\"format\"],\"value\":1}}]}],\"why\":\"a record\",\"window\":null}",
    "POST /api/draft\n{\"window\":\"abcdefgh\",\"path\":\"site.toml\",\"base\":null,\"text\":\"a\"}",
    "POST /api/bin\n{\"path\":\"terms/frieze\"}",
    "POST /api/restore\n{\"id\":\"0000000001\"}",
    "POST /api/undo\n",
    "POST /api/place\n{\"object\":\"pilgrim-token\",\"body\":\"original\",\"ray\":[[0,0,0],[0,0,1]],\"radius_mm\":2}",
    "POST /api/preview\n{\"window\":\"abcdefgh\",\"object\":\"pilgrim-token\",\"object_title\":\"Token\",\"lang\":\"en\",\"text\":\"# A\\n\\nWords, [a](term:frieze).\\n\",\"detail\":null}",
    "POST /api/preview\n{\"window\":\"abcdefgh\",\"object\":\"pilgrim-token\",\"object_title\":\"Token\",\"lang\":\"en\",\"text\":\"# A\\n\",\"detail\":{\"id\":\"heron\",\"kind\":\"motif\",\"bearing\":{\"original\":\"present\"}}}",
    "POST /api/name\n{\"title\":\"The token\",\"taken\":[\"token\"]}",
    "POST /api/measure\n{\"path\":\"pilgrim-token/models/a.stl\",\"unit\":\"mm\"}",
    "POST /api/translated\n{\"note\":\"terms/frieze/cy.md\",\"source\":\"terms/frieze/en.md\",\"why\":\"read\"}",
    "POST /api/accession\n{\"id\":\"jug\",\"answers\":{\"title\":{\"en\":\"Jug\"}}}",
    "POST /api/take-in?path=pilgrim-token/models/a.stl\nsolid a\n",
];
const CHANGES: &str = r#"[{"set":{"key":["name","en"],"value":"A new name"}},{"remove":{"key":["bodies","original","parts",0,"id"]}},{"append":{"key":["photographs"],"table":{"file":"a.jpg","alt":{"en":"b"}}}},{"set":{"key":["languages"],"value":["en","cy"]}}]"#;
const BAG: &str = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";
/// The digest of `hello` and a line feed, from our notes of RFC 8493.
const LISTED: &str =
    "5891b5b522d5df086d0ff0b110fbd9d21bb4fc7163af34d08286a2e846f6be03  data/hello.txt\n";

fn packed(files: &[(&str, &str)], how: CompressionMethod) -> Vec<u8> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let option = SimpleFileOptions::default().compression_method(how);
    for (name, text) in files {
        archive
            .start_file(*name, option)
            .expect("a name that is not there yet");
        archive
            .write_all(text.as_bytes())
            .expect("written to memory");
    }
    archive.finish().expect("written to memory").into_inner()
}

fn found(folder: &str, endings: &[&str]) -> Vec<Vec<u8>> {
    let (mut all, mut left) = (
        Vec::new(),
        vec![PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(folder)],
    );
    while let Some(here) = left.pop() {
        for entry in std::fs::read_dir(here).expect("a folder of the project") {
            let path = entry.expect("an entry").path();
            let ending = path.extension().and_then(|e| e.to_str()).unwrap_or("");
            if path.is_dir() {
                left.push(path);
            } else if endings.contains(&ending) {
                all.push(path);
            }
        }
    }
    all.sort();
    let small = |p: &Path| std::fs::metadata(p).is_ok_and(|m| m.len() < 32 << 10);
    all.iter()
        .filter(|p| small(p))
        .map(|p| std::fs::read(p).expect("a file of the project"))
        .collect()
}

fn glb() -> Vec<u8> {
    let limits = counterpart::limits::Limits::default();
    let mesh = read_bytes(
        OBJ.replace("v 0 0 0 1 0 0", "v 0 0 0").as_bytes(),
        Format::Obj,
        None,
        LengthUnit::Millimetre,
        UpAxis::Y,
        &limits,
    )
    .expect("a mesh");
    let part = counterpart::mesh::NamedMesh::new("a", &mesh);
    counterpart::mesh::glb_plain(&[part], &counterpart::mesh::GlbFacts::default()).expect("a file")
}

/// A smallest picture of each format.
fn pictures() -> Vec<Vec<u8>> {
    let mut all = found("content", &["jpg"]);
    let image = image::RgbaImage::from_fn(7, 5, |x, y| {
        image::Rgba([x as u8 * 30, y as u8 * 50, 9, 200])
    });
    for format in [image::ImageFormat::Png, image::ImageFormat::WebP] {
        let mut bytes = Cursor::new(Vec::new());
        image
            .write_to(&mut bytes, format)
            .expect("a picture in memory");
        all.push(bytes.into_inner());
    }
    let mut bytes = Cursor::new(Vec::new());
    let grey = image::GrayImage::from_fn(9, 9, |x, y| image::Luma([(x * y) as u8]));
    grey.write_to(&mut bytes, image::ImageFormat::Jpeg)
        .expect("a picture in memory");
    all.push(bytes.into_inner());
    all
}

fn texts(all: &[&str]) -> Vec<Vec<u8>> {
    all.iter().map(|t| t.as_bytes().to_vec()).collect()
}

/// Whole files for a reader.
pub(crate) fn of(reader: &str) -> Vec<Vec<u8>> {
    let model = [
        ("[Content_Types].xml", "<Types/>"),
        ("3D/3dmodel.model", MODEL),
    ];
    let bag = [
        ("bag/bagit.txt", BAG),
        ("bag/manifest-sha256.txt", LISTED),
        ("bag/data/hello.txt", "hello\n"),
    ];
    match reader {
        "gltf" => vec![glb()],
        "ply" => {
            let mut binary = PLY.replace("ascii", "binary_little_endian").into_bytes();
            binary.truncate(
                binary
                    .windows(11)
                    .position(|w| w == b"end_header\n")
                    .expect("an end")
                    + 11,
            );
            for k in 0..4u8 {
                for axis in 0..3u8 {
                    let far: f32 = if axis + 1 == k { 9.0 } else { 0.0 };
                    binary.extend(far.to_le_bytes());
                }
                binary.extend([k, k, k]);
            }
            for face in [[0i32, 1, 2], [0, 1, 3]] {
                binary.push(3);
                face.iter().for_each(|v| binary.extend(v.to_le_bytes()));
            }
            vec![PLY.as_bytes().to_vec(), binary]
        }
        "stl" => {
            let mut binary = vec![b' '; 80];
            binary.extend(1u32.to_le_bytes());
            for value in [0f32, 0., 1., 0., 0., 0., 9., 0., 0., 0., 9., 0.] {
                binary.extend(value.to_le_bytes());
            }
            binary.extend([0, 0]);
            vec![STL.as_bytes().to_vec(), binary]
        }
        "obj" => texts(&[OBJ]),
        "threemf" => vec![
            packed(&model, CompressionMethod::Stored),
            packed(&model, CompressionMethod::Deflated),
        ],
        "words" => found("content", &["md"]),
        "captions" => found("tests/captions", &["vtt"]),
        "photograph" => pictures(),
        "media" => found(
            "tests/media",
            &["mp3", "m4a", "ogg", "opus", "wav", "mp4", "webm"],
        ),
        "exchange" => texts(&[LIDO, TABLE]),
        "amend" => crate::content::FILES
            .iter()
            .filter(|(n, _)| n.ends_with(".toml"))
            .map(|(_, t)| format!("{CHANGES}\n{t}").into_bytes())
            .collect(),
        "bag" => texts(&[
            &format!("{BAG}%%\n{LISTED}%%\nPayload-Oxum: 6.1\nBagging-Date: 2026-01-31\n%%\n"),
            "BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n%%\n0 data/%0A.txt\n%%\nLabel: a\n  folded\n%%\n00 bag-info.txt\n%%\nhttps://brackwater.example/a 5 data/a\n%%\n00 data/é.txt\n",
        ]),
        "bag_packed" => vec![
            packed(&bag, CompressionMethod::Stored),
            packed(&bag, CompressionMethod::Deflated),
        ],
        "records" => {
            let numbered = crate::content::FILES.iter().enumerate();
            let mut all: Vec<Vec<u8>> = numbered
                .map(|(i, (_, text))| format!("{i}{text}").into_bytes())
                .collect();
            all.push(
                format!(
                    "1{}",
                    include_str!("../../content/brackwater-mortar/record.toml")
                )
                .into_bytes(),
            );
            all.push(
                format!(
                    "3{}",
                    include_str!(
                        "../../content/brackwater-mortar/details/inscription-band/record.toml"
                    )
                )
                .into_bytes(),
            );
            all
        }
        "desk" => texts(&REQUESTS),
        _ => Vec::new(),
    }
}
