//! The files of the page, compiled in. Nothing is fetched from anywhere.

use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

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
pub(super) static STYLE: Asset = asset!("page.css", "text/css; charset=utf-8");
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

/// A script of the page by its name.
pub(super) async fn script(Path(name): Path<String>) -> Response {
    match SCRIPTS.iter().find(|script| script.name == name) {
        Some(script) => answer(script).await,
        None => StatusCode::NOT_FOUND.into_response(),
    }
}
