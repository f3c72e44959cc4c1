//! What goes into a bag, and what is withheld from it.
//!
//! Every asset passes the gate for the use *deposit*. Without leave for the words there is no deposit;
//! without leave for a model, nothing that shows that body, and no copy of the site, goes in.
//! Photographs and recordings without leave are left out of everything. A file that no record names
//! has no rights stated, and stays out as well.

mod made;
mod permitted;
mod received;

use super::bag::digest::{Algorithm, Sum, sum, sum_of};
use super::tags::About;
use super::told::{self, Spoken};
use super::{DepositError, Request};
use crate::record::{Asset, BodyKind, Object, Use, Why, Withheld};
use crate::site::{self, Form};
use std::collections::BTreeMap;
use std::fs::File;
use std::path::PathBuf;
use std::sync::Arc;

pub(super) use made::{Left, Shown, largest};

/// The bytes of one file.
#[derive(Debug)]
pub(super) enum Content {
    /// As it lies in the content folder.
    File {
        /// Where.
        path: PathBuf,
        /// Its length.
        length: u64,
    },
    /// Made by this program.
    Bytes(Vec<u8>),
}

impl Content {
    pub(super) fn length(&self) -> u64 {
        match self {
            Self::File { length, .. } => *length,
            Self::Bytes(bytes) => bytes.len() as u64,
        }
    }

    pub(super) fn sum(&self) -> Result<Sum, DepositError> {
        match self {
            Self::Bytes(bytes) => Ok(sum_of(bytes, &Algorithm::WRITTEN)),
            Self::File { path, .. } => File::open(path)
                .and_then(|file| sum(file, &Algorithm::WRITTEN, |_| Ok(())))
                .map_err(|e| DepositError::io("reading", path, &e)),
        }
    }
}

/// Everything for one bag.
pub(super) struct Gathered {
    /// By name within the bag, `data/` included.
    pub(super) files: BTreeMap<String, Content>,
    pub(super) about: About,
    /// What was withheld, in the site's first language.
    pub(super) withheld: Vec<String>,
}

/// What goes in, before it is told.
pub(super) type Files = BTreeMap<String, Content>;

/// Gathers everything.
pub(super) fn gather(request: &Request<'_>) -> Result<Gathered, DepositError> {
    let catalogue = request.catalogue;
    let whole = catalogue.object(request.object).ok_or_else(|| {
        let names: Vec<&str> = catalogue.objects.iter().map(|o| o.id.as_str()).collect();
        DepositError::Refused(format!(
            "there is no object ‘{}’; objects: {}",
            request.object,
            names.join(", ")
        ))
    })?;
    let geometry = request.geometry.get(request.object).ok_or_else(|| {
        DepositError::Refused(format!(
            "the models of ‘{}’ could not be read",
            request.object
        ))
    })?;
    let (object, withheld) = permitted::object(whole, catalogue.today);
    refuse_without_words(request, &withheld)?;
    let mut reduced = catalogue.clone();
    reduced.objects = vec![Arc::new(object)];
    let [object] = reduced.objects.as_slice() else {
        return Err(DepositError::Refused("there is no such object".to_owned()));
    };
    let composed = site::compose(&site::Request {
        catalogue: &reduced,
        geometry: request.geometry,
        sources: request.sources,
        only: Some(request.object),
        target: request.to,
        form: Form::Carried,
        store: request.store,
        limits: request.limits,
        listener: request.listener,
    })?;
    let shown = Shown::of(object, &withheld);
    let mut files = Files::new();
    let mut left = received::put(catalogue, whole, &withheld, &mut files)?;
    left.extend(made::put(object, geometry, &composed, &shown, &mut files)?);
    let spoken = Spoken {
        catalogue: &reduced,
        object,
        geometry,
        withheld: &withheld,
        left: &left,
        shown: &shown,
    };
    let told = told::tell(&spoken, &composed, &mut files)?;
    Ok(Gathered {
        files,
        about: About {
            organization: catalogue.site.publisher.clone(),
            number: object.record.identification.number.clone(),
            object: object.id.to_string(),
            description: told.description,
            day: catalogue.today,
        },
        withheld: told.withheld,
    })
}

fn refuse_without_words(request: &Request<'_>, withheld: &[Withheld]) -> Result<(), DepositError> {
    let Some(words) = withheld.iter().find(|w| w.asset == Asset::Words) else {
        return Ok(());
    };
    Err(DepositError::Refused(format!(
        "{}/record.toml: the words of this object may not be handed to an archive on {}: the rights ‘{}’ {}. Add \"{}\" to their ‘permits’ once the holder has given leave; without words nothing can be deposited",
        request.object,
        request.catalogue.today,
        words.rights,
        words.why,
        Use::Deposit.word(),
    )))
}

/// Whether nothing that shows a body may go in. Where its model is only finer than may be handed on, what
/// the site makes of it is coarse enough.
pub(super) fn body_withheld(withheld: &[Withheld], kind: BodyKind) -> bool {
    let of_body = |w: &Withheld| matches!(&w.asset, Asset::Model { body, .. } if *body == kind);
    let mut models = withheld.iter().filter(|w| of_body(w));
    models.any(|w| !matches!(w.why, Why::TooFine(_)))
}

/// Whether the model of any part is withheld, for whatever reason.
pub(super) fn model_withheld(withheld: &[Withheld]) -> bool {
    let model = |w: &Withheld| matches!(w.asset, Asset::Model { .. });
    withheld.iter().any(model)
}

/// The name of a file of the object within the bag.
pub(super) fn record_name(object: &Object, path: &std::path::Path) -> String {
    let inside = path.strip_prefix(&object.folder).unwrap_or(path);
    let steps: Vec<String> = inside
        .iter()
        .map(|step| step.to_string_lossy().into_owned())
        .collect();
    format!("data/records/{}/{}", object.id, steps.join("/"))
}
