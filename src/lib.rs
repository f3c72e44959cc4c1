//! counterpart: how a replica stands to its original, told truthfully.
//!
//! Data flows one way; no later stage reaches back.
//!
//! ```text
//! record/   what the keeper wrote          folder             → Catalogue + Findings
//! mesh/     triangles in millimetres       model file         → Mesh
//! space/    bounding-volume tree           Mesh               → Tree: closest point, rays
//! stand/    hull, resting planes           points             → Rest: lean, tip
//! joint/    how parts meet, walls          Mesh + Tree        → Meeting, Walls
//! align/    one surface on another         2 × Surface        → Fit: motion, what is left
//! differ/   where two surfaces part        2 × Surface + Pose → Comparison: regions
//! profile/  cuts and outlines              surfaces + Plane   → lines of a drawing
//! view/     where to stand                 Parts + Patch      → Chosen: view, what to leave out
//! raised/   lines for fingers              surfaces + Plane   → strokes and braille on paper
//! reduce/   fewer triangles                Mesh               → Reduced + deviation
//! relief/   what they lost, drawn          Reduced + Mesh     → places on a sheet, pictures
//! collate/  original and replica           Object + Mesh      → ObjectGeometry + Findings
//! survey    all that can be known first    folder             → Survey
//! plan      work for many machines         Catalogue          → units, their files, a guess of time
//! paradata/ claims and their grounds Object + geometry  → Claims
//! picture/  stills, photographs, codes     Mesh + Camera      → files
//! site/     page models → templates        Survey             → a folder to serve
//! deposit/  for an archive              one object         → a bag, read back and found right
//! accession/ a new object             answers + scans    → its folder, first measures
//! desk/     the keeper's own page          content folder     → files changed, nothing lost
//! exchange/ records of others         CSV, LIDO          → new objects; and back
//! epigraphy/ inscriptions              Detail             → EpiDoc TEI
//! find/     words of all documents    Documents          → an index for browsers
//! annotation/ details                 Object + places    → Web Annotations, a manifest
//! linked/   linked data            Telling            → Linked Art, schema.org, Dublin Core
//! messages/ what is said         English            → another language
//! formats/  open formats             Telling            → documents for machines and archives
//! ```
//!
//! The library never prints and never asks the time: folders, today's date, limits and a
//! listener for progress come in as arguments.

#[cfg(unix)]
pub mod accession;
pub mod align;
pub mod annotation;
pub mod collate;
pub mod deposit;
#[cfg(unix)]
pub mod desk;
pub mod differ;
pub mod epigraphy;
pub mod exchange;
pub mod find;
pub mod formats;
pub mod joint;
pub mod limits;
pub mod linked;
mod markup;
pub mod mesh;
pub mod messages;
pub mod paradata;
pub mod picture;
pub mod plan;
pub mod profile;
pub mod progress;
pub mod raised;
pub mod record;
pub mod reduce;
pub mod relief;
pub mod site;
pub mod space;
pub mod stand;
mod steady;
pub mod store;
pub mod survey;
pub mod view;
