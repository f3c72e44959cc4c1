"""The published site's linked data, read as other programs read it.

    judge_linked.py SITE-FOLDER BROUGHT-FOLDER

rdflib reads every document and every page's block of data, with a loader that gives it the contexts that are
shipped beside the documents and nothing else; the network is closed. Held against:
- the context of Linked Art, as the PyPI package cromulent 1.0.1 brings it, with the numbers of types there;
- CIDOC CRM 7.1.2 as RDFS, Linked Art's own terms, schema.org and DCMI terms, as the npm packages @vocabulary/crm,
  /la, /schema and /dcterms bring them: every class and property is there, with its domain and range;
- tests/outside/linked.ttl: shapes of this project, which are shown to refuse broken data.
The contexts of the W3C's annotations and of the IIIF draft are from memory: no registry carries them.
"""

import json
import re
import socket
import sys
from pathlib import Path

from iiif_prezi3 import AnnotationPage, Manifest
from pyshacl import validate
from rdflib import Dataset, Graph, Literal, Namespace, RDF, RDFS, URIRef
from rdflib.compare import isomorphic

site, brought = Path(sys.argv[1]), Path(sys.argv[2])
CRM = Namespace("http://www.cidoc-crm.org/cidoc-crm/")
DIG = Namespace("http://www.ics.forth.gr/isl/CRMdig/")
LA = Namespace("https://linked.art/ns/terms/")
DC = Namespace("http://purl.org/dc/elements/1.1/")
DCTERMS = Namespace("http://purl.org/dc/terms/")
SCHEMA = Namespace("http://schema.org/")
OA = Namespace("http://www.w3.org/ns/oa#")
AAT = "http://vocab.getty.edu/aat/"
PUBLISHED = json.loads((brought / "linked-art.json").read_text())["@context"]


def data_folders(site):
    """Folders of documents; below a former name of an object stands only a page that leads on."""
    folders = sorted(p.parent for p in site.glob("*/data/contexts"))
    assert folders, "no documents"
    return folders


def detail_pages(folder):
    """Names of details that have a page; at a former name stands one that leads on."""
    return {p.parent.name for p in (folder / "details").glob("*/index.html") if "data-moved" not in p.read_text()}


def closed(*_):
    raise AssertionError("something was fetched")


socket.socket.connect = closed
socket.create_connection = closed


def vocabulary(name):
    dataset = Dataset()
    dataset.parse(brought / f"{name}.nq", format="nquads")
    graph = Graph()
    for s, p, o, _ in dataset.quads():
        graph.add((s, p, o))
    return graph


crm, own, schema, terms = (vocabulary(n) for n in ("crm", "la", "schema", "dcterms"))


class Shipped:
    """Contexts beside the documents, by the address for which each stands."""

    def __init__(self, folder):
        self.index = json.loads((folder / "index.json").read_text())
        self.texts = {address: json.loads((folder / name).read_text())["@context"] for address, name in self.index.items()}

    def read(self, document, instead=None):
        def put(context):
            if isinstance(context, list):
                return [put(one) for one in context]
            if not isinstance(context, str):
                return context
            return (instead or {}).get(context) or self.texts[context]

        return Graph().parse(data=json.dumps(dict(document, **{"@context": put(document["@context"])})), format="json-ld")


def above(graph, cls):
    return set(graph.transitive_objects(cls, RDFS.subClassOf))


def keys(value, found):
    if isinstance(value, dict):
        for key, inner in value.items():
            if key != "@context":
                found.add(key)
                keys(inner, found)
    elif isinstance(value, list):
        for inner in value:
            keys(inner, found)
    return found


def subset():
    """The shipped context of Linked Art says of each term what the published one says."""
    count = 0
    for folder in site.glob("*/data/contexts"):
        for term, says in Shipped(folder).texts["https://linked.art/ns/v1/linked-art.json"].items():
            published = PUBLISHED[term]
            if isinstance(says, dict):
                inner = says.pop("@context", {})
                for name, one in inner.items():
                    assert one == published["@context"][name], f"{term}: {name}"
                published = {k: v for k, v in published.items() if k != "@context"}
            assert says == published, f"{term}: {says} is not {published}"
            count += 1
    assert count > 100
    print(f"{count} terms of Linked Art are those of the published context")


def types_of(graph, node):
    return set(graph.objects(node, RDF.type))


def in_model(graph, file):
    """Classes and properties of the CRM, each between what it may stand between."""
    for s, p, o in graph:
        if p == RDF.type:
            known = (o, RDF.type, RDFS.Class) in crm or (o, RDF.type, RDFS.Class) in own or o == DIG.D1_Digital_Object
            assert known, f"{file}: {o} is no class"
            continue
        if p in (RDFS.label, DC["format"], DCTERMS.conformsTo):
            continue
        book = crm if str(p).startswith(str(CRM)) else own
        assert (p, RDF.type, RDF.Property) in book, f"{file}: {p} is no property"
        for side, node in ((RDFS.domain, s), (RDFS.range, o)):
            wanted = book.value(p, side)
            # A digital object of CRMdig is an information object (CRMdig 4.0, D1; from memory).
            types = {t for one in types_of(graph, node) for t in above(crm, one) | (above(crm, CRM.E73_Information_Object) if one == DIG.D1_Digital_Object else set())}
            if wanted is None or isinstance(node, Literal) or not types:
                continue
            both = str(wanted).startswith((str(CRM), str(LA)))
            assert not both or wanted in types or wanted == DIG.D1_Digital_Object, f"{file}: {p} {side} {wanted}, not {types_of(graph, node)}"


def numbers():
    """Types of the thesaurus by the number that the package gives for the same word."""
    known = {}
    for name in ("vocab_classes.json", "vocab_instances.json"):
        def walk(value):
            if isinstance(value, dict):
                if "id" in value and "label" in value:
                    known.setdefault(value["id"], set()).add(value["label"].lower())
                for inner in value.values():
                    walk(inner)
        walk(json.loads((brought / name).read_text()))
    return known


def linked_art():
    known, count, triples = numbers(), 0, 0
    shapes = Graph().parse(Path(__file__).parent / "linked.ttl")
    for folder in data_folders(site):
        shipped = Shipped(folder / "contexts")
        for path in sorted((folder / "linked-art").glob("*.jsonld")):
            file = str(path.relative_to(site))
            document = json.loads(path.read_text())
            graph = shipped.read(document)
            whole = shipped.read(document, {"https://linked.art/ns/v1/linked-art.json": PUBLISHED})
            assert isomorphic(graph, whole), f"{file}: the shipped context reads it otherwise than the published one"
            lost = keys(document, set()) - set(PUBLISHED) - {"part"}
            assert not lost, f"{file}: {lost} are no terms"
            in_model(graph, file)
            for node in set(graph.subjects()) | set(graph.objects()):
                if str(node).startswith(AAT):
                    label = str(graph.value(node, RDFS.label)).lower()
                    assert label in known[str(node)[len(AAT):]], f"{file}: {node} is not {label}"
            fine, _, said = validate(graph, shacl_graph=shapes, inference="none", ont_graph=None)
            assert fine, f"{file}: {said}"
            assert document["id"].endswith("/" + file), f"{file} says that it is {document['id']}"
            count, triples = count + 1, triples + len(graph)
    assert count >= 9
    print(f"{count} documents of Linked Art, {triples} triples: classes, properties, domains, ranges, numbers and shapes hold")


def one(graph, s, p):
    (found,) = graph.objects(s, p)
    return found


def facts():
    """What the demonstration's records say, found in the graph. The records are in content/brackwater-mortar."""
    data = site / "brackwater-mortar/data"
    shipped = Shipped(data / "contexts")
    read = lambda name: shipped.read(json.loads((data / f"linked-art/{name}.jsonld").read_text()))
    me = lambda name: URIRef(json.loads((data / f"linked-art/{name}.jsonld").read_text())["id"])
    graph, it = read("original"), me("original")
    mass = URIRef(f"{it}#mass")
    assert (it, CRM.P43_has_dimension, mass) in graph
    got = [float(one(graph, mass, p)) for p in (CRM.P90a_has_lower_value_limit, CRM.P90_has_value, CRM.P90b_has_upper_value_limit)]
    assert got == [4780, 4790, 4800], f"weighed 4790 ± 10 g: {got}"
    assert one(graph, mass, CRM.P91_has_unit) == URIRef(AAT + "300379225")
    weighing = one(graph, mass, CRM.P40i_was_observed_in)
    assert str(one(graph, one(graph, weighing, CRM.P14_carried_out_by), RDFS.label)) == "Elin Fychan"
    page = (site / "brackwater-mortar/index.html").read_text()
    height = URIRef(f"{it}#height")
    value = float(one(graph, height, CRM.P90_has_value))
    assert f"height {value:.1f}" in page, "the height is that of the page"
    half = float(one(graph, height, CRM.P90b_has_upper_value_limit)) - value
    # Two ends of 0.05 mm (k = 2), independent: the root of twice its square.
    assert abs(half - 0.05 * 2**0.5) < 5e-4, half
    calliper = URIRef(f"{it}#calliper-1")
    assert float(one(graph, calliper, CRM.P90_has_value)) == 150.7
    assert abs(float(one(graph, calliper, CRM.P90b_has_upper_value_limit)) - 150.9) < 1e-9
    making = one(graph, it, CRM.P108i_was_produced_by)
    maker = one(graph, making, CRM.P14_carried_out_by)
    names = {str(one(graph, n, CRM.P190_has_symbolic_content)) for n in graph.objects(maker, CRM.P1_is_identified_by)}
    assert names == {"Tomas, a founder", "Tomas, bwriwr metel"}, names
    numbers = [str(one(graph, n, CRM.P190_has_symbolic_content)) for n in graph.subjects(RDF.type, CRM.E42_Identifier)]
    assert numbers == ["BRKMU:1923.14"], numbers
    repairs = list(graph.objects(it, CRM.P31i_was_modified_by))
    assert {str(r).split("#")[1] for r in repairs} >= {"repair-lip-patch"}, repairs
    states = {str(c).split("#")[1] for c in graph.objects(it, CRM.P44_has_condition)}
    assert states >= {"condition-rim-dent", "condition-worn-foot"}, states
    assert len(list(graph.objects(it, CRM.P46_is_composed_of))) == 2, "mortar and pestle"
    # Every detail of the site is on one body or both.
    replica, copy = read("replica"), me("replica")
    told = {str(f).split("#detail-")[1] for g, i in ((graph, it), (replica, copy)) for f in g.objects(i, CRM.P56_bears_feature)}
    assert told == detail_pages(site / "brackwater-mortar"), told
    assert (copy, CRM.P130_shows_features_of, it) in replica
    made = one(replica, copy, CRM.P108i_was_produced_by)
    assert one(replica, made, CRM.P16_used_specific_object) == me("original-model"), "made from the scan"
    steps = list(replica.objects(made, CRM.P9_consists_of))
    assert len(steps) == 6, steps
    printing = [s for s in steps if (s, RDF.type, CRM.E12_Production) in replica]
    assert [str(s).split("#")[1] for s in printing] == ["step-print"], printing
    assert str(one(replica, one(replica, printing[0], CRM["P4_has_time-span"]), CRM.P82a_begin_of_the_begin))[:7] == "2024-06"
    group = URIRef(str(it).split("brackwater-mortar/")[0] + "#person-tarn-metalworks")
    assert (group, RDF.type, CRM.E74_Group) in replica and (printing[0], CRM.P14_carried_out_by, group) in replica
    scan = read("original-model")
    act = one(scan, me("original-model"), CRM.P94i_was_created_by)
    assert one(scan, act, CRM.P16_used_specific_object) == it
    assert str(one(scan, one(scan, act, CRM.P14_carried_out_by), RDFS.label)) == "Ruth Adeyemi"
    # The agreement lets the scan be shown, not kept; the replica's model may be kept.
    assert not list(read("original-shown").objects(me("original-shown"), LA.access_point))
    (file,) = read("replica-shown").objects(me("replica-shown"), LA.access_point)
    assert (site / str(file).split("/counterparts/")[1]).is_file(), file
    print("mass, height, callipers, maker, number, repairs, conditions, steps and the scan that was used are those of the records")


def broken():
    """The shapes refuse what is not so."""
    shapes = Graph().parse(Path(__file__).parent / "linked.ttl")
    data = site / "brackwater-mortar/data"
    shipped = Shipped(data / "contexts")

    def first(graph, p):
        return next(iter(sorted(graph.triples((None, p, None)))))

    cases = [
        ("original", "a size without a unit", lambda g: g.remove(first(g, CRM.P91_has_unit))),
        ("original", "a size without a value", lambda g: g.remove(first(g, CRM.P90_has_value))),
        ("original", "one limit only", lambda g: g.remove(first(g, CRM.P90a_has_lower_value_limit))),
        ("original", "a value outside its limits", lambda g: g.set((first(g, CRM.P90a_has_lower_value_limit)[0], CRM.P90_has_value, Literal(1e9)))),
        ("original", "no production", lambda g: g.remove((None, CRM.P108i_was_produced_by, None))),
        ("original", "no name", lambda g: g.remove((first(g, CRM.P55_has_current_location)[0], CRM.P1_is_identified_by, None))),
        ("original", "a name without its text", lambda g: g.remove((first(g, CRM.P1_is_identified_by)[2], CRM.P190_has_symbolic_content, None))),
        ("original", "lettering without a language", lambda g: g.remove((next(g.subjects(RDF.type, CRM.E34_Inscription)), CRM.P72_has_language, None))),
        ("original", "a time that ends before it begins", lambda g: g.set((first(g, CRM.P82b_end_of_the_end)[0], CRM.P82b_end_of_the_end, Literal("1000-01-01T00:00:00Z", datatype="http://www.w3.org/2001/XMLSchema#dateTime")))),
        ("replica", "a replica whose making used nothing", lambda g: g.remove((None, CRM.P16_used_specific_object, None))),
        ("replica", "a replica of a number", lambda g: g.set((first(g, CRM.P55_has_current_location)[0], CRM.P130_shows_features_of, Literal(1)))),
        ("original-model", "a model without rights", lambda g: g.remove((None, CRM.P104_is_subject_to, None))),
        ("original-model", "rights without a holder", lambda g: g.remove((None, CRM.P75i_is_possessed_by, None))),
        ("replica-shown", "an address that is none", lambda g: g.set((first(g, LA.access_point)[0], LA.access_point, Literal("here")))),
        ("replica-shown", "a model of nothing", lambda g: g.remove((None, CRM.P138_represents, None))),
    ]
    for name, what, spoil in cases:
        graph = shipped.read(json.loads((data / f"linked-art/{name}.jsonld").read_text()))
        before = set(graph)
        spoil(graph)
        assert set(graph) != before, f"nothing was spoilt: {what}"
        fine, _, _ = validate(graph, shacl_graph=shapes, inference="none")
        assert not fine, f"the shapes let pass: {what}"
    print(f"{len(cases)} kinds of broken data are refused by the shapes")


LITERAL = {"Text", "Number", "Integer", "Float", "Date", "DateTime", "URL", "Boolean", "Time"}


def in_schema(graph, where):
    for s, p, o in graph:
        if p == RDF.type:
            assert (o, RDF.type, RDFS.Class) in schema, f"{where}: {o} is no class of schema.org"
            continue
        if str(p).startswith(str(DCTERMS)):
            assert (p, RDF.type, RDF.Property) in terms, f"{where}: {p} is no term of DCMI"
            continue
        assert (p, RDF.type, RDF.Property) in schema, f"{where}: {p} is no property of schema.org"
        of = {c for t in types_of(graph, s) for c in above(schema, t)}
        domains = set(schema.objects(p, SCHEMA.domainIncludes))
        if of:
            assert of & domains, f"{where}: {p} does not belong to {types_of(graph, s)}"
        ranges = set(schema.objects(p, SCHEMA.rangeIncludes))
        names = {str(r)[len(SCHEMA):] for r in ranges}
        if isinstance(o, Literal):
            # Any property may have a text (schema.org, data model); only a maker's name needs that here.
            assert names & LITERAL or p == SCHEMA.creator, f"{where}: {p} with the text {o!r}"
        else:
            types = {c for t in types_of(graph, o) for c in above(schema, t)}
            assert not types or types & ranges or "URL" in names, f"{where}: {p} leads to {types_of(graph, o)}, not to {names}"
            assert types or isinstance(o, URIRef), f"{where}: {p} leads to nothing"


def search():
    triples, pages = 0, 0
    for folder in data_folders(site):
        shipped = Shipped(folder / "contexts")
        document = json.loads((folder / "schema-org.jsonld").read_text())
        lost = keys(document, set()) - set(shipped.texts["https://schema.org/"]) - {"@graph", "@id", "@type", "@value", "@language"}
        assert not lost, f"{folder}: {lost}"
        graph = shipped.read(document)
        in_schema(graph, folder.name)
        triples += len(graph)
        texts = [o for o in graph.objects(None, SCHEMA.name) if isinstance(o, Literal) and o.language]
        assert {t.language for t in texts} == {"en", "cy"}, texts
    for path in sorted(site.rglob("*.html")):
        where = str(path.relative_to(site))
        html = path.read_text()
        blocks = re.findall(r'<script type="?application/ld\+json"?>(.*?)</script>', html, re.S)
        assert len(blocks) == 1, f"{where} has {len(blocks)} blocks of data"
        assert "<" not in blocks[0], where
        document = json.loads(blocks[0])
        lost = {k for k in keys(document, set()) if not k.startswith("dcterms:")}
        lost -= set(shipped.texts["https://schema.org/"]) | {"@graph", "@id", "@type"}
        assert not lost, f"{where}: {lost}"
        graph = shipped.read(document)
        in_schema(graph, where)
        (page,) = graph.subjects(RDF.type, SCHEMA.WebPage)
        # A page that leads on speaks of the one to which it leads.
        own = str(page).endswith("/counterparts/" + where.removesuffix("index.html"))
        assert own != ("data-moved" in html), f"{where} says that it is {page}"
        lang = re.search(r"<html[^>]*\blang=\"?([\w-]+)", html)[1]
        assert str(one(graph, page, SCHEMA.inLanguage)) == lang, where
        for p in (SCHEMA.mainEntity, SCHEMA.primaryImageOfPage, SCHEMA.breadcrumb, SCHEMA.isPartOf):
            for o in graph.objects(page, p):
                assert types_of(graph, o), f"{where}: {p} leads to {o}, of which nothing is told"
        for item in graph.objects(None, SCHEMA.item):
            file = str(item).split("/counterparts/")[1] + "index.html"
            assert (site / file).is_file(), f"{where}: {item} is no page"
        triples, pages = triples + len(graph), pages + 1
    data = json.loads((site / "brackwater-mortar/data/schema-org.jsonld").read_text())
    graph = shipped.read(data)
    base = str(next(graph.subjects(RDF.type, SCHEMA.Organization))).split("#")[0]
    original, replica = (URIRef(f"{base}brackwater-mortar/#{k}") for k in ("original", "replica"))
    assert (replica, SCHEMA.isBasedOn, original) in graph
    weight = one(graph, original, SCHEMA.weight)
    assert [float(one(graph, weight, SCHEMA[k])) for k in ("minValue", "value", "maxValue")] == [4780, 4790, 4800]
    assert not list(graph.objects(URIRef(f"{original}-model"), SCHEMA.contentUrl)), "shown, not kept"
    assert list(graph.objects(URIRef(f"{replica}-model"), SCHEMA.contentUrl))
    assert one(graph, URIRef(f"{original}-model"), SCHEMA.usageInfo) == URIRef("http://rightsstatements.org/vocab/InC/1.0/")
    assert one(graph, URIRef(f"{replica}-model"), SCHEMA.license) == URIRef("https://creativecommons.org/licenses/by-nc/4.0/")
    print(f"schema.org: the blocks of {pages} pages and the documents, {triples} triples: classes, properties, domains and ranges hold")


def core():
    count = 0
    for folder in data_folders(site):
        graph = Graph().parse(folder / "dublin-core.jsonld", format="json-ld")
        for _, p, _ in graph:
            assert p == RDF.type or (p, RDF.type, RDF.Property) in terms, f"{p} is no term of DCMI"
        assert {o.language for o in graph.objects(None, DCTERMS.title)} == {"en", "cy"}
        count += len(graph)
    graph = Graph().parse(site / "brackwater-mortar/data/dublin-core.jsonld", format="json-ld")
    (replica,) = graph.subjects(DCTERMS.isVersionOf)
    original = one(graph, replica, DCTERMS.isVersionOf)
    assert (original, DCTERMS.identifier, Literal("BRKMU:1923.14")) in graph
    extents = [str(o) for o in graph.objects(original, DCTERMS.extent)]
    assert "mass 4790 ± 10 g (k = 2)" in extents, extents
    print(f"Dublin Core: {count} triples, all of DCMI's terms")


def marks():
    """Annotations and manifests with the shipped contexts: nothing is lost on the way."""
    pages = 0
    for folder in data_folders(site):
        shipped = Shipped(folder / "contexts")
        draft = shipped.texts["http://iiif.io/api/presentation/4/context.json"]
        details = detail_pages(folder.parent)
        assert {p.stem for p in (folder / "annotations").glob("*.jsonld")} == details
        for path in [folder / "annotations.jsonld", *sorted((folder / "annotations").glob("*.jsonld"))]:
            document = json.loads(path.read_text())
            known = set(shipped.texts["http://www.w3.org/ns/anno.jsonld"]) | set(draft) | {"rdfs:comment"}
            assert not keys(document, set()) - known, path
            graph = shipped.read(document)
            assert document["id"].endswith(str(path.relative_to(site))), "its address is where it stands"
            found = set(graph.subjects(RDF.type, OA.Annotation))
            assert len(found) == (len(details) if path.stem == "annotations" else 1), path
            for target in graph.objects(None, OA.hasTarget):
                # 2D beside 3D: every detail can also be pointed at in a still.
                assert one(graph, target, OA.hasSource) is not None
            stills = [s for s in graph.objects(None, OA.hasSelector) if (s, RDF.type, OA.FragmentSelector) in graph]
            assert len(stills) >= len(found), f"{path}: a detail has no region of a still"
            for still in stills:
                assert re.fullmatch(r"xywh=\d+,\d+,\d+,\d+", str(one(graph, still, RDF.value))), path
                assert one(graph, still, DCTERMS.conformsTo) == URIRef("http://www.w3.org/TR/media-frags/")
            for annotation in found:
                told = [one(graph, body, RDF.value) for body in graph.objects(annotation, OA.hasBody)]
                assert len(told) == 2 and all(told), f"{path}: words in both languages"
            for s in graph.objects(None, OA.hasSource):
                assert (site / str(s).split("/counterparts/")[1]).is_file(), f"{path}: {s} is not served"
        manifest = json.loads((folder / "manifest.json").read_text())
        lost = keys(manifest, set()) - set(draft) - {"en", "cy", "none"}
        assert not lost, lost
        stable(manifest)
        graph = shipped.read(manifest)
        scenes = set(graph.subjects(RDF.type, URIRef(draft["draft"] + "Scene")))
        assert len(scenes) == len(manifest["items"]) >= 1
        assert "draft" in json.dumps(manifest["metadata"]), "the draft is named"
        pages += 1
    print(f"annotations and manifests of {pages} objects are read whole; each detail has its place in a still too")


def stable(manifest):
    """What version 4 has from version 3 is held against a model of that (iiif-prezi3, made from its published
    schema): no registry brings a schema of the draft. Items are scenes, which version 3 does not have."""
    kept = {k: manifest[k] for k in ("id", "type", "label", "summary", "metadata", "rights", "requiredStatement", "provider") if k in manifest}
    Manifest(**kept, items=[])
    for scene in manifest["items"]:
        for page in scene["annotations"]:
            AnnotationPage(**dict(page, items=[]))
    for spoilt in ({k: v for k, v in kept.items() if k != "label"}, dict(kept, rights="nothing")):
        try:
            Manifest(**spoilt, items=[])
        except ValueError:
            continue
        raise AssertionError("the model of version 3 lets anything pass")


def listed():
    """The data pages link every document, and say of those of a draft that they are."""
    count = 0
    for folder in data_folders(site):
        documents = {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file() and p.name != "index.html"}
        for page in (folder / "index.html", site / "cy" / folder.parent.name / "data/index.html"):
            html = page.read_text()
            linked = {h.split("/data/")[1] for h in re.findall(r'href="?([^"\s>]+/data/[^"\s>]+)', html)}
            assert documents <= linked, f"{page}: {documents - linked} are not listed"
            rows = html.split("<tr id=")
            for name in ("annotations", "manifest"):
                (row,) = [r for r in rows if r.startswith(name)]
                assert re.search("Draft|Drafft", row), f"{page}: {name} is not marked"
        count += len(documents)
    print(f"{count} documents are listed in both languages")


subset()
linked_art()
facts()
broken()
search()
core()
marks()
listed()
