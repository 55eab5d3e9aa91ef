//! Requests that are foreign, wrong, large, slow, many, or not waited for.

use std::io::{Read, Write};
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::json;

use super::{Page, folder, status, year};

/// The page still does its work, and soon.
fn still_there(page: &Page) {
    let begun = Instant::now();
    assert_eq!(page.ask("/house", &json!({})).0, 200);
    assert!(begun.elapsed() < Duration::from_secs(5), "{:?}", begun.elapsed());
}

#[test]
fn only_its_own_small_requests_are_answered() {
    let folder = folder("one-tank");
    let page = Page::of(folder.path(), &["house.toml"]);
    let (port, key) = (page.port, page.key.clone());
    let own_host = format!("host: 127.0.0.1:{port}");
    let own_key = format!("x-suncask-key: {key}");
    let kind = "content-type: application/json";
    let asked = |first: &str, lines: &[&str], body: &str| {
        let lines = lines.iter().map(|line| format!("{line}\r\n")).collect::<String>();
        let length = body.len();
        page.raw(
            format!("{first} HTTP/1.1\r\n{lines}content-length: {length}\r\nconnection: close\r\n\r\n{body}")
                .as_bytes(),
        )
    };
    let post = |lines: &[&str]| status(&asked("POST /house", lines, "{}"));
    assert_eq!(post(&[&own_host, &own_key, kind]), 200);
    assert_eq!(post(&[&format!("host: localhost:{port}"), &own_key, kind]), 200);
    // Another name for this machine, another origin, no key, no JSON.
    for wrong in [
        vec![format!("host: house.example:{port}"), own_key.clone(), kind.into()],
        vec!["host: 127.0.0.1".into(), own_key.clone(), kind.into()],
        vec![own_host.clone(), own_key.clone(), kind.into(), "origin: http://house.example".into()],
        vec![own_host.clone(), own_key.clone(), kind.into(), "origin: null".into()],
        vec![own_host.clone(), own_key.clone(), kind.into(), "sec-fetch-site: cross-site".into()],
        vec![own_host.clone(), kind.into()],
        vec![own_host.clone(), "x-suncask-key: 00000000000000000000000000000000".into(), kind.into()],
    ] {
        let lines: Vec<&str> = wrong.iter().map(String::as_str).collect();
        assert_eq!(post(&lines), 403, "{wrong:?}");
    }
    assert_eq!(post(&[&own_host, &own_key, "content-type: text/plain"]), 415);
    // Two names, or none, are for HTTP itself to refuse or for us.
    assert!([400, 403].contains(&post(&[&own_key, kind])));
    let with_all = [own_host.as_str(), own_key.as_str(), kind];
    for (first, code) in [
        ("GET /house", 405),
        ("DELETE /house", 405),
        ("POST /", 405),
        ("POST /nothing", 404),
        ("GET /script/nothing.js", 404),
        ("GET /script/..%2fpage.css", 404),
        ("GET /../Cargo.toml", 404),
        ("GET /%2e%2e/%2e%2e/etc/passwd", 404),
    ] {
        let body = if first.starts_with("GET") { "" } else { "{}" };
        assert_eq!(status(&asked(first, &with_all, body)), code, "{first}");
    }
    // The pages of others cannot even see the page: it is served under its own name alone.
    assert_eq!(status(&asked("GET /", &["host: house.example"], "")), 403);
    let shown = asked("GET /", &[&own_host], "");
    for header in [
        "content-security-policy: default-src 'none'",
        "x-content-type-options: nosniff",
        "x-frame-options: DENY",
        "cache-control: no-store",
        "cross-origin-resource-policy: same-origin",
    ] {
        assert!(shown.contains(header), "{header}: {shown}");
    }
    assert!(!shown.contains("access-control-allow"), "{shown}");
    assert!(!shown.contains(&key), "the key is nowhere in what anybody may read");
    still_there(&page);
}

#[test]
fn nonsense_is_refused_and_does_no_harm() {
    let folder = folder("one-tank");
    let page = Page::of(folder.path(), &["house.toml"]);
    let json = |body: &str| {
        let answer = page.raw(format!("{}{body}", page.head("/year", body.len())).as_bytes());
        status(&answer)
    };
    let good = year(false, &json!({})).to_string();
    assert_eq!(json(&good), 200);
    let deep = format!("{}{}", "[".repeat(8000), "]".repeat(8000));
    for wrong in [
        "",
        "{",
        "null",
        "[]",
        "\"x\"",
        "{\"page\":1}",
        deep.as_str(),
        "\u{0}\u{1}\u{2}",
        &good.replace("\"a\"", "\"c\""),
        &good.replace("100", "1e400"),
        &good.replace("100", "-1"),
        &good.replace("\"us\"", "\"both\""),
        &good.replace("\"page\"", "\"folder\":\"/\",\"page\""),
        &good.replace("\"moved\":{}", "\"moved\":{\"tilt\":40}"),
    ] {
        assert_eq!(json(wrong), 400, "{wrong}");
    }
    // Understood, and refused in words.
    for (moved, day) in [(json!({ "tilt": "x".repeat(500) }), 100), (json!({}), 0), (json!({}), 366)] {
        let mut asked = year(false, &moved);
        asked["day"] = json!(day);
        let (code, told) = page.ask("/year", &asked);
        assert!(code == 200 && told["refused"].is_string(), "{told}");
    }
    let (_, told) = page.ask("/year", &year(false, &json!({ "weather.file": "/etc/passwd" })));
    assert_eq!(told["said"][0]["error"], true, "{told}");
    // Too large: by its own word, by what it sends, by its head.
    let large = "x".repeat(20_000);
    assert_eq!(json(&large), 413);
    let chunked = page.head("/year", 0).replace("content-length: 0", "transfer-encoding: chunked");
    let chunk = format!("1000\r\n{}\r\n", "x".repeat(0x1000));
    assert_eq!(status(&page.raw(format!("{chunked}{}", chunk.repeat(20)).as_bytes())), 413);
    let wide =
        format!("GET / HTTP/1.1\r\nhost: 127.0.0.1:{}\r\nx: {}\r\n\r\n", page.port, "x".repeat(100_000));
    assert!([0, 400, 431].contains(&status(&page.raw(wide.as_bytes()))));
    let many = format!("GET / HTTP/1.1\r\nhost: 127.0.0.1:{}\r\n{}\r\n", page.port, "x: y\r\n".repeat(500));
    assert!([0, 400, 431].contains(&status(&page.raw(many.as_bytes()))));
    // Not HTTP at all.
    for bytes in [
        &b"\r\n\r\n"[..],
        b"GET\r\n\r\n",
        b"\x16\x03\x01\x02\x00\x01\x00",
        b"GET / HTTP/9.9\r\n\r\n",
        &[0xff; 300],
    ] {
        let code = status(&page.raw(bytes));
        assert!([0, 400, 403].contains(&code), "{bytes:?}: {code}");
    }
    still_there(&page);
}

#[test]
fn slow_clients_are_ended_and_keep_nobody_waiting() {
    let folder = folder("one-tank");
    let page = Page::of(folder.path(), &["house.toml"]);
    let begun = Instant::now();
    let sent = |bytes: &str| {
        let mut stream = page.connect();
        stream.write_all(bytes.as_bytes()).expect("sent");
        stream
    };
    let length = 100;
    let mut slow = [sent("POST /year HT"), sent(&page.head("/year", length)), sent("")];
    // A client that never reads what it asked for.
    let deaf = sent(&format!("GET / HTTP/1.1\r\nhost: 127.0.0.1:{}\r\n\r\n", page.port).repeat(50));
    // And many that only hold a connection.
    let holding: Vec<_> = (0..40).map(|_| sent("GET / HTTP/1.1\r\n")).collect();
    still_there(&page);
    let ended: Vec<String> = slow
        .iter_mut()
        .map(|stream| {
            let mut answer = Vec::new();
            let _ = stream.read_to_end(&mut answer);
            String::from_utf8_lossy(&answer).into_owned()
        })
        .collect();
    assert!(begun.elapsed() < Duration::from_secs(20), "{:?}", begun.elapsed());
    assert_eq!(status(&ended[1]), 408, "{}", ended[1]);
    still_there(&page);
    drop((deaf, holding));
}

#[test]
fn hundreds_at_once_are_all_answered_and_what_is_not_waited_for_is_dropped() {
    let folder = folder("one-tank");
    let page = Page::of(folder.path(), &["house.toml"]);
    let answers: Vec<(u16, bool)> = thread::scope(|scope| {
        let asked: Vec<_> = (0..200)
            .map(|i| {
                let page = &page;
                scope.spawn(move || {
                    let mut body = year(false, &json!({ "tilt": format!("{} deg", i % 90) }));
                    body["page"] = json!(format!("window {i}"));
                    let (code, told) = page.ask("/year", &body);
                    (code, told["figures"].is_array())
                })
            })
            .collect();
        asked.into_iter().map(|asked| asked.join().expect("an answer")).collect()
    });
    let done = answers.iter().filter(|(code, figures)| *code == 200 && *figures).count();
    assert!(done >= 16, "{done}");
    assert!(answers.iter().all(|(code, _)| [200, 429, 503].contains(code)), "{answers:?}");
    // Of one variant only the first, which may have begun, and the newest are worth running.
    let turned: Vec<bool> = thread::scope(|scope| {
        let asked: Vec<_> = (0..12)
            .map(|i| {
                let page = &page;
                let asked = scope.spawn(move || {
                    let told = page.ask("/year", &year(true, &json!({ "tilt": format!("{i} deg") }))).1;
                    assert!(told["figures"].is_array() || told["overtaken"] == true, "{told}");
                    told["overtaken"] == true
                });
                // Sent so close together, requests may come in any order; the newest must come last.
                thread::sleep(Duration::from_millis(if i < 10 { 3 } else { 500 }));
                asked
            })
            .collect();
        asked.into_iter().map(|asked| asked.join().expect("an answer")).collect()
    });
    assert!(turned.iter().any(|&overtaken| overtaken), "{turned:?}");
    assert!(!turned[11], "the newest is run");
    // Clients that go away without a word.
    for i in 0..60 {
        let mut body = year(true, &json!({ "tilt": format!("{i} deg") }));
        body["page"] = json!(format!("gone {i}"));
        let body = body.to_string();
        let mut stream = page.connect();
        stream.write_all(format!("{}{body}", page.head("/year", body.len())).as_bytes()).expect("sent");
    }
    let begun = Instant::now();
    page.year(&json!({ "tilt": "33 deg" }));
    assert!(begun.elapsed() < Duration::from_secs(15), "{:?}", begun.elapsed());
}

#[test]
fn it_listens_on_loopback_alone_and_ctrl_c_ends_it() {
    let folder = folder("one-tank");
    let mut page = Page::of(folder.path(), &["house.toml"]);
    let local = |entry: &str| {
        let address = entry.split_whitespace().nth(1)?;
        address.strip_suffix(&format!(":{:04X}", page.port)).map(str::to_owned)
    };
    // Linux tells who listens where: 127.0.0.1 reads 0100007F there.
    if let Ok(table) = std::fs::read_to_string("/proc/net/tcp") {
        let found: Vec<String> = table.lines().filter_map(local).collect();
        assert!(!found.is_empty() && found.iter().all(|address| address == "0100007F"), "{found:?}");
    }
    if cfg!(unix) {
        let begun = Instant::now();
        let told =
            Command::new("kill").args(["-INT", &page.process.id().to_string()]).status().expect("kill");
        assert!(told.success());
        assert_eq!(page.process.wait().expect("its end").code(), Some(0));
        assert!(begun.elapsed() < Duration::from_secs(10), "{:?}", begun.elapsed());
    }
}
