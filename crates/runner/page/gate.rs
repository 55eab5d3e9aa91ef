//! Who may ask: the browser on this machine that was given the address with its key, and nobody else; and not too often.
//!
//! A page of another origin can make a browser send requests to this machine. What keeps it out: the name it must use for us
//! (Host, against names that are made to point here), its own Origin, and the key, which it cannot know.

use std::sync::{Mutex, PoisonError};
use std::time::Instant;

use axum::http::{HeaderMap, Method, StatusCode, header};

/// Header in which the page sends the key.
pub const KEY_HEADER: &str = "x-suncask-key";

/// Requests at once, and per second in the long run. A slider that is dragged asks some twenty times a second.
const BURST: f64 = 240.0;
const PER_SECOND: f64 = 120.0;

/// Why a request is turned away.
pub(super) type Refusal = (StatusCode, &'static str);

/// What a request must show.
#[derive(Debug)]
pub(super) struct Gate {
    hosts: [String; 2],
    key: String,
    bucket: Mutex<Bucket>,
}

impl Gate {
    /// The gate of a server on this port of loopback.
    pub(super) fn new(port: u16, key: String) -> Self {
        let hosts = ["127.0.0.1", "localhost"].map(|name| format!("{name}:{port}"));
        Self { hosts, key, bucket: Mutex::new(Bucket::full(Instant::now())) }
    }

    /// Lets a request for page or data pass, or says why not.
    pub(super) fn admit(&self, method: &Method, headers: &HeaderMap) -> Result<(), Refusal> {
        let mut hosts = headers.get_all(header::HOST).iter();
        let host = hosts.next().and_then(|host| host.to_str().ok());
        if hosts.next().is_some() || !host.is_some_and(|host| self.hosts.iter().any(|own| own == host)) {
            return Err((StatusCode::FORBIDDEN, "this is not the address that suncask page printed"));
        }
        let mut origins = headers.get_all(header::ORIGIN).iter();
        if !origins.all(|origin| self.own(origin.as_bytes())) {
            return Err((StatusCode::FORBIDDEN, "another page may not ask here"));
        }
        // Browsers say so themselves; where one does not, the checks above and the key stand.
        let site = headers.get("sec-fetch-site").map(|site| site.as_bytes());
        if site.is_some_and(|site| site != b"same-origin" && site != b"none") {
            return Err((StatusCode::FORBIDDEN, "another page may not ask here"));
        }
        if *method != Method::GET && *method != Method::HEAD && !self.holds_key(headers) {
            return Err((
                StatusCode::FORBIDDEN,
                "the key is missing: open the address that suncask page printed",
            ));
        }
        Ok(())
    }

    /// Counts a request; false if there were too many of late.
    pub(super) fn in_time(&self) -> bool {
        self.bucket.lock().unwrap_or_else(PoisonError::into_inner).take(Instant::now())
    }

    fn own(&self, origin: &[u8]) -> bool {
        origin
            .strip_prefix(b"http://")
            .is_some_and(|host| self.hosts.iter().any(|own| own.as_bytes() == host))
    }

    fn holds_key(&self, headers: &HeaderMap) -> bool {
        let given = headers.get(KEY_HEADER).map_or(&b""[..], |key| key.as_bytes());
        // All bytes are compared, so that the time taken tells nothing.
        let differs = given.iter().zip(self.key.as_bytes()).fold(0, |sum, (a, b)| sum | (a ^ b));
        given.len() == self.key.len() && differs == 0
    }
}

/// Requests that may still come at once.
#[derive(Debug)]
struct Bucket {
    left: f64,
    filled: Instant,
}

impl Bucket {
    fn full(now: Instant) -> Self {
        Self { left: BURST, filled: now }
    }

    fn take(&mut self, now: Instant) -> bool {
        let since_s = now.saturating_duration_since(self.filled).as_secs_f64();
        self.left = (self.left + since_s * PER_SECOND).min(BURST);
        self.filled = now;
        let any = self.left >= 1.0;
        if any {
            self.left -= 1.0;
        }
        any
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    fn asked(gate: &Gate, method: Method, headers: &[(&'static str, &str)]) -> bool {
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            map.append(*name, value.parse().expect("a header"));
        }
        gate.admit(&method, &map).is_ok()
    }

    #[test]
    fn only_the_own_page_with_its_key_may_ask() {
        let gate = Gate::new(4321, "abc".into());
        let host = ("host", "127.0.0.1:4321");
        let key = (KEY_HEADER, "abc");
        assert!(asked(&gate, Method::GET, &[host]));
        assert!(asked(&gate, Method::GET, &[("host", "localhost:4321")]));
        assert!(asked(&gate, Method::POST, &[host, key]));
        assert!(asked(&gate, Method::POST, &[host, key, ("origin", "http://127.0.0.1:4321")]));
        assert!(asked(&gate, Method::POST, &[host, key, ("sec-fetch-site", "same-origin")]));
        for wrong in [
            &[][..],
            &[("host", "suncask.example:4321"), key],
            &[("host", "127.0.0.1"), key],
            &[host, host, key],
            &[host],
            &[host, (KEY_HEADER, "ab")],
            &[host, (KEY_HEADER, "abd")],
            &[host, (KEY_HEADER, "abcd")],
            &[host, key, ("origin", "null")],
            &[host, key, ("origin", "http://127.0.0.1:4322")],
            &[host, key, ("origin", "https://127.0.0.1:4321")],
            &[host, key, ("origin", "http://127.0.0.1:4321"), ("origin", "http://other.example")],
            &[host, key, ("sec-fetch-site", "cross-site")],
            &[host, key, ("sec-fetch-site", "same-site")],
        ] {
            assert!(!asked(&gate, Method::POST, wrong), "{wrong:?}");
        }
    }

    #[test]
    fn a_burst_is_let_through_and_no_more_than_the_rate_behind_it() {
        let start = Instant::now();
        let mut bucket = Bucket::full(start);
        let passed = |bucket: &mut Bucket, at: Instant| (0..1000).filter(|_| bucket.take(at)).count();
        assert_eq!(passed(&mut bucket, start), BURST as usize);
        assert_eq!(passed(&mut bucket, start + Duration::from_secs(1)), PER_SECOND as usize);
        assert_eq!(passed(&mut bucket, start + Duration::from_secs(1)), 0);
        assert_eq!(passed(&mut bucket, start + Duration::from_secs(60)), BURST as usize);
    }
}
