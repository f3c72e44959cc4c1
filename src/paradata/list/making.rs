//! Claims of the making: steps, layers, hours, powder.

use super::List;
use crate::paradata::{About, Input, Method, Number};
use crate::record::{BodyKind, QuantityKind};

impl List<'_> {
    pub(super) fn of_making(&mut self) {
        for step in &self.object.making {
            let hours = step.record.hours.into_iter();
            let numbers = hours.map(|h| Number::plain("hours", "h", h)).collect();
            let about = About::Step(step.id.clone());
            self.stated(
                format!("step-{}", step.id),
                about,
                &step.record.evidence,
                numbers,
            );
        }
        let quantities = &self.geometry.quantities;
        for (index, layers) in quantities.layers.iter().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "layers, far below 2^53")]
            let numbers = vec![
                Number::plain("layers", "", layers.count as f64),
                Number::plain("thickness", "µm", layers.thickness_um),
                Number::of("height", "mm", &layers.height_mm, 1.0),
            ];
            let mut from = vec![Input::Model(BodyKind::Replica, layers.part.clone())];
            from.push(Input::Claim(format!("step-{}", layers.step)));
            let about = About::Layers(index);
            let how = (Method::Layers, from);
            self.computed(format!("layers-{}", layers.part), about, how, numbers);
        }
        let work = &quantities.work;
        let totals = [("people", &work.people_h), ("machine", &work.machine_h)];
        let totals = totals
            .into_iter()
            .filter_map(|(name, t)| Some((name, t.as_ref()?.value)));
        let numbers: Vec<Number> = totals
            .map(|(name, h)| Number::plain(name, "h", h))
            .collect();
        if !numbers.is_empty() {
            let told = |s: &&crate::record::Step| {
                s.record.hours.is_some() || states(s, &[QuantityKind::MachineTime])
            };
            let from = self.steps(told);
            self.computed(
                "hours".to_owned(),
                About::Hours,
                (Method::Sum, from),
                numbers,
            );
        }
        if let Some(powder) = &quantities.powder {
            let shares = [
                ("used", powder.used_g),
                ("parts", powder.parts_g),
                ("supports", powder.supports_g),
                ("scrap", powder.scrap_g),
            ];
            let numbers = shares
                .into_iter()
                .filter_map(|(n, g)| Some(Number::plain(n, "g", g?)));
            let numbers = numbers.collect();
            use QuantityKind::{PartsMass, PowderUsed, ScrapMass, SupportsMass};
            let kinds = [PowderUsed, PartsMass, SupportsMass, ScrapMass];
            let from = self.steps(|s| states(s, &kinds));
            self.computed(
                "powder".to_owned(),
                About::Powder,
                (Method::Sum, from),
                numbers,
            );
        }
    }

    fn steps(&self, told: impl Fn(&&crate::record::Step) -> bool) -> Vec<Input> {
        let steps = self.object.making.iter().filter(told);
        steps
            .map(|s| Input::Claim(format!("step-{}", s.id)))
            .collect()
    }
}

/// Whether a step states a quantity of one of these kinds.
fn states(step: &crate::record::Step, kinds: &[QuantityKind]) -> bool {
    let mut own = step.record.quantities.iter();
    own.any(|q| q.is.is_some_and(|is| kinds.contains(&is)))
}
