//! The files of the page, compiled in. Nothing is fetched from anywhere.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

use crate::picture;

/// A file of the page.
pub(super) struct Asset {
    name: &'static str,
    kind: &'static str,
    text: &'static str,
}

const SCRIPT: &str = "text/javascript; charset=utf-8";

macro_rules! asset {
    ($name:literal, $kind:expr) => {
        Asset { name: $name, kind: $kind, text: include_str!(concat!("front/", $name)) }
    };
}

pub(super) static PAGE: Asset = asset!("page.html", "text/html; charset=utf-8");
/// The page's own style, and that of its pictures on dark paper.
static STYLE: LazyLock<String> = LazyLock::new(|| {
    let own = include_str!("front/page.css");
    format!("{own}@media (prefers-color-scheme: dark) {{\n{}}}\n", picture::dark_rules(".sheet"))
});
pub(super) static ICON: Asset = asset!("icon.svg", "image/svg+xml");
static SCRIPTS: [Asset; 6] = [
    asset!("page.js", SCRIPT),
    asset!("ask.js", SCRIPT),
    asset!("controls.js", SCRIPT),
    asset!("figures.js", SCRIPT),
    asset!("day.js", SCRIPT),
    asset!("keep.js", SCRIPT),
];

pub(super) async fn answer(asset: &'static Asset) -> Response {
    ([(header::CONTENT_TYPE, asset.kind)], asset.text).into_response()
}

pub(super) async fn style() -> Response {
    ([(header::CONTENT_TYPE, "text/css; charset=utf-8")], STYLE.as_str()).into_response()
}

/// A script of the page by its name.
pub(super) async fn script(Path(name): Path<String>) -> Response {
    match SCRIPTS.iter().find(|script| script.name == name) {
        Some(script) => answer(script).await,
        None => StatusCode::NOT_FOUND.into_response(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Colors of fills and lines of a picture.
    fn colors(svg: &str) -> impl Iterator<Item = &str> {
        svg.split(['<', ' ']).filter_map(|part| {
            let text = part.strip_prefix("fill=\"").or_else(|| part.strip_prefix("stroke=\""))?;
            text.split('"').next().filter(|color| color.starts_with('#'))
        })
    }

    #[test]
    fn every_color_of_the_drawings_turns_dark_or_is_the_suns() {
        for starter in &crate::job::STARTERS {
            let job = crate::job::file::read_text(starter.kind, starter.text).expect("a starter");
            let svg = picture::plant_drawing(&picture::DrawnPlant::of(&job), picture::Units::Us);
            assert!(colors(&svg).count() > 20, "{}", starter.kind);
            for color in colors(&svg).map(str::to_lowercase) {
                let turned = STYLE.contains(&format!("[fill=\"{color}\" i]"));
                assert!(turned || color == "#f2b134", "{}: {color}", starter.kind);
            }
        }
        // Pictures lie on the page's own dark paper.
        let paper =
            STYLE.split("--paper: ").nth(2).and_then(|rest| rest.split(';').next()).expect("dark paper");
        assert!(STYLE.contains(&format!(".sheet [fill=\"#ffffff\" i] {{ fill: {paper}; }}")), "{paper}");
    }
}
