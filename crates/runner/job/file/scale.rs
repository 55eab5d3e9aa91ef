//! Scale that hard water leaves on an exchanger: `water_hardness` and `scale_years`.

use super::section::Section;
use crate::job::quantity::{Fault, Kind, nearest, parse, rounded};

/// Classes of the US Geological Survey (60, 120 and 180 mg/L as CaCO3), the hardness in kg/m3 each stands for, and the scale in
/// m2 K/W after [`SCALE_YEARS`]. Design figures of the Tubular Exchanger Manufacturers Association are 0.001 h ft2 F/Btu for city
/// water and 0.003 above 15 grains a gallon, as widely reprinted; moderately hard water is given half of the first. A class stands
/// for its middle, the open one for those 15 grains (257 mg/L).
const CLASSES: [(&str, f64, f64); 4] = [
    ("soft", 0.030, 0.0),
    ("moderately hard", 0.090, 0.000_088),
    ("hard", 0.150, 0.000_176),
    ("very hard", 0.257, 0.000_528),
];

/// Years in which scale grows to its design figure, evenly; after that it stays (common practice).
const SCALE_YEARS: f64 = 10.0;

/// The keys read here.
pub(super) const KEYS: [&str; 2] = ["water_hardness", "scale_years"];

/// Resistance of the scale in m2 K/W.
///
/// `others`: keys that say nothing either where the water is not hard.
pub(super) fn read(section: &Section<'_>, others: &[&'static str]) -> f64 {
    if !section.has("water_hardness") {
        let why = "the water counts as soft, which leaves no scale";
        let help = "give water_hardness = \"hard\" or \"12 grains/gal\"";
        section.idle(&["scale_years"], why, help);
        section.idle(others, why, help);
    }
    let source = "no scale unless said otherwise";
    let design_m2_k_w = section
        .words_or("water_hardness", ("soft", source), design_m2_k_w, |&scale| {
            format!("{} m2K/W of scale in ten years", rounded(scale))
        })
        .unwrap_or(f64::NAN);
    let years = section
        .ask("scale_years", &[Kind::Number])
        .possible("0", "60")
        .or("10", "about the life of a tank; scale grows for ten years and then stays (common practice)");
    design_m2_k_w * (years / SCALE_YEARS).min(1.0)
}

/// Scale after ten years by a class or a number: numbers between two classes lie on a straight line, those beyond them count as the
/// nearest.
fn design_m2_k_w(text: &str) -> Result<f64, Fault> {
    if text.contains(|c: char| c.is_ascii_digit()) {
        let hardness = parse(text, &[Kind::Hardness])?.si;
        if hardness < 0.0 {
            let fault = Fault::new(format!("`{text}` is below zero"), "not possible", 0..text.len());
            return Err(fault.help("very hard water has above 10 grains/gal (180 mg/L)"));
        }
        return Ok(between(hardness));
    }
    let plain = |word: &str| word.trim().to_lowercase().replace(['-', '_'], " ");
    CLASSES.iter().find(|(word, ..)| *word == plain(text)).map(|&(.., scale)| scale).ok_or_else(|| {
        let words = CLASSES.map(|(word, ..)| word);
        let help = match nearest(text, words) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => {
                format!("one of: {}; or a number like \"12 grains/gal\" or \"200 mg/L\"", words.join(", "))
            }
        };
        Fault::new(format!("`{text}` is not known for `water_hardness`"), "unknown word", 0..text.len())
            .help(help)
    })
}

fn between(hardness_kg_m3: f64) -> f64 {
    let [(_, softest, least), .., (_, _, most)] = CLASSES;
    if hardness_kg_m3 <= softest {
        return least;
    }
    let step = CLASSES.windows(2).find(|pair| hardness_kg_m3 < pair[1].1);
    step.map_or(most, |pair| {
        let (_, from, low) = pair[0];
        let (_, to, high) = pair[1];
        low + (hardness_kg_m3 - from) / (to - from) * (high - low)
    })
}

#[cfg(test)]
mod tests {
    use super::design_m2_k_w;

    #[test]
    fn hardness_in_words_and_numbers() {
        for (text, scale) in [
            ("soft", 0.0),
            ("Moderately-hard", 0.000_088),
            ("very hard", 0.000_528),
            ("0 mg/L", 0.0),
            ("90 mg/L", 0.000_088),
            // Half-way from hard to moderately hard: 120 mg/L, and 7.01 grains a gallon of 17.118 mg/L.
            ("120 ppm", 0.000_132),
            ("7.01 gpg", 0.000_132),
            // 12 x 17.118 = 205.416 mg/L: 0.000176 + 55.416/107 x 0.000352.
            ("12 grains/gal", 0.000_358_3),
            ("30 gpg", 0.000_528),
        ] {
            let found = design_m2_k_w(text).unwrap_or_else(|fault| panic!("{text}: {}", fault.message));
            // Four figures of the hand's result.
            assert!((found - scale).abs() < 1e-7, "{text}: {found}");
        }
        for text in ["", "hrd water", "12", "12 gal", "-3 gpg", "stone"] {
            assert!(design_m2_k_w(text).is_err(), "{text}");
        }
    }
}
