//! Listens on loopback and speaks HTTP, with bounds on everything a client can make large, many or slow.

use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, watch};
use tokio::time::{sleep, timeout};

/// Connections at once; more wait in the system's queue.
const MOST_CONNECTIONS: usize = 64;
/// Time for the head of a request, and for the next one on a connection that is kept.
const HEAD_TIME: Duration = Duration::from_secs(8);
/// A connection is asked to end after this, and ended after [`GRACE`] more.
const CONNECTION_TIME: Duration = Duration::from_secs(120);
const GRACE: Duration = Duration::from_secs(30);
/// Bytes of a request's head.
const HEAD_BYTES: usize = 16 * 1024;
/// Lines of a request's head.
const HEAD_LINES: usize = 64;

/// A listener on a port of loopback, 0 for any that is free.
pub(super) async fn listen(port: u16) -> std::io::Result<TcpListener> {
    TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port))).await
}

/// Serves until `stop` turns true; requests that run are seen through for a moment.
pub(super) async fn serve(listener: TcpListener, routes: Router, mut stop: watch::Receiver<bool>) {
    let room = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    loop {
        let permit = tokio::select! {
            permit = Arc::clone(&room).acquire_owned() => permit,
            _ = stop.wait_for(|stop| *stop) => break,
        };
        let Ok(permit) = permit else { break };
        let stream = tokio::select! {
            accepted = listener.accept() => accepted,
            _ = stop.wait_for(|stop| *stop) => break,
        };
        match stream {
            Ok((stream, _)) => {
                let (routes, stop) = (routes.clone(), stop.clone());
                tokio::spawn(async move {
                    converse(stream, routes, stop).await;
                    drop(permit);
                });
            }
            // Out of file handles or the like: others may go before long.
            Err(_) => sleep(Duration::from_millis(50)).await,
        }
    }
    // Every permit back: every connection is over.
    let _ = timeout(GRACE, room.acquire_many(MOST_CONNECTIONS as u32)).await;
}

async fn converse(stream: TcpStream, routes: Router, mut stop: watch::Receiver<bool>) {
    // Answers are written whole: waiting to fill a packet would only delay them.
    let _ = stream.set_nodelay(true);
    let service = TowerToHyperService::new(routes);
    let connection = hyper::server::conn::http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_TIME)
        .max_buf_size(HEAD_BYTES)
        .max_headers(HEAD_LINES)
        .serve_connection(TokioIo::new(stream), service);
    tokio::pin!(connection);
    tokio::select! {
        // A client that breaks off or talks nonsense is no fault of ours.
        _ = connection.as_mut() => return,
        () = sleep(CONNECTION_TIME) => {}
        _ = stop.wait_for(|stop| *stop) => {}
    }
    connection.as_mut().graceful_shutdown();
    let _ = timeout(GRACE, connection).await;
}
