//! The studio, served: its process, requests to it, and lines to it.

use crate::support::binary;
use serde_json::{Value, json};
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{Shutdown, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use tungstenite::client::IntoClientRequest as _;
use tungstenite::{Message, WebSocket};

/// A studio that is open.
pub(crate) struct Studio {
    child: Child,
    pub(crate) port: u16,
    pub(crate) key: String,
}

/// An answer: status, head, body.
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: String,
}

impl Studio {
    /// Opens a picture on any port that is free.
    pub(crate) fn open(folder: &Path) -> Self {
        Self::open_at(folder, 0)
    }

    /// Opens a picture on this port.
    pub(crate) fn open_at(folder: &Path, port: u16) -> Self {
        let mut child = Command::new(binary())
            .arg("open")
            .arg(folder)
            .args(["--no-open", "--port", &port.to_string()])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("http://127.0.0.1:").unwrap_or_else(|| panic!("{line}"));
        let (port, key) = address.split_once("/enter/").unwrap();
        Self { child, port: port.parse().unwrap(), key: key.to_owned() }
    }

    /// Ends it as a power cut would: nothing is said to it before.
    pub(crate) fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    pub(crate) fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    pub(crate) fn cookie(&self) -> String {
        format!("setpiece-{}={}", self.port, self.key)
    }

    /// One request, as these lines.
    pub(crate) fn ask(&self, lines: &[&str]) -> Answer {
        self.sent(&format!("{}\r\nConnection: close\r\n\r\n", lines.join("\r\n")), &[], false)
    }

    /// One request with a body. Where the lines promise a longer one it breaks off.
    pub(crate) fn ask_with(&self, lines: &[&str], body: &[u8]) -> Answer {
        let is_long = lines.iter().any(|l| l.starts_with("Content-Length:"));
        let length = if is_long { String::new() } else { format!("Content-Length: {}\r\n", body.len()) };
        self.sent(&format!("{}\r\n{length}Connection: close\r\n\r\n", lines.join("\r\n")), body, is_long)
    }

    /// Hands a file in as the page does.
    pub(crate) fn hand_in(&self, name: &str, body: &[u8]) -> Answer {
        let (host, cookie) = (format!("Host: {}", self.host()), format!("Cookie: {}", self.cookie()));
        let origin = format!("Origin: http://{}", self.host());
        self.ask_with(&[&format!("POST /hand-in/{name} HTTP/1.1"), &host, &cookie, &origin], body)
    }

    fn sent(&self, head: &str, body: &[u8], is_broken: bool) -> Answer {
        let mut stream = TcpStream::connect(self.host()).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        stream.write_all(head.as_bytes()).unwrap();
        // Whoever is refused at once does not listen to all of it.
        let _ = stream.write_all(body);
        if is_broken {
            let _ = stream.shutdown(Shutdown::Write);
        }
        let mut bytes = Vec::new();
        // Whoever is refused may find the line closed before all is said.
        let _ = stream.read_to_end(&mut bytes);
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
        let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
        Answer { status, head: head.to_lowercase(), body: body.to_owned() }
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        let (host, cookie) = (format!("Host: {}", self.host()), format!("Cookie: {}", self.cookie()));
        self.ask(&[&format!("GET {path} HTTP/1.1"), &host, &cookie])
    }

    /// A line to it, from this page, with this cookie.
    pub(crate) fn line(&self, origin: &str, cookie: &str) -> Result<Line, u16> {
        let mut request = format!("ws://{}/socket", self.host()).into_client_request().unwrap();
        let headers = request.headers_mut();
        headers.insert("origin", origin.parse().unwrap());
        headers.insert("cookie", cookie.parse().unwrap());
        let stream = TcpStream::connect(self.host()).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        match tungstenite::client(request, stream) {
            Ok((socket, _)) => Ok(Line { socket, n: 0 }),
            Err(tungstenite::HandshakeError::Failure(tungstenite::Error::Http(answer))) => {
                Err(answer.status().as_u16())
            }
            Err(e) => panic!("{e}"),
        }
    }

    pub(crate) fn own_line(&self) -> Line {
        self.line(&format!("http://{}", self.host()), &self.cookie()).unwrap()
    }
}

impl Drop for Studio {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A line to it, as a window has one.
pub(crate) struct Line {
    pub(crate) socket: WebSocket<TcpStream>,
    n: u32,
}

impl Line {
    pub(crate) fn send(&mut self, of: &Value) -> u32 {
        self.n += 1;
        self.socket.send(Message::text(json!({ "n": self.n, "of": of }).to_string())).unwrap();
        self.n
    }

    /// The next text.
    pub(crate) fn next(&mut self) -> Value {
        loop {
            if let Message::Text(text) = self.socket.read().unwrap() {
                return serde_json::from_str(&text).unwrap();
            }
        }
    }

    /// The next text that tells this.
    pub(crate) fn told(&mut self, tell: &str) -> Value {
        loop {
            let told = self.next();
            if told["tell"] == tell {
                return told;
            }
        }
    }

    /// The next text that answers the message of this number: that it is done, refused, or what was asked for.
    pub(crate) fn answer(&mut self, n: u32) -> Value {
        loop {
            let told = self.next();
            if told["n"] == n && told["tell"] != "going" {
                return told;
            }
        }
    }

    /// The next picture that is as fine as the screen: its head and its codes.
    pub(crate) fn screen(&mut self, is_wanted: impl Fn(&Value) -> bool) -> (Value, Vec<u8>) {
        loop {
            if let Message::Binary(bytes) = self.socket.read().unwrap() {
                let length = u32::from_le_bytes(bytes[..4].try_into().unwrap()) as usize;
                let head: Value = serde_json::from_slice(&bytes[4..4 + length]).unwrap();
                if is_wanted(&head) {
                    return (head, bytes[4 + length..].to_vec());
                }
            }
        }
    }
}
