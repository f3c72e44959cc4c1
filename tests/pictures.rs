//! Photographs, stills and codes against what is outside the program.

use counterpart::limits::Limits;
use counterpart::mesh::Mesh;
use counterpart::picture::{Camera, Finish, Scene, derive, pack, qr_svg, still, unpack};
use glam::{DVec3, Vec3};
use image::codecs::jpeg::JpegEncoder;
use image::{GrayImage, Luma, Rgb, RgbImage};

/// A JPEG of 40 × 20, red on the left, with Exif: orientation 6 (turn right) and a GPS latitude.
/// Layout after Exif 2.32 (CIPA DC-008) and TIFF 6.0, written out by hand.
fn with_exif() -> Vec<u8> {
    let picture = RgbImage::from_fn(40, 20, |x, _| {
        if x < 20 {
            Rgb([230, 20, 20])
        } else {
            Rgb([20, 20, 230])
        }
    });
    let mut plain = Vec::new();
    JpegEncoder::new_with_quality(&mut plain, 95)
        .encode_image(&picture)
        .unwrap();
    let mut tiff: Vec<u8> = b"II*\0\x08\0\0\0".to_vec();
    tiff.extend(2u16.to_le_bytes());
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        [
            tag.to_le_bytes().to_vec(),
            kind.to_le_bytes().to_vec(),
            count.to_le_bytes().to_vec(),
            value.to_le_bytes().to_vec(),
        ]
        .concat()
    };
    tiff.extend(entry(0x0112, 3, 1, 6));
    tiff.extend(entry(0x8825, 4, 1, 38));
    tiff.extend(0u32.to_le_bytes());
    tiff.extend(1u16.to_le_bytes());
    tiff.extend(entry(0x0001, 2, 2, u32::from(b'N')));
    tiff.extend(0u32.to_le_bytes());
    tiff.extend(b"GPSMARK-51.4321");
    let mut body = b"Exif\0\0".to_vec();
    body.extend(tiff);
    let mut out = plain[..2].to_vec();
    out.extend([0xff, 0xe1]);
    out.extend((body.len() as u16 + 2).to_be_bytes());
    out.extend(body);
    out.extend(&plain[2..]);
    out
}

#[test]
fn place_and_camera_stay_behind_and_the_picture_stands_upright() {
    let bytes = with_exif();
    assert!(
        bytes.windows(7).any(|w| w == b"GPSMARK"),
        "the mark must be in what goes in"
    );
    let sizes = derive(&bytes, &Limits::default()).unwrap();
    assert_eq!(
        (sizes[0].width, sizes[0].height),
        (20, 40),
        "turned by a quarter"
    );
    for size in &sizes {
        for file in [&size.webp, &size.fallback] {
            for mark in [&b"GPSMARK"[..], b"Exif", b"EXIF", b"http://ns.adobe.com"] {
                assert!(
                    !file.windows(mark.len()).any(|w| w == mark),
                    "metadata came through"
                );
            }
        }
        let turned = image::load_from_memory(&size.fallback).unwrap().to_rgb8();
        assert!(turned.get_pixel(10, 4).0[0] > 150, "left has become top");
    }
}

#[test]
fn too_many_pixels_and_damage_are_refused() {
    let bytes = with_exif();
    let small = Limits {
        photograph_pixels: 799,
        ..Limits::default()
    };
    assert!(derive(&bytes, &small).is_err());
    let exact = Limits {
        photograph_pixels: 800,
        ..Limits::default()
    };
    assert!(derive(&bytes, &exact).is_ok());
    assert!(derive(b"not a picture", &Limits::default()).is_err());
    for end in (0..bytes.len()).step_by(7) {
        let _ = derive(&bytes[..end], &Limits::default());
    }
}

#[test]
fn packed_sizes_come_back_and_damage_is_seen() {
    let sizes = derive(&with_exif(), &Limits::default()).unwrap();
    let packed = pack(&sizes);
    assert_eq!(unpack(&packed).unwrap(), sizes);
    for end in 1..packed.len() {
        assert!(unpack(&packed[..end]).is_none());
    }
}

/// A sphere of radius r fills πr² of an orthographic picture.
#[test]
fn a_sphere_covers_its_disc() {
    let (rings, around, r) = (90u32, 180u32, 10.0f64);
    let mut positions = Vec::new();
    for i in 0..=rings {
        let polar = std::f64::consts::PI * f64::from(i) / f64::from(rings);
        for k in 0..around {
            let a = std::f64::consts::TAU * f64::from(k) / f64::from(around);
            positions.push(Vec3::new(
                (r * polar.sin() * a.cos()) as f32,
                (r * polar.cos()) as f32,
                (r * polar.sin() * a.sin()) as f32,
            ));
        }
    }
    let mut triangles = Vec::new();
    for i in 0..rings {
        for k in 0..around {
            let l = (k + 1) % around;
            triangles.push([i * around + k, i * around + l, (i + 1) * around + l]);
            triangles.push([i * around + k, (i + 1) * around + l, (i + 1) * around + k]);
        }
    }
    let mesh = Mesh::new(positions, triangles).unwrap();
    let scene = Scene::new(vec![(mesh, Finish::default())]).unwrap();
    let camera = Camera::at(DVec3::ZERO, 20.0, -10.0, 12.5, [250, 250]);
    let picture = still(&scene, &camera);
    let covered: f64 = picture.pixels().map(|p| f64::from(p.0[3]) / 255.0).sum();
    let expected = std::f64::consts::PI * 100.0 * 10.0 * 10.0;
    assert!(
        (covered / expected - 1.0).abs() < 0.005,
        "{covered} of {expected}"
    );
    assert_eq!(picture, still(&scene, &camera), "the same bytes again");
    // Light comes from the upper left.
    let bright = |x, y| {
        picture.get_pixel(x, y).0[..3]
            .iter()
            .map(|v| u32::from(*v))
            .sum::<u32>()
    };
    assert!(bright(80, 80) > bright(170, 170) + 60);
}

/// Side 21 + 4(v − 1) modules and a quiet zone of 4 on every side (ISO/IEC 18004).
#[test]
fn a_code_is_read_back_by_another_library() {
    for text in [
        "https://brackwater.example/a/",
        "https://brackwater.example/counterparts/brackwater-mortar/",
    ] {
        let svg = qr_svg(text).unwrap();
        let side: u32 = svg
            .split("viewBox=\"0 0 ")
            .nth(1)
            .unwrap()
            .split(' ')
            .next()
            .unwrap()
            .parse()
            .unwrap();
        assert_eq!((side - 8 - 21) % 4, 0);
        let mut modules = GrayImage::from_pixel(side, side, Luma([255]));
        let path = svg
            .split(" d=\"")
            .nth(2)
            .unwrap()
            .split('"')
            .next()
            .unwrap();
        for piece in path.split('M').skip(1) {
            let (place, run) = piece.split_once('h').unwrap();
            let (x, y) = place.split_once(' ').unwrap();
            let run: u32 = run.split('v').next().unwrap().parse().unwrap();
            for dx in 0..run {
                modules.put_pixel(
                    x.parse::<u32>().unwrap() + dx,
                    y.parse().unwrap(),
                    Luma([0]),
                );
            }
        }
        for i in 0..side {
            for edge in 0..4 {
                assert_eq!(
                    modules.get_pixel(edge, i).0[0],
                    255,
                    "the quiet zone is quiet"
                );
            }
        }
        let scale = 6;
        let mut prepared = rqrr::PreparedImage::prepare_from_greyscale(
            (side * scale) as usize,
            (side * scale) as usize,
            |x, y| modules.get_pixel(x as u32 / scale, y as u32 / scale).0[0],
        );
        let grids = prepared.detect_grids();
        assert_eq!(grids[0].decode().unwrap().1, text);
    }
    assert!(qr_svg(&"x".repeat(4000)).is_err());
}
