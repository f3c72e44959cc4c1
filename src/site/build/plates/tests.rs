use super::*;
use crate::mesh::shapes::block;
use crate::picture::{Camera, Finish, Scene, still};
use glam::{DVec3, Vec3};

/// The bar in view-box units is the projection of a rod of its length, for any camera of a plate.
#[test]
fn the_bar_is_as_long_as_the_projection_of_its_length() {
    for half_height_mm in [3.2, 17.0, 80.0, 99.9, 1234.5] {
        for size_px in [PLATE_PX, crate::site::pictures::SIDE_PX] {
            let camera = Camera::at(
                DVec3::new(5.0, -3.0, 9.0),
                33.0,
                20.0,
                half_height_mm,
                size_px,
            );
            let (length_mm, length) = bar(half_height_mm);
            let along = camera.axes().right * length_mm;
            let [from, to] = [DVec3::ZERO, along].map(|p| camera.project(p));
            let units_per_px = SHEET.height / f64::from(size_px[1]);
            assert!(((to[0] - from[0]) * units_per_px - length).abs() < 1e-9);
            assert!(length <= SCALE_BAR_SHARE * SHEET.width && length > 0.07 * SHEET.width);
        }
    }
}

/// In the picture itself: a block as wide as the bar says has edges as far apart as the bar is long.
/// Coverage of edge pixels gives the edges to a fraction of a pixel.
#[test]
fn a_block_as_wide_as_the_bar_is_as_wide_in_the_picture() {
    let half_height_mm = 40.0;
    let (length_mm, length) = bar(half_height_mm);
    #[expect(clippy::cast_possible_truncation, reason = "a round length")]
    let half = (length_mm / 2.0) as f32;
    let mesh = block(Vec3::new(-half, -9.0, -4.0), Vec3::new(half, 9.0, 4.0));
    let scene = Scene::new(vec![(mesh, Finish::default())]).expect("a scene");
    // Off the grid of pixels, so that edges are covered in part.
    let centre = DVec3::new(0.137, 0.211, 0.0);
    let camera = Camera::at(centre, 0.0, 0.0, half_height_mm, [400, 320]);
    let picture = still(&scene, &camera);
    // Above the middle no shadow lies on the ground.
    let row = picture.height() / 2 - 20;
    let covered: f64 = (0..picture.width())
        .map(|x| f64::from(picture.get_pixel(x, row).0[3]) / 255.0)
        .sum();
    let units_per_px = SHEET.height / f64::from(picture.height());
    let bar_px = length / units_per_px;
    // Four samples a pixel place either edge to a quarter of one.
    assert!(
        (covered - bar_px).abs() <= 0.5,
        "{covered} pixels and a bar of {bar_px}"
    );
}

#[test]
fn the_arrow_comes_from_where_the_eye_stands() {
    // The front is below on the plan, so an eye before it is below, and one to its right is right.
    let start = |turn: f64| {
        let arrow = mark(turn, 14.0).arrow;
        let (x, y) = arrow[1..arrow.find('L').unwrap()].split_once(' ').unwrap();
        (x.parse::<f64>().unwrap(), y.parse::<f64>().unwrap())
    };
    assert_eq!(start(0.0), (0.0, 56.0));
    assert_eq!(start(90.0), (56.0, 0.0));
    assert_eq!(start(180.0), (0.0, -56.0));
    assert_eq!(start(-90.0), (-56.0, 0.0));
    assert_eq!(mark(0.0, 90.0).eye, "above");
    assert_eq!(mark(0.0, -90.0).eye, "below");
    assert_eq!(mark(0.0, 90.0).arrow, "");
}
