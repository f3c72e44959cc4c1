//! Who may speak to the desk: the person at this machine, in a window that this desk opened, and
//! nobody else.
//!
//! A browser carries strangers' pages, and any of them may send requests to this machine. So a request
//! is answered only when all of these hold: it names this desk as its host (a name that was pointed
//! here meanwhile, DNS rebinding, does not); it comes from a page of the desk itself (Fetch Metadata
//! and Origin, W3C and RFC 6454), except for the first, which follows the address that was printed;
//! and it carries the cookie that was given for the secret in that address. The secret works once.

use axum::http::{HeaderMap, Method, StatusCode, header};
use std::sync::Mutex;

/// Random bytes in a secret: 256 bits.
const BYTES: usize = 32;

/// A secret, as hexadecimal digits.
#[derive(Clone)]
struct Secret(String);

impl Secret {
    fn new() -> Result<Self, getrandom::Error> {
        let mut bytes = [0u8; BYTES];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes.iter().map(|b| format!("{b:02x}")).collect()))
    }

    /// Compares every byte whatever the first difference, so that time tells nothing.
    fn is(&self, given: &str) -> bool {
        let (own, given) = (self.0.as_bytes(), given.as_bytes());
        own.len() == given.len()
            && own
                .iter()
                .zip(given)
                .fold(0u8, |unlike, (a, b)| unlike | (a ^ b))
                == 0
    }
}

/// Why a request is turned away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Turned {
    /// It names another host.
    Host,
    /// It comes from another page.
    Stranger,
    /// It has no cookie, or another's.
    Unknown,
}

impl Turned {
    /// Status and sentence of the answer.
    pub(super) fn answer(self) -> (StatusCode, &'static str) {
        match self {
            Self::Host => (
                StatusCode::MISDIRECTED_REQUEST,
                "This is not the address of the desk. Open the address that counterpart printed.",
            ),
            Self::Stranger => (
                StatusCode::FORBIDDEN,
                "The desk answers its own page only. Open the address that counterpart printed.",
            ),
            Self::Unknown => (
                StatusCode::UNAUTHORIZED,
                "The desk does not know this window. Open the newest address that counterpart printed; each opens one browser, once.",
            ),
        }
    }
}

/// Watches the door of one desk.
pub(super) struct Guard {
    port: u16,
    /// The secret of the next start address.
    start: Mutex<Secret>,
    /// What a known browser carries.
    cookie: Secret,
}

impl Guard {
    /// A guard for the desk on this port.
    pub(super) fn new(port: u16) -> Result<Self, getrandom::Error> {
        Ok(Self {
            port,
            start: Mutex::new(Secret::new()?),
            cookie: Secret::new()?,
        })
    }

    /// The address that opens the desk, once.
    pub(super) fn address(&self) -> String {
        let start = self.start.lock().unwrap_or_else(|e| e.into_inner());
        format!("http://127.0.0.1:{}/begin?key={}", self.port, start.0)
    }

    fn hosts(&self) -> [String; 2] {
        ["127.0.0.1", "localhost"].map(|name| format!("{name}:{}", self.port))
    }

    /// Whether the request names this desk.
    pub(super) fn host<'h>(&self, headers: &'h HeaderMap) -> Result<&'h str, Turned> {
        let mut given = headers.get_all(header::HOST).iter();
        let host = given.next().and_then(|h| h.to_str().ok());
        match (host, given.next()) {
            (Some(host), None) if self.hosts().iter().any(|own| own == host) => Ok(host),
            _ => Err(Turned::Host),
        }
    }

    /// Exchanges the secret of the start address for a cookie; the secret is spent by it.
    pub(super) fn begin(&self, headers: &HeaderMap, key: &str) -> Result<String, Turned> {
        self.host(headers)?;
        let mut start = self.start.lock().unwrap_or_else(|e| e.into_inner());
        if !start.is(key) {
            return Err(Turned::Unknown);
        }
        // Without randomness the spent secret stays as it is, but is known to nobody else.
        if let Ok(next) = Secret::new() {
            *start = next;
        }
        Ok(format!(
            "{}={}; HttpOnly; SameSite=Strict; Path=/",
            self.name(),
            self.cookie.0
        ))
    }

    /// Cookies do not know ports; the name keeps two desks apart.
    fn name(&self) -> String {
        format!("desk-{}", self.port)
    }

    /// Whether any other request may be answered.
    pub(super) fn admit(&self, method: &Method, headers: &HeaderMap) -> Result<(), Turned> {
        let host = self.host(headers)?;
        let text = |name: &str| {
            headers
                .get(name)
                .map(|value| value.to_str().unwrap_or("unreadable"))
        };
        // Other ports of this machine are of the same site, yet strangers.
        if text("sec-fetch-site").is_some_and(|site| site != "same-origin" && site != "none") {
            return Err(Turned::Stranger);
        }
        let own = format!("http://{host}");
        let changes = !matches!(*method, Method::GET | Method::HEAD);
        match text("origin") {
            Some(origin) if origin != own => return Err(Turned::Stranger),
            None if changes => return Err(Turned::Stranger),
            _ => {}
        }
        let name = self.name();
        let known = headers
            .get_all(header::COOKIE)
            .iter()
            .filter_map(|value| value.to_str().ok())
            .flat_map(|value| value.split(';'))
            .filter_map(|pair| pair.trim().split_once('='))
            .any(|(key, value)| key == name && self.cookie.is(value));
        if known { Ok(()) } else { Err(Turned::Unknown) }
    }
}
