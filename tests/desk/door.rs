//! A desk on a folder of its own, and requests byte by byte, as an attacker would send them.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use tempfile::TempDir;

/// Longest wait for an answer.
const PATIENCE: Duration = Duration::from_secs(10);

pub(crate) struct Desk {
    pub(crate) folder: TempDir,
    pub(crate) port: u16,
    pub(crate) key: String,
    lines: BufReader<std::process::ChildStdout>,
    child: Child,
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: String,
}

impl Answer {
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (key, value) = line.split_once(':')?;
            key.eq_ignore_ascii_case(name).then(|| value.trim())
        })
    }
}

impl Desk {
    pub(crate) fn open() -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join("content")).unwrap();
        std::fs::write(folder.path().join("content/site.toml"), "format = 1\n").unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_counterpart"))
            .args(["desk", "content", "--json"])
            .current_dir(folder.path())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap());
        let (port, key) = address(&mut lines);
        Self {
            folder,
            port,
            key,
            lines,
            child,
        }
    }

    pub(crate) fn content(&self) -> PathBuf {
        self.folder.path().join("content")
    }

    /// The address that is printed once the last has been used.
    pub(crate) fn next_key(&mut self) -> String {
        address(&mut self.lines).1
    }

    pub(crate) fn raw(&self, request: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        // Whoever waits for ever has failed.
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.set_write_timeout(Some(PATIENCE)).unwrap();
        // The answer may come, and the door be shut, before everything is said.
        let _ = stream.write_all(request);
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let all = String::from_utf8_lossy(&all).into_owned();
        let (head, body) = all.split_once("\r\n\r\n").unwrap_or((&all, ""));
        let status = head.split(' ').nth(1).and_then(|s| s.parse().ok());
        Answer {
            status: status.unwrap_or(0),
            head: head.to_owned(),
            body: body.to_owned(),
        }
    }

    /// Sends the beginning of a request and goes away.
    pub(crate) fn cut_off(&self, request: &[u8]) {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.write_all(request).unwrap();
    }

    /// A request with these lines after the first, and `Connection: close`.
    pub(crate) fn ask(&self, line: &str, headers: &[&str], body: &str) -> Answer {
        let mut text = format!("{line} HTTP/1.1\r\nConnection: close\r\n");
        for header in headers {
            text += &format!("{header}\r\n");
        }
        if !body.is_empty() {
            text += &format!("Content-Length: {}\r\n", body.len());
        }
        self.raw(format!("{text}\r\n{body}").as_bytes())
    }

    pub(crate) fn host(&self) -> String {
        format!("Host: 127.0.0.1:{}", self.port)
    }

    pub(crate) fn origin(&self) -> String {
        format!("Origin: http://127.0.0.1:{}", self.port)
    }

    /// The cookie for the start secret.
    pub(crate) fn begin(&self) -> String {
        let answer = self.ask(&format!("GET /begin?key={}", self.key), &[&self.host()], "");
        assert_eq!(answer.status, 303, "{}", answer.head);
        let cookie = answer.header("set-cookie").unwrap();
        cookie.split(';').next().unwrap().to_owned()
    }
}

fn address(lines: &mut BufReader<std::process::ChildStdout>) -> (u16, String) {
    let mut line = String::new();
    lines.read_line(&mut line).unwrap();
    let said: serde_json::Value = serde_json::from_str(&line).unwrap();
    let address = said["open"].as_str().unwrap();
    let (before, key) = address.split_once("/begin?key=").unwrap();
    let port = before.strip_prefix("http://127.0.0.1:").unwrap();
    (port.parse().unwrap(), key.to_owned())
}
