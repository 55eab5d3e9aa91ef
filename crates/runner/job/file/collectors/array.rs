//! How the collectors are piped: `arrangement`.

use super::super::section::Section;
use crate::job::quantity::{Fault, Kind, parse};
use crate::rating::test_flow::Arrangement;

/// What an arrangement changes.
const ONLY: &str = "this changes each collector's flow and what the loop resists, nothing else";

/// Reads the arrangement of `count` collectors.
pub(super) fn read(section: &Section<'_>, count: f64) -> Arrangement {
    // A faulty count was reported where it stands.
    let count = if count.is_finite() { count as u32 } else { 1 };
    section
        .words_or(
            "arrangement",
            ("parallel", "each collector gets its share of the flow (common practice)"),
            |text| arrangement(text, count),
            |found| match (found.in_series, found.in_parallel) {
                (1, 1) => String::new(),
                (1, rows) => format!("each with 1/{rows} of the flow; {ONLY}"),
                (row, 1) => format!("one row of {row}, the whole flow through each; {ONLY}"),
                (row, rows) => format!("{rows} rows of {row}, each row with 1/{rows} of the flow; {ONLY}"),
            },
        )
        .unwrap_or(Arrangement { in_series: 1, in_parallel: count })
}

/// `parallel`, `series`, `2 in series`, `3 in parallel`, `2 rows of 3`.
fn arrangement(text: &str, count: u32) -> Result<Arrangement, Fault> {
    let help = "write \"parallel\", \"series\", or for rows of two side by side \"2 in series\"";
    let fault = |message: String, label: &str| Err(Fault::new(message, label, 0..text.len()).help(help));
    let lower = text.to_lowercase();
    let words: Vec<&str> =
        lower.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let numbers: Vec<u32> = words
        .iter()
        .filter_map(|word| parse(word, &[Kind::Count]).ok())
        .map(|number| number.si as u32)
        .collect();
    let zero = numbers.contains(&0);
    let has = |word: &str| words.contains(&word);
    let (in_series, in_parallel) = match (numbers.as_slice(), has("series"), has("parallel")) {
        _ if zero => (0, 0),
        ([], true, false) => (count, 1),
        ([], false, true) => (1, count),
        (&[row], true, false) => (row, count / row),
        (&[rows], false, true) => (count / rows, rows),
        (&[rows, row], false, false) if has("rows") => (row, rows),
        _ => return fault(format!("`{text}` is not an arrangement known here"), "not understood"),
    };
    if in_series * in_parallel != count || count == 0 {
        return fault(format!("`{text}` does not come out even with {count} collectors"), "count again");
    }
    Ok(Arrangement { in_series, in_parallel })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arrangements_in_words() {
        for (text, count, in_series, in_parallel) in [
            ("parallel", 2, 1, 2),
            ("in series", 3, 3, 1),
            ("2 in series", 4, 2, 2),
            ("two in parallel", 6, 3, 2),
            ("2 rows of 3", 6, 3, 2),
            ("series", 1, 1, 1),
        ] {
            assert_eq!(arrangement(text, count), Ok(Arrangement { in_series, in_parallel }), "{text}");
        }
        for text in ["", "ring", "2 in series", "0 in series", "3 rows of 2", "series parallel"] {
            assert!(arrangement(text, 3).is_err(), "{text}");
        }
    }
}
