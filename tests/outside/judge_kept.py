"""Editions against the schemas of TEI and EpiDoc, annotations as linked data.

Schemas: `tei_all.rng` of TEI P5 4.3.0 and `epidoc.rng` of 2017, as two packages on PyPI bring them.
Vocabulary: the W3C's own, `oa.nq`, as an npm package brings it. The context is tests/outside/anno.jsonld:
the terms of the W3C's and of the draft's that we use, from memory, since no package brings the published
files and none is fetched.
"""

import json
import sys
from pathlib import Path

from lxml import etree
from rdflib import Dataset, Graph, Namespace, RDF, URIRef

kept, schemas = Path(sys.argv[1]), Path(sys.argv[2])
T = "{http://www.tei-c.org/ns/1.0}"
LANG = "{http://www.w3.org/XML/1998/namespace}lang"
OA = Namespace("http://www.w3.org/ns/oa#")
DRAFT = Namespace("http://iiif.io/api/presentation/4#")


def editions():
    files = sorted(kept.glob("*.xml"))
    assert len(files) > 30, "the editions were not written"
    wrong = etree.fromstring(files[0].read_bytes())
    wrong.find(f".//{T}ab").append(etree.Element(f"{T}titleStmt"))
    for name in ("tei_all.rng", "epidoc.rng"):
        schema = etree.RelaxNG(etree.parse(schemas / name))
        for file in files:
            document = etree.parse(file)
            assert schema.validate(document), f"{file.name} by {name}: {schema.error_log.last_error}"
        assert not schema.validate(wrong), f"{name} lets anything pass"
        print(f"{len(files)} editions are valid by {name}")
    told = json.loads((kept / "told.json").read_text())
    for file, signs in told.items():
        ab = etree.parse(kept / file).find(f".//{T}ab")
        # What is read, without what only the signs say.
        for note in ab.iter(f"{T}note"):
            note.text = ""
        found = "".join(ab.itertext())
        assert found == signs["letters"], f"{file}: {found!r} is not {signs['letters']!r}"
    print(f"the letters of {len(told)} editions are those that were cut and restored")


def annotations():
    vocabulary = Dataset()
    vocabulary.parse(schemas / "oa.nq", format="nquads")
    defined = {s for s, _, _, _ in vocabulary.quads() if isinstance(s, URIRef)}
    context = json.loads((Path(__file__).parent / "anno.jsonld").read_text())["@context"]
    ours = {v if isinstance(v, str) else v["@id"] for v in context.values()}
    for term in sorted(v for v in ours if v.startswith("oa:")):
        assert OA[term[3:]] in defined, f"{term} is not in the W3C's vocabulary"
    count = 0
    for file in sorted(kept.glob("*.jsonld")):
        for one in json.loads(file.read_text()):
            plain = dict(one, **{"@context": context})
            graph = Graph().parse(data=json.dumps(plain), format="json-ld")
            me = URIRef(one["id"])
            assert (me, RDF.type, OA.Annotation) in graph
            assert (me, OA.motivatedBy, OA.describing) in graph
            bodies = list(graph.objects(me, OA.hasBody))
            languages = sorted(str(graph.value(b, URIRef("http://purl.org/dc/elements/1.1/language"))) for b in bodies)
            assert languages == ["cy", "en"], languages
            assert all(len(list(graph.objects(b, RDF.value))) == 1 for b in bodies), "3.2.4: one value"
            assert all((b, OA.textDirection, OA.ltrDirection) in graph for b in bodies)
            targets = list(graph.objects(me, OA.hasTarget))
            assert targets
            for target in targets:
                assert len(list(graph.objects(target, OA.hasSource))) == 1, "4: one source"
                assert len(list(graph.objects(target, OA.hasScope))) == 1
                (selector,) = graph.objects(target, OA.hasSelector)
                assert (selector, RDF.type, DRAFT.PointSelector) in graph
                for axis in "XYZ":
                    float(graph.value(selector, DRAFT[f"point{axis}"]))
            # Nothing is lost on the way: every key but the context is a term.
            keys = set()
            bare = json.dumps({key: value for key, value in one.items() if key != "@context"})
            json.loads(bare, object_pairs_hook=lambda pairs: keys.update(key for key, _ in pairs) or dict(pairs))
            keys -= set(context) | {"rdfs:comment"}
            assert not keys, f"{keys} are in no context"
            count += 1
    assert count >= 10, "the annotations were not written"
    print(f"{count} annotations are linked data, with terms of the W3C's vocabulary")


editions()
annotations()
