//! A real browser without a window, driven as a person would: by mouse, pen and keys. It speaks the DevTools Protocol.
//!
//! What a page says on its console as an error, and what it does not catch, fails the test when the browser is dropped.

mod hands;
mod line;

pub(crate) use hands::{Pen, Point};

use line::Line;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// For whatever is waited for: generous, so that only what never comes fails.
const PATIENCE: Duration = Duration::from_secs(90);
/// Between two looks.
const AGAIN: Duration = Duration::from_millis(20);

/// What it is started with besides its profile: nothing of it needs a screen, a network or a lasting home.
const ARGUMENTS: [&str; 14] = [
    "--headless",
    "--remote-debugging-port=0",
    "--no-sandbox",
    "--no-first-run",
    "--no-default-browser-check",
    "--disable-gpu",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--disable-backgrounding-occluded-windows",
    "--disable-renderer-backgrounding",
    "--force-color-profile=srgb",
];

/// A browser with one page.
pub(crate) struct Browser {
    child: Child,
    line: Line,
    /// Taken away with it.
    _profile: TempDir,
    actions: u32,
    forgiven: Vec<String>,
    /// Screen pixels to a CSS pixel.
    density: f64,
    /// Where the mouse is, and whether its button is down.
    hand: (Point, bool),
}

/// Lets a page note what it says to the studio and hears of it: the last messages, by their heads.
const OVERHEARD: &str = r"
    (() => {
        const all = (window.overheard = []);
        const note = (way, text) => {
            all.push(`${Math.round(performance.now())} ${way} ${text.slice(0, 220)}`);
            if (all.length > 80) all.shift();
        };
        const head = (bytes) => new TextDecoder().decode(new Uint8Array(bytes, 4, new DataView(bytes).getUint32(0, true)));
        const send = WebSocket.prototype.send;
        WebSocket.prototype.send = function (text) { note('>', String(text)); return send.call(this, text); };
        const heard = Object.getOwnPropertyDescriptor(WebSocket.prototype, 'onmessage');
        Object.defineProperty(WebSocket.prototype, 'onmessage', { ...heard, set(take) {
            heard.set.call(this, (e) => { note('<', typeof e.data === 'string' ? e.data : head(e.data)); take.call(this, e); });
        } });
    })()";

impl Browser {
    /// Starts one with a fresh profile, or says that the test is left out where there is none.
    pub(crate) fn start() -> Option<Self> {
        let Some(program) = xtask::tools::browser() else {
            let hint = format!("no browser: install chromium, or name one by {}", xtask::tools::BROWSER);
            assert!(!xtask::tools::must_not_be_left_out("browser"), "{hint}");
            let test = std::thread::current().name().unwrap_or("a test").to_owned();
            println!("skipped: the studio in a browser, {test} ({hint})");
            return None;
        };
        let _ = fs::remove_file(failure());
        Some(Self::started(&program).unwrap_or_else(|e| panic!("{}: {e}", program.display())))
    }

    fn started(program: &Path) -> Result<Self, String> {
        let profile = tempfile::tempdir().map_err(|e| e.to_string())?;
        let log = fs::File::create(profile.path().join("log.txt")).map_err(|e| e.to_string())?;
        let mut child = Command::new(program)
            .args(ARGUMENTS)
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .arg("about:blank")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(log)
            .spawn()
            .map_err(|e| e.to_string())?;
        match page(&mut child, profile.path()) {
            Ok(line) => {
                let hand = (Point { x: 0.0, y: 0.0 }, false);
                let (actions, forgiven, density) = (0, Vec::new(), 1.0);
                let mut browser = Self { child, line, _profile: profile, actions, forgiven, density, hand };
                browser
                    .line
                    .call("Page.addScriptToEvaluateOnNewDocument", &json!({ "source": OVERHEARD }))?;
                Ok(browser)
            }
            Err(e) => {
                let _ = child.kill();
                let _ = child.wait();
                let log = fs::read_to_string(profile.path().join("log.txt")).unwrap_or_default();
                Err(format!("{e}\n{log}"))
            }
        }
    }

    #[track_caller]
    fn call(&mut self, method: &str, with: Value) -> Value {
        self.line.call(method, &with).unwrap_or_else(|e| panic!("{e}"))
    }

    /// Goes to an address, and waits until the page is there.
    #[track_caller]
    pub(crate) fn open(&mut self, address: &str) {
        let went = self.call("Page.navigate", json!({ "url": address }));
        assert!(went["errorText"].is_null(), "{address}: {}", went["errorText"]);
        self.wait("document.readyState === 'complete'");
    }

    /// Gives the window a size in CSS pixels, and a number of screen pixels to each.
    #[track_caller]
    pub(crate) fn resize(&mut self, width: u32, height: u32, density: f64) {
        self.density = density;
        let size = json!({ "width": width, "height": height, "deviceScaleFactor": density, "mobile": false });
        self.call("Emulation.setDeviceMetricsOverride", size);
        self.wait(&format!(
            "innerWidth === {width} && innerHeight === {height} && devicePixelRatio === {density}"
        ));
    }

    /// The value of an expression, which may be a promise of it.
    #[track_caller]
    pub(crate) fn evaluate(&mut self, expression: &str) -> Value {
        self.evaluated(expression).unwrap_or_else(|e| panic!("{e}"))
    }

    fn evaluated(&mut self, expression: &str) -> Result<Value, String> {
        let with = json!({ "expression": expression, "returnByValue": true, "awaitPromise": true });
        let mut told = self.line.call("Runtime.evaluate", &with)?;
        match &told["exceptionDetails"] {
            Value::Null => Ok(told["result"]["value"].take()),
            details => Err(format!("{expression}: {}", thrown(details))),
        }
    }

    /// Waits until an expression is true; what throws is not yet.
    #[track_caller]
    pub(crate) fn wait(&mut self, expression: &str) {
        let since = Instant::now();
        loop {
            let found = self.evaluated(&format!("!!({expression})"));
            if found == Ok(Value::Bool(true)) {
                return;
            }
            if since.elapsed() > PATIENCE {
                let text = self.evaluated("document.body.innerText").unwrap_or_default();
                panic!("not within {PATIENCE:?}: {expression} (last: {found:?})\nthe page shows: {text}");
            }
            std::thread::sleep(AGAIN);
        }
    }

    /// Waits until a text can be read within what a selector finds first.
    #[track_caller]
    pub(crate) fn wait_for_text(&mut self, selector: &str, text: &str) {
        let (selector, text) = (Value::from(selector), Value::from(text));
        self.wait(&format!("document.querySelector({selector}).textContent.includes({text})"));
    }

    /// The text of what a selector finds first.
    #[track_caller]
    pub(crate) fn text(&mut self, selector: &str) -> String {
        let selector = Value::from(selector);
        let text = self.evaluate(&format!("document.querySelector({selector})?.textContent"));
        text.as_str().unwrap_or_else(|| panic!("nothing is found by {selector}")).to_owned()
    }

    /// What is to be seen, as a PNG file.
    #[track_caller]
    pub(crate) fn screenshot(&mut self, file: &Path) {
        let mut shot = self.call("Page.captureScreenshot", json!({ "format": "png" }));
        fs::write(file, decoded(&shot["data"].take())).unwrap();
    }

    /// A canvas, to the pixel, as a PNG file.
    #[track_caller]
    pub(crate) fn canvas(&mut self, selector: &str, file: &Path) {
        let selector = Value::from(selector);
        let address = self.evaluate(&format!("document.querySelector({selector}).toDataURL('image/png')"));
        let codes = address.as_str().unwrap().split_once(',').unwrap().1;
        fs::write(file, decoded(&codes.into())).unwrap();
    }

    /// Troubles with these words are expected, and fail no test.
    pub(crate) fn forgive(&mut self, words: &str) {
        self.forgiven.push(words.to_owned());
    }

    /// Errors on the console and exceptions that nobody caught, so far.
    pub(crate) fn troubles(&mut self) -> Vec<String> {
        // Whatever was told before this answer is there with it.
        let _ = self.evaluated("0");
        let all = self.line.events.iter().filter_map(trouble);
        all.filter(|t| !self.forgiven.iter().any(|words| t.contains(words))).collect()
    }

    /// What a person would have done so far: clicks, drags, entries typed, keys and turns of the wheel, one each.
    pub(crate) const fn actions(&self) -> u32 {
        self.actions
    }

    fn failed(&mut self) {
        let file = failure();
        if let Ok(mut shot) = self.line.call("Page.captureScreenshot", &json!({ "format": "png" })) {
            let _ = fs::write(&file, decoded(&shot["data"].take()));
            println!("as it was when it failed: {}", file.display());
        }
        let said = self.evaluated("window.overheard?.join('\\n')").unwrap_or_default();
        println!("what was said on the line last:\n{}", said.as_str().unwrap_or_default());
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let is_failed = std::thread::panicking();
        let troubles = self.troubles();
        if is_failed || !troubles.is_empty() {
            self.failed();
        }
        let _ = self.line.call_browser("Browser.close", &json!({}));
        let since = Instant::now();
        while since.elapsed() < PATIENCE && matches!(self.child.try_wait(), Ok(None)) {
            std::thread::sleep(AGAIN);
        }
        let _ = self.child.kill();
        let _ = self.child.wait();
        let all = troubles.join("\n");
        if is_failed {
            println!("troubles in the page:\n{all}");
        } else {
            assert!(troubles.is_empty(), "troubles in the page:\n{all}");
        }
    }
}

/// Where pictures of the page go, to be looked at.
pub(crate) fn screens() -> PathBuf {
    // The test itself lies in TARGET/PROFILE/deps.
    let test = std::env::current_exe().unwrap();
    let folder = test.ancestors().nth(3).unwrap().join("studio-screens");
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// Where the page is seen as it was when this thread's test failed.
fn failure() -> PathBuf {
    let test = std::thread::current().name().unwrap_or("test").replace("::", "-");
    screens().join(format!("failed-{test}.png"))
}

/// A line to a new page of a browser that starts.
fn page(child: &mut Child, profile: &Path) -> Result<Line, String> {
    let (port, path) = door(child, profile)?;
    let mut line = Line::open(port, &path)?;
    let opened = line.call("Target.createTarget", &json!({ "url": "about:blank" }))?;
    let with = json!({ "targetId": opened["targetId"], "flatten": true });
    let attached = line.call("Target.attachToTarget", &with)?;
    line.session = attached["sessionId"].as_str().map(str::to_owned);
    for domain in ["Page", "Runtime", "Log", "Inspector", "DOM"] {
        line.call(&format!("{domain}.enable"), &json!({}))?;
    }
    // A page that believes that it is looked at: keys go to it, and what it draws is drawn.
    line.call("Emulation.setFocusEmulationEnabled", &json!({ "enabled": true }))?;
    Ok(line)
}

/// Where a browser that starts can be spoken to: it writes that down when it is ready.
fn door(child: &mut Child, profile: &Path) -> Result<(u16, String), String> {
    let since = Instant::now();
    while since.elapsed() < PATIENCE {
        let written = fs::read_to_string(profile.join("DevToolsActivePort")).unwrap_or_default();
        if let Some((port, path)) = written.split_once('\n')
            && let (Ok(port), true) = (port.parse(), path.starts_with('/'))
        {
            return Ok((port, path.trim().to_owned()));
        }
        if let Ok(Some(status)) = child.try_wait() {
            return Err(format!("it ended at once: {status}"));
        }
        std::thread::sleep(AGAIN);
    }
    Err(format!("it does not start within {PATIENCE:?}"))
}

fn decoded(text: &Value) -> Vec<u8> {
    data_encoding::BASE64.decode(text.as_str().unwrap().as_bytes()).unwrap()
}

/// What an event tells of a trouble.
fn trouble(event: &Value) -> Option<String> {
    let with = &event["params"];
    match event["method"].as_str()? {
        "Runtime.exceptionThrown" => Some(thrown(&with["exceptionDetails"])),
        "Runtime.consoleAPICalled" if with["type"] == "error" || with["type"] == "assert" => {
            let words = with["args"].as_array()?.iter().map(|arg| match &arg["value"] {
                Value::Null => arg["description"].to_string(),
                Value::String(text) => text.clone(),
                other => other.to_string(),
            });
            Some(words.collect::<Vec<_>>().join(" "))
        }
        "Log.entryAdded" if with["entry"]["level"] == "error" => {
            let entry = &with["entry"];
            let text = |key: &str| entry[key].as_str().unwrap_or_default();
            Some(format!("{} {}", text("text"), text("url")))
        }
        _ => None,
    }
}

/// What was thrown, and where.
fn thrown(details: &Value) -> String {
    let what = details["exception"]["description"].as_str().or(details["text"].as_str());
    format!("{} ({}:{})", what.unwrap_or("thrown"), details["url"], details["lineNumber"])
}
