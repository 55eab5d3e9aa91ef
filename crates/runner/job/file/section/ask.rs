//! A question for one quantity: what is possible, what is usual, and the default.

use super::{Section, with_meaning};
use crate::job::quantity::{Kind, Quantity, parse};
use crate::money::Currency;
use crate::problem::{Problem, Severity};

/// A question for one quantity, with what is possible and what is usual.
pub(in super::super) struct Ask<'s, 'r> {
    section: &'s Section<'r>,
    key: &'static str,
    kinds: &'static [Kind],
    possible: Option<(&'static str, &'static str)>,
    usual: Option<(&'static str, &'static str)>,
    remark: &'static str,
}

impl<'s, 'r> Ask<'s, 'r> {
    pub(super) fn new(section: &'s Section<'r>, key: &'static str, kinds: &'static [Kind]) -> Self {
        Self { section, key, kinds, possible: None, usual: None, remark: "" }
    }

    /// Outside these the value is refused.
    pub(in super::super) fn possible(mut self, low: &'static str, high: &'static str) -> Self {
        self.possible = Some((low, high));
        self
    }

    /// Outside these the value is doubted.
    pub(in super::super) fn usual(mut self, low: &'static str, high: &'static str) -> Self {
        self.usual = Some((low, high));
        self
    }

    /// What the echo says besides the value.
    pub(in super::super) fn remark(mut self, remark: &'static str) -> Self {
        self.remark = remark;
        self
    }

    /// The SI value, or the default in words with where it comes from.
    pub(in super::super) fn or(self, default: &str, source: &str) -> f64 {
        self.or_any(default, source).si
    }

    /// The same with the kind it turned out to be.
    pub(in super::super) fn or_any(self, default: &str, source: &str) -> Quantity {
        if let Some(found) = self.given() {
            return found;
        }
        let found = parse(default, self.kinds).unwrap_or_else(|fault| {
            panic!("default of {}.{}: {}", self.section.path, self.key, fault.message)
        });
        self.echo(default, &found, Some(source));
        found
    }

    /// The quantity if the key is given; a faulty one is not a number.
    pub(in super::super) fn given(&self) -> Option<Quantity> {
        let value = self.section.entry(self.key)?;
        let faulty = Quantity::faulty(self.kinds[0]);
        let Some(text) = self.section.figures(self.key, value, self.kinds) else { return Some(faulty) };
        let found = match parse(&text, self.kinds) {
            Ok(found) => found,
            Err(fault) => {
                self.section.fault(fault, value);
                return Some(faulty);
            }
        };
        if let Some((low, high)) = self.outside(self.possible, &found) {
            let message = format!("`{}` cannot be {text}", self.key);
            let problem = Problem::new(Severity::Error, message)
                .label("not possible")
                .help(format!("possible: {low} to {high}"));
            self.section.report(self.key, problem);
            return Some(faulty);
        }
        if let Some((low, high)) = self.outside(self.usual, &found) {
            let meaning = self.in_words(&text, &found);
            let problem =
                Problem::new(Severity::Warning, format!("`{}` = {meaning} is out of the ordinary", self.key))
                    .label("please check")
                    .help(format!("usual: {low} to {high}"));
            self.section.report(self.key, problem);
        }
        self.echo(&text, &found, None);
        Some(found)
    }

    /// The limits in the units of the value's writer, if the value is of their kind and outside them.
    fn outside(
        &self,
        limits: Option<(&'static str, &'static str)>,
        found: &Quantity,
    ) -> Option<(String, String)> {
        let (low, high) = limits?;
        let limit = |text| parse(text, &[found.kind]).ok();
        let words = |text: &str, limit: Quantity| match found.kind {
            Kind::Number | Kind::Count | Kind::Share | Kind::Duration => text.to_string(),
            kind if kind.is_money() => text.replace('$', found.currency.map_or("$", Currency::symbol)),
            _ if limit.us == found.us => text.to_string(),
            kind => kind.shown(limit.si, found.us),
        };
        let (low, high) = ((low, limit(low)?), (high, limit(high)?));
        // A limit in another unit, 360 in for 30 ft, is the limit.
        let slack = 1e-12 * low.1.si.abs().max(high.1.si.abs());
        let outside = found.si < low.1.si - slack || found.si > high.1.si + slack;
        outside.then(|| (words(low.0, low.1), words(high.0, high.1)))
    }

    /// `18 F (10 K) difference`: what was written with its meaning in the other units.
    fn in_words(&self, text: &str, found: &Quantity) -> String {
        let meaning = match found.kind {
            // Watts, minutes and money are everybody's.
            Kind::Number | Kind::Count | Kind::Share | Kind::Duration => String::new(),
            kind if kind.is_money() => String::new(),
            Kind::Power if !found.us => String::new(),
            kind => kind.shown(found.si, !found.us),
        };
        let words = with_meaning(text.trim(), &meaning);
        if found.kind == Kind::Difference { format!("{words} difference") } else { words }
    }

    fn echo(&self, text: &str, found: &Quantity, source: Option<&str>) {
        let mut words = self.in_words(text, found);
        if !self.remark.is_empty() {
            words = format!("{words}, {}", self.remark);
        }
        self.section.note(self.key, words, Some((found.si, found.kind.si_unit())), source);
    }
}
