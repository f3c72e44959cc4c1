//! The desk without its door: requests are answered in this process, past the guard, as if the desk's
//! own page had sent them. For tests that ask more often than a socket could carry.

use super::server::{Desk, DeskError, Setting, answered, furnished};
use super::ways::Query;
use crate::desk::pen::Pen;
use axum::body::{Body, HttpBody, to_bytes};
use axum::http::{HeaderMap, Method, StatusCode, Uri};
use std::sync::Arc;
use tokio::runtime::Runtime;

/// Largest answer that is handed on, bytes.
const MOST: usize = 64 << 20;

/// A desk that nobody outside this process can reach.
pub struct Indoors {
    desk: Arc<Desk>,
    runtime: Runtime,
}

impl Indoors {
    /// Opens a desk. Files that change by themselves are not noticed, and models are not measured.
    ///
    /// # Errors
    /// As [`super::serve`], but for ports.
    pub fn open(setting: Setting) -> Result<Self, DeskError> {
        let failed = |e: std::io::Error| DeskError(format!("starting: {e}"));
        std::fs::create_dir_all(&setting.content).map_err(failed)?;
        let pen = Pen::open(&setting.content, &setting.beside.join("desk"))?;
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .map_err(failed)?;
        let desk = Arc::new(furnished(setting, pen, [0, 0])?);
        Ok(Self { desk, runtime })
    }

    /// The status and the body of the answer to a request; `target` is the path with what follows the
    /// question mark. Of an answer that has no end, such as the news, the body is left out.
    pub fn ask(&self, method: &str, target: &str, body: Vec<u8>) -> (u16, Vec<u8>) {
        let (Ok(method), Ok(uri)) = (method.parse::<Method>(), target.parse::<Uri>()) else {
            return (StatusCode::BAD_REQUEST.as_u16(), Vec::new());
        };
        let path = uri.path().to_owned();
        let query = Query::of(uri.query().unwrap_or_default());
        let (desk, headers) = (Arc::clone(&self.desk), HeaderMap::new());
        self.runtime.block_on(async {
            let answer = answered(desk, &method, path, query, &headers, Body::from(body)).await;
            let (status, body) = (answer.status().as_u16(), answer.into_body());
            if body.size_hint().exact().is_none() {
                return (status, Vec::new());
            }
            let bytes = to_bytes(body, MOST).await.unwrap_or_default();
            (status, bytes.to_vec())
        })
    }
}
