mod field;
mod hare;
mod letters;
mod mortar;
mod noise;
mod patina;
mod profile;
mod solid;

use mortar::{Body, Mortar};

fn main() -> Result<(), String> {
    let t = std::time::Instant::now();
    let m = Mortar::new()?;
    let (mut s, skins) = m.surface(Body::Original);
    eprintln!("{} pts {:?}", s.points.len(), t.elapsed());
    patina::paint(&mut s, &skins, Body::Original);
    eprintln!("paint {:?}", t.elapsed());
    let thin = s.thin(147_000);
    eprintln!("{} tris vol {} {:?}", thin.triangles.len(), thin.volume_mm3(), t.elapsed());
    write("out/original-mortar.bin", &thin);
    Ok(())
}

fn write(path: &str, s: &solid::Solid) {
    let mut b = Vec::new();
    b.extend((s.points.len() as u32).to_le_bytes());
    b.extend((s.triangles.len() as u32).to_le_bytes());
    for p in s.positions() {
        for v in p.to_array() {
            b.extend(v.to_le_bytes());
        }
    }
    for c in &s.colours {
        b.extend(c);
    }
    for t in &s.triangles {
        for i in t {
            b.extend(i.to_le_bytes());
        }
    }
    std::fs::create_dir_all("out").unwrap();
    std::fs::write(path, b).unwrap();
}
