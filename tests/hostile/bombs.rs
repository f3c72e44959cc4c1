//! Small files that would become large: each is given to the program with little room for memory (`ulimit -v`,
//! as POSIX shells commonly have it) and must end with a finding that names the file and what is wrong.

use crate::content;
use std::fs;
use std::io::{Cursor, Read, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Room that the program is given, KiB: of this, its own code and threads take some.
const ROOM_KIB: u64 = 1 << 20;
/// What it may really use, KiB.
const USED_KIB: u64 = 256 << 10;
const LONGEST: Duration = Duration::from_secs(30);

/// What the survey of a folder says, and the most memory that it was seen to use, KiB.
fn surveyed(folder: &Path) -> (String, u64) {
    let program = env!("CARGO_BIN_EXE_counterpart");
    let line = format!("ulimit -v {ROOM_KIB} && exec \"$0\" survey content --json");
    let mut child = Command::new("sh")
        .args(["-c", &line, program])
        .current_dir(folder)
        .env("RAYON_NUM_THREADS", "2")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("a shell");
    let mut out = child.stdout.take().expect("its output");
    let reader = std::thread::spawn(move || {
        let mut text = String::new();
        out.read_to_string(&mut text).map(|_| text)
    });
    let (began, mut peak) = (Instant::now(), 0);
    let status = loop {
        let told = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
        let used = told.lines().find_map(|l| l.strip_prefix("VmHWM:"));
        let used = used.and_then(|l| l.trim().trim_end_matches(" kB").parse().ok());
        peak = peak.max(used.unwrap_or(0));
        if let Some(status) = child.try_wait().expect("a child") {
            break status;
        }
        assert!(began.elapsed() < LONGEST, "still at it after {LONGEST:?}");
        std::thread::sleep(Duration::from_millis(2));
    };
    let mut said = String::new();
    child
        .stderr
        .take()
        .expect("its remarks")
        .read_to_string(&mut said)
        .expect("text");
    // 1: findings. A process that ran out of memory ends by a signal.
    assert_eq!(status.code(), Some(1), "{status}: {said}");
    (reader.join().expect("a thread").expect("text"), peak)
}

fn chunk(kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let mut all = (data.len() as u32).to_be_bytes().to_vec();
    all.extend(kind);
    all.extend(data);
    let mut sum = crc32fast::Hasher::new();
    sum.update(kind);
    sum.update(data);
    all.extend(sum.finalize().to_be_bytes());
    all
}

/// So many zero bytes, by zlib (RFC 1950) around deflate as the archive library packs it.
fn zeros(many: usize) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let packed = zip::write::SimpleFileOptions::default()
        .compression_method(zip::CompressionMethod::Deflated);
    archive.start_file("z", packed).expect("a name");
    let block = vec![0u8; 1 << 20];
    for _ in 0..many >> 20 {
        archive.write_all(&block).expect("memory");
    }
    let bytes = archive.finish().expect("memory").into_inner();
    // After the local header of thirty bytes and the name of one; its length stands in the directory.
    let directory = bytes
        .windows(4)
        .rposition(|w| w == b"PK\x01\x02")
        .expect("a directory");
    let length = u32::from_le_bytes(
        bytes[directory + 20..directory + 24]
            .try_into()
            .expect("four"),
    ) as usize;
    let mut zlib = vec![0x78, 0x9c];
    zlib.extend(&bytes[31..31 + length]);
    // Adler-32 of zeros: the first sum stays 1, the second counts.
    let second = (many as u64 % 65_521) as u32;
    zlib.extend((second << 16 | 1).to_be_bytes());
    zlib
}

fn png(width: u32, height: u32, extra: &[Vec<u8>], idat: &[u8]) -> Vec<u8> {
    let mut head = width.to_be_bytes().to_vec();
    head.extend(height.to_be_bytes());
    head.extend([8, 2, 0, 0, 0]);
    let mut all = b"\x89PNG\r\n\x1a\n".to_vec();
    all.extend(chunk(b"IHDR", &head));
    extra.iter().for_each(|c| all.extend(c));
    all.extend(chunk(b"IDAT", idat));
    all.extend(chunk(b"IEND", b""));
    all
}

fn jpeg(width: u16, height: u16) -> Vec<u8> {
    let mut all = vec![0xff, 0xd8, 0xff, 0xc0, 0, 11, 8];
    all.extend(height.to_be_bytes());
    all.extend(width.to_be_bytes());
    all.extend([
        1, 1, 0x11, 0, 0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0, 0, 0xff, 0xd9,
    ]);
    all
}

/// Without loss: a signature, then width and height less one in fourteen bits each.
fn webp(width: u32, height: u32) -> Vec<u8> {
    let mut body = vec![0x2f];
    body.extend(((width - 1) | (height - 1) << 14).to_le_bytes());
    body.extend([0; 3]);
    let mut all = b"RIFF".to_vec();
    all.extend((12 + body.len() as u32).to_le_bytes());
    all.extend(b"WEBPVP8L");
    all.extend((body.len() as u32).to_le_bytes());
    all.extend(&body);
    all
}

fn glb(json: &str) -> Vec<u8> {
    let mut text = json.as_bytes().to_vec();
    text.resize(text.len().next_multiple_of(4), b' ');
    let mut all = b"glTF\x02\0\0\0".to_vec();
    all.extend((12 + 8 + text.len() as u32 + 8 + 4).to_le_bytes());
    all.extend((text.len() as u32).to_le_bytes());
    all.extend(b"JSON");
    all.extend(&text);
    all.extend(4u32.to_le_bytes());
    all.extend(b"BIN\0\0\0\0\0");
    all
}

fn accessors(count: u64, view: &str) -> Vec<u8> {
    glb(&format!(
        r#"{{"asset":{{"version":"2.0"}},"buffers":[{{"byteLength":4}}],"bufferViews":[{{"buffer":0,"byteLength":4}}],"accessors":[{{{view}"componentType":5126,"count":{count},"type":"VEC3","min":[0,0,0],"max":[1,1,1]}}],"meshes":[{{"primitives":[{{"attributes":{{"POSITION":0}}}}]}}],"nodes":[{{"mesh":0}}],"scenes":[{{"nodes":[0]}}],"scene":0}}"#
    ))
}

/// A 3MF whose model unpacks to so many bytes.
fn threemf(many: usize) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let packed = zip::write::SimpleFileOptions::default()
        .compression_method(zip::CompressionMethod::Deflated);
    archive
        .start_file("3D/3dmodel.model", packed)
        .expect("a name");
    let block = vec![b' '; 1 << 20];
    for _ in 0..many >> 20 {
        archive.write_all(&block).expect("memory");
    }
    archive.finish().expect("memory").into_inner()
}

/// What is laid into the small folder: a photograph, a model, or a text.
enum Bomb {
    Photograph(&'static str, Vec<u8>),
    Model(&'static str, Vec<u8>),
    Text(&'static str, String),
}

fn cases() -> Vec<(&'static str, Bomb, &'static str)> {
    use Bomb::{Model, Photograph, Text};
    let profile = [b"p\0\0".to_vec(), zeros(1 << 30)].concat();
    let remark = [b"Comment\0\0".to_vec(), zeros(1 << 30)].concat();
    let deep = |open: &str, close: &str, many: usize| open.repeat(many) + &close.repeat(many);
    vec![
        ("PNG of 65,535²", Photograph("a.png", png(65_535, 65_535, &[], &zeros(1 << 20))), "pixels"),
        ("PNG of 2³¹ − 1", Photograph("a.png", png(0x7fff_ffff, 0x7fff_ffff, &[], &zeros(1 << 20))), "a.png"),
        // The survey reads the head of a picture only: what counts of these three is the memory.
        ("PNG, profile of 1 GiB", Photograph("a.png", png(8, 8, &[chunk(b"iCCP", &profile)], b"")), ""),
        ("PNG, remark of 1 GiB", Photograph("a.png", png(8, 8, &[chunk(b"zTXt", &remark)], b"")), ""),
        ("PNG, rows of 1 GiB", Photograph("a.png", png(8, 8, &[], &zeros(1 << 30))), ""),
        ("JPEG of 65,535²", Photograph("a.jpg", jpeg(65_535, 65_535)), "pixels"),
        ("WebP of 16,384²", Photograph("a.webp", webp(16_384, 16_384)), "pixels"),
        ("GLB, 4 billion corners", Model("a.glb", accessors(4_000_000_000, r#""bufferView":0,"#)), "a.glb"),
        ("GLB, 4 billion of nothing", Model("a.glb", accessors(4_000_000_000, "")), "a.glb"),
        ("GLB, JSON 200,000 deep", Model("a.glb", glb(&deep("[", "]", 200_000))), "a.glb"),
        ("3MF of 2 GiB", Model("a.3mf", threemf(2 << 30)), "a.3mf"),
        ("3MF, XML 200,000 deep", Model("a.3mf", {
            let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
            archive.start_file("3D/3dmodel.model", zip::write::SimpleFileOptions::default()).expect("a name");
            archive.write_all(deep("<a>", "</a>", 200_000).as_bytes()).expect("memory");
            archive.finish().expect("memory").into_inner()
        }), "a.3mf"),
        ("3MF within 3MF", Model("a.3mf", {
            let mut inner = threemf(64 << 20);
            for _ in 0..5 {
                let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
                archive.start_file("3D/3dmodel.model", zip::write::SimpleFileOptions::default()).expect("a name");
                archive.write_all(&inner).expect("memory");
                inner = archive.finish().expect("memory").into_inner();
            }
            inner
        }), "a.3mf"),
        ("PLY, 4 billion corners", Model("a.ply", b"ply\nformat binary_little_endian 1.0\nelement vertex 4000000000\nproperty float x\nproperty float y\nproperty float z\nelement face 4000000000\nproperty list uchar int vertex_indices\nend_header\n".to_vec()), "promises"),
        ("TOML 200,000 deep", Text("pilgrim-token/record.toml", format!("format = 1\na = {}", deep("[", "]", 200_000))), "record.toml"),
        ("TOML, dotted 100,000 deep", Text("pilgrim-token/record.toml", format!("a{} = 1", ".a".repeat(100_000))), "record.toml"),
        ("Markdown, quoted 200,000 deep", Text("pilgrim-token/en.md", format!("# A\n\n{}a\n", "> ".repeat(200_000))), ""),
        ("Markdown, brackets", Text("pilgrim-token/en.md", format!("# A\n\n{}\n", deep("[", "](a)", 150_000))), ""),
        ("Markdown, stresses", Text("pilgrim-token/en.md", format!("# A\n\n{}\n", "*a **b ".repeat(100_000))), ""),
        ("Markdown, lists", Text("pilgrim-token/en.md", format!("# A\n\n{}a\n", "- ".repeat(200_000))), ""),
        ("Leiden 100,000 deep", Text("pilgrim-token/en.md", format!("# A\n\n```leiden la\n{}\n```\n", deep("[", "]", 100_000))), ""),
        ("a text beyond 1 MiB", Text("pilgrim-token/en.md", "a".repeat(2 << 20)), "en.md"),
    ]
}

#[test]
fn what_would_become_large_is_told_in_little_memory() {
    let mut faults = Vec::new();
    for (name, bomb, said) in cases() {
        let folder = tempfile::tempdir().expect("a folder");
        let content = folder.path().join("content");
        content::lay(&content);
        let record = content::FILES[1].1;
        match &bomb {
            Bomb::Photograph(file, bytes) => {
                fs::write(content.join("pilgrim-token").join(file), bytes).expect("a file");
                let more = format!(
                    "{record}\n[[photographs]]\nfile = \"{file}\"\nrights = \"words\"\nalt = {{ en = \"A token of lead.\", cy = \"Tocyn plwm.\" }}\n"
                );
                content::put(&content, "pilgrim-token/record.toml", &more);
            }
            Bomb::Model(file, bytes) => {
                fs::create_dir_all(content.join("pilgrim-token/models")).expect("a folder");
                fs::write(content.join("pilgrim-token/models").join(file), bytes).expect("a file");
                let changed =
                    record.replace("models/original-token.glb", &format!("models/{file}"));
                let unit = if file.ends_with("glb") { "m" } else { "mm" };
                content::put(
                    &content,
                    "pilgrim-token/record.toml",
                    &changed.replace("unit = \"m\"", &format!("unit = \"{unit}\"")),
                );
            }
            Bomb::Text(file, text) => content::put(&content, file, text),
        }
        let began = Instant::now();
        let (report, peak) = surveyed(folder.path());
        let report: serde_json::Value = serde_json::from_str(&report).expect("a report");
        let all = report["findings"].as_array().expect("findings");
        let about = all.iter().find(|f| {
            f["severity"] == "error" && f["what"].as_str().is_some_and(|w| w.contains(said))
                || f["place"]["file"]
                    .as_str()
                    .is_some_and(|w| !said.is_empty() && w.contains(said))
        });
        let what = about.map_or("NOTHING SAID", |f| f["what"].as_str().unwrap_or(""));
        println!(
            "{name:<30} {:>4} MiB {:>6.2} s  {}",
            peak >> 10,
            began.elapsed().as_secs_f64(),
            what.chars().take(110).collect::<String>()
        );
        if about.is_none() {
            faults.push(format!("{name}: nothing says ‘{said}’: {report}"));
        }
        if peak > USED_KIB || peak == 0 {
            faults.push(format!("{name}: {} MiB were used", peak >> 10));
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}
