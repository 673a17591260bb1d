//! The line to the browser: commands, answers and events of the DevTools Protocol, as JSON over a WebSocket.

use serde_json::{Value, json};
use std::net::TcpStream;
use std::time::Duration;
use tungstenite::protocol::WebSocketConfig;
use tungstenite::{Message, WebSocket};

/// For an answer: none takes so long, even on a loaded machine.
const PATIENCE: Duration = Duration::from_secs(120);
/// Longest message: a large screenshot as text.
const LONGEST: usize = 256 << 20;

pub(super) struct Line {
    socket: WebSocket<TcpStream>,
    n: u64,
    /// The page that commands go to; the browser itself, as long as there is none.
    pub(super) session: Option<String>,
    /// What the page told meanwhile, in order.
    pub(super) events: Vec<Value>,
}

impl Line {
    pub(super) fn open(port: u16, path: &str) -> Result<Self, String> {
        let stream = TcpStream::connect(("127.0.0.1", port)).map_err(|e| e.to_string())?;
        stream.set_read_timeout(Some(PATIENCE)).map_err(|e| e.to_string())?;
        stream.set_nodelay(true).map_err(|e| e.to_string())?;
        let config = WebSocketConfig::default().max_message_size(Some(LONGEST)).max_frame_size(Some(LONGEST));
        let address = format!("ws://127.0.0.1:{port}{path}");
        let (socket, _) = tungstenite::client::client_with_config(address, stream, Some(config))
            .map_err(|e| e.to_string())?;
        Ok(Self { socket, n: 0, session: None, events: Vec::new() })
    }

    /// Carries out a command of the page, or of the browser where there is no page yet.
    pub(super) fn call(&mut self, method: &str, with: &Value) -> Result<Value, String> {
        let session = self.session.clone();
        self.call_in(session.as_deref(), method, with)
    }

    /// Carries out a command of the browser itself.
    pub(super) fn call_browser(&mut self, method: &str, with: &Value) -> Result<Value, String> {
        self.call_in(None, method, with)
    }

    fn call_in(&mut self, session: Option<&str>, method: &str, with: &Value) -> Result<Value, String> {
        self.n += 1;
        let mut command = json!({ "id": self.n, "method": method, "params": with });
        if let Some(session) = session {
            command["sessionId"] = session.into();
        }
        let trouble = |e: tungstenite::Error| format!("{method}: the browser does not answer: {e}");
        self.socket.send(Message::text(command.to_string())).map_err(trouble)?;
        loop {
            let Message::Text(text) = self.socket.read().map_err(trouble)? else { continue };
            let mut told: Value = serde_json::from_str(&text).map_err(|e| e.to_string())?;
            if told["id"] == self.n {
                let error = &told["error"];
                return if error.is_null() {
                    Ok(told["result"].take())
                } else {
                    Err(format!("{method}: {error}"))
                };
            }
            if told["method"] == "Inspector.targetCrashed" {
                return Err(format!("{method}: the page crashed"));
            }
            self.events.push(told);
        }
    }
}
