//! What every page has round its content: one look, a first sheet of paper with the answer, and the pages behind it.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::WeatherFacts;
use crate::money::ESTIMATE;

const STYLE: &str = include_str!("page.css");

/// A page that needs nothing else.
pub(super) struct Sheet<'a> {
    /// Name of the job.
    pub name: &'a str,
    /// What the page is about, in a few words.
    pub about: &'a str,
    /// Last line of the first sheet.
    pub foot: Markup,
}

/// A titled piece of the pages behind the first sheet.
pub(super) struct Part {
    /// Its place in the page's address.
    pub id: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// What stands under it; empty: the part is left out.
    pub body: Markup,
}

impl Sheet<'_> {
    /// The first sheet of paper, and behind it the parts.
    pub(super) fn page(&self, first: &Markup, parts: &[Part]) -> String {
        let parts: Vec<&Part> = parts.iter().filter(|part| !part.body.0.is_empty()).collect();
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    title { (self.name) " \u{2013} " (self.about) }
                    style { (PreEscaped(STYLE)) (PreEscaped(self.margins())) }
                }
                body {
                    main {
                        section.first aria-labelledby="top" {
                            p.about { (self.about) }
                            h1 #top { (self.name) }
                            (first)
                            p.foot { (self.foot) }
                        }
                        @if !parts.is_empty() {
                            nav aria-label="On the pages behind" {
                                ul { @for part in &parts { li { a href={ "#" (part.id) } { (part.title) } } } }
                            }
                        }
                        @for part in &parts {
                            section.part { h2 id=(part.id) { (part.title) } (part.body) }
                        }
                    }
                }
            }
        };
        page.into_string()
    }

    /// Words in the lower margin of each sheet of paper, where the browser prints them.
    fn margins(&self) -> String {
        format!(
            "@page {{ @bottom-left {{ content: \"{} \\2013  {ESTIMATE}\"; }} }}\n",
            quoted(&shortened(self.name))
        )
    }
}

/// Letters of a name that fit in the lower margin beside what stands there anyway.
const IN_MARGIN: usize = 60;

fn shortened(name: &str) -> String {
    if name.chars().count() <= IN_MARGIN {
        return name.to_owned();
    }
    name.chars().take(IN_MARGIN - 1).chain(['\u{2026}']).collect()
}

/// A text as it stands between the quotes of a style sheet inside a page.
fn quoted(text: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || " .,-_()\u{2026}".contains(c);
    text.chars().map(|c| if plain(c) { c.to_string() } else { format!("\\{:x} ", u32::from(c)) }).collect()
}

/// The last line of a first sheet: what it is not, when, by what and from which weather.
pub(super) fn foot(date: &str, version: &str, weather: &WeatherFacts) -> Markup {
    html! {
        strong { (ESTIMATE) "." } " Made on " (date) " with suncask " (version) " from the weather of "
        (weather.site.called()) " (" code { (weather.source) } ")."
    }
}

/// The mark of a year that was not measured; nothing for one that was.
pub(super) fn made_note(weather: &WeatherFacts) -> Markup {
    html! {
        @if weather.made {
            p.warning role="note" {
                strong { "Made weather. " }
                "This year was made from twelve monthly means: its single days never happened, its extremes are not those of the "
                "place. Use a measured typical year for a quote."
            }
        }
    }
}

/// An answer: its first sentence stands out.
pub(super) fn verdict(answer: &str) -> Markup {
    let (first, rest) = match answer.split_once(". ") {
        Some((first, rest)) => (format!("{first}."), rest),
        None => (answer.to_owned(), ""),
    };
    html! { p.verdict { (first) } @if !rest.is_empty() { p { (rest) } } }
}

/// A table that scrolls by itself where it is wider than the screen.
pub(super) fn wide(label: &str, table: &Markup) -> Markup {
    html! { section.wide tabindex="0" aria-label=(label) { (table) } }
}

/// A picture that scrolls by itself where the screen is narrow.
pub(super) fn figure(svg: &str) -> Markup {
    html! { figure tabindex="0" { (PreEscaped(svg)) } }
}

/// A text that begins a sentence.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_cannot_leave_its_quotes() {
        assert_eq!(quoted("Smith \"a\\b\" </style>"), "Smith \\22 a\\5c b\\22  \\3c \\2f style\\3e ");
        assert_eq!(quoted("House (new), 2\n3"), "House (new), 2\\a 3");
        assert_eq!(shortened(&"x".repeat(80)).chars().count(), 60);
    }

    #[test]
    fn parts_without_content_are_left_out() {
        let sheet = Sheet { name: "A & B", about: "a test", foot: html! { "end" } };
        let part = |id, body| Part { id, title: "Heading", body };
        let page =
            sheet.page(&html! { p { "first" } }, &[part("one", html! { p { "x" } }), part("two", html! {})]);
        assert!(page.contains("A &amp; B") && page.contains("id=\"one\"") && !page.contains("two"));
        assert_eq!(page.matches("<h2").count(), 1);
    }
}
