"""Claims and their grounds, as another reader has them: judge_grounds.py SITE

Reader: rdflib (BSD), which also lists the terms of the W3C's PROV-O and of Dublin Core
(`rdflib.namespace.PROV` and `DCTERMS`): a term that is not among them is none. Each document carries its
own context, so nothing is fetched.
"""

import json
import re
import sys
from pathlib import Path

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCTERMS, PROV, RDF, RDFS

KINDS = {"measured", "observed", "documented", "conjectured", "computed", "unsaid"}

site = Path(sys.argv[1])
total = 0
for path in sorted(site.glob("*/data/paradata.jsonld")):
    document = json.loads(path.read_text())
    # An address as a context would be fetched.
    assert isinstance(document["@context"], dict)
    graph = Graph().parse(data=json.dumps(document), format="json-ld")
    for term in {p for _, p, _ in graph} | {o for _, _, o in graph.triples((None, RDF.type, None))}:
        for space in (PROV, DCTERMS):
            if str(term).startswith(str(space)):
                assert term in space, f"{term} is no term of its vocabulary"
    home = path.parents[1] / "index.html"
    pages = [home, *(site.glob(f"*/{path.parts[-3]}/index.html"))]
    languages = {re.search(r'<html[^>]*\slang="?([\w-]+)', p.read_text()).group(1) for p in pages}
    page = (path.parents[1] / "evidence/index.html").read_text()
    anchors = set(a or b for a, b in re.findall(r'\sid=(?:"([^"]*)"|([^\s>]+))', page))
    claims = [s for s in graph.subjects(PROV.wasGeneratedBy, None) if isinstance(s, URIRef)]
    for claim in claims:
        anchor = str(claim).split("#")[1]
        assert anchor in anchors, f"{claim} is not on the page of evidence"
        activity = graph.value(claim, PROV.wasGeneratedBy)
        kind = str(graph.value(activity, DCTERMS.type))
        assert kind in KINDS, (claim, kind)
        if kind == "computed":
            assert list(graph.objects(activity, PROV.used)), f"{claim} was reckoned from nothing"
        told = {label.language for label in graph.objects(claim, RDFS.label)}
        assert told == languages, (claim, told)
        for part in graph.objects(claim, DCTERMS.hasPart):
            value = graph.value(part, PROV.value)
            assert isinstance(value, Literal) and isinstance(value.toPython(), (int, float)), (claim, value)
    # Whatever somebody is led to is described.
    for relation in (PROV.used, PROV.wasDerivedFrom, PROV.hadPrimarySource, PROV.wasAssociatedWith):
        for target in graph.objects(None, relation):
            assert (target, RDF.type, None) in graph, f"{target} is not described"
    models = list(graph.subjects(DCTERMS.type, Literal("model")))
    assert models and all(re.fullmatch(r"sha256:[0-9a-f]{64}", str(graph.value(m, DCTERMS.identifier))) for m in models)
    total += len(claims)
    print(f"{path.parts[-3]}: {len(claims)} claims, {len(graph)} statements")
assert total > 50, total
