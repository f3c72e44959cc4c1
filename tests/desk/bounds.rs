//! How much the desk takes in, who may open it, and what its page is dressed in.

use crate::door::Desk;

#[test]
fn what_is_too_large_is_refused_before_it_comes() {
    let desk = Desk::open();
    let (host, origin, cookie) = (
        desk.host(),
        desk.origin(),
        format!("Cookie: {}", desk.begin()),
    );
    let head = |path: &str, length: u64| {
        format!(
            "POST {path} HTTP/1.1\r\nConnection: close\r\n{host}\r\n{origin}\r\n{cookie}\r\nContent-Length: {length}\r\n\r\n"
        )
    };
    // One byte beyond the bounds of `Limits::default`, and not one of them sent.
    for (path, most) in [
        ("cup/models/a.ply", 4u64 << 30),
        ("cup/a.jpg", 200 << 20),
        ("cup/a.mp4", 200 << 20),
    ] {
        let answer = desk.raw(head(&format!("/api/take-in?path={path}"), most + 1).as_bytes());
        assert_eq!(answer.status, 413, "{path}: {}", answer.body);
    }
    let large = [head("/api/save", 9 << 20).into_bytes(), vec![b' '; 9 << 20]].concat();
    assert!(matches!(desk.raw(&large).status, 413 | 0));
    assert!(!desk.content().join("cup").exists());
    // A file that is cut off on its way is no file.
    let path = "/api/take-in?path=cup/a.jpg";
    desk.cut_off(&[head(path, 100).into_bytes(), b"half".to_vec()].concat());
    std::thread::sleep(std::time::Duration::from_millis(500));
    assert!(!desk.content().join("cup/a.jpg").exists());
}

#[test]
fn a_second_desk_is_refused() {
    let desk = Desk::open();
    let other = std::process::Command::new(env!("CARGO_BIN_EXE_counterpart"))
        .args(["desk", "content"])
        .current_dir(desk.folder.path())
        .output()
        .unwrap();
    assert_eq!(other.status.code(), Some(3));
    assert!(
        String::from_utf8_lossy(&other.stderr).contains("desk"),
        "{other:?}"
    );
}

#[test]
fn the_page_has_its_own_type_from_the_first_moment() {
    let desk = Desk::open();
    let (host, cookie) = (desk.host(), format!("Cookie: {}", desk.begin()));
    let style = desk.ask("GET /assets/desk.css", &[&host, &cookie], "").body;
    assert!(style.matches("font-display: block").count() >= 4);
    assert!(!style.contains("font-display: optional"));
}
