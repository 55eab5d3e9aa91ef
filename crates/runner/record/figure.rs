//! What a reader needs to know about a figure that is no column.

/// A figure of a `T`, declared once for files, pages and `suncask columns`. Its `V` is a number, or `None` where it has no meaning.
#[derive(Clone, Copy, Debug)]
pub struct Figure<T, V = f64> {
    /// Key in files; its end names the unit.
    pub key: &'static str,
    /// Unit as printed.
    pub unit: &'static str,
    /// Short label in the trade's words.
    pub label: &'static str,
    /// What is counted.
    pub definition: &'static str,
    /// The value.
    pub value: fn(&T) -> V,
}
