//! The desk's server: requests become plain values, and what is answered goes out with the headers of every answer.
//!
//! One thread takes requests, and each is worked on beside it, one at a time where the program is asked. Nothing of a
//! request is written down anywhere.

use super::answers::{self, Answer};
use super::guard::{Guard, START};
use super::lock;
use super::printing;
use super::running::Running;
use super::state::Desk;
use super::web::{self, Asked, HEADERS, LARGEST_FORM, Method, Reply};
use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::{self, HeaderName, HeaderValue, StatusCode, header};
use axum::response::Response;
use std::io;
use std::net::{Ipv4Addr, TcpListener};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::sync::watch::Receiver;

/// What all requests share.
#[derive(Clone)]
struct Shared {
    guard: Arc<Guard>,
    desk: Arc<Mutex<Desk>>,
    running: Arc<Running>,
    version: Receiver<u64>,
}

/// Opens a free port on this machine and serves the desk until the process ends. `opened` is given the start link.
///
/// # Errors
/// No port can be opened, or the system gives no random bytes.
pub(super) fn serve(desk: Desk, opened: &mut dyn FnMut(&str) -> io::Result<()>) -> io::Result<()> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
    listener.set_nonblocking(true)?;
    let guard = Guard::new(listener.local_addr()?.port());
    let guard = Arc::new(guard.map_err(|error| io::Error::other(error.to_string()))?);
    let link = guard.link();
    let version = desk.version();
    let shared = Shared {
        guard,
        version: version.subscribe(),
        desk: Arc::new(Mutex::new(desk)),
        running: Arc::default(),
    };
    let early = shared.desk.clone();
    // While the browser opens, what its first page needs is worked out.
    std::thread::spawn(move || {
        let _ = crate::caught::caught(|| {
            let mut desk = lock(&early);
            let _ = desk.view();
        });
    });
    let runtime = tokio::runtime::Builder::new_current_thread().enable_io().enable_time().build()?;
    runtime.block_on(async move {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        let router = Router::new().fallback(move |request: Request| answer(shared.clone(), request));
        opened(&link)?;
        axum::serve(listener, router).await
    })
}

async fn answer(shared: Shared, request: Request) -> Response {
    let (parts, body) = request.into_parts();
    let Ok(body) = to_bytes(body, LARGEST_FORM).await else {
        return response(Reply::plain(413, "That is more than a form of the desk holds."));
    };
    let asked = asked(&parts, &body);
    if asked.path == "/changed" && shared.guard.check(&asked).is_ok() {
        return response(changed(shared.version, &asked).await);
    }
    let worked = tokio::task::spawn_blocking(move || {
        // A page that failed must not close the desk.
        let worked = crate::caught::caught(|| answered(&shared, &asked));
        worked.unwrap_or_else(|why| {
            lock(&shared.desk).forget();
            Reply::plain(500, &format!("The desk could not do this: {why}. Go back and try again."))
        })
    });
    let reply = worked.await.unwrap_or_else(|_| Reply::plain(500, "The desk could not do this."));
    response(reply)
}

fn asked(parts: &http::request::Parts, body: &[u8]) -> Asked {
    let text = |value: &HeaderValue| value.to_str().unwrap_or_default().to_owned();
    let is_form = parts.headers.get(header::CONTENT_TYPE).is_some_and(|kind| {
        kind.to_str().unwrap_or_default().starts_with("application/x-www-form-urlencoded")
    });
    Asked {
        method: match parts.method {
            http::Method::GET | http::Method::HEAD => Method::Get,
            http::Method::POST => Method::Post,
            _ => Method::Other,
        },
        path: parts.uri.path().to_owned(),
        query: web::fields(parts.uri.query().unwrap_or_default().as_bytes()),
        headers: parts.headers.iter().map(|(name, value)| (name.as_str().to_owned(), text(value))).collect(),
        form: if is_form { web::fields(body) } else { Vec::new() },
    }
}

/// A request is refused, is the start link, or is answered. What takes long is made while the desk goes on.
fn answered(shared: &Shared, asked: &Asked) -> Reply {
    let Shared { guard, desk, running, .. } = shared;
    if asked.path.starts_with(START) {
        return match guard.start(asked) {
            Ok(()) => Reply { cookie: Some(guard.set_cookie()), ..answers::let_in(&mut lock(desk)) },
            // The same browser again, by its list of pages.
            Err(_) if guard.check(asked).is_ok() => Reply::go_to("/".to_owned()),
            Err(why) => answers::refused(&mut lock(desk), why),
        };
    }
    if let Err(why) = guard.check(asked) {
        return answers::refused(&mut lock(desk), why);
    }
    // The desk is let go of before anything is made.
    let answer = answers::answer(&mut lock(desk), guard.token(), asked);
    match answer {
        Answer::Page(reply) => reply,
        Answer::Stop(address, event) => {
            running.stop(&address);
            Reply::go_to(format!("/event/{event}"))
        }
        Answer::ToPrint(order) => {
            let order = Arc::new(*order);
            let printed = running.of(&printing::address(asked), order.clone(), printing::wait(asked));
            order.answer(&mut lock(desk), guard.token(), asked, printed)
        }
    }
}

/// Waits until the folder is another than at the version that the page was made from, or for a while.
async fn changed(mut version: Receiver<u64>, asked: &Asked) -> Reply {
    let since: u64 = asked.asks("since").parse().unwrap_or_default();
    let waited = tokio::time::timeout(Duration::from_secs(25), version.wait_for(|now| *now > since)).await;
    let now = waited.ok().and_then(Result::ok).map_or(since, |now| *now);
    Reply::of("text/plain; charset=utf-8", now.to_string().into_bytes())
}

fn response(reply: Reply) -> Response {
    let mut response = Response::new(Body::from(reply.body));
    *response.status_mut() = StatusCode::from_u16(reply.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(reply.kind));
    let kept = if reply.may_be_kept { "private, max-age=3600" } else { "no-store" };
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(kept));
    for (name, value) in [(header::LOCATION, reply.to), (header::SET_COOKIE, reply.cookie)] {
        if let Some(value) = value.and_then(|value| HeaderValue::from_str(&value).ok()) {
            headers.insert(name, value);
        }
    }
    response
}
