//! The studio's own server: on the loopback address alone, for one browser on this machine.

use crate::guard::{Door, Key, Refusal};
use crate::house::House;
use crate::room::{CarryOut, Means};
use crate::{beside, built, socket};
use axum::Router;
use axum::body::Body;
use axum::extract::ws::WebSocketUpgrade;
use axum::extract::{DefaultBodyLimit, Path as InPath, Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, LOCATION, REFERRER_POLICY, SET_COOKIE,
    X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderName, HeaderValue, StatusCode};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use setpiece::Timestamp;
use setpiece::commands::pixels::Budget;
use setpiece::commands::{Error, Kind};
use std::net::{Ipv4Addr, TcpListener};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::watch;

/// Memory for pixels: what a drag, the window and what is held for both need.
const PIXELS: u64 = 1_400_000_000;
/// How often the room is tended.
const TENDED: Duration = Duration::from_millis(300);

/// What the studio opens with.
pub struct Opening {
    /// The picture's folder.
    pub folder: PathBuf,
    /// The port; a free one where it is 0.
    pub port: u16,
    /// The clock.
    pub now: fn() -> Timestamp,
    /// Who understands the words of the command line.
    pub carry_out: CarryOut,
}

#[derive(Clone)]
struct Studio {
    door: Arc<Door>,
    house: Arc<House>,
    closing: watch::Receiver<bool>,
}

/// Serves the studio until `is_over` says so. `ready` is told the address that lets the browser in.
///
/// # Errors
/// Where the picture cannot be opened, or the port is taken.
pub fn serve(opening: &Opening, ready: &dyn Fn(&str), is_over: fn() -> bool) -> Result<(), Error> {
    let Opening { now, carry_out, .. } = *opening;
    let house = House::at(&opening.folder, Means { budget: Budget::of_bytes(PIXELS), now, carry_out })?;
    let cache = house.cache();
    let kept =
        cache.as_deref().and_then(Key::kept).filter(|(_, at)| opening.port == 0 || opening.port == *at);
    // Where the studio had been before, if that is free: a page that waits finds it there.
    let before = kept.as_ref().and_then(|(_, port)| TcpListener::bind((Ipv4Addr::LOCALHOST, *port)).ok());
    let bound = before.map_or_else(|| TcpListener::bind((Ipv4Addr::LOCALHOST, opening.port)), Ok);
    let listener = bound.map_err(|e| {
        let place = format!("port {}", opening.port);
        Error::new(
            Kind::Wording,
            format!("the studio cannot be served: {e}"),
            place,
            "leave --port out, or name another",
        )
    })?;
    let system = |e: std::io::Error| {
        Error::new(
            Kind::Files,
            format!("the studio cannot be served: {e}"),
            "the loopback address",
            "try again",
        )
    };
    let port = listener.local_addr().map_err(system)?.port();
    listener.set_nonblocking(true).map_err(system)?;
    let key = match kept {
        Some((key, before)) if before == port => key,
        _ => Key::fresh().map_err(|e| {
            let what = format!("the system has no random numbers: {e}");
            Error::new(Kind::Files, what, "the studio's key", "try again")
        })?,
    };
    if let Some(cache) = &cache {
        key.keep(cache, port);
    }
    let door = Arc::new(Door::new(key, port));
    let runtime =
        tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().map_err(system)?;
    let house = Arc::new(house);
    let (close, closing) = watch::channel(false);
    let studio = Studio { door: Arc::clone(&door), house: Arc::clone(&house), closing };
    ready(&door.address());
    let tended = Arc::clone(&house);
    let served = runtime.block_on(async move {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        let over = async move {
            while !is_over() {
                let house = Arc::clone(&tended);
                let _ = tokio::task::spawn_blocking(move || house.tend()).await;
                tokio::time::sleep(TENDED).await;
            }
            let _ = close.send(true);
        };
        axum::serve(listener, routes(studio)).with_graceful_shutdown(over).await
    });
    house.close();
    runtime.shutdown_timeout(Duration::from_secs(2));
    served.map_err(system)
}

fn routes(studio: Studio) -> Router {
    Router::new()
        .route("/", get(page))
        .route("/ui/{*file}", get(part))
        .route("/socket", get(line))
        .route("/hand-in/{name}", post(hand_in))
        .route("/silhouette/{cutout}", get(silhouette))
        .layer(DefaultBodyLimit::disable())
        .layer(from_fn_with_state(studio.clone(), guarded))
        .route("/enter/{key}", get(enter))
        .layer(from_fn_with_state(studio.clone(), named))
        .with_state(studio)
}

/// Nobody without the key, nor from elsewhere.
async fn guarded(State(studio): State<Studio>, request: Request, next: Next) -> Response {
    // A line is a request to read that stays open: it is let in from the studio's own page alone.
    let is_line = request.uri().path() == "/socket";
    let method = if is_line { axum::http::Method::POST } else { request.method().clone() };
    match studio.door.lets_in(&method, request.headers()) {
        Ok(()) => next.run(request).await,
        Err(refusal) => refused(refusal),
    }
}

/// Nobody by another name; and what is served is not to be shown, kept or sniffed at elsewhere.
async fn named(State(studio): State<Studio>, request: Request, next: Next) -> Response {
    let mut response = match studio.door.is_ours(request.method(), request.headers()) {
        Ok(()) => next.run(request).await,
        Err(refusal) => refused(refusal),
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (
            CONTENT_SECURITY_POLICY,
            "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
        ),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (X_FRAME_OPTIONS, "DENY"),
        (REFERRER_POLICY, "no-referrer"),
        (CACHE_CONTROL, "no-store"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

fn refused(refusal: Refusal) -> Response {
    (refusal.status(), refusal.says()).into_response()
}

/// Gives the browser the key to show from now on, and leads it to the page.
async fn enter(State(studio): State<Studio>, InPath(key): InPath<String>) -> Response {
    if !studio.door.key().is(&key) {
        return refused(Refusal::Key);
    }
    let Ok(cookie) = HeaderValue::from_str(&studio.door.cookie()) else { return refused(Refusal::Key) };
    let headers = [(SET_COOKIE, cookie), (LOCATION, HeaderValue::from_static("/"))];
    (StatusCode::SEE_OTHER, headers).into_response()
}

async fn page() -> Response {
    file("index.html")
}

async fn part(InPath(name): InPath<String>) -> Response {
    file(&name)
}

fn file(name: &str) -> Response {
    match built::FILES.iter().find(|(n, _)| *n == name) {
        Some((name, bytes)) => {
            let kind = match name.rsplit_once('.').map(|(_, end)| end) {
                Some("html") => "text/html; charset=utf-8",
                Some("js") => "text/javascript; charset=utf-8",
                Some("css") => "text/css; charset=utf-8",
                Some("svg") => "image/svg+xml",
                Some("woff2") => "font/woff2",
                _ => "application/octet-stream",
            };
            ([(CONTENT_TYPE, HeaderValue::from_static(kind))], Body::from(*bytes)).into_response()
        }
        None => (StatusCode::NOT_FOUND, "The studio has no such part.\n").into_response(),
    }
}

/// A file that is laid on the sheet; answered by its number.
async fn hand_in(State(studio): State<Studio>, InPath(name): InPath<String>, body: Body) -> Response {
    let Some(open) = studio.house.now() else { return nothing_open() };
    match beside::take_in(open.room.inbox(), &name, body).await {
        Ok(handed) => json(&handed),
        Err(e) => (StatusCode::BAD_REQUEST, format!("The file was not taken: {e}.\n")).into_response(),
    }
}

fn nothing_open() -> Response {
    (StatusCode::NOT_FOUND, "No picture lies open.\n").into_response()
}

fn json(value: &impl serde::Serialize) -> Response {
    match serde_json::to_string(value) {
        Ok(text) => ([(CONTENT_TYPE, HeaderValue::from_static("application/json"))], text).into_response(),
        Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

/// What a cut-out covers.
async fn silhouette(State(studio): State<Studio>, InPath(cutout): InPath<u64>) -> Response {
    let Some(open) = studio.house.now() else { return nothing_open() };
    let drawn =
        tokio::task::spawn_blocking(move || beside::silhouette(&open.room, &open.store, cutout)).await;
    match drawn.ok().flatten() {
        Some(png) => ([(CONTENT_TYPE, HeaderValue::from_static("image/png"))], png).into_response(),
        None => (StatusCode::NOT_FOUND, "There is no such cut-out.\n").into_response(),
    }
}

async fn line(State(studio): State<Studio>, upgrade: WebSocketUpgrade) -> Response {
    let Studio { house, mut closing, .. } = studio;
    upgrade.max_message_size(socket::LONGEST).max_frame_size(socket::LONGEST).on_upgrade(
        |socket| async move {
            tokio::select! {
                () = socket::answer(socket, house) => {}
                _ = closing.wait_for(|is_over| *is_over) => {}
            }
        },
    )
}
