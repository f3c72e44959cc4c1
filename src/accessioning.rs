//! `counterpart accession`: a new object, from flags, and from questions on a terminal.

mod asking;
mod flags;
mod receiving;
mod telling;

pub(crate) use flags::AccessionArgs;

use crate::terminal::Terminal;
use crate::{DONE, FAILED, beside};
use asking::Asker;
use counterpart::accession::{self, Answers, MaterialAnswers, PartAnswers, RightsAnswers, Scan};
use counterpart::desk::pen::{Inside, Moment, Pen, Refusal};
use counterpart::limits::Limits;
use counterpart::record::{
    self, BodyKind, Lang, Localised, MaterialId, ObjectId, UpAxis, Use, suggest,
};
use flags::{InLang, PartFile, unit};
use std::fs::File;
use std::path::PathBuf;
use telling::{json, missing, plain, unit_lines, unknown_unit};

/// A scan that is to be copied, and what the record will say of it.
struct Coming {
    kind: BodyKind,
    from: PathBuf,
    part: PartAnswers,
}

/// A scan that is there, with its measures or why there are none.
struct Arrived {
    file: Inside,
    measured: Result<Scan, String>,
}

/// Makes the object and prints what was measured and what is missing.
pub(crate) fn run(args: &AccessionArgs, terminal: &Terminal) -> u8 {
    let made = match (&args.from, &args.id) {
        (Some(file), _) => receiving::take(args, file),
        (None, Some(id)) => make(args, id, terminal),
        (None, None) => Err("Name the new object.".to_owned()),
    };
    match made {
        Ok(text) => {
            terminal.answer(args.json, &text);
            DONE
        }
        Err(why) => {
            terminal.note(&why);
            FAILED
        }
    }
}

/// The content folder, made when it is missing, opened for writing.
fn open(args: &AccessionArgs) -> Result<Pen, String> {
    std::fs::create_dir_all(&args.content).map_err(|e| {
        format!(
            "The content folder {} cannot be made: {e}.",
            args.content.display()
        )
    })?;
    let keep = beside(&args.content).ok_or("The content folder has no folder around it.")?;
    Pen::open(&args.content, &keep.join("desk")).map_err(|refusal| refusal.to_string())
}

fn make(args: &AccessionArgs, id: &ObjectId, terminal: &Terminal) -> Result<String, String> {
    let told = |refusal: Refusal| refusal.to_string();
    let pen = open(args)?;
    let record = Inside::new(&format!("{}/record.toml", id)).map_err(told)?;
    if pen.read(&record).map_err(told)?.is_some() {
        return Err(format!(
            "The object {} is there already and was left as it is. Choose another name, or open it with counterpart desk.",
            id
        ));
    }
    let mut asker = Asker::new(args.json, terminal.messages());
    let (mut answers, new_site) = answers(args, &pen, &mut asker)?;
    let mut coming = coming(args, terminal, &mut asker)?;
    let material = answers.materials.keys().next().cloned();
    for scan in &mut coming {
        // Of what the replica is made was not asked.
        if scan.kind == BodyKind::Original {
            scan.part.material = material.clone();
        }
        answers
            .bodies
            .entry(scan.kind)
            .or_default()
            .parts
            .push(scan.part.clone());
    }
    let mut files = Vec::new();
    for scan in &coming {
        let file = Inside::new(&format!("{}/{}", id, scan.part.model)).map_err(told)?;
        let mut from = File::open(&scan.from)
            .map_err(|e| format!("{} cannot be opened: {e}.", scan.from.display()))?;
        let most = Limits::default().model_bytes;
        pen.take_in(&file, &mut from, most, Moment::now())
            .map_err(told)?;
        files.push(file);
    }
    let begun = accession::begin(&pen, id, &answers, Moment::now()).map_err(told)?;
    let mut arrived = Vec::new();
    for (scan, file) in coming.iter().zip(files) {
        let path = args.content.join(file.as_str());
        let measured = match scan.part.unit {
            Some(unit) => accession::look(&path, unit, scan.part.up, &Limits::default(), terminal)
                .map_err(|e| e.to_string()),
            None => Err(unknown_unit(&path)),
        };
        arrived.push(Arrived { file, measured });
    }
    let missing = missing(args, std::slice::from_ref(id));
    Ok(match args.json {
        true => json(id, &begun.files, &arrived, &missing.0),
        false => plain(
            args,
            id,
            &begun.files,
            new_site,
            &arrived,
            &missing,
            terminal,
        ),
    })
}

/// What the flags say, and what is answered to the questions.
fn answers(args: &AccessionArgs, pen: &Pen, asker: &mut Asker) -> Result<(Answers, bool), String> {
    let site = Inside::new("site.toml").and_then(|file| pen.read(&file));
    let site = site.map_err(|e| e.to_string())?;
    let mut answers = Answers {
        titles: localised(&args.title),
        name: localised(&args.name),
        number: args.number.clone(),
        date: localised(&args.date),
        keeper: localised(&args.keeper),
        ..Answers::default()
    };
    answers.site.publisher = args.publisher.clone();
    answers.site.address = args.address.clone();
    let languages = match &site {
        Some(leaf) => languages_of(&leaf.text),
        None => {
            if answers.site.publisher.is_none() {
                answers.site.publisher = asker.ask("Who publishes the site?");
            }
            match answers.titles.0.keys().cloned().collect::<Vec<_>>() {
                none if none.is_empty() => asker.languages(),
                given => given,
            }
        }
    };
    answers.site.languages = if site.is_none() {
        languages.clone()
    } else {
        Vec::new()
    };
    asker.in_each("Title of its page", &languages, &mut answers.titles);
    asker.in_each("What kind of thing is it", &languages, &mut answers.name);
    if answers.number.is_none() {
        answers.number = asker.ask("Object number?");
    }
    asker.in_each("When was it made", &languages, &mut answers.date);
    asker.in_each("Who keeps the original", &languages, &mut answers.keeper);
    let mut material = localised(&args.material);
    asker.in_each("What is the original made of", &languages, &mut material);
    let first = material.0.values().next().cloned();
    if let Some(name) = first {
        let id = MaterialId::try_from(suggest(&name)).map_err(|e| e.to_string())?;
        answers.materials.insert(
            id,
            MaterialAnswers {
                name: material,
                ..Default::default()
            },
        );
    }
    if let (Some(holder), Some(statement)) = (&args.holder, &args.statement) {
        answers.rights = Some(RightsAnswers {
            holder: holder.clone(),
            statement: statement.clone(),
            permits: vec![Use::Display],
        });
    }
    Ok((answers, site.is_none()))
}

fn languages_of(site: &str) -> Vec<Lang> {
    // A site that cannot be read is the survey's to tell, at the end.
    toml::from_str::<record::Site>(site).map_or(Vec::new(), |site| site.languages)
}

fn localised(texts: &[InLang]) -> Localised {
    Localised(
        texts
            .iter()
            .map(|InLang(lang, text)| (lang.clone(), text.clone()))
            .collect(),
    )
}

/// The scans that were named, with their units.
fn coming(
    args: &AccessionArgs,
    terminal: &Terminal,
    asker: &mut Asker,
) -> Result<Vec<Coming>, String> {
    let originals = args.original.iter().map(|f| (BodyKind::Original, f));
    let replicas = args.replica.iter().map(|f| (BodyKind::Replica, f));
    let mut all: Vec<Coming> = Vec::new();
    for (kind, PartFile(id, from)) in originals.chain(replicas) {
        if all.iter().any(|c| c.kind == kind && &c.part.id == id) {
            return Err(format!(
                "Two scans of the {} are called {id}. Name their parts: --{} bowl=scan.ply",
                kind.word(),
                kind.word()
            ));
        }
        let choices = accession::unit_choices(from, &Limits::default())
            .map_err(|e| format!("{}: {e}", from.display()))?;
        let unit = match (&choices[..], args.unit) {
            // The format says it.
            ([only], _) => Some(only.unit),
            (_, Some(unit)) => Some(unit),
            (several, None) => {
                terminal.note(&format!("{}:\n{}", from.display(), unit_lines(several)));
                asker
                    .ask("In which unit was it saved: mm, cm, m or in?")
                    .map(|t| unit(&t))
                    .transpose()?
            }
        };
        let ending = from
            .extension()
            .unwrap_or_default()
            .to_string_lossy()
            .to_lowercase();
        let stated = ["glb", "gltf"].contains(&ending.as_str());
        all.push(Coming {
            kind,
            from: from.clone(),
            part: PartAnswers {
                id: id.clone(),
                name: Localised::default(),
                model: format!("models/{}-{id}.{ending}", kind.word()),
                unit,
                up: if stated { UpAxis::Y } else { args.up },
                material: None,
            },
        });
    }
    Ok(all)
}
