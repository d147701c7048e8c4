//! A browser without a window, by the protocol of the W3C (WebDriver), so that pages are looked at as people do.
//!
//! Uses `chromedriver` and `chromium` of the system. Where they are not installed a test says so and goes on; `HARNESS_BROWSER=required` makes that
//! a failure.

use serde_json::{Value, json};
use std::{
    io::{BufRead, BufReader, Read, Write},
    net::TcpStream,
    path::Path,
    process::{Child, Command, Stdio},
};

/// The variable by which the gate demands a browser.
const REQUIRED: &str = "HARNESS_BROWSER";

/// How long a script may take, in milliseconds.
const PATIENCE: u32 = 300_000;

/// What scripts that look for faults of a layout share: the faults `found`, and functions that look for some.
const LAYOUT: &str = r#"
const found = [];
const name = element => element.tagName + ' ' + element.textContent.trim().slice(0, 60);
// What is wider than the window or the sheet, but for what scrolls in one of these boxes.
const beyond = boxes => {
  const width = document.documentElement.clientWidth;
  for (const element of document.querySelectorAll('body *')) {
    if (boxes && element.closest(boxes + ', svg') && !element.matches(boxes)) continue;
    const box = element.getBoundingClientRect();
    if (box.width > 0 && box.right > width + 1) found.push('beyond the edge by ' + (box.right - width) + ': ' + name(element));
  }
};
// Cells of a row that run into each other.
const neighbours = rows => {
  for (const row of rows) {
    let right = -1e9;
    for (const cell of row.children) {
      const range = document.createRange();
      range.selectNodeContents(cell);
      const box = range.getBoundingClientRect();
      if (box.width === 0) continue;
      if (box.left < right - 0.5) found.push('runs into its neighbour: ' + name(cell));
      right = Math.max(right, box.right);
    }
  }
};
"#;

/// A session of a browser; it ends when this is dropped.
pub struct Browser {
    driver: Child,
    port: u16,
    session: String,
}

impl Browser {
    /// A browser, or `None` where none is installed.
    ///
    /// # Panics
    /// If one is demanded, or it does not answer.
    #[must_use]
    pub fn open() -> Option<Self> {
        let started = Command::new("chromedriver").arg("--port=0").stdout(Stdio::piped()).stderr(Stdio::null()).spawn();
        let Ok(mut driver) = started else {
            assert!(std::env::var_os(REQUIRED).is_none(), "a browser is demanded and chromedriver is not installed");
            // Written past the capture of the test runner: what was not looked at is not silent.
            writeln!(std::io::stderr(), "chromedriver is not installed: pages were not looked at in a browser")
                .expect("it is said");
            return None;
        };
        let output = BufReader::new(driver.stdout.take().expect("it has an output"));
        // "ChromeDriver was started successfully on port 40123."
        let port = output.lines().map_while(Result::ok).find_map(|line| {
            let (_, rest) = line.split_once("successfully on port ")?;
            rest.trim_end_matches('.').parse().ok()
        });
        let port = port.expect("the driver names its port");
        let arguments = ["--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-color-profile=srgb"];
        let wanted = json!({ "capabilities": { "alwaysMatch": {
            "goog:chromeOptions": { "args": arguments }, "goog:loggingPrefs": { "browser": "ALL", "performance": "ALL" } } } });
        let mut browser = Self { driver, port, session: String::new() };
        let session = browser.send("POST", "/session", Some(&wanted));
        browser.session = session["sessionId"].as_str().unwrap_or_else(|| panic!("no session: {session}")).to_owned();
        // Looking at all of a page takes long where several do so at once.
        browser.ask("POST", "/timeouts", &json!({ "script": PATIENCE }));
        Some(browser)
    }

    /// Opens a page from a file.
    pub fn show(&self, page: &Path) {
        let page = page.canonicalize().expect("the page is there");
        self.ask("POST", "/url", &json!({ "url": format!("file://{}", page.display()) }));
    }

    /// What a script gives back.
    #[must_use]
    pub fn run(&self, script: &str) -> Value {
        self.ask("POST", "/execute/sync", &json!({ "script": script, "args": [] }))
    }

    /// The first faults of a layout that a script finds with what [`LAYOUT`] has.
    #[must_use]
    pub fn faults(&self, script: &str) -> Value {
        self.run(&format!("{LAYOUT}{script}return [...new Set(found)].slice(0, 20);"))
    }

    /// Runs a script of which nothing is asked.
    pub fn act(&self, script: &str) {
        drop(self.run(script));
    }

    /// Makes the window so large.
    pub fn resize(&self, width: u32, height: u32) {
        let metrics = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        self.tell("Emulation.setDeviceMetricsOverride", &metrics);
    }

    /// Shows the page as it is on paper, or on a screen again.
    pub fn on_paper(&self, is_on_paper: bool) {
        self.tell("Emulation.setEmulatedMedia", &json!({ "media": if is_on_paper { "print" } else { "screen" } }));
    }

    /// The page as a PDF on paper of so many centimetres, in base 64.
    #[must_use]
    pub fn print(&self, (width, height): (f64, f64)) -> String {
        let page = json!({ "page": { "width": width, "height": height }, "background": true, "shrinkToFit": false });
        self.ask("POST", "/print", &page).as_str().expect("a PDF").to_owned()
    }

    /// What the browser complained of since it was last asked, without what is only information.
    #[must_use]
    pub fn complaints(&self) -> Vec<String> {
        let log = self.ask("POST", "/se/log", &json!({ "type": "browser" }));
        log.as_array().into_iter().flatten().map(|entry| entry["message"].as_str().unwrap_or("").to_owned()).collect()
    }

    /// The addresses that were asked for, other than the page itself.
    #[must_use]
    pub fn requests(&self) -> Vec<String> {
        let log = self.ask("POST", "/se/log", &json!({ "type": "performance" }));
        let messages = log.as_array().into_iter().flatten().filter_map(|entry| entry["message"].as_str().map(str::to_owned));
        let sent = messages.filter_map(|message| serde_json::from_str::<Value>(&message).ok());
        let sent = sent.filter(|message| message["message"]["method"] == "Network.requestWillBeSent");
        let addresses = sent.filter_map(|message| message["message"]["params"]["request"]["url"].as_str().map(str::to_owned));
        addresses.filter(|address| !address.starts_with("file:") && !address.starts_with("data:")).collect()
    }

    fn tell(&self, command: &str, parameters: &Value) {
        self.ask("POST", "/goog/cdp/execute", &json!({ "cmd": command, "params": parameters }));
    }

    fn ask(&self, method: &str, path: &str, body: &Value) -> Value {
        self.send(method, &format!("/session/{}{path}", self.session), Some(body))
    }

    fn send(&self, method: &str, path: &str, body: Option<&Value>) -> Value {
        let body = body.map(Value::to_string).unwrap_or_default();
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).expect("the driver listens");
        let head = format!(
            "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n",
            self.port,
            body.len()
        );
        stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(body.as_bytes())).expect("the driver takes a request");
        // The driver keeps the line open: what it answers is as long as its head says.
        let mut answer = BufReader::new(stream);
        let mut length = 0;
        loop {
            let mut line = String::new();
            answer.read_line(&mut line).expect("the driver answers");
            match line.trim_end().split_once(':') {
                Some((name, value)) if name.eq_ignore_ascii_case("content-length") => {
                    length = value.trim().parse().expect("a length")
                }
                Some(_) => {}
                None if line.trim_end().is_empty() => break,
                None => {}
            }
        }
        let mut body = vec![0; length];
        answer.read_exact(&mut body).expect("the whole answer");
        let text = &String::from_utf8_lossy(&body);
        let value: Value = serde_json::from_str(text).unwrap_or_else(|error| panic!("{path}: {error}: {text}"));
        let value = value["value"].clone();
        assert!(value.get("error").is_none(), "{path}: {}", value["message"]);
        value
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if !self.session.is_empty() && !std::thread::panicking() {
            self.send("DELETE", &format!("/session/{}", self.session), None);
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}
