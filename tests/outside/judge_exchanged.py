"""Exchanged records, the list of pages and the feeds, by other programs.

LIDO: no registry of packages carries its schema. MODEL is its content model, version 1.1, from memory:
which elements an element may hold, in which order and how often.
Sitemap: the schema of sitemaps.org, as the npm package `sitemap` brings it.
Feed: RFC 4287, read by feedparser, and the rules of its sections 4.1.1 and 4.1.2.
"""

import csv
import re
import sys
from datetime import datetime
from pathlib import Path

import feedparser
from lxml import etree

ours, schemas = Path(sys.argv[1]), Path(sys.argv[2])
LIDO = "http://www.lido-schema.org"
LANG = "{http://www.w3.org/XML/1998/namespace}lang"

RIGHTS = "rightsType* rightsDate? rightsHolder* creditLine*"
CONCEPT = "conceptID* term*"
NAMES = "appellationValue+ sourceAppellation*"
MODEL = {
    "lidoWrap": "lido+",
    "lido": "lidoRecID+ objectPublishedID* applicationProfile* category? descriptiveMetadata+ administrativeMetadata+",
    "category": CONCEPT,
    "descriptiveMetadata": "objectClassificationWrap objectIdentificationWrap eventWrap? objectRelationWrap?",
    "objectClassificationWrap": "objectWorkTypeWrap classificationWrap?",
    "objectWorkTypeWrap": "objectWorkType+",
    "objectWorkType": CONCEPT,
    "objectIdentificationWrap": "titleWrap inscriptionsWrap? repositoryWrap? displayStateEditionWrap? objectDescriptionWrap? objectMeasurementsWrap? objectMaterialsTechWrap?",
    "titleWrap": "titleSet+",
    "titleSet": NAMES,
    "repositoryWrap": "repositorySet+",
    "repositorySet": "repositoryName? workID* repositoryLocation?",
    "repositoryName": "legalBodyID* legalBodyName* legalBodyWeblink*",
    "legalBodyName": NAMES,
    "repositoryLocation": "placeID* namePlaceSet* gml* partOfPlace* placeClassification*",
    "namePlaceSet": NAMES,
    "objectDescriptionWrap": "objectDescriptionSet+",
    "objectDescriptionSet": "descriptiveNoteID* descriptiveNoteValue* sourceDescriptiveNote*",
    "objectMeasurementsWrap": "objectMeasurementsSet+",
    "objectMeasurementsSet": "displayObjectMeasurements* objectMeasurements?",
    "objectMeasurements": "measurementSet+ extentMeasurements* qualifierMeasurements* formatMeasurements* shapeMeasurements* scaleMeasurements*",
    "measurementSet": "measurementType+ measurementUnit+ measurementValue",
    "measurementType": CONCEPT,
    "measurementUnit": CONCEPT,
    "eventWrap": "eventSet+",
    "eventSet": "displayEvent* event?",
    "event": "eventID* eventType roleInEvent* eventName* eventActor* culture* eventDate? periodName* eventPlace* eventMethod* eventMaterialsTech* thingPresent* relatedEventSet* eventDescriptionSet*",
    "eventType": CONCEPT,
    "eventName": NAMES,
    "eventActor": "displayActorInRole* actorInRole?",
    "actorInRole": "actor roleActor* attributionQualifierActor* extentActor*",
    "actor": "actorID* nameActorSet+ nationalityActor* vitalDatesActor? genderActor*",
    "nameActorSet": NAMES,
    "eventDate": "displayDate* date?",
    "date": "earliestDate? latestDate?",
    "eventPlace": "displayPlace* place?",
    "eventMaterialsTech": "displayMaterialsTech* materialsTech?",
    "materialsTech": "termMaterialsTech+ extentMaterialsTech* sourceMaterialsTech*",
    "termMaterialsTech": CONCEPT,
    "objectRelationWrap": "subjectWrap? relatedWorksWrap?",
    "relatedWorksWrap": "relatedWorkSet+",
    "relatedWorkSet": "relatedWork? relatedWorkRelType?",
    "relatedWork": "displayObject* object?",
    "relatedWorkRelType": CONCEPT,
    "administrativeMetadata": "rightsWorkWrap? recordWrap resourceWrap?",
    "rightsWorkWrap": "rightsWorkSet+",
    "rightsWorkSet": RIGHTS,
    "recordWrap": "recordID+ recordType recordSource+ recordRights* recordInfoSet*",
    "recordType": CONCEPT,
    "recordSource": "legalBodyID* legalBodyName* legalBodyWeblink*",
    "recordRights": RIGHTS,
    "recordInfoSet": "recordInfoID* recordInfoLink* recordMetadataDate*",
    "rightsType": CONCEPT,
    "rightsDate": "earliestDate? latestDate?",
    "rightsHolder": "legalBodyID* legalBodyName* legalBodyWeblink*",
    "resourceWrap": "resourceSet+",
    "resourceSet": "resourceID? resourceRepresentation* resourceType? resourceRelType* resourcePerspective* resourceDescription* resourceDateTaken? resourceSource* rightsResource*",
    "resourceRepresentation": "linkResource resourceMeasurementsSet*",
    "resourceType": CONCEPT,
    "rightsResource": RIGHTS,
}
# These hold words alone.
WORDS = {
    "lidoRecID", "conceptID", "term", "appellationValue", "workID", "descriptiveNoteValue", "displayObjectMeasurements",
    "measurementValue", "displayActorInRole", "displayDate", "earliestDate", "latestDate", "displayPlace", "displayObject",
    "creditLine", "recordID", "recordInfoLink", "linkResource", "resourceDescription",
}


def pattern(model):
    one = lambda word: re.sub(r"^(\w+)([?*+]?)$", r"(?:\1 )\2", word)
    return re.compile("".join(one(word) for word in model.split()))


PATTERNS = {name: pattern(model) for name, model in MODEL.items()}


def faults(element):
    space, name = re.match(r"\{(.*)\}(.*)", element.tag).groups()
    if space != LIDO:
        return [f"{element.tag} is not LIDO's"]
    if name in WORDS:
        return [] if len(element) == 0 and (element.text or "").strip() else [f"{name} has no words, or more than words"]
    if name not in MODEL:
        return [f"{name} is not known"]
    inside = "".join(etree.QName(child).localname + " " for child in element)
    found = [] if PATTERNS[name].fullmatch(inside) else [f"{name} holds: {inside}"]
    if (element.text or "").strip():
        found.append(f"{name} holds words")
    return found + [fault for child in element for fault in faults(child)]


def lido():
    files = [ours / "all.xml", *sorted((ours / "display").glob("*/data/record.lido.xml"))]
    assert len(files) >= 3, "the site has no LIDO of its objects"
    for file in files:
        root = etree.parse(file).getroot()
        wrong = faults(root)
        assert not wrong, f"{file}: {wrong}"
        for name in ("descriptiveMetadata", "administrativeMetadata"):
            assert all(e.get(LANG) for e in root.iter(f"{{{LIDO}}}{name}")), "xml:lang is wanted there"
        # The model lets nothing else pass: an element is put where it may not be.
        for element in list(root.iter()):
            if etree.QName(element).localname in MODEL:
                stray = etree.SubElement(element, f"{{{LIDO}}}lidoRecID")
                stray.text = "stray"
                assert faults(root), f"a stray element in {element.tag} was not seen"
                element.remove(stray)
    links = [e.text for e in etree.parse(files[1]).iter(f"{{{LIDO}}}linkResource")]
    assert links, "the site’s LIDO names no picture"
    address = "https://brackwater.example/counterparts/"
    for file in files[1:]:
        for link in etree.parse(file).iter(f"{{{LIDO}}}linkResource"):
            assert link.text.startswith(address) and (ours / "display" / link.text[len(address):]).is_file(), link.text
    # The scan of the mortar may be shown, and its file is not given away.
    mortar = etree.parse(ours / "display/brackwater-mortar/data/record.lido.xml")
    models = [e.text for e in mortar.iter(f"{{{LIDO}}}linkResource") if e.text.endswith(".glb")]
    assert len(models) == 1 and "replica" in models[0], models
    print(f"{len(files)} documents follow the content model of LIDO 1.1")


def tables():
    for name in ("all.csv", "spectrum.csv"):
        text = (ours / name).read_bytes().decode("utf-8")
        rows = list(csv.reader(text.splitlines(keepends=True), strict=True))
        assert len(rows) == 3 and len({len(r) for r in rows}) == 1, "two objects, all rows of one length"
        assert text.count("\r\n") == 3, "rows end in CRLF"
    titles = rows[0]
    for unit in ("Object number", "Object name.en", "Object production date.cy", "Right holder"):
        assert unit in titles, unit
    number = titles.index("Object number")
    assert [row[number] for row in rows[1:]] == ["BRKMU:1923.14", "BRKMU:1931.2"]
    print(f"tables of {len(titles)} columns are read by Python's csv")


def sitemap():
    xsd = f"""<xsd:schema xmlns:xsd="http://www.w3.org/2001/XMLSchema">
    <xsd:import namespace="http://www.sitemaps.org/schemas/sitemap/0.9" schemaLocation="{schemas / 'sitemap.xsd'}"/>
    <xsd:import namespace="http://www.w3.org/1999/xhtml" schemaLocation="{ours / 'link.xsd'}"/></xsd:schema>"""
    # Only the one element of XHTML that the annotations of languages use.
    (ours / "link.xsd").write_text("""<xsd:schema xmlns:xsd="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/1999/xhtml">
    <xsd:element name="link"><xsd:complexType><xsd:attribute name="rel" fixed="alternate" use="required"/>
    <xsd:attribute name="hreflang" type="xsd:language" use="required"/><xsd:attribute name="href" type="xsd:anyURI" use="required"/>
    </xsd:complexType></xsd:element></xsd:schema>""")
    schema = etree.XMLSchema(etree.fromstring(xsd))
    document = etree.parse(ours / "display/sitemap.xml")
    assert schema.validate(document), schema.error_log.last_error
    S, X = "{http://www.sitemaps.org/schemas/sitemap/0.9}", "{http://www.w3.org/1999/xhtml}"
    told = {}
    for url in document.iter(f"{S}url"):
        told[url.find(f"{S}loc").text] = {link.get("hreflang"): link.get("href") for link in url.iter(f"{X}link")}
    assert len(told) > 30
    # Languages name one another, and themselves.
    for address, languages in told.items():
        assert set(languages) == {"en", "cy"} and address in languages.values(), address
        assert all(told[other] == languages for other in languages.values()), address
    document.getroot()[0].append(etree.Element(f"{S}loc"))
    assert not schema.validate(document), "the schema lets anything pass"
    print(f"{len(told)} addresses are valid by the schema of sitemaps.org")


def feeds():
    A = "{http://www.w3.org/2005/Atom}"
    count = 0
    for file, lang in (("feed.xml", "en"), ("cy/feed.xml", "cy")):
        data = (ours / "display" / file).read_bytes()
        read = feedparser.parse(data)
        assert not read.bozo and read.version == "atom10", read.get("bozo_exception")
        root = etree.fromstring(data)
        assert root.get(LANG) == lang
        for name in ("id", "title", "updated"):
            assert len(root.findall(f"{A}{name}")) == 1, name
        assert [l.get("rel") for l in root.findall(f"{A}link")] == ["self", "alternate"]
        ids = [e.findtext(f"{A}id") for e in root.iter(f"{A}entry")]
        assert len(ids) == len(set(ids)) > 5
        times = []
        for entry in root.iter(f"{A}entry"):
            for name in ("id", "title", "updated", "summary", "rights"):
                assert len(entry.findall(f"{A}{name}")) == 1 and entry.findtext(f"{A}{name}").strip(), name
            times.append(datetime.fromisoformat(entry.findtext(f"{A}updated")))
        assert times == sorted(times, reverse=True) and max(times) == datetime.fromisoformat(root.findtext(f"{A}updated"))
        assert read.entries[0].updated_parsed is not None
        count += len(ids)
    # What the object was first called still names its entry.
    assert any(i.endswith("/apothecary-mortar/") for i in ids), ids
    print(f"{count} entries of two feeds are read by feedparser and follow RFC 4287")


lido()
tables()
sitemap()
feeds()
