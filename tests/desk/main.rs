//! Attacks on the desk, each by the bytes of its request.
//!
//! What must be refused is said by: Fetch Metadata Request Headers (W3C), Origin (RFC 6454),
//! cookies (RFC 6265bis: HttpOnly, SameSite), Content Security Policy Level 3, and for DNS rebinding
//! the Host of RFC 9110, 7.2.

#![cfg(unix)]

mod bounds;
mod door;

use door::Desk;
use std::os::unix::fs::symlink;

#[test]
fn a_desk_listens_on_the_loopback_only() {
    let desk = Desk::open();
    let sockets = std::fs::read_to_string("/proc/net/tcp").unwrap();
    let port = format!(":{:04X}", desk.port);
    let listening: Vec<&str> = sockets
        .lines()
        .filter_map(|line| line.split_whitespace().nth(1))
        .filter(|local| local.ends_with(&port))
        .collect();
    // 127.0.0.1, its bytes from the last to the first (proc(5)).
    assert!(!listening.is_empty());
    assert!(
        listening.iter().all(|l| l.starts_with("0100007F:")),
        "{listening:?}"
    );
}

#[test]
fn the_secret_is_long_and_works_once() {
    let mut desk = Desk::open();
    assert!(desk.key.len() == 64 && desk.key.bytes().all(|b| b.is_ascii_hexdigit()));
    let cookie = desk.begin();
    let again = desk.ask(&format!("GET /begin?key={}", desk.key), &[&desk.host()], "");
    assert_eq!(again.status, 401);
    assert!(again.header("set-cookie").is_none());
    let next = desk.next_key();
    assert_ne!(next, desk.key);
    let other = desk.ask(&format!("GET /begin?key={next}"), &[&desk.host()], "");
    assert_eq!(other.status, 303);
    let known = desk.ask(
        "GET /api/desk",
        &[&desk.host(), &format!("Cookie: {cookie}")],
        "",
    );
    assert_eq!(known.status, 200, "{}", known.body);
}

#[test]
fn the_cookie_is_out_of_reach_of_scripts_and_other_sites() {
    let desk = Desk::open();
    let answer = desk.ask(&format!("GET /begin?key={}", desk.key), &[&desk.host()], "");
    let cookie = answer.header("set-cookie").unwrap();
    assert!(
        cookie.contains("; HttpOnly") && cookie.contains("; SameSite=Strict"),
        "{cookie}"
    );
    assert!(!cookie.contains("Domain="), "{cookie}");
    assert_eq!(answer.header("location"), Some("/"));
    assert_eq!(answer.header("referrer-policy"), Some("no-referrer"));
}

#[test]
fn without_the_cookie_nothing_is_answered() {
    let desk = Desk::open();
    let cookie = desk.begin();
    let wrong = format!("Cookie: {}0", &cookie[..cookie.len() - 1]);
    let short = format!("Cookie: {}", &cookie[..cookie.len() - 1]);
    for headers in [
        vec![],
        vec![wrong.as_str()],
        vec![short.as_str()],
        vec!["Cookie: desk="],
    ] {
        for line in [
            "GET /",
            "GET /api/desk",
            "GET /api/file?path=site.toml",
            "GET /assets/desk.js",
            "GET /preview/a/index.html",
            "GET /nothing",
        ] {
            let host = desk.host();
            let all: Vec<&str> = [host.as_str()]
                .into_iter()
                .chain(headers.iter().copied())
                .collect();
            let answer = desk.ask(line, &all, "");
            // A cookie that happens to end in 0 is the true one.
            if headers.first().is_some_and(|h| h.ends_with(&cookie)) {
                continue;
            }
            assert_eq!(answer.status, 401, "{line} {headers:?}");
            assert!(!answer.body.contains("format = 1"));
        }
    }
}

/// The page asks in the language that is chosen there, by the header that HTTP has for it (RFC 9110, 12.5.4).
#[test]
fn refusals_are_told_in_the_language_that_is_asked_for() {
    let desk = Desk::open();
    let (host, cookie) = (desk.host(), format!("Cookie: {}", desk.begin()));
    let told = |language: &str| {
        let language = format!("Accept-Language: {language}");
        let headers = [host.as_str(), cookie.as_str(), language.as_str()];
        let answer = desk.ask("GET /api/nothing", &headers, "");
        assert_eq!(answer.status, 404);
        answer.body
    };
    assert!(told("en").contains("There is nothing at that address."));
    assert_eq!(told("fr, en;q=0.5"), told("en"));
    assert!(told("cy").contains("cyfeiriad"), "{}", told("cy"));
    assert_eq!(told("fr, cy-GB;q=0.5"), told("cy"));
}

#[test]
fn a_name_that_was_pointed_here_is_not_the_desk() {
    let desk = Desk::open();
    let cookie = format!("Cookie: {}", desk.begin());
    let port = desk.port;
    for host in [
        format!("Host: evil.example:{port}"),
        "Host: evil.example".to_owned(),
        format!("Host: 127.0.0.1.evil.example:{port}"),
        format!("Host: 127.0.0.1:{}", port.wrapping_add(1)),
        "Host: 127.0.0.1".to_owned(),
        format!("Host: 0.0.0.0:{port}"),
        format!("Host: 127.0.0.1:{port}\r\nHost: evil.example"),
    ] {
        let answer = desk.ask("GET /api/desk", &[&host, &cookie], "");
        assert!(
            matches!(answer.status, 400 | 421),
            "{host}: {}",
            answer.status
        );
        let begin = desk.ask(&format!("GET /begin?key={}", desk.key), &[&host], "");
        assert!(
            matches!(begin.status, 400 | 421),
            "{host}: {}",
            begin.status
        );
    }
    let answer = desk.ask("GET /api/desk", &[&cookie], "");
    assert!(matches!(answer.status, 400 | 421));
    let own = desk.ask(
        "GET /api/desk",
        &[&format!("Host: localhost:{port}"), &cookie],
        "",
    );
    assert_eq!(own.status, 200);
}

#[test]
fn other_pages_are_turned_away() {
    let desk = Desk::open();
    let (host, cookie) = (desk.host(), format!("Cookie: {}", desk.begin()));
    let save = r#"{"files":[{"path":"site.toml","version":null,"text":"taken over"}],"why":""}"#;
    let json = "Content-Type: application/json";
    // A form post needs no leave of the browser: simple content types (Fetch, CORS-safelisted).
    for kind in [
        "text/plain",
        "application/x-www-form-urlencoded",
        "multipart/form-data; boundary=x",
    ] {
        let form = format!("Content-Type: {kind}");
        let answer = desk.ask(
            "POST /api/save",
            &[
                &host,
                &cookie,
                "Origin: https://evil.example",
                "Sec-Fetch-Site: cross-site",
                &form,
            ],
            save,
        );
        assert_eq!(answer.status, 403, "{kind}");
    }
    let port = desk.port.wrapping_add(1);
    for origin in [
        "Origin: https://evil.example".to_owned(),
        "Origin: null".to_owned(),
        format!("Origin: http://127.0.0.1:{port}"),
        format!("Origin: https://127.0.0.1:{}", desk.port),
        format!("Origin: http://localhost:{}", desk.port),
    ] {
        assert_eq!(
            desk.ask("POST /api/save", &[&host, &cookie, &origin, json], save)
                .status,
            403,
            "{origin}"
        );
        assert_eq!(
            desk.ask("GET /api/desk", &[&host, &cookie, &origin], "")
                .status,
            403,
            "{origin}"
        );
    }
    // Without an Origin nothing is changed, and other ports of this machine are strangers too.
    assert_eq!(
        desk.ask("POST /api/save", &[&host, &cookie, json], save)
            .status,
        403
    );
    for site in ["cross-site", "same-site", "unheard-of"] {
        let fetched = format!("Sec-Fetch-Site: {site}");
        assert_eq!(
            desk.ask("GET /api/desk", &[&host, &cookie, &fetched], "")
                .status,
            403,
            "{site}"
        );
        assert_eq!(
            desk.ask(
                "POST /api/save",
                &[&host, &cookie, &desk.origin(), &fetched, json],
                save
            )
            .status,
            403
        );
    }
    assert_eq!(
        std::fs::read_to_string(desk.content().join("site.toml")).unwrap(),
        "format = 1\n"
    );
}

#[test]
fn every_answer_carries_a_strict_policy() {
    let desk = Desk::open();
    let (host, cookie) = (desk.host(), format!("Cookie: {}", desk.begin()));
    for line in [
        "GET /",
        "GET /api/desk",
        "GET /assets/desk.js",
        "GET /assets/desk.css",
        "GET /nothing",
        "GET /preview/a/b",
    ] {
        let answer = desk.ask(line, &[&host, &cookie], "");
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.starts_with("default-src 'none'"), "{line}: {policy}");
        assert!(
            !policy.contains("unsafe") && !policy.contains('*'),
            "{line}: {policy}"
        );
        let ancestors = if line.contains("preview") {
            "'self'"
        } else {
            "'none'"
        };
        assert!(
            policy.contains(&format!("frame-ancestors {ancestors}")),
            "{line}: {policy}"
        );
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("cache-control"), Some("no-store"));
        assert_eq!(
            answer.header("cross-origin-resource-policy"),
            Some("same-origin")
        );
        assert!(answer.header("access-control-allow-origin").is_none());
    }
    let page = desk.ask("GET /", &[&host, &cookie], "").body;
    // Nothing in the page itself that the policy would have to allow.
    assert!(!page.contains("style=") && !page.contains("onclick"));
    let scripts = page.matches("<script").count();
    assert_eq!(
        scripts,
        page.matches("<script src=\"/assets/desk.js\" defer></script>")
            .count()
    );
}

#[test]
fn paths_lead_nowhere_else() {
    let desk = Desk::open();
    let (host, origin, cookie) = (
        desk.host(),
        desk.origin(),
        format!("Cookie: {}", desk.begin()),
    );
    let outside = desk.folder.path().join("outside.md");
    std::fs::write(&outside, "secret").unwrap();
    std::fs::create_dir(desk.folder.path().join("elsewhere")).unwrap();
    symlink("../outside.md", desk.content().join("link.md")).unwrap();
    symlink("../elsewhere", desk.content().join("linked")).unwrap();
    for path in [
        "../outside.md",
        "..%2foutside.md",
        "%2e%2e/outside.md",
        "/etc/passwd",
        "a/../../outside.md",
        "link.md",
        "linked/en.md",
        "..\\\\outside.md",
        "site.toml%00.md",
        "C:/x.md",
        ".counterpart/x.md",
        "a//b.md",
        "./site.toml",
        "site.exe",
    ] {
        let read = desk.ask(&format!("GET /api/file?path={path}"), &[&host, &cookie], "");
        assert!(
            !read.body.contains("secret") && !read.body.contains("root:"),
            "{path}: {}",
            read.body
        );
        let plain = path
            .replace("%2f", "/")
            .replace("%2e", ".")
            .replace("%00", "\\u0000");
        let save = format!(
            r#"{{"files":[{{"path":"{plain}","version":null,"text":"taken over"}}],"why":""}}"#
        );
        let wrote = desk.ask("POST /api/save", &[&host, &cookie, &origin], &save);
        assert!(
            (400..500).contains(&wrote.status),
            "{path}: {} {}",
            wrote.status,
            wrote.body
        );
        let sent = desk.ask(
            &format!("POST /api/take-in?path={path}"),
            &[&host, &cookie, &origin],
            "taken over",
        );
        assert!(
            (400..500).contains(&sent.status),
            "{path}: {} {}",
            sent.status,
            sent.body
        );
        let binned = desk.ask(
            "POST /api/bin",
            &[&host, &cookie, &origin],
            &format!(r#"{{"path":"{plain}"}}"#),
        );
        assert!(
            path == "link.md" || (400..500).contains(&binned.status),
            "{path}: {}",
            binned.status
        );
        for line in [
            format!("GET /{path}"),
            format!("GET /preview/{path}"),
            format!("GET /assets/{path}"),
            format!("GET /api/picture?path={path}"),
        ] {
            let answer = desk.ask(&line, &[&host, &cookie], "");
            assert!(
                (400..500).contains(&answer.status),
                "{line}: {}",
                answer.status
            );
        }
    }
    assert_eq!(std::fs::read_to_string(&outside).unwrap(), "secret");
    assert_eq!(
        std::fs::read_dir(desk.folder.path().join("elsewhere"))
            .unwrap()
            .count(),
        0
    );
    assert!(!desk.folder.path().join("content/site.exe").exists());
}
