//! The few requests the server answers, and what is refused before one is looked at.

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use serde::Serialize;
use serde::de::DeserializeOwned;
use tokio::task::spawn_blocking;
use tokio::time::timeout;

use super::asked::{Save, Year};
use super::desk::{Desk, Turned};
use super::gate::Gate;
use super::{assets, save};

/// Bytes of a request's body: names and a few dozen settings.
const BODY_BYTES: usize = 16 * 1024;
/// Time for the body to come in.
const BODY_TIME: Duration = Duration::from_secs(8);

/// Nothing from elsewhere is loaded, nothing inline is run, and no other page may hold this one.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
                      base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// What every request works with.
#[derive(Clone)]
pub(super) struct Shop {
    pub gate: Arc<Gate>,
    pub desk: Arc<Desk>,
}

pub(super) fn routes(shop: Shop) -> Router {
    Router::new()
        .route("/", get(|| assets::answer(&assets::PAGE)))
        .route("/page.css", get(assets::style))
        .route("/icon.svg", get(|| assets::answer(&assets::ICON)))
        .route("/script/{name}", get(assets::script))
        .route("/house", post(house))
        .route("/year", post(year))
        .route("/save", post(save_job))
        .route("/report", post(save_report))
        .fallback(async || told(StatusCode::NOT_FOUND, "there is no such page here"))
        .method_not_allowed_fallback(async || {
            told(StatusCode::METHOD_NOT_ALLOWED, "this is not asked in this way")
        })
        .layer(middleware::from_fn_with_state(shop.clone(), checked))
        .with_state(shop)
}

/// Refuses before anything is read, and sets what every answer says of itself.
async fn checked(State(shop): State<Shop>, request: Request, next: Next) -> Response {
    let refused = shop.gate.admit(request.method(), request.headers()).err();
    let mut answer = match refused {
        Some((status, why)) => told(status, why),
        None if !shop.gate.in_time() => {
            let mut answer = told(StatusCode::TOO_MANY_REQUESTS, "too many requests: wait a second");
            answer.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from_static("1"));
            answer
        }
        None => match within_bounds(request).await {
            Ok(request) => next.run(request).await,
            Err((status, why)) => told(status, why),
        },
    };
    let headers = answer.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (header::HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    answer
}

/// The request with its whole body, if that is small and comes soon.
async fn within_bounds(request: Request) -> Result<Request, (StatusCode, &'static str)> {
    let (head, body) = request.into_parts();
    let reads = matches!(head.method, Method::GET | Method::HEAD);
    let json =
        head.headers.get(header::CONTENT_TYPE).is_some_and(|kind| kind.as_bytes() == b"application/json");
    if !reads && !json {
        return Err((StatusCode::UNSUPPORTED_MEDIA_TYPE, "send application/json"));
    }
    let most = if reads { 0 } else { BODY_BYTES };
    let whole = timeout(BODY_TIME, axum::body::to_bytes(body, most)).await;
    let bytes = whole
        .map_err(|_| (StatusCode::REQUEST_TIMEOUT, "the request came too slowly"))?
        .map_err(|_| (StatusCode::PAYLOAD_TOO_LARGE, "the request is too large or broke off"))?;
    Ok(Request::from_parts(head, Body::from(bytes)))
}

/// What cannot be done as it was asked. It is an answer like others: a browser would log any other code as a fault of the page.
#[derive(Serialize)]
struct Refused<'a> {
    refused: &'a str,
}

/// A newer request of the same variant has taken the place of this one.
#[derive(Serialize)]
struct Overtaken {
    overtaken: bool,
}

/// What went wrong, for the page to show.
#[derive(Serialize)]
struct Told<'a> {
    error: &'a str,
}

fn told(status: StatusCode, why: &str) -> Response {
    answered(status, &Told { error: why })
}

fn answered(status: StatusCode, answer: &impl Serialize) -> Response {
    let text = serde_json::to_string(answer).expect("plain values under text keys");
    (status, [(header::CONTENT_TYPE, "application/json")], text).into_response()
}

fn read<T: DeserializeOwned>(body: &Bytes) -> Result<T, String> {
    serde_json::from_slice(body).map_err(|fault| format!("the request is not understood: {fault}"))
}

async fn house(State(shop): State<Shop>) -> Response {
    answered(StatusCode::OK, &shop.desk.house().opening())
}

async fn year(State(shop): State<Shop>, body: Bytes) -> Response {
    let asked: Year = match read(&body) {
        Ok(asked) => asked,
        Err(why) => return told(StatusCode::BAD_REQUEST, &why),
    };
    turned(shop.desk.year(asked).await)
}

fn turned(outcome: Turned) -> Response {
    match outcome {
        Turned::Done(Ok(text)) => {
            (StatusCode::OK, [(header::CONTENT_TYPE, "application/json")], text).into_response()
        }
        Turned::Done(Err(why)) => answered(StatusCode::OK, &Refused { refused: &why }),
        Turned::Overtaken => answered(StatusCode::OK, &Overtaken { overtaken: true }),
        Turned::Full => told(StatusCode::SERVICE_UNAVAILABLE, "too many years are waiting: try again"),
    }
}

async fn save_job(State(shop): State<Shop>, body: Bytes) -> Response {
    let asked: Save = match read(&body) {
        Ok(asked) => asked,
        Err(why) => return told(StatusCode::BAD_REQUEST, &why),
    };
    // A disk may take its time; other requests do not wait for it.
    match spawn_blocking(move || save::job(shop.desk.house(), &asked)).await {
        Ok(outcome) => written(outcome),
        Err(_) => told(StatusCode::INTERNAL_SERVER_ERROR, "suncask met a fault of its own"),
    }
}

async fn save_report(State(shop): State<Shop>, body: Bytes) -> Response {
    let asked: Save = match read(&body) {
        Ok(asked) => asked,
        Err(why) => return told(StatusCode::BAD_REQUEST, &why),
    };
    turned(shop.desk.report(asked).await)
}

fn written(outcome: Result<save::Saved, String>) -> Response {
    match outcome {
        Ok(saved) => answered(StatusCode::OK, &saved),
        Err(why) => answered(StatusCode::OK, &Refused { refused: &why }),
    }
}
