//! `suncask page` from outside: what it refuses, what it outlives, what it writes, and that its numbers are those of the files.
//! What a person does with it is in `tests/page/journey.mjs`.

mod hostile;
mod numbers;
mod writing;

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};

/// A page that is served for a test, and ended with it.
struct Page {
    process: Child,
    /// A command whose reader has gone would end.
    _out: BufReader<ChildStdout>,
    port: u16,
    key: String,
}

impl Page {
    /// Serves a job file of a folder.
    fn of(folder: &Path, arguments: &[&str]) -> Self {
        let mut process = Command::new(env!("CARGO_BIN_EXE_suncask"))
            .arg("page")
            .args(arguments)
            .current_dir(folder)
            .stdout(Stdio::piped())
            .spawn()
            .expect("the command");
        let mut out = BufReader::new(process.stdout.take().expect("its output"));
        let address = out.by_ref().lines().map_while(Result::ok).find(|line| line.starts_with("http://"));
        let address = address.expect("an address");
        let (port, key) = address["http://127.0.0.1:".len()..].split_once("/#").expect("port and key");
        Self { process, _out: out, port: port.parse().expect("a port"), key: key.to_owned() }
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).expect("a connection");
        stream.set_read_timeout(Some(Duration::from_secs(60))).expect("a limit");
        stream
    }

    /// Sends bytes as they are and reads until the server ends the connection.
    fn raw(&self, bytes: &[u8]) -> String {
        let mut stream = self.connect();
        // A server that refuses early may close before all is written.
        let _ = stream.write_all(bytes);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    }

    /// The head of a request as the page itself sends it.
    fn head(&self, path: &str, length: usize) -> String {
        format!(
            "POST {path} HTTP/1.1\r\nhost: 127.0.0.1:{}\r\norigin: http://127.0.0.1:{}\r\nx-suncask-key: {}\r\n\
             content-type: application/json\r\ncontent-length: {length}\r\nconnection: close\r\n\r\n",
            self.port, self.port, self.key
        )
    }

    /// Status and body of what the page itself may ask.
    fn ask(&self, path: &str, body: &Value) -> (u16, Value) {
        let body = body.to_string();
        let answer = self.raw(format!("{}{body}", self.head(path, body.len())).as_bytes());
        let (head, body) = answer.split_once("\r\n\r\n").expect("a head and a body");
        let told = serde_json::from_str(body).unwrap_or_else(|fault| panic!("{fault}: {answer}"));
        (status(head), told)
    }

    /// A year of the job with settings moved.
    fn year(&self, moved: &Value) -> Value {
        let (status, answer) = self.ask("/year", &year(false, moved));
        assert_eq!(status, 200, "{answer}");
        answer
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        // Ended already, where a test did so.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// What the page sends for a year.
fn year(other_layout: bool, moved: &Value) -> Value {
    let variant = json!({ "other_layout": other_layout, "moved": moved });
    json!({ "page": "test", "side": "a", "variant": variant, "units": "us", "day": 100 })
}

fn status(head: &str) -> u16 {
    head.split(' ').nth(1).and_then(|code| code.parse().ok()).unwrap_or(0)
}

/// A folder with a starter job of a kind in it, `house.toml`.
fn folder(kind: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let starter = suncask::job::STARTERS.iter().find(|starter| starter.kind == kind).expect("a starter");
    std::fs::write(folder.path().join("house.toml"), starter.text).expect("written");
    folder
}
