//! What every page has round its content.

use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("page.css");

/// A page that needs nothing else: `name` of the job and what the page is `about`, over its content.
pub(super) fn sheet(name: &str, about: &str, content: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (name) " \u{2013} " (about) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                main {
                    h1 { (name) ": " (about) }
                    (content)
                }
            }
        }
    };
    page.into_string()
}
