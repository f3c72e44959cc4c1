//! Photographs and scans on their way in: handed to the pen as they come, never whole in memory.

use super::pen::Inside;
use super::refused::Refused;
use super::server::Desk;
use crate::limits::Limits;
use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, header};
use serde_json::{Value, json};
use std::io::{self, Read};
use std::sync::Arc;
use tokio::sync::mpsc;
use tokio_stream::StreamExt;

/// Pieces that wait between the network and the disk.
const WAITING: usize = 8;

/// Endings of models and of what lies beside them.
const MODELS: [&str; 7] = ["glb", "gltf", "ply", "stl", "obj", "3mf", "bin"];
/// Endings of sound and film.
const RECORDINGS: [&str; 7] = ["mp3", "m4a", "ogg", "opus", "wav", "mp4", "webm"];

/// The most that a file of this name may have, bytes.
fn most(name: &str, limits: &Limits) -> Option<u64> {
    let ending = name.rsplit_once('.')?.1.to_lowercase();
    let ending = ending.as_str();
    if MODELS.contains(&ending) {
        Some(limits.model_bytes)
    } else if RECORDINGS.contains(&ending) {
        Some(limits.recording_bytes)
    } else if ["jpg", "jpeg", "png", "webp"].contains(&ending) {
        Some(limits.photograph_bytes)
    } else {
        None
    }
}

/// A body, read as it comes by a thread that may wait.
struct Coming {
    pieces: mpsc::Receiver<Result<Bytes, String>>,
    rest: Bytes,
}

impl Read for Coming {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        while self.rest.is_empty() {
            match self.pieces.blocking_recv() {
                None => return Ok(0),
                Some(Ok(piece)) => self.rest = piece,
                Some(Err(error)) => return Err(io::Error::other(error)),
            }
        }
        let count = into.len().min(self.rest.len());
        into[..count].copy_from_slice(&self.rest.split_to(count));
        Ok(count)
    }
}

/// Takes a file in.
pub(super) async fn take(
    desk: Arc<Desk>,
    path: &str,
    headers: &HeaderMap,
    body: Body,
) -> Result<Value, Refused> {
    let file = Inside::new(path)?;
    let most = most(path, &desk.limits).ok_or_else(|| {
        Refused::cannot("The desk takes photographs (JPEG, PNG, WebP), models (GLB, glTF, PLY, STL, OBJ, 3MF), sound and film.")
    })?;
    // Said beforehand where it is known: nobody should wait for a file that will be refused.
    let length = headers.get(header::CONTENT_LENGTH);
    let length = length.and_then(|l| l.to_str().ok()?.parse::<u64>().ok());
    if length.is_some_and(|l| l > most) {
        let path = file.to_string();
        return Err(super::pen::Refusal::TooLarge { path, most }.into());
    }
    let (send, pieces) = mpsc::channel(WAITING);
    let feed = async move {
        let mut stream = body.into_data_stream();
        let mut got = 0u64;
        while let Some(piece) = stream.next().await {
            let piece = piece.map_err(|e| e.to_string());
            got += piece.as_ref().map_or(0, |p| p.len() as u64);
            let ended = piece.is_err();
            if send.send(piece).await.is_err() || ended {
                return;
            }
        }
        // A connection that was cut is no end of a file.
        if length.is_some_and(|l| l != got) {
            let _ = send
                .send(Err("the file did not come whole".to_owned()))
                .await;
        }
    };
    let pen = Arc::clone(&desk);
    let work = tokio::task::spawn_blocking(move || {
        let rest = Bytes::new();
        let mut coming = Coming { pieces, rest };
        pen.pen.take_in(&file, &mut coming, most, (pen.clock)())
    });
    let (_, taken) = tokio::join!(feed, work);
    let taken = taken.map_err(|e| Refused::cannot(e.to_string()))??;
    desk.live.poke();
    Ok(json!({ "file": taken.file.as_str(), "bytes": taken.bytes, "version": taken.version }))
}
