//! LIDO as others write it.

use super::{lang, taken};
use counterpart::record::{Day, Localised};

/// Written by hand after the published examples' shape (from memory), with two languages, an actor
/// without a display name, a technique beside a material, and much that we have no place for.
pub(super) const FOREIGN: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<!-- a comment -->
<lido:lidoWrap xmlns:lido="http://www.lido-schema.org" xmlns:gml="http://www.opengis.net/gml" xmlns:skos="http://www.w3.org/2004/02/skos/core#">
<lido:lido>
<lido:lidoRecID lido:type="local">XX-Mus/obj:4711</lido:lidoRecID>
<lido:descriptiveMetadata xml:lang="en">
<lido:objectClassificationWrap><lido:objectWorkTypeWrap><lido:objectWorkType><lido:conceptID lido:type="uri">http://vocab.example/300</lido:conceptID><lido:term>jug</lido:term></lido:objectWorkType></lido:objectWorkTypeWrap>
<lido:classificationWrap><lido:classification><lido:term>household</lido:term></lido:classification><lido:classification><lido:term>tableware</lido:term></lido:classification></lido:classificationWrap></lido:objectClassificationWrap>
<lido:objectIdentificationWrap>
<lido:titleWrap><lido:titleSet><lido:appellationValue lido:pref="preferred">The jug &amp; its &#x6c;id</lido:appellationValue><lido:sourceAppellation>register</lido:sourceAppellation></lido:titleSet></lido:titleWrap>
<lido:repositoryWrap><lido:repositorySet><lido:repositoryName><lido:legalBodyName><lido:appellationValue>Brackwater Museum</lido:appellationValue></lido:legalBodyName></lido:repositoryName><lido:workID lido:type="inventory">BRKMU:7</lido:workID><lido:repositoryLocation><lido:namePlaceSet><lido:appellationValue>Store</lido:appellationValue></lido:namePlaceSet></lido:repositoryLocation></lido:repositorySet></lido:repositoryWrap>
<lido:objectDescriptionWrap><lido:objectDescriptionSet><lido:descriptiveNoteValue>A jug with *no* handle.
It was [found] in 1900.</lido:descriptiveNoteValue></lido:objectDescriptionSet></lido:objectDescriptionWrap>
<lido:objectMeasurementsWrap><lido:objectMeasurementsSet><lido:displayObjectMeasurements>H 20 cm</lido:displayObjectMeasurements></lido:objectMeasurementsSet></lido:objectMeasurementsWrap>
</lido:objectIdentificationWrap>
<lido:eventWrap>
<lido:eventSet><lido:event><lido:eventType><lido:conceptID lido:type="uri">http://terminology.lido-schema.org/lido00007</lido:conceptID><lido:term>Production</lido:term></lido:eventType>
<lido:eventActor><lido:actorInRole><lido:actor lido:type="person"><lido:nameActorSet><lido:appellationValue>Tomas</lido:appellationValue></lido:nameActorSet></lido:actor><lido:roleActor><lido:term>potter</lido:term></lido:roleActor></lido:actorInRole></lido:eventActor>
<lido:eventDate><lido:date><lido:earliestDate>1640</lido:earliestDate><lido:latestDate>1650</lido:latestDate></lido:date></lido:eventDate>
<lido:eventPlace><lido:place><lido:namePlaceSet><lido:appellationValue>Brackwater</lido:appellationValue></lido:namePlaceSet><lido:gml><gml:Point><gml:pos>52 -4</gml:pos></gml:Point></lido:gml></lido:place></lido:eventPlace>
<lido:eventMaterialsTech><lido:materialsTech><lido:termMaterialsTech lido:type="material"><lido:term>tin</lido:term></lido:termMaterialsTech><lido:termMaterialsTech lido:type="technique"><lido:term>casting</lido:term></lido:termMaterialsTech></lido:materialsTech></lido:eventMaterialsTech>
</lido:event></lido:eventSet>
<lido:eventSet><lido:event><lido:eventType><lido:term>Finding</lido:term></lido:eventType><lido:eventDate><lido:displayDate>1900</lido:displayDate></lido:eventDate></lido:event></lido:eventSet>
</lido:eventWrap>
</lido:descriptiveMetadata>
<lido:descriptiveMetadata xml:lang="cy">
<lido:objectClassificationWrap><lido:objectWorkTypeWrap><lido:objectWorkType><lido:term>jwg</lido:term></lido:objectWorkType></lido:objectWorkTypeWrap></lido:objectClassificationWrap>
<lido:objectIdentificationWrap><lido:titleWrap><lido:titleSet><lido:appellationValue>Y jwg</lido:appellationValue></lido:titleSet></lido:titleWrap></lido:objectIdentificationWrap>
</lido:descriptiveMetadata>
<lido:administrativeMetadata xml:lang="en">
<lido:rightsWorkWrap><lido:rightsWorkSet><lido:rightsType><lido:term>all rights reserved</lido:term></lido:rightsType><lido:rightsHolder><lido:legalBodyName><lido:appellationValue>Heirs</lido:appellationValue></lido:legalBodyName></lido:rightsHolder></lido:rightsWorkSet></lido:rightsWorkWrap>
<lido:recordWrap><lido:recordID lido:type="local">4711</lido:recordID><lido:recordType><lido:term>single object</lido:term></lido:recordType><lido:recordSource><lido:legalBodyName><lido:appellationValue>Brackwater Museum</lido:appellationValue></lido:legalBodyName></lido:recordSource>
<lido:recordRights><lido:rightsType><lido:conceptID lido:type="uri">https://creativecommons.org/publicdomain/zero/1.0</lido:conceptID></lido:rightsType><lido:rightsHolder><lido:legalBodyName><lido:appellationValue>Brackwater Museum</lido:appellationValue></lido:legalBodyName></lido:rightsHolder></lido:recordRights></lido:recordWrap>
<lido:resourceWrap><lido:resourceSet><lido:resourceRepresentation><lido:linkResource>https://pictures.example/1.jpg</lido:linkResource></lido:resourceRepresentation></lido:resourceSet></lido:resourceWrap>
</lido:administrativeMetadata>
</lido:lido>
</lido:lidoWrap>
"#;

fn both(en: &str, cy: &str) -> Localised {
    Localised([(lang("en"), en.to_owned()), (lang("cy"), cy.to_owned())].into())
}

fn en(text: &str) -> Localised {
    Localised([(lang("en"), text.to_owned())].into())
}

#[test]
fn what_can_be_understood_is_taken() {
    let received = taken(FOREIGN);
    let item = &received.records[0].item;
    assert_eq!(
        item.object.as_ref().map(ToString::to_string).as_deref(),
        Some("4711")
    );
    assert_eq!(item.number.as_deref(), Some("BRKMU:7"));
    assert_eq!(item.title, both("The jug & its lid", "Y jwg"));
    assert_eq!(item.name, both("jug", "jwg"));
    assert_eq!(item.keeper, en("Brackwater Museum"));
    assert_eq!(item.location, en("Store"));
    assert_eq!(item.maker, en("Tomas"));
    assert_eq!(item.date, en("1640–1650"));
    assert_eq!(item.place, en("Brackwater"));
    let names: Vec<_> = item.materials.iter().map(|m| m.name.clone()).collect();
    assert_eq!(names, [en("tin")]);
    // Signs of Markdown are words here.
    assert_eq!(
        item.words,
        en("A jug with \\*no\\* handle\\.\n\nIt was \\[found\\] in 1900\\.")
    );
    assert_eq!(
        item.unjudged,
        [("Heirs".to_owned(), "all rights reserved".to_owned())]
    );
    let rights = &item.rights[0];
    assert_eq!(
        rights.statement.as_str(),
        "https://creativecommons.org/publicdomain/zero/1.0/"
    );
    // Nobody has said for what it may be used.
    assert!(rights.permits.is_empty());
    assert_eq!(item.words_rights.as_ref(), Some(&rights.id));
    assert_eq!(item.scanned, None::<Day>);
}

#[test]
fn everything_else_is_told_by_its_path() {
    let received = taken(FOREIGN);
    let left = &received.records[0].left.0;
    let about = "descriptiveMetadata";
    let making = format!("{about}/eventWrap/eventSet/event");
    for (path, times) in [
        (
            format!("{about}/objectClassificationWrap/classificationWrap/classification/term"),
            2,
        ),
        (
            format!("{about}/objectClassificationWrap/objectWorkTypeWrap/objectWorkType/conceptID"),
            1,
        ),
        (
            format!("{about}/objectIdentificationWrap/titleWrap/titleSet/sourceAppellation"),
            1,
        ),
        (
            format!(
                "{about}/objectIdentificationWrap/objectMeasurementsWrap/objectMeasurementsSet/displayObjectMeasurements"
            ),
            1,
        ),
        (format!("{making}/eventActor/actorInRole/roleActor/term"), 1),
        (
            format!(
                "{making}/eventPlace/place/gml/{{http://www.opengis.net/gml}}Point/{{http://www.opengis.net/gml}}pos"
            ),
            1,
        ),
        (
            format!("{making}/eventMaterialsTech/materialsTech/termMaterialsTech/term"),
            1,
        ),
        (format!("{making}/eventType/term"), 1),
        (format!("{making}/eventDate/displayDate"), 1),
        (
            "administrativeMetadata/resourceWrap/resourceSet/resourceRepresentation/linkResource"
                .to_owned(),
            1,
        ),
        ("administrativeMetadata/recordWrap/recordID".to_owned(), 1),
    ] {
        assert_eq!(left.get(&path), Some(&times), "{path}: {left:#?}");
    }
    // All text of the document is either taken or told: counted without our tree.
    let texts = FOREIGN.split('>').skip(1).filter(|piece| {
        let words = piece.split('<').next().unwrap_or_default();
        !words.trim().is_empty()
    });
    let item = &received.records[0].item;
    // Taken: object, number, two titles, two names, keeper, place of keeping, words, maker, two dates,
    // place, material, production's concept and term; of rights two holders, a term, a concept.
    let taken_over = 20;
    assert_eq!(
        texts.count(),
        left.values().sum::<usize>() + taken_over,
        "{item:#?}"
    );
}

#[test]
fn one_record_of_many_is_a_document_again() {
    let one = FOREIGN
        .split("<lido:lido>")
        .nth(1)
        .unwrap()
        .split("</lido:lido>")
        .next()
        .unwrap();
    let two = FOREIGN.replace(
        "</lido:lidoWrap>",
        &format!(
            "<lido:lido>{}</lido:lido></lido:lidoWrap>",
            one.replace("4711", "4712")
        ),
    );
    let received = taken(&two);
    assert_eq!(received.records.len(), 2);
    for record in &received.records {
        let again = taken(&record.received);
        assert_eq!(again.records.len(), 1);
        assert_eq!(
            (&again.records[0].item, &again.records[0].left),
            (&record.item, &record.left)
        );
    }
}
