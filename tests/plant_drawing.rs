//! The drawing of a plant: every text readable and whole, every connection and height of the job on it.

use std::path::Path;
use std::sync::Arc;

use resvg::usvg::roxmltree::Document;
use resvg::usvg::{Group, Node, Options, Rect, Tree, fontdb};
use suncask::job::{self, Job, STARTERS};
use suncask::picture::{self, DrawnPlant, Units, plant_drawing};

use crate::random_jobs::each_drawn;

/// The font of the PNG pictures, a wide one.
pub(crate) fn options() -> Options<'static> {
    let mut fonts = fontdb::Database::new();
    fonts.load_font_data(include_bytes!("../crates/runner/picture/font/DejaVuSans-subset.ttf").to_vec());
    fonts.set_sans_serif_family("DejaVu Sans");
    Options { fontdb: Arc::new(fonts), ..Options::default() }
}

fn texts_of(group: &Group, found: &mut Vec<(String, Rect)>) {
    for node in group.children() {
        match node {
            Node::Group(group) => texts_of(group, found),
            Node::Text(text) => {
                let words: String = text.chunks().iter().map(|chunk| chunk.text()).collect();
                found.push((words, text.abs_bounding_box()));
            }
            _ => {}
        }
    }
}

/// Every text with the box it takes up, as the font has it.
fn texts(svg: &str, options: &Options<'_>) -> (Vec<(String, Rect)>, f32, f32) {
    let tree = Tree::from_str(svg, options).expect("a picture");
    let mut found = Vec::new();
    texts_of(tree.root(), &mut found);
    (found, tree.size().width(), tree.size().height())
}

/// What is wrong with the texts of a picture: one over another, or beyond the edge.
pub(crate) fn faults(svg: &str, options: &Options<'_>) -> Vec<String> {
    let (texts, width, height) = texts(svg, options);
    let mut faults = Vec::new();
    for (i, (words, place)) in texts.iter().enumerate() {
        if place.left() < 0.0 || place.top() < 0.0 || place.right() > width || place.bottom() > height {
            faults.push(format!("`{words}` leaves the sheet: {place:?}"));
        }
        for (others, other) in &texts[..i] {
            let apart = place.left() >= other.right()
                || other.left() >= place.right()
                || place.top() >= other.bottom()
                || other.top() >= place.bottom();
            if !apart {
                faults.push(format!("`{words}` lies over `{others}`"));
            }
        }
    }
    faults
}

/// The drawing with a reading in every place for one, as a page fills it.
fn filled(svg: &str) -> String {
    svg.split('\n')
        .map(|line| {
            if line.contains("data-reading=") {
                line.replace("></text>", ">188 \u{b0}F</text>")
            } else {
                line.to_owned()
            }
        })
        .collect::<Vec<_>>()
        .join("\n")
}

fn read(text: &str) -> Job {
    job::file::read_text("job", text).expect("a sound job")
}

fn keep(name: &str, svg: &str) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("plants");
    std::fs::create_dir_all(&folder).expect("a folder");
    std::fs::write(folder.join(name).with_extension("svg"), svg).expect("an SVG");
    std::fs::write(folder.join(name).with_extension("png"), picture::png(svg, 2.0)).expect("a PNG");
}

#[test]
fn every_starter_draws_with_all_its_texts_whole() {
    let options = options();
    for starter in STARTERS {
        let drawn = DrawnPlant::of(&read(starter.text));
        for (units, ending) in [(Units::Us, "us"), (Units::Si, "si")] {
            let svg = plant_drawing(&drawn, units);
            let name = format!("{}-{ending}", starter.kind);
            keep(&name, &svg);
            assert!(!svg.contains('\u{2026}'), "{name}: a text is cut");
            assert_eq!(faults(&svg, &options), [""; 0], "{name}");
            assert_eq!(faults(&filled(&svg), &options), [""; 0], "{name} with readings");
        }
    }
}

/// Plants with much in them, and fields of one to twenty collectors in any rows.
#[test]
fn full_plants_and_large_fields_draw_without_overlap() {
    let options = options();
    let two_tank = STARTERS.iter().find(|starter| starter.kind == "two-tank").expect("a starter").text;
    let busy = "[bypass]\nabove = \"140 F\"\n[transfer_pump]\non_difference = \"12 F\"\noff_difference = \"4 F\"\n\
                [recirculation]\nlength = \"120 ft\"\n[controller.heat_dump]\non = \"220 F\"\nua = \"120 W/K\"\n";
    let plate = two_tank
        .replace("[tank.coil]\nkind = \"wrap-around\"\nbottom = \"2 %\"\ntop = \"60 %\"", "[tank.plate]");
    let mut jobs = vec![
        ("busy".to_owned(), format!("{two_tank}\n{busy}")),
        ("busy-plate".to_owned(), format!("{plate}\n{busy}")),
    ];
    for (count, arrangement) in [
        (1, "parallel"),
        (4, "series"),
        (6, "2 rows of 3"),
        (12, "parallel"),
        (20, "parallel"),
        (20, "5 in series"),
    ] {
        let text = job::starter()
            .replace("two 4x8 ft\"", &format!("{count} 4x8 ft\""))
            .replace("arrangement = \"parallel\"", &format!("arrangement = \"{arrangement}\""))
            .replace("1.6 gal/min", &format!("{} gal/min", 0.8 * f64::from(count)));
        jobs.push((format!("field-{count}-{}", arrangement.replace(' ', "-")), text));
    }
    for (name, text) in &jobs {
        let svg = plant_drawing(&DrawnPlant::of(&read(text)), Units::Us);
        keep(name, &svg);
        assert_eq!(faults(&filled(&svg), &options), [""; 0], "{name}");
        assert!(!svg.contains('\u{2026}'), "{name}: a text is cut");
        assert_eq!(svg.contains("Plate exchanger"), name == "busy-plate", "{name}");
    }
}

#[test]
fn drawn_jobs_draw_without_overlap() {
    let options = options();
    let mut count = 0;
    let mut found = Vec::new();
    each_drawn(60, |job, text| {
        count += 1;
        for units in [Units::Us, Units::Si] {
            let svg = filled(&plant_drawing(&DrawnPlant::of(job), units));
            let faults = faults(&svg, &options);
            if !faults.is_empty() {
                keep(&format!("fault-{}", found.len()), &svg);
                found.push(format!("{}\n{text}", faults.join("\n")));
            }
        }
    });
    let first: Vec<&str> = found.iter().take(3).map(String::as_str).collect();
    assert!(found.is_empty(), "{} plants; the first: {}", found.len(), first.join("\n\n"));
    println!("{count} plants drawn");
    assert!(count > 150, "{count}");
}

/// Coil, sensor, element and thermostat lie where the job puts them, measured on the drawing itself.
#[test]
fn heights_are_to_scale() {
    let job = read(job::starter());
    let svg = plant_drawing(&DrawnPlant::of(&job), Units::Us);
    let xml = Document::parse(&svg).expect("XML");
    let number = |node: &resvg::usvg::roxmltree::Node<'_, '_>, name: &str| {
        node.attribute(name).expect(name).parse::<f64>().expect("a number")
    };
    let slices: Vec<_> = xml.descendants().filter(|node| node.attribute("data-slice").is_some()).collect();
    assert_eq!(slices.len(), job.plant.tanks[0].slices);
    let top = slices.iter().map(|node| number(node, "y")).fold(f64::INFINITY, f64::min);
    let bottom = slices.iter().map(|node| number(node, "y") + number(node, "height")).fold(0.0, f64::max);
    // The first slice is the lowest.
    let first = slices.iter().find(|node| node.attribute("data-slice") == Some("1")).expect("a slice");
    assert!((number(first, "y") + number(first, "height") - bottom).abs() < 0.02);
    let element =
        xml.descendants().find(|node| node.attribute("data-element") == Some("1")).expect("an element");
    // Its bend begins 3.5 points above its middle.
    let path = element.attribute("d").expect("a path");
    let y: f64 = path.split(['M', 'L', ' ']).nth(2).expect("a place").parse().expect("a number");
    let height = (bottom - (y + 3.5)) / (bottom - top);
    assert!((height - 0.62).abs() < 1e-3, "{height}");
    // What the description says: 62 % of 52 in, and so on; the sensor at 10 %, the coil from 2 to 50 %.
    let said = xml.descendants().find(|node| node.tag_name().name() == "desc").and_then(|node| node.text());
    let said = said.expect("a description");
    for words in [
        "Element 4,500 W, 32 in",
        "Thermostat 130 \u{b0}F, 36 in",
        "Tank sensor, 5 in",
        "Wrap-around coil, 1 in to 26 in",
        "2 collectors, 64 ft\u{b2}",
        "supply pipe 40 ft",
        "mixing valve before the taps",
    ] {
        assert!(said.contains(words), "{words} is not in {said}");
    }
}

/// What a script may fill is there under its name, once for each part.
#[test]
fn parts_carry_their_names() {
    let named = |text: &str, wanted: &str| {
        let svg = plant_drawing(&DrawnPlant::of(&read(text)), Units::Us);
        svg.matches(wanted).count()
    };
    let starter = |name: &str| STARTERS.iter().find(|starter| starter.kind == name).expect("a starter").text;
    assert_eq!(named(starter("east-west"), "data-collector=\"2\""), 2);
    assert_eq!(named(starter("two-tank"), "data-tank=\"2\" data-slice=\"1\""), 1);
    assert_eq!(named(starter("two-tank"), "data-pipe=\"between\""), 1);
    assert_eq!(named(starter("plate"), "data-pump="), 2);
    assert_eq!(named(starter("recirculation"), "data-pump=\"recirculation\""), 1);
    assert_eq!(named(starter("heat-pump"), "data-element="), 2);
    assert_eq!(named(starter("flow-through"), "data-flow-heater"), 1);
    assert_eq!(named(starter("thermosiphon"), "data-pump"), 0);
    assert_eq!(named(starter("batch"), "data-pipe=\"supply\""), 0);
    for name in ["collector", "tank-1-top", "tank-1-bottom", "tap", "cold"] {
        assert_eq!(named(starter("one-tank"), &format!("data-reading=\"{name}\"")), 1, "{name}");
    }
}
