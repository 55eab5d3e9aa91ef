//! Every picture is whole: well-formed, titled, small, and the same as PNG.

use std::path::Path;

use resvg::tiny_skia::Pixmap;
use resvg::usvg::roxmltree::Document;
use suncask::picture;

use crate::invented;

/// Checks what holds for every picture, and leaves it with its PNG in the target folder for people to look at.
fn check(name: &str, svg: &str, most_bytes: usize) {
    let xml = Document::parse(svg).expect("well-formed XML");
    let root = xml.root_element();
    assert_eq!(root.attribute("role"), Some("img"));
    let words: Vec<_> = root.children().filter(|n| n.is_element()).take(2).collect();
    assert_eq!((words[0].tag_name().name(), words[1].tag_name().name()), ("title", "desc"));
    assert!(words.iter().all(|w| w.text().is_some_and(|t| t.len() > 10)));
    assert!(svg.len() < most_bytes, "{name} has {} bytes", svg.len());

    let bytes = picture::png(svg, 2.0);
    let pixels = Pixmap::decode_png(&bytes).expect("a PNG");
    let side = |name: &str| root.attribute(name).unwrap().parse::<u32>().unwrap();
    assert_eq!((pixels.width(), pixels.height()), (2 * side("width"), 2 * side("height")));
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pictures");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(format!("{name}.svg")), svg).unwrap();
    std::fs::write(folder.join(format!("{name}.png")), bytes).unwrap();
}

#[test]
fn month_bars() {
    let svg = picture::month_bars("Invented house <1>", &invented::year(&[]));
    check("months", &svg, 40_000);
    assert!(svg.contains("Invented house &lt;1&gt;"));
}
