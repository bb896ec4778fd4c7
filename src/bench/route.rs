//! What the page can ask, and the headers that keep it to itself.

use std::convert::Infallible;
use std::sync::Arc;

use axum::Json;
use axum::extract::{DefaultBodyLimit, Path, RawQuery, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use futures_util::stream::{self, Stream};
use serde_json::{Value, json};

use super::change::Change;
use super::guard::Guard;
use super::room::Room;

const PAGE: &str = include_str!("page/page.html");
const SCRIPT: &str = include_str!("page/page.js");
const PATCH: &str = include_str!("page/patch.js");
const VIEW: &str = include_str!("page/view.js");
const LIBRARY: &str = include_str!("page/ogl.min.js");
const STYLE: &str = include_str!("page/page.css");

/// A change is a few words; more than this is none.
const LARGEST_BYTES: usize = 64 * 1024;
/// So many changes are tried at once.
const MOST_CHANGES: usize = 100;

/// Nothing from elsewhere, nothing to elsewhere, in no other page's frame.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src data:; \
connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Everything that the page can ask for.
pub fn router(guard: Guard, room: Arc<Room>) -> axum::Router {
    axum::Router::new()
        .route("/{token}/", get(fixed("text/html; charset=utf-8", PAGE)))
        .route("/{token}/page.js", get(fixed("text/javascript; charset=utf-8", SCRIPT)))
        .route("/{token}/patch.js", get(fixed("text/javascript; charset=utf-8", PATCH)))
        .route("/{token}/view.js", get(fixed("text/javascript; charset=utf-8", VIEW)))
        .route("/{token}/ogl.min.js", get(fixed("text/javascript; charset=utf-8", LIBRARY)))
        .route("/{token}/page.css", get(fixed("text/css; charset=utf-8", style())))
        .route("/{token}/book", get(book))
        .route("/{token}/scene", get(scene))
        .route("/{token}/knobs", get(knobs))
        .route("/{token}/news", get(news))
        .route("/{token}/what-if", post(what_if))
        .route("/{token}/write", post(write))
        .with_state(room)
        .layer(DefaultBodyLimit::max(LARGEST_BYTES))
        .layer(middleware::from_fn_with_state(guard, admit))
}

/// A text that never changes, with its kind.
fn fixed<T>(kind: &'static str, body: T) -> ([(HeaderName, &'static str); 1], T) {
    ([(header::CONTENT_TYPE, kind)], body)
}

/// The style of the book and what the page adds to it.
fn style() -> String {
    format!("{}{STYLE}", crate::book::STYLE)
}

/// Lets in only what comes from this machine's own browser with the token of this start.
async fn admit(
    State(guard): State<Guard>,
    headers: HeaderMap,
    request: Request,
    next: Next,
) -> Response {
    let word = |name: HeaderName| headers.get(name).and_then(|v| v.to_str().ok());
    let changes = request.method() != axum::http::Method::GET;
    let token = request.uri().path().split('/').nth(1).unwrap_or_default();
    let admitted = guard.knows_host(word(header::HOST))
        && guard.knows_origin(word(header::ORIGIN), changes)
        && guard.knows_token(token);
    if !admitted {
        return (StatusCode::NOT_FOUND, "not here").into_response();
    }
    let mut response = next.run(request).await;
    let out = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
    ] {
        out.insert(name, HeaderValue::from_static(value));
    }
    response
}

/// The book for a page that has seen a state of it, as in `?seen=7`; a page that has seen none leaves it out.
async fn book(State(room): State<Arc<Room>>, RawQuery(query): RawQuery) -> Json<Value> {
    let seen = query.as_deref().and_then(|q| q.strip_prefix("seen=")).and_then(|n| n.parse().ok());
    Json(room.shown().told(seen.unwrap_or(0)))
}

async fn scene(State(room): State<Arc<Room>>) -> Response {
    room.scene().map_or_else(|why| refused(&why), |scene| Json(scene).into_response())
}

async fn knobs(State(room): State<Arc<Room>>) -> Response {
    room.knobs().map_or_else(|why| refused(&why), |knobs| Json(knobs).into_response())
}

/// One event for every change; the page then asks for the book.
async fn news(State(room): State<Arc<Room>>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let events = stream::unfold(room.news(), |mut news| async move {
        news.changed().await.ok()?;
        let number = news.borrow_and_update().number;
        Some((Ok(Event::default().data(number.to_string())), news))
    });
    Sse::new(events).keep_alive(KeepAlive::default())
}

async fn what_if(
    State(room): State<Arc<Room>>,
    Path(_token): Path<String>,
    Json(changes): Json<Vec<Change>>,
) -> Response {
    if changes.len() > MOST_CHANGES {
        return refused(&format!("at most {MOST_CHANGES} changes at once"));
    }
    // It takes a tenth of a second or more: the page stays alive meanwhile.
    match tokio::task::spawn_blocking(move || room.what_if(&changes)).await {
        Ok(Ok(answer)) => Json(answer).into_response(),
        Ok(Err(why)) => refused(&why),
        Err(_) => refused("this could not be worked out"),
    }
}

async fn write(
    State(room): State<Arc<Room>>,
    Path(_token): Path<String>,
    Json(changes): Json<Vec<Change>>,
) -> Response {
    match tokio::task::spawn_blocking(move || room.write(&changes)).await {
        Ok(Ok(())) => Json(json!({ "written": true })).into_response(),
        Ok(Err(why)) => refused(&why),
        Err(_) => refused("this could not be written"),
    }
}

fn refused(why: &str) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, Json(json!({ "message": why }))).into_response()
}
