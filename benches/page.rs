//! Cost of what the page waits for: the whole answer to a moved slider, over loopback, from the request to the last byte of figures
//! and pictures.

mod common;

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::sync::mpsc;

use suncask::job::starter;
use suncask::page::{Given, KEY_HEADER, serve};
use suncask::weather;

use common::Cost;

/// A page that is served.
struct Address {
    port: u16,
    key: String,
}

impl Address {
    /// Of what is told when the page is ready: `http://127.0.0.1:PORT/#KEY`.
    fn of(told: &str) -> Self {
        let (host, key) = told.split_once("/#").expect("a key");
        let port = host.rsplit(':').next().and_then(|port| port.parse().ok());
        Self { port: port.expect("a port"), key: key.to_owned() }
    }

    /// The answer to a slider that has come to `on_k`.
    fn moved(&self, on_f: f64) -> String {
        let Self { port, key } = self;
        let body = format!(
            "{{\"page\":\"bench\",\"side\":\"a\",\"units\":\"us\",\"day\":100,\"variant\":\
             {{\"other_layout\":false,\"moved\":{{\"on\":\"{on_f} F\"}}}}}}"
        );
        let mut stream = TcpStream::connect(("127.0.0.1", *port)).expect("the page");
        write!(
            stream,
            "POST /year HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\n{KEY_HEADER}: {key}\r\nconnection: close\r\n\
             content-type: application/json\r\ncontent-length: {}\r\n\r\n{body}",
            body.len()
        )
        .expect("sent");
        let mut answer = String::new();
        stream.read_to_string(&mut answer).expect("an answer");
        assert!(answer.contains("\"figures\""), "{answer}");
        answer
    }
}

fn main() {
    let weather = weather::demo();
    let given = Given { folder: PathBuf::new(), file: None, text: starter().to_owned() };
    let (stop, stopped) = tokio::sync::watch::channel(false);
    let (tell, told) = mpsc::channel();
    std::thread::scope(|scope| {
        scope.spawn(|| {
            serve(given, &weather, 0, stopped, |address| {
                tell.send(Address::of(address)).expect("the bench listens");
            })
            .expect("the page is served");
        });
        let address = told.recv().expect("an address");
        let address = &address;
        common::main(&[Cost::new("answer of the page to a moved slider", move || {
            // What a house's years have in common is laid out by the first.
            let bytes = address.moved(12.0).len();
            if common::words().is_empty() {
                println!("{bytes} bytes an answer");
            }
            let mut turn = 0;
            move || {
                turn += 1;
                drop(address.moved(13.0 + f64::from(turn % 8)));
            }
        })]);
        stop.send(true).expect("the page listens");
    });
}
