//! New values into the text of a job file, whose comments and order stay.

use toml::{Table, Value};
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, TableLike};

/// The text with the keys that `wanted` has: equal ones stay as they are written, others are set, and the rest goes.
///
/// # Errors
/// The text is not TOML.
pub(super) fn woven(text: &str, wanted: &Table) -> Result<String, String> {
    let mut document: DocumentMut = text.parse().map_err(|fault: toml_edit::TomlError| fault.to_string())?;
    weave(document.as_table_mut(), wanted);
    Ok(document.to_string())
}

fn weave(table: &mut dyn TableLike, wanted: &Table) {
    let gone: Vec<String> =
        table.iter().map(|(key, _)| key.to_owned()).filter(|key| !wanted.contains_key(key)).collect();
    for key in gone {
        table.remove(&key);
    }
    for (key, value) in wanted {
        match table.get_mut(key) {
            Some(item) => change(item, value),
            None => {
                table.insert(key, item(value));
            }
        }
    }
}

/// Makes an item say `value`, leaving what does so already.
fn change(old: &mut Item, value: &Value) {
    match (&mut *old, value) {
        (Item::ArrayOfTables(list), Value::Array(values))
            if list.len() == values.len() && values.iter().all(Value::is_table) =>
        {
            for (table, wanted) in list.iter_mut().zip(values.iter().filter_map(Value::as_table)) {
                weave(table, wanted);
            }
        }
        (Item::Value(written), value) => {
            if !same(written, value) {
                // What stands behind the value on its line is kept.
                let decor = written.decor().clone();
                *written = plain(value);
                *written.decor_mut() = decor;
            }
        }
        (found, Value::Table(wanted)) if found.is_table_like() => {
            if let Some(table) = found.as_table_like_mut() {
                weave(table, wanted);
            }
        }
        (found, value) => *found = item(value),
    }
}

fn same(written: &toml_edit::Value, value: &Value) -> bool {
    match (written, value) {
        (toml_edit::Value::String(a), Value::String(b)) => a.value() == b,
        (toml_edit::Value::Integer(a), Value::Integer(b)) => a.value() == b,
        (toml_edit::Value::Float(a), Value::Float(b)) => a.value() == b,
        (toml_edit::Value::Boolean(a), Value::Boolean(b)) => a.value() == b,
        (toml_edit::Value::Datetime(a), Value::Datetime(b)) => a.value().to_string() == b.to_string(),
        (toml_edit::Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b))
        }
        (toml_edit::Value::InlineTable(a), Value::Table(b)) => {
            a.len() == b.len() && b.iter().all(|(key, value)| a.get(key).is_some_and(|a| same(a, value)))
        }
        _ => false,
    }
}

/// A value as a new item: tables and lists of tables as sections of their own.
fn item(value: &Value) -> Item {
    match value {
        Value::Table(table) => {
            let mut fresh = toml_edit::Table::new();
            weave(&mut fresh, table);
            Item::Table(fresh)
        }
        Value::Array(values) if !values.is_empty() && values.iter().all(Value::is_table) => {
            let tables = values.iter().filter_map(Value::as_table).map(|table| {
                let mut fresh = toml_edit::Table::new();
                weave(&mut fresh, table);
                fresh
            });
            Item::ArrayOfTables(tables.collect::<ArrayOfTables>())
        }
        value => Item::Value(plain(value)),
    }
}

fn plain(value: &Value) -> toml_edit::Value {
    match value {
        Value::String(text) => text.as_str().into(),
        Value::Integer(number) => (*number).into(),
        Value::Float(number) => (*number).into(),
        Value::Boolean(truth) => (*truth).into(),
        // Both crates write it in the same standard form.
        Value::Datetime(moment) => {
            moment.to_string().parse::<toml_edit::Value>().unwrap_or_else(|_| "".into())
        }
        Value::Array(values) => values.iter().map(plain).collect::<Array>().into(),
        Value::Table(table) => {
            let pairs = table.iter().map(|(key, value)| (key.as_str(), plain(value)));
            toml_edit::Value::InlineTable(pairs.collect::<InlineTable>())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::STARTERS;
    use crate::job::file::Draft;

    #[test]
    fn nothing_changed_is_the_text_itself() {
        for starter in &STARTERS {
            let table: Table = starter.text.parse().expect("a starter");
            assert_eq!(woven(starter.text, &table).expect("a starter"), starter.text, "{}", starter.kind);
        }
    }

    #[test]
    fn what_is_set_and_taken_away_is_all_that_changes() {
        for starter in &STARTERS {
            let draft = Draft::of_text(starter.kind, starter.text).expect("a starter");
            let draft = draft
                .with("roof.tilt", "31 deg")
                .with("controller.on_difference", "16 F")
                .with("backup.hours", "2 am - 6 am")
                .with("hot_water.absences", vec!["Jul 1 - Jul 14"])
                .with("money.incentive.name", "rebate")
                .without("hot_water.people")
                .without("calendar.first_day");
            let text = woven(starter.text, draft.table()).expect("sound");
            assert_eq!(&text.parse::<Table>().expect("TOML"), draft.table(), "{text}");
            let remarks = |text: &str| text.lines().filter(|line| line.starts_with('#')).count();
            assert!(remarks(&text) + 2 >= remarks(starter.text), "{text}");
        }
        let text = woven(
            "[tank] # here\nvolume = \"80 gal\"  # nominal\n",
            &"[tank]\nvolume = \"65 gal\"".parse().expect("TOML"),
        );
        assert_eq!(text.expect("sound"), "[tank] # here\nvolume = \"65 gal\"  # nominal\n");
    }

    #[test]
    fn every_kind_of_value_is_woven() {
        let wanted: Table = "a = 1\nb = 1.5\nc = true\nd = [1, \"x\", { y = 2 }]\ne = { f = [] }\ng = 2026-01-31\n[[h]]\ni = 1\n[[h]]\ni = 2\n[j]\nk.l = 3\n"
            .parse()
            .expect("TOML");
        for text in
            ["", "a = \"one\"\nd = 4\nh = 5\nj = 6\n", "h = [1]\n[j.k]\nm = 1\n[[d]]\nx = 1\n[a]\nb = 1\n"]
        {
            let text = woven(text, &wanted).expect("TOML");
            assert_eq!(text.parse::<Table>().expect("TOML"), wanted, "{text}");
        }
        assert!(woven("a = ", &Table::new()).is_err());
    }
}
