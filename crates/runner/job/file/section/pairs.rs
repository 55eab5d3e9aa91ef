//! Lists of pairs, as curves are written.

use toml::de::DeValue;

use super::Section;
use crate::job::quantity::{Kind, Quantity, parse};
use crate::problem::{Problem, Severity};

impl Section<'_> {
    /// True if the key stands in the section as a list.
    pub(in super::super) fn is_list(&self, key: &'static str) -> bool {
        self.entry(key).is_some_and(|value| value.get_ref().is_array())
    }

    /// A list of pairs of quantities, as in `[["2 gpm", "14 ft"], ["4 gpm", "9 ft"]]`.
    pub(in super::super) fn pairs(
        &self,
        key: &'static str,
        kinds: [&[Kind]; 2],
    ) -> Option<Vec<[Quantity; 2]>> {
        let value = self.entry(key)?;
        let wrong = |span| {
            let [first, second] = kinds.map(|kinds| kinds[0].example());
            let pair = format!("[\"{first}\", \"{second}\"]");
            let problem = Problem::new(Severity::Error, format!("`{key}` is a list of pairs"))
                .label("not a pair in brackets")
                .help(format!("write {key} = [{pair}, ...]"));
            self.reader.report(problem, Some(span));
        };
        let DeValue::Array(items) = value.get_ref() else {
            wrong(value.span());
            return None;
        };
        let mut found = Vec::new();
        for item in items.iter() {
            let pair = match item.get_ref() {
                DeValue::Array(pair) if pair.len() == 2 => pair,
                _ => {
                    wrong(item.span());
                    continue;
                }
            };
            let read = |i: usize| {
                let text = self.figures(key, &pair[i], kinds[i])?;
                parse(&text, kinds[i]).map_err(|fault| self.fault(fault, &pair[i])).ok()
            };
            if let (Some(first), Some(second)) = (read(0), read(1)) {
                found.push([first, second]);
            }
        }
        self.note(key, self.reader.text[value.span()].to_string(), None, None);
        (found.len() == items.len()).then_some(found)
    }
}
