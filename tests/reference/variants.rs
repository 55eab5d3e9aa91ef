//! Variants of the cases against a separate program, for what the five cases leave alone: other limits, draws, planes, stores, flows.

use std::collections::HashMap;

use serde::Deserialize;
use serde_json::Value;
use suncask::year::RunOptions;

use super::{case, data, weather};

/// A case with some of its values changed, and what the other program found: quantity, value and tolerance.
#[derive(Deserialize)]
struct Variant {
    name: String,
    case: String,
    /// By JSON pointer (RFC 6901).
    changes: HashMap<String, Value>,
    rows: Vec<(String, f64, f64)>,
}

impl Variant {
    fn case(&self) -> case::Case {
        let text = std::fs::read_to_string(data(&format!("annual/{}.json", self.case))).expect("case file");
        let mut json: Value = serde_json::from_str(&text).expect("JSON");
        for (pointer, value) in &self.changes {
            *json.pointer_mut(pointer).expect("a value to change") = value.clone();
        }
        let (case, unknown) = case::read(&json.to_string()).expect("case");
        assert!(unknown.is_empty(), "{}: keys that are not read: {unknown:?}", self.name);
        case
    }

    /// Rows outside their tolerance, in words.
    fn outside(&self) -> Vec<String> {
        let case = self.case();
        let result = case::run_case(&case, &weather(), &RunOptions::default()).expect("a year");
        let year: HashMap<&str, f64> = case::rows(&case, &result)
            .into_iter()
            .filter(|(month, ..)| month == "year")
            .map(|(_, quantity, value)| (quantity, value))
            .collect();
        let outside = self.rows.iter().filter_map(|(quantity, expected, tolerance)| {
            let found = year.get(quantity.as_str()).copied().unwrap_or(f64::NAN);
            // Negated, so that a missing quantity or a NaN counts as outside.
            let within = (found - expected).abs() <= *tolerance;
            (!within)
                .then(|| format!("{}: {quantity} is {found}, expected {expected} ± {tolerance}", self.name))
        });
        outside.collect()
    }
}

#[test]
fn reference_variants_by_a_separate_program() {
    let text = std::fs::read_to_string(data("annual/variants.json")).expect("variants");
    let variants: Vec<Variant> = serde_json::from_str(&text).expect("variants");
    assert_eq!(variants.len(), 9);
    let outside: Vec<String> = variants.iter().flat_map(Variant::outside).collect();
    assert!(outside.is_empty(), "{}", outside.join("\n"));
}
