//! Numbers as people write them: `1,200`, `3/4`, `1 1/2`, `1-1/2`, `-4.5`, `2e-8`, `two`.

/// Number words of the trade.
const WORDS: [(&str, f64); 13] = [
    ("half", 0.5),
    ("one", 1.0),
    ("two", 2.0),
    ("three", 3.0),
    ("four", 4.0),
    ("five", 5.0),
    ("six", 6.0),
    ("seven", 7.0),
    ("eight", 8.0),
    ("nine", 9.0),
    ("ten", 10.0),
    ("eleven", 11.0),
    ("twelve", 12.0),
];

/// The number at the start of `text` and its length in bytes; `None` if there is none.
pub(super) fn leading(text: &str) -> Option<(f64, usize)> {
    word(text).or_else(|| figures(text))
}

fn word(text: &str) -> Option<(f64, usize)> {
    let length = text.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(text.len());
    let lower = text[..length].to_ascii_lowercase();
    WORDS.iter().find(|(word, _)| *word == lower).map(|&(_, value)| (value, length))
}

fn figures(text: &str) -> Option<(f64, usize)> {
    let (sign, start) = match text.as_bytes().first()? {
        b'-' => (-1.0, 1),
        b'+' => (1.0, 1),
        _ => (1.0, 0),
    };
    let (plain, length) = unsigned(&text[start..])?;
    let rest = &text[start + length..];
    let whole = text[start..start + length].bytes().all(|b| b.is_ascii_digit());
    if whole && let Some((denominator, more)) = rest.strip_prefix('/').and_then(digits) {
        let value = plain / denominator;
        return Some((sign * value, start + length + 1 + more));
    }
    if whole
        && rest.starts_with([' ', '-'])
        && let Some((part, more)) = fraction(&rest[1..])
    {
        return Some((sign * (plain + part), start + length + 1 + more));
    }
    Some((sign * plain, start + length))
}

/// `3/4` with figures on both sides.
fn fraction(text: &str) -> Option<(f64, usize)> {
    let (numerator, length) = digits(text)?;
    let (denominator, more) = digits(text[length..].strip_prefix('/')?)?;
    Some((numerator / denominator, length + 1 + more))
}

fn digits(text: &str) -> Option<(f64, usize)> {
    let length = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    text[..length].parse().ok().map(|value| (value, length))
}

/// Figures with commas between thousands, decimals and a power of ten.
fn unsigned(text: &str) -> Option<(f64, usize)> {
    let bytes = text.as_bytes();
    let count = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let mut end = count(0);
    while end > 0 && bytes.get(end) == Some(&b',') && count(end + 1) == 3 {
        end += 4;
    }
    let mut figures = end;
    if bytes.get(end) == Some(&b'.') {
        let decimals = count(end + 1);
        figures += decimals;
        end += 1 + decimals;
    }
    if figures == 0 {
        return None;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'-' | b'+')));
        let power = if end + 1 + sign <= bytes.len() { count(end + 1 + sign) } else { 0 };
        if power > 0 {
            end += 1 + sign + power;
        }
    }
    text[..end].replace(',', "").parse().ok().map(|value| (value, end))
}

#[cfg(test)]
mod tests {
    use super::leading;

    #[test]
    fn numbers_as_people_write_them() {
        for (text, value, length) in [
            ("80 gal", 80.0, 2),
            ("1,200 ft2", 1200.0, 5),
            ("1,234,567.5", 1_234_567.5, 11),
            ("3/4 in", 0.75, 3),
            ("1 1/2 in", 1.5, 5),
            ("1-1/2 in", 1.5, 5),
            (".5 in", 0.5, 2),
            ("-4.5 F", -4.5, 4),
            ("2e-8 W", 2e-8, 4),
            ("5 ft 6 in", 5.0, 1),
            ("Two 4x8 ft", 2.0, 3),
            ("twelve", 12.0, 6),
            ("80gal", 80.0, 2),
            ("4e", 4.0, 1),
        ] {
            assert_eq!(leading(text), Some((value, length)), "{text}");
        }
        for text in ["", "gal", "-", ".", "twofold", ",200"] {
            assert_eq!(leading(text), None, "{text}");
        }
    }
}
