mod field;
mod bodies;
mod face;
mod feet;
mod hare;
mod letters;
mod mortar;
mod noise;
mod patina;
mod pestle;
mod profile;
mod sculpt;
mod solid;
mod turned;

use mortar::{Body, Mortar};

fn main() -> Result<(), String> {
    let t = std::time::Instant::now();
    let m = Mortar::new()?;
    let only = std::env::args().nth(1).unwrap_or_default();
    for body in [Body::Original, Body::Replica] {
        let name = if body == Body::Original { "original" } else { "replica" };
        if !only.is_empty() && !only.contains(name) { continue; }
        write(&format!("out/{name}-pestle.bin"), &bodies::pestle(&m, body));
        eprintln!("pestle {:?}", t.elapsed());
        let s = bodies::mortar(&m, body);
        eprintln!("mortar {} vol {} {:?}", s.triangles.len(), s.volume_mm3(), t.elapsed());
        write(&format!("out/{name}-mortar.bin"), &s);
    }
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
