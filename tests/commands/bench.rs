//! `bench`: who is let in, what is served, how the page follows the plan, what is tried and what is written.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::Bench as Folder;

/// A debug build on a busy machine needs its time.
const SOON: Duration = Duration::from_mins(1);

/// A page that is served from a folder.
struct Served {
    folder: Folder,
    child: Child,
    port: u16,
    token: String,
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What a request got.
struct Got {
    status: u16,
    head: String,
    body: String,
}

impl Got {
    fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|e| panic!("{e}: {}", self.body))
    }
}

impl Served {
    fn new() -> Self {
        let folder = Folder::new();
        let mut command = folder.command(&["bench", "plan.toml"]);
        let mut child = command.stdout(Stdio::piped()).spawn().unwrap_or_else(|e| panic!("{e}"));
        let out = child.stdout.take().unwrap_or_else(|| panic!("no output"));
        let mut line = String::new();
        BufReader::new(out).read_line(&mut line).unwrap_or_else(|e| panic!("{e}"));
        let address = line.split("http://127.0.0.1:").nth(1).unwrap_or_else(|| panic!("{line}"));
        let (port, rest) = address.split_once('/').unwrap_or_else(|| panic!("{line}"));
        let token = rest.trim().trim_end_matches('/').to_owned();
        Self { folder, child, port: port.parse().unwrap_or_else(|e| panic!("{e}: {line}")), token }
    }

    /// A request as raw text, so that nothing corrects it on the way.
    fn raw(&self, request: &str) -> Got {
        let mut stream =
            TcpStream::connect(("127.0.0.1", self.port)).unwrap_or_else(|e| panic!("{e}"));
        let _ = stream.set_read_timeout(Some(SOON));
        stream.write_all(request.as_bytes()).unwrap_or_else(|e| panic!("{e}"));
        let mut answer = String::new();
        let _ = stream.read_to_string(&mut answer);
        let (head, body) = answer.split_once("\r\n\r\n").unwrap_or((&answer, ""));
        let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
        Got { status, head: head.to_lowercase(), body: body.to_owned() }
    }

    fn get(&self, path: &str) -> Got {
        let (port, token) = (self.port, &self.token);
        self.raw(&format!(
            "GET /{token}/{path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n"
        ))
    }

    fn post(&self, path: &str, body: &Value) -> Got {
        let origin = format!("http://127.0.0.1:{}", self.port);
        self.post_from(path, &body.to_string(), &origin)
    }

    fn post_from(&self, path: &str, body: &str, origin: &str) -> Got {
        let (port, token, length) = (self.port, &self.token, body.len());
        self.raw(&format!(
            "POST /{token}/{path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nOrigin: {origin}\r\n\
             Content-Type: application/json\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n{body}"
        ))
    }

    /// The book as soon as it is as wanted.
    fn wait(&self, wanted: impl Fn(&Value) -> bool) -> Value {
        let begun = Instant::now();
        loop {
            let book = self.get("book").json();
            if wanted(&book) {
                return book;
            }
            assert!(begun.elapsed() < SOON, "never came: {}", book["problems"]);
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

#[test]
fn only_this_machine_with_the_token_is_let_in() {
    let served = Served::new();
    let (port, token) = (served.port, served.token.clone());
    assert_eq!(token.len(), 32);
    let page = served.get("");
    assert_eq!(page.status, 200, "{}", page.head);
    for header in
        ["content-security-policy: default-src 'none'", "nosniff", "no-referrer", "no-store"]
    {
        assert!(page.head.contains(header), "{header}: {}", page.head);
    }
    let ask = |path: &str, host: &str| {
        served
            .raw(&format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"))
            .status
    };
    let home = format!("127.0.0.1:{port}");
    assert_eq!(ask("/", &home), 404);
    assert_eq!(ask("/book", &home), 404);
    assert_eq!(ask(&format!("/{}/book", "0".repeat(32)), &home), 404);
    assert_eq!(ask(&format!("/{token}/book"), "evil.example"), 404);
    assert_eq!(ask(&format!("/{token}/book"), &format!("evil.example:{port}")), 404);
    for path in [
        "../plan.toml",
        "%2e%2e/plan.toml",
        "..%2fplan.toml",
        "plan.toml",
        "/etc/passwd",
        "tables/",
    ] {
        let got = served.get(path);
        assert!(got.status >= 400, "{path}: {}", got.status);
        assert!(!got.body.contains("length_unit") && !got.body.contains("root:"), "{path}");
    }
    for origin in ["https://evil.example", "null", "http://127.0.0.1:1"] {
        assert_eq!(served.post_from("what-if", "[]", origin).status, 404, "{origin}");
    }
    assert_eq!(
        served.post_from("write", &"[".repeat(200_000), &format!("http://{home}")).status,
        413
    );
    for broken in ["{", "[{", "7", ""] {
        let status = served.post_from("what-if", broken, &format!("http://{home}")).status;
        assert!(matches!(status, 400 | 422), "{broken}: {status}");
    }
}

#[test]
fn the_page_follows_the_file_and_survives_a_broken_one() {
    let served = Served::new();
    let text = served.folder.read("plan.toml");
    let first = served.wait(|b| b["book"]["parts"].is_array());
    let edition = first["book"]["edition"].clone();
    served.folder.write("plan.toml", &text.replacen("[plan]", "# looked over\n[plan]", 1));
    let second = served.wait(|b| b["book"]["edition"] != edition);
    let digest = |book: &Value, id: &str| {
        let parts = book["book"]["parts"].as_array().cloned().unwrap_or_default();
        parts.into_iter().find(|p| p["id"] == id).map(|p| p["digest"].clone())
    };
    // A comment changes no figure, only the edition that the front page and the cards name.
    assert_eq!(digest(&first, "cut"), digest(&second, "cut"));
    served.folder.write("plan.toml", &format!("{text}\n[[line]]\nid = 7\n"));
    let broken = served.wait(|b| b["problems"].as_array().is_some_and(|p| !p.is_empty()));
    assert!(
        broken["problems"][0]["line"].as_u64().is_some_and(|l| l > 10),
        "{}",
        broken["problems"]
    );
    assert_eq!(broken["book"]["edition"], second["book"]["edition"], "the last good book is gone");
    std::fs::remove_file(served.folder.path("plan.toml")).unwrap_or_else(|e| panic!("{e}"));
    served.wait(|b| b["problems"][0]["message"].as_str().is_some_and(|m| m.contains("no file")));
    served.folder.write("plan.toml", &text);
    served.wait(|b| b["problems"].as_array().is_some_and(Vec::is_empty));
}

/// The parts of an answer that come with what they say, by id.
fn sent(answer: &Value) -> Vec<String> {
    let parts = answer["book"]["parts"].as_array().cloned().unwrap_or_default();
    let sent = parts.iter().filter(|p| p["html"].is_string());
    sent.filter_map(|p| p["id"].as_str().map(str::to_owned)).collect()
}

#[test]
fn a_page_is_sent_only_what_it_has_not_seen() {
    let served = Served::new();
    let text = served.folder.read("plan.toml");
    let first = served.wait(|b| b["book"]["parts"].is_array());
    assert!(sent(&first).len() > 6, "{:?}", sent(&first));
    let seen = first["number"].as_u64().unwrap_or(0);
    let ask = || served.get(&format!("book?seen={seen}")).json();
    assert_eq!(sent(&ask()), [""; 0]);
    let edition = first["book"]["edition"].clone();
    served.folder.write("plan.toml", &text.replacen("[plan]", "# looked over\n[plan]", 1));
    let all = served.wait(|b| b["book"]["edition"] != edition);
    // A comment changes the edition alone, which stands on the front page, on the views and on every card.
    assert_eq!(sent(&ask()), ["front", "views", "cards"]);
    assert!(sent(&all).len() > 6);
    for odd in ["book?seen=", "book?seen=-1", "book?seen=x", "book?more=1", "book?seen=1&seen=2"] {
        assert!(sent(&served.get(odd).json()).len() > 6, "{odd}");
    }
}

#[test]
fn the_page_shows_the_record_and_what_is_void() {
    let served = Served::new();
    let front = |book: &Value| {
        let parts = book["book"]["parts"].as_array().cloned().unwrap_or_default();
        let front = parts.into_iter().find(|p| p["id"] == "front").unwrap_or_default();
        front["html"].as_str().unwrap_or_default().to_owned()
    };
    served.wait(|b| b["book"]["parts"].is_array() && !front(b).contains("by the record"));
    let run = |arguments: &[&str]| {
        let run = served.folder.run_args(arguments);
        assert_eq!(run.status, 0, "{arguments:?}: {}", run.err);
    };
    run(&["log", "add", "plan.toml", "made", "F1", "--by", "A. Builder"]);
    let made = served.wait(|b| front(b).contains("What is done, by the record"));
    assert!(front(&made).contains("1 made"), "{}", front(&made));
    assert!(!front(&made).contains("record.void"));
    // Another slack is another hose than the one that was made.
    let text = served.folder.read("plan.toml");
    served.folder.write("plan.toml", &text.replacen("\"5 %\"", "\"9 %\"", 1));
    served.wait(|b| front(b).contains("record.void"));
}

#[test]
fn what_if_writes_nothing_and_write_writes_only_what_is_asked() {
    let served = Served::new();
    let text = served.folder.read("plan.toml");
    served.wait(|b| b["book"]["parts"].is_array());
    let knobs = served.get("knobs").json();
    let port = &knobs["ports"][0];
    let moved = json!([{ "kind": "port", "component": port["component"], "port": port["port"], "by_mm": [0, 0, 25] }]);
    let tried = served.post("what-if", &moved);
    assert_eq!(tried.status, 200, "{}", tried.body);
    assert_eq!(served.folder.read("plan.toml"), text);
    assert_ne!(tried.json()["scene"], served.get("scene").json());
    let line = &knobs["lines"][0]["id"];
    for change in
        [json!({ "kind": "short", "line": line, "by_mm": 5 }), json!({ "kind": "hot", "by_k": 15 })]
    {
        assert_eq!(served.post("what-if", &json!([change])).status, 200, "{change}");
        let refused = served.post("write", &json!([change]));
        assert_eq!(refused.status, 422, "{}", refused.body);
        assert!(refused.body.contains("tried out"), "{}", refused.body);
    }
    for change in [
        json!({ "kind": "port", "component": "NONE", "port": "OUT", "by_mm": [0, 0, 1] }),
        json!({ "kind": "size", "line": line, "size": "-99" }),
        json!({ "kind": "hot", "by_k": 1e9 }),
        json!({ "kind": "blocked", "component": port["component"], "share": 1 }),
    ] {
        let refused = served.post("what-if", &json!([change]));
        assert_eq!(refused.status, 422, "{change}: {}", refused.body);
        assert!(refused.json()["message"].as_str().is_some_and(|m| !m.is_empty()));
    }
    assert_eq!(served.folder.read("plan.toml"), text);
    assert_eq!(served.post("write", &moved).status, 200);
    let written = served.folder.read("plan.toml");
    let differing = text.lines().zip(written.lines()).filter(|(a, b)| a != b).count();
    assert_eq!((text.lines().count(), differing), (written.lines().count(), 1), "{written}");
}

#[test]
fn a_flood_of_requests_is_answered_or_turned_away() {
    let served = Served::new();
    served.wait(|b| b["book"]["parts"].is_array());
    std::thread::scope(|scope| {
        let all: Vec<_> = (0..100)
            .map(|i| {
                let served = &served;
                scope.spawn(move || {
                    if i % 2 == 0 {
                        served.get("book").status
                    } else {
                        served.get("nothing").status
                    }
                })
            })
            .collect();
        for (i, one) in all.into_iter().enumerate() {
            let status = one.join().unwrap_or(0);
            assert_eq!(status, if i % 2 == 0 { 200 } else { 404 }, "request {i}");
        }
    });
    assert_eq!(served.get("").status, 200);
}

#[test]
fn a_plan_that_cannot_be_watched_is_refused() {
    let folder = Folder::new();
    for (arguments, says) in [("bench -", "needs a file"), ("bench none.toml", "there is no file")]
    {
        let run = folder.run(arguments);
        assert_eq!(run.status, 2);
        assert!(run.err.contains(says), "{}", run.err);
    }
}
