//! Who is let in: whoever holds the key that was handed to the browser when the studio opened, from the studio's own page, by the
//! studio's own name.
//!
//! The page is served on the loopback address alone, but every program on the machine and every page in every browser window can
//! send requests there. The key keeps programs of others out, the origin keeps other pages out, and the host keeps out pages whose name was
//! made to point at this machine.

use axum::http::header::{COOKIE, HOST, ORIGIN};
use axum::http::{HeaderMap, Method, StatusCode};
use std::fmt;
use std::io::Write as _;
use std::path::Path;
use std::time::Duration;

/// Where it is kept in a cache, and for how long.
const KEPT: &str = "studio";
const YOUNG: Duration = Duration::from_secs(24 * 60 * 60);

/// A secret of the studio.
#[derive(Clone, PartialEq, Eq)]
pub(crate) struct Key(String);

impl Key {
    /// A new one, from the system's own random numbers.
    pub(crate) fn fresh() -> Result<Self, getrandom::Error> {
        let mut bytes = [0u8; 32];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes.iter().map(|b| format!("{b:02x}")).collect()))
    }

    /// The key and port that the studio had last, for a page that waits for it; none after a day.
    pub(crate) fn kept(cache: &Path) -> Option<(Self, u16)> {
        let path = cache.join(KEPT);
        let is_young = std::fs::metadata(&path).ok()?.modified().ok()?.elapsed().is_ok_and(|t| t < YOUNG);
        let text = std::fs::read_to_string(path).ok().filter(|_| is_young)?;
        let (port, key) = text.trim().split_once(' ')?;
        let is_key = key.len() == 64 && key.bytes().all(|b| b.is_ascii_hexdigit());
        is_key.then_some((Self(key.to_owned()), port.parse().ok()?))
    }

    /// Keeps it where the owner alone can read it. Where that cannot be, a page that waits has to be opened anew.
    pub(crate) fn keep(&self, cache: &Path, port: u16) {
        let path = cache.join(KEPT);
        let _ = std::fs::remove_file(&path);
        let mut options = std::fs::OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        if let Ok(mut file) = options.open(path) {
            let _ = writeln!(file, "{port} {}", self.0);
        }
    }

    pub(crate) fn text(&self) -> &str {
        &self.0
    }

    /// Whether a text is the key. Takes as long for any text of its length.
    pub(crate) fn is(&self, text: &str) -> bool {
        let (a, b) = (self.0.as_bytes(), text.as_bytes());
        a.len() == b.len() && a.iter().zip(b).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
    }
}

/// Does not show it.
impl fmt::Debug for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Key")
    }
}

/// Why somebody is not let in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Refusal {
    /// By another name than the studio's.
    Host,
    /// From another page.
    Origin,
    /// Without the key.
    Key,
}

impl Refusal {
    pub(crate) const fn status(self) -> StatusCode {
        match self {
            Self::Host => StatusCode::MISDIRECTED_REQUEST,
            Self::Origin => StatusCode::FORBIDDEN,
            Self::Key => StatusCode::UNAUTHORIZED,
        }
    }

    pub(crate) const fn says(self) -> &'static str {
        match self {
            Self::Host => "The studio answers by its own name alone: open the address that it printed.\n",
            Self::Origin => "Another page asked for this, and the studio answers its own alone.\n",
            Self::Key => {
                "Open the studio by the whole address that it printed when it started: it holds the key.\n"
            }
        }
    }
}

/// The door of the studio on one port.
#[derive(Clone, Debug)]
pub(crate) struct Door {
    key: Key,
    port: u16,
}

impl Door {
    pub(crate) const fn new(key: Key, port: u16) -> Self {
        Self { key, port }
    }

    /// Where the browser goes first.
    pub(crate) fn address(&self) -> String {
        format!("http://127.0.0.1:{}/enter/{}", self.port, self.key.text())
    }

    pub(crate) const fn key(&self) -> &Key {
        &self.key
    }

    /// Cookies do not tell ports apart: two studios at once need two names.
    fn cookie_name(&self) -> String {
        format!("setpiece-{}", self.port)
    }

    /// What the browser is given to show on every request: never to scripts, never from other pages.
    pub(crate) fn cookie(&self) -> String {
        format!("{}={}; Path=/; HttpOnly; SameSite=Strict", self.cookie_name(), self.key.text())
    }

    /// Whether a request comes by the studio's name and from no other page. Reading needs no origin, for browsers send none with it.
    pub(crate) fn is_ours(&self, method: &Method, headers: &HeaderMap) -> Result<(), Refusal> {
        let one = |name| {
            let mut all = headers.get_all(name).iter();
            let first = all.next().map(|v| v.to_str().unwrap_or_default());
            (first, all.next().is_some())
        };
        let names = [format!("127.0.0.1:{}", self.port), format!("localhost:{}", self.port)];
        let (host, again) = one(HOST);
        let host = host.filter(|host| !again && names.iter().any(|n| n == host)).ok_or(Refusal::Host)?;
        match one(ORIGIN) {
            (None, _) if [Method::GET, Method::HEAD].contains(method) => Ok(()),
            (Some(origin), false) if origin == format!("http://{host}") => Ok(()),
            _ => Err(Refusal::Origin),
        }
    }

    /// Whether a request may be answered.
    pub(crate) fn lets_in(&self, method: &Method, headers: &HeaderMap) -> Result<(), Refusal> {
        self.is_ours(method, headers)?;
        let name = self.cookie_name();
        let cookies = headers.get_all(COOKIE).iter().filter_map(|v| v.to_str().ok());
        let mut pairs = cookies.flat_map(|all| all.split(';')).filter_map(|pair| pair.trim().split_once('='));
        if pairs.any(|(n, value)| n == name && self.key.is(value)) { Ok(()) } else { Err(Refusal::Key) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::{HeaderName, HeaderValue};

    fn headers(all: &[(HeaderName, &str)]) -> HeaderMap {
        all.iter().map(|(n, v)| (n.clone(), HeaderValue::from_str(v).unwrap())).collect()
    }

    fn door() -> Door {
        Door::new(Key("k".repeat(64)), 4711)
    }

    #[test]
    fn keys_differ_and_are_long() {
        let (a, b) = (Key::fresh().unwrap(), Key::fresh().unwrap());
        assert!(a != b && a.text().len() == 64 && a.is(a.text()) && !a.is(b.text()) && !a.is(""));
        assert!(!format!("{a:?}").contains(a.text()));
    }

    #[test]
    fn who_has_the_key_and_comes_from_the_studios_page_is_let_in() {
        let cookie = format!("other=1; setpiece-4711={}", "k".repeat(64));
        let name = (HOST, "127.0.0.1:4711");
        let here = (ORIGIN, "http://127.0.0.1:4711");
        let (get, post) = (Method::GET, Method::POST);
        let ask = |method: &Method, all: &[(HeaderName, &str)]| door().lets_in(method, &headers(all));
        assert_eq!(ask(&get, &[name.clone(), (COOKIE, &cookie)]), Ok(()));
        assert_eq!(ask(&post, &[name.clone(), here.clone(), (COOKIE, &cookie)]), Ok(()));
        assert_eq!(
            ask(&post, &[(HOST, "localhost:4711"), (ORIGIN, "http://localhost:4711"), (COOKIE, &cookie)]),
            Ok(())
        );
        for host in ["127.0.0.1", "127.0.0.1:4712", "setpiece.example:4711", "127.0.0.1:4711.example", ""] {
            assert_eq!(ask(&get, &[(HOST, host), (COOKIE, &cookie)]), Err(Refusal::Host), "{host}");
        }
        assert_eq!(ask(&get, &[(COOKIE, &cookie)]), Err(Refusal::Host));
        let twice = [name.clone(), (HOST, "a.example"), (COOKIE, cookie.as_str())];
        let mut both = headers(&twice[..1]);
        both.append(HOST, HeaderValue::from_static("a.example"));
        assert_eq!(door().lets_in(&get, &both), Err(Refusal::Host));
        for origin in ["http://a.example", "null", "https://127.0.0.1:4711", "http://localhost:4711", ""] {
            let all = [name.clone(), (ORIGIN, origin), (COOKIE, cookie.as_str())];
            assert_eq!(ask(&get, &all), Err(Refusal::Origin), "{origin}");
            assert_eq!(ask(&post, &all), Err(Refusal::Origin), "{origin}");
        }
        assert_eq!(ask(&post, &[name.clone(), (COOKIE, &cookie)]), Err(Refusal::Origin));
        for cookie in ["", "setpiece-4711=", "setpiece-4711=k", "setpiece-4712=kkkk", "kkkk"] {
            assert_eq!(ask(&get, &[name.clone(), (COOKIE, cookie)]), Err(Refusal::Key), "{cookie}");
        }
        assert_eq!(ask(&get, &[name]), Err(Refusal::Key));
    }
}
