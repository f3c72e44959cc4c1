//! Linked Art, a profile of the CIDOC CRM: <https://linked.art/model/>.
//!
//! A document each for the original, for the replica, and for the models of either: as received,
//! and as the site shows it. The replica is a thing of its own that shows features of the original
//! (P130); its production used the models of the original (P16), and consists of the steps of its
//! making. Details are features that a body bears; lettering is an inscription that such a feature
//! carries. Repairs are modifications; damage and losses are conditions, found by an assessment.

mod digital;
mod dimensions;
mod events;
mod features;
mod says;
mod things;

pub(crate) use dimensions::rounded;

use super::document;
use crate::formats::{Document, Format, Telling};
use crate::record::{BodyKind, Findings};
use says::Says;

/// Context of Linked Art. A copy of the terms that are used here is shipped: [`super::contexts`].
pub(crate) const CONTEXT: &str = "https://linked.art/ns/v1/linked-art.json";

/// All documents in Linked Art.
pub(crate) fn documents(telling: &Telling<'_>) -> Result<Vec<Document>, Findings> {
    let says = Says::of(telling);
    let mut all = Vec::new();
    for kind in [BodyKind::Original, BodyKind::Replica] {
        let Some(body) = telling.object.record.bodies.get(kind) else {
            continue;
        };
        let mut add = |name: &str, value| -> Result<(), Findings> {
            all.push(document(Format::LinkedArt, name, &value)?);
            Ok(())
        };
        add(&thing_name(kind), says.thing(kind, body))?;
        add(&model_name(kind), says.received(kind, body))?;
        if let Some(shown) = telling.served.model(kind) {
            add(&shown_name(kind), says.shown(kind, body, shown))?;
        }
    }
    Ok(all)
}

/// Where a body is told, below the object's folder of data.
pub(crate) fn thing_name(kind: BodyKind) -> String {
    format!("linked-art/{}.jsonld", kind.word())
}

/// Where its models as received are told.
pub(crate) fn model_name(kind: BodyKind) -> String {
    format!("linked-art/{}-model.jsonld", kind.word())
}

/// Where the model that the site shows is told.
pub(crate) fn shown_name(kind: BodyKind) -> String {
    format!("linked-art/{}-shown.jsonld", kind.word())
}
