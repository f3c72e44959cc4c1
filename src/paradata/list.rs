//! Every claim of an object, in the order in which it is told.

mod making;

use super::{About, Claim, Input, Known, Method, Number};
use crate::collate::{COVERAGE, ObjectGeometry, Reason};
use crate::record::{BodyKind, Evidence, Lang, Localised, Object, suggest};
use std::collections::BTreeSet;

const KINDS: [BodyKind; 2] = [BodyKind::Original, BodyKind::Replica];

/// All claims. `first` is the site's first language: ids are made from the words of that one.
pub fn claims(object: &Object, geometry: &ObjectGeometry, first: &Lang) -> Vec<Claim> {
    let mut list = List {
        object,
        geometry,
        first,
        taken: BTreeSet::new(),
        claims: Vec::new(),
    };
    list.of_record();
    for kind in KINDS {
        list.of_body(kind);
    }
    list.of_details();
    list.of_comparison();
    list.of_making();
    list.claims
}

struct List<'a> {
    object: &'a Object,
    geometry: &'a ObjectGeometry,
    first: &'a Lang,
    taken: BTreeSet<String>,
    claims: Vec<Claim>,
}

impl List<'_> {
    fn add(&mut self, id: String, about: About, known: Known, numbers: Vec<Number>) {
        // Two readings may have one name.
        let mut own = id.clone();
        let mut next = 2;
        while !self.taken.insert(own.clone()) {
            own = format!("{id}-{next}");
            next += 1;
        }
        self.claims.push(Claim {
            id: own,
            about,
            known,
            numbers,
        });
    }

    fn stated(&mut self, id: String, about: About, evidence: &Evidence, numbers: Vec<Number>) {
        self.add(id, about, Known::Stated(evidence.clone()), numbers);
    }

    fn computed(
        &mut self,
        id: String,
        about: About,
        (method, from): (Method, Vec<Input>),
        numbers: Vec<Number>,
    ) {
        self.add(id, about, Known::Computed { method, from }, numbers);
    }

    fn slug(&self, text: &Localised) -> String {
        suggest(text.get(self.first).unwrap_or_default())
    }

    fn models(&self, kind: BodyKind) -> Vec<Input> {
        let parts = self.object.record.bodies.parts(kind).iter();
        parts.map(|p| Input::Model(kind, p.id.clone())).collect()
    }

    /// The models of a body, and what its certificate says.
    fn scans(&self, kind: BodyKind) -> Vec<Input> {
        let mut from = self.models(kind);
        let body = self.object.record.bodies.get(kind);
        if body.is_some_and(|b| b.scan.is_some()) {
            from.push(Input::Claim(format!("scan-{}", kind.word())));
        }
        from
    }

    /// The densities of a body's materials.
    fn densities(&self, kind: BodyKind) -> Vec<Input> {
        let parts = self.object.record.bodies.parts(kind).iter();
        let all: BTreeSet<Input> = parts
            .map(|p| Input::Claim(format!("material-{}", p.material)))
            .collect();
        all.into_iter().collect()
    }

    fn of_record(&mut self) {
        let record = &self.object.record;
        self.stated(
            "identification".to_owned(),
            About::Identification,
            &record.identification.evidence,
            Vec::new(),
        );
        for kind in KINDS {
            if let Some(body) = record.bodies.get(kind) {
                let known = body.evidence.clone().map_or(Known::Unsaid, Known::Stated);
                let id = kind.word().to_owned();
                self.add(id, About::Body(kind), known, Vec::new());
            }
        }
        for (id, material) in &record.materials {
            let [low, high] = material.density_g_per_cm3;
            let numbers = vec![
                Number::plain("density_from", "g/cm³", low),
                Number::plain("density_to", "g/cm³", high),
            ];
            let about = About::Material(id.clone());
            self.stated(format!("material-{id}"), about, &material.evidence, numbers);
        }
    }

    fn of_body(&mut self, kind: BodyKind) {
        let Some(body) = self.object.record.bodies.get(kind) else {
            return;
        };
        let word = kind.word();
        if let Some(scan) = &body.scan {
            let numbers = vec![Number::plain("uncertainty", "mm", scan.uncertainty_mm)];
            let about = About::Certificate(kind);
            self.stated(format!("scan-{word}"), about, &scan.evidence, numbers);
        }
        if let Some(weighed) = &body.weighed_g {
            let numbers = vec![Number {
                expanded: Some(weighed.uncertainty_g),
                ..Number::plain("mass", "g", weighed.value_g)
            }];
            let about = About::Weighed(kind);
            self.stated(format!("weight-{word}"), about, &weighed.evidence, numbers);
        }
        for (index, caliper) in body.calipers.iter().enumerate() {
            let numbers = vec![Number {
                expanded: Some(caliper.uncertainty_mm),
                ..Number::plain("distance", "mm", caliper.measured_mm)
            }];
            let id = format!("callipers-{word}-{}", self.slug(&caliper.name));
            self.stated(id, About::Caliper(kind, index), &caliper.evidence, numbers);
        }
        let geometry = self.geometry;
        if let Some(extent) = geometry.extents.bodies.get(&kind) {
            let sides = ["width", "height", "depth"]
                .into_iter()
                .zip(&extent.size_mm);
            let numbers = sides
                .map(|(name, of)| Number::of(name, "mm", of, 1.0))
                .collect();
            let how = (Method::Box, self.scans(kind));
            self.computed(format!("size-{word}"), About::Size(kind), how, numbers);
            if let Some(volume) = &extent.volume_mm3 {
                let numbers = vec![Number::of("volume", "cm³", volume, 1e-3)];
                let how = (Method::Enclosed, self.scans(kind));
                self.computed(format!("volume-{word}"), About::Volume(kind), how, numbers);
            }
        }
        let masses = geometry.quantities.masses.get(&kind);
        if let Some(mass) = masses.and_then(|m| m.reckoned_g.as_ref()) {
            let mut from = self.scans(kind);
            from.extend(self.densities(kind));
            let numbers = vec![Number::of("mass", "g", mass, 1.0)];
            let how = (Method::Density, from);
            self.computed(format!("mass-{word}"), About::Mass(kind), how, numbers);
        }
        if let Some(standing) = geometry.bearings.standing.get(&kind) {
            let mut from = self.scans(kind);
            from.extend(self.densities(kind));
            let numbers = vec![
                Number::of("lean", "°", &standing.lean_deg, 1.0),
                Number::of("tips", "°", &standing.tips_deg, 1.0),
            ];
            let how = (Method::Hull, from);
            self.computed(
                format!("standing-{word}"),
                About::Standing(kind),
                how,
                numbers,
            );
        }
        if let Some(assembly) = geometry.bearings.assembly.get(&kind) {
            let gaps = assembly.joints.iter().filter_map(|j| j.gap_mm.as_ref());
            let mut numbers: Vec<Number> =
                gaps.map(|gap| Number::of("gap", "mm", gap, 1.0)).collect();
            if let Some(walls) = &assembly.walls {
                numbers.push(Number::plain("wall_least", "mm", walls.least_mm));
                numbers.push(Number::plain("wall_median", "mm", walls.median_mm));
            }
            let how = (Method::Surfaces, self.scans(kind));
            let about = About::Assembly(kind);
            if !numbers.is_empty() {
                self.computed(format!("assembly-{word}"), about, how, numbers);
            }
        }
        let how = (Method::Reduced, self.models(kind));
        self.computed(
            format!("models-{word}"),
            About::Models(kind),
            how,
            Vec::new(),
        );
    }

    fn of_details(&mut self) {
        for detail in &self.object.details {
            let (id, record) = (&detail.id, &detail.record);
            let about = About::Detail(id.clone());
            self.stated(format!("detail-{id}"), about, &record.evidence, Vec::new());
            let body = record.anchor.body;
            let Some(placed) = self.geometry.places.get(id).and_then(|p| p.get(&body)) else {
                continue;
            };
            let names = ["right", "height", "forward"];
            let point = names.into_iter().zip(placed.point.to_array());
            let mut numbers: Vec<Number> = point
                .map(|(name, v)| Number::plain(name, "mm", v))
                .collect();
            numbers.push(Number::plain("radius", "mm", record.anchor.radius_mm));
            let from = vec![
                Input::Model(body, record.part.clone()),
                Input::Claim(format!("detail-{id}")),
            ];
            let how = (Method::Placed, from);
            self.computed(
                format!("place-{id}"),
                About::Place(id.clone()),
                how,
                numbers,
            );
        }
    }

    fn of_comparison(&mut self) {
        let (record, geometry) = (&self.object.record, self.geometry);
        for (index, stated) in record.differences.iter().enumerate() {
            let id = format!("difference-{}", self.slug(&stated.aspect));
            self.stated(id, About::Stated(index), &stated.evidence, Vec::new());
        }
        let settled = &record.collation;
        if settled.tolerance_mm.is_some() || settled.coating_mm.is_some() {
            let tolerance = settled.tolerance_mm.into_iter();
            let coating = settled.coating_mm.into_iter().flatten();
            let numbers = tolerance
                .map(|mm| Number::plain("tolerance", "mm", mm))
                .chain(coating.map(|mm| Number::plain("coating", "mm", mm)));
            let known = settled
                .evidence
                .clone()
                .map_or(Known::Unsaid, Known::Stated);
            let id = "comparison".to_owned();
            self.add(id, About::Settled, known, numbers.collect());
        }
        if let Some(difference) = &geometry.quantities.mass_difference_g {
            let mut from = Vec::new();
            for kind in KINDS {
                let weighed = record
                    .bodies
                    .get(kind)
                    .is_some_and(|b| b.weighed_g.is_some());
                let stem = if weighed { "weight" } else { "mass" };
                from.push(Input::Claim(format!("{stem}-{}", kind.word())));
            }
            let mut numbers = vec![Number::of("difference", "g", difference, 1.0)];
            if let Some(ratio) = &geometry.quantities.mass_ratio {
                numbers.push(Number::of("ratio", "", ratio, 1.0));
            }
            let about = About::MassDifference;
            self.computed(
                "mass-difference".to_owned(),
                about,
                (Method::Less, from),
                numbers,
            );
        }
        let Some(collation) = &geometry.collation else {
            return;
        };
        let both: Vec<Input> = KINDS
            .into_iter()
            .flat_map(|kind| self.scans(kind))
            .collect();
        let fit = &collation.laid.fit;
        let numbers = vec![
            Number::plain("at_points", "mm", fit.at_points_mm),
            Number::plain("along_normals", "mm", fit.along_normals_mm),
            Number::plain("repeat", "mm", fit.repeat_mm),
        ];
        let how = (Method::Aligned, both.clone());
        self.computed("alignment".to_owned(), About::Alignment, how, numbers);
        let mut from = both;
        from.push(Input::Claim("alignment".to_owned()));
        if self.taken.contains("comparison") {
            from.push(Input::Claim("comparison".to_owned()));
        }
        for group in collation.groups() {
            let regions: Vec<_> = group
                .found
                .iter()
                .filter_map(|f| collation.region(f))
                .collect();
            let deepest = regions.iter().map(|r| r.max_mm).fold(0.0, f64::max);
            // As the page of differences has them: what is shared by all outlines moves them together.
            let sure_mm = group.found.first().and_then(|f| collation.part(&f.part));
            let sure_mm = sure_mm.map(|p| COVERAGE * p.tolerance.standard_mm);
            let volumes = regions.iter().map(|r| r.volume_expanded_mm3.powi(2));
            let numbers = vec![
                Number {
                    expanded: sure_mm.filter(|u| *u > 0.0),
                    ..Number::plain("at_most", "mm", deepest)
                },
                Number {
                    expanded: Some(regions.iter().map(|r| r.area_expanded_mm2).sum()),
                    ..Number::plain("area", "mm²", regions.iter().map(|r| r.area_mm2).sum())
                },
                Number {
                    expanded: Some(volumes.sum::<f64>().sqrt()),
                    ..Number::plain("volume", "mm³", regions.iter().map(|r| r.volume_mm3).sum())
                },
            ];
            match group.reason {
                Reason::Detail(id) => {
                    let mut from = from.clone();
                    from.push(Input::Claim(format!("detail-{id}")));
                    let how = (Method::Compared, from);
                    let about = About::Region(id.clone());
                    self.computed(format!("measured-{id}"), about, how, numbers);
                }
                Reason::Accepted(index) => {
                    if let Some(accepted) = record.collation.accepted.get(index) {
                        let id = format!("accepted-{}-{}", accepted.part, index + 1);
                        self.stated(id, About::Accepted(index), &accepted.evidence, numbers);
                    }
                }
                // Nothing is published while there is one that nothing explains.
                Reason::None => {}
            }
        }
    }
}
