"""Pairs of bodies with known motions and differences, and what general libraries say of them.

    python make_pairs.py DRAGON.ply BUNNY.js OUT

DRAGON is the range scan as tests/outside/make.py unpacks it, in metres; BUNNY the index.js of the
npm package bunny (both Stanford Computer Graphics Laboratory). All is written in millimetres.
"""

import json
import pathlib
import sys

import fast_simplification
import numpy as np
import open3d as o3d
import scipy.sparse
import scipy.spatial
import trimesh
from scipy.spatial.transform import Rotation

scan, bunny, out = map(pathlib.Path, sys.argv[1:4])
out.mkdir(parents=True, exist_ok=True)
dice = np.random.default_rng(20260202)
# Standard deviation of the noise, along the normals, and heights of what is set on and taken off:
# four to six times the noise.
NOISE_MM = 0.05
HEIGHTS_MM = (0.3, -0.25, 0.2, -0.2)


def save(name, points, faces):
    """Writes single precision, and hands back what a reader will find."""
    points = np.asarray(points, dtype=np.float32)
    assert len(np.unique(points, axis=0)) == len(points), f"{name}: two vertices in one place"
    vertex = np.empty(len(points), dtype=[("x", "<f4"), ("y", "<f4"), ("z", "<f4")])
    for axis, key in enumerate("xyz"):
        vertex[key] = points[:, axis]
    face = np.empty(len(faces), dtype=[("count", "u1"), ("corners", "<i4", 3)])
    face["count"], face["corners"] = 3, faces
    head = (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\nproperty float x\n"
        f"property float y\nproperty float z\nelement face {len(faces)}\n"
        "property list uchar int vertex_indices\nend_header\n"
    )
    (out / name).write_bytes(head.encode() + vertex.tobytes() + face.tobytes())
    return points.astype(float)


def moved(points, matrix):
    return points @ matrix[:3, :3].T + matrix[:3, 3]


def motion(turn, shift):
    matrix = np.eye(4)
    matrix[:3, :3] = Rotation.from_rotvec(turn).as_matrix()
    matrix[:3, 3] = shift
    return matrix


def normals_of(points, faces, rounds):
    """Normals at the corners, averaged with those around as often as is said."""
    a, b, c = (points[faces[:, k]] for k in range(3))
    flat = np.cross(b - a, c - a)
    edges = np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    near = scipy.sparse.coo_matrix((np.ones(len(edges)), edges.T), shape=(len(points),) * 2).tocsr()
    near = ((near + near.T) > 0).astype(float) + scipy.sparse.eye(len(points))
    at = np.zeros_like(points)
    for k in range(3):
        np.add.at(at, faces[:, k], flat)
    for _ in range(rounds + 1):
        at /= np.maximum(np.linalg.norm(at, axis=1, keepdims=True), 1e-30)
        at = near @ at
    return at / np.maximum(np.linalg.norm(at, axis=1, keepdims=True), 1e-30)


def scene_of(points, faces):
    scene = o3d.t.geometry.RaycastingScene()
    scene.add_triangles(o3d.core.Tensor(points.astype(np.float32)), o3d.core.Tensor(faces.astype(np.uint32)))
    return scene


def distances(scene, points):
    return scene.compute_distance(o3d.core.Tensor(points.astype(np.float32))).numpy()


def both_ways(points, faces, original, original_faces, matrix):
    """Distances of every vertex, the replica's put on the original by the matrix."""
    back = np.linalg.inv(matrix)
    there = distances(scene_of(original, original_faces), moved(points, matrix))
    home = distances(scene_of(points, faces), moved(original, back))
    return there, home


def rms(there, home):
    return float(np.sqrt((np.sum(there.astype(float) ** 2) + np.sum(home.astype(float) ** 2)) / (len(there) + len(home))))


# The scan; vertices in one place are one, and those without a triangle are left out.
dragon = trimesh.load(scan, process=False)
dragon.merge_vertices()
dragon.remove_unreferenced_vertices()
faces = np.asarray(dragon.faces)
points = save("original.ply", dragon.vertices * 1000, faces)
diagonal = float(np.linalg.norm(np.ptp(points, axis=0)))
normals = normals_of(points, faces, 0)
answers = {"diagonal_mm": diagonal, "noise_mm": NOISE_MM}

# Pads and dents where the surface is calm: a smooth plateau along averaged normals.
tree = scipy.spatial.cKDTree(points)
slow = normals_of(points, faces, 20)
# So wide that the noise of its corners leaves the volume known to half a per cent.
RADIUS_MM = 14.0


def calm(i):
    """How little the normals turn around a corner: 1 on a plane."""
    return np.min(normals[tree.query_ball_point(points[i], 1.3 * RADIUS_MM)] @ slow[i])


places = []
for i in sorted(dice.choice(len(points), 4000, replace=False), key=calm, reverse=True):
    if len(places) < 4 and all(np.linalg.norm(points[i] - points[j]) > 3 * RADIUS_MM for j in places):
        places.append(i)


def volume_between(points, faces):
    """Signed volume of the cones from the origin over the triangles: the divergence theorem."""
    a, b, c = (points[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


changed = points.copy()
differences = []
for i, height in zip(places, HEIGHTS_MM, strict=True):
    share = np.clip((1.0 - np.linalg.norm(points - points[i], axis=1) / RADIUS_MM) / 0.3, 0.0, 1.0)
    lift = height * share * share * (3.0 - 2.0 * share)
    after = changed + slow * lift[:, None]
    touched = faces[(lift[faces] != 0).any(axis=1)]
    # The place is the origin, so that no digits are lost in a small difference of large volumes.
    volume = volume_between(after - points[i], touched) - volume_between(changed - points[i], touched)
    kind = "gained" if height > 0 else "lost"
    differences.append({"kind": kind, "place": points[i].tolist(), "depth_mm": abs(height), "volume_mm3": abs(volume)})
    changed = after


def cut(points, faces, beyond, at, way):
    """Takes away the triangles with a corner beyond a plane, brings the loop that is left on to the
    plane and closes it. Hands back the new surface and the volume that is gone."""
    gone = beyond[faces].any(axis=1)
    kept = faces[~gone]
    edges = np.vstack([faces[gone][:, [0, 1]], faces[gone][:, [1, 2]], faces[gone][:, [2, 0]]])
    known = set(map(tuple, edges))
    follows = {a: b for a, b in known if (b, a) not in known}
    first = next(iter(follows))
    loop = [first]
    while follows[loop[-1]] != first:
        loop.append(follows[loop[-1]])
    assert len(loop) == len(follows), "the cut leaves one loop"
    after = points.copy()
    after[loop] -= np.outer((after[loop] - at) @ way, way)
    # A grid within the loop, and the triangles of Delaunay over both.
    u = np.cross(way, [0.3, 0.5, 0.8])
    u /= np.linalg.norm(u)
    v = np.cross(way, u)
    flat = np.stack([(after[loop] - at) @ u, (after[loop] - at) @ v], axis=1)
    steps = [np.arange(low, high, 0.4) for low, high in zip(flat.min(axis=0), flat.max(axis=0))]
    grid = np.stack(np.meshgrid(*steps), axis=-1).reshape(-1, 2)
    ends = np.roll(flat, -1, axis=0)

    def within(p):
        crossing = (flat[:, 1] > p[1]) != (ends[:, 1] > p[1])
        x = flat[:, 0] + (p[1] - flat[:, 1]) / np.where(crossing, ends[:, 1] - flat[:, 1], 1) * (ends - flat)[:, 0]
        return (crossing & (p[0] < x)).sum() % 2 == 1

    grid = np.array([p for p in grid if within(p) and np.min(np.linalg.norm(flat - p, axis=1)) > 0.3])
    corners = np.vstack([flat, grid])
    cap = np.array([t for t in scipy.spatial.Delaunay(corners).simplices if within(corners[t].mean(axis=0))])
    # Facing the way that the piece was: the loop is walked as the piece's own triangles walk it.
    a, b, c = (corners[cap[:, k]] for k in range(3))
    turned = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0] < 0
    cap[turned] = cap[turned][:, ::-1]
    names = np.concatenate([loop, len(points) + np.arange(len(grid))])
    cap = names[cap]
    sides = set(map(tuple, np.vstack([cap[:, [0, 1]], cap[:, [1, 2]], cap[:, [2, 0]]])))
    assert {e for e in sides if e[::-1] not in sides} == set(follows.items()), "the cap closes the loop"
    after = np.vstack([after, at + np.outer(grid[:, 0], u) + np.outer(grid[:, 1], v)])
    touched = faces[gone | np.isin(faces, loop).any(axis=1)]
    new = np.vstack([kept[np.isin(kept, loop).any(axis=1)], cap])
    volume = volume_between(points - at, touched) - volume_between(after - at, new)
    return after, np.vstack([kept, cap]), volume


# The outermost seven millimetres are broken off.
way = np.array([1.0, 0.0, 0.0])
at = points[np.argmax(points @ way)] - way * 7
broken, broken_faces, volume = cut(changed, faces, (changed - at) @ way > 0, at, way)
differences.append({"kind": "lost", "place": at.tolist(), "depth_mm": 7.0, "volume_mm3": volume})
answers["differences"] = differences

# The same surface with other triangles: half of them split in three, and fewer of them.
halved = dice.random(len(faces)) < 0.5
middles = points[faces[halved]].mean(axis=1)
a, b, c = faces[halved].T
new = len(points) + np.arange(len(middles))
split = np.vstack([faces[~halved], np.stack([a, b, new], 1), np.stack([b, c, new], 1), np.stack([c, a, new], 1)])
fewer = fast_simplification.simplify(points.astype(np.float32), faces.astype(np.int32), target_count=400_000)


def compact(points, faces):
    used, renamed = np.unique(faces, return_inverse=True)
    return points[used], renamed.reshape(faces.shape)


def cloud(points, faces):
    mesh = o3d.geometry.TriangleMesh(o3d.utility.Vector3dVector(points), o3d.utility.Vector3iVector(faces))
    mesh.compute_vertex_normals()
    made = o3d.geometry.PointCloud(mesh.vertices)
    made.normals = mesh.vertex_normals
    return made


def pair(name, own, own_faces, noise_mm):
    """Moves a replica, lays it back from a start nearby with Open3D, and measures what is left."""
    own, own_faces = compact(own, own_faces)
    own = own + normals_of(own, own_faces, 0) * dice.normal(scale=noise_mm, size=(len(own), 1))
    truth = motion(dice.normal(size=3), dice.normal(scale=40, size=3))
    own = save(f"{name}.ply", moved(own, np.linalg.inv(truth)), own_faces)
    middle = np.eye(4)
    middle[:3, 3] = points.mean(axis=0)
    nudge = middle @ motion([0.010, -0.012, 0.008], [0.6, -0.5, 0.7]) @ np.linalg.inv(middle)
    start = nudge @ truth
    fit = o3d.pipelines.registration.registration_icp(
        cloud(own, own_faces), target, 4.0, start, o3d.pipelines.registration.TransformationEstimationPointToPlane(),
        o3d.pipelines.registration.ICPConvergenceCriteria(1e-9, 1e-9, 100),
    ).transformation
    there, home = both_ways(own, own_faces, points, faces, fit)
    answers[name] = {"truth": truth.tolist(), "start": start.tolist(), "fit": fit.tolist(), "rms_mm": rms(there, home)}
    return own, own_faces, start


target = cloud(points, faces)
pair("moved", points, faces, 0.0)
own, own_faces, start = pair("noisy", points, faces, NOISE_MM)
# Distances of all vertices both ways at the start, where no two points fall together.
there, home = both_ways(own, own_faces, points, faces, start)
there.astype("<f4").tofile(out / "there.f32")
home.astype("<f4").tofile(out / "home.f32")
pair("changed", broken, broken_faces, NOISE_MM)
pair("split", np.vstack([points, middles]), split, NOISE_MM)
pair("fewer", fewer[0].astype(float), fewer[1], NOISE_MM)

# Two shapes to be laid on themselves from any pose.
save("small.ply", *fast_simplification.simplify(points.astype(np.float32), faces.astype(np.int32), target_count=60_000))
shape, cells = (
    json.JSONDecoder().raw_decode(bunny.read_text().split(f"exports.{key}=")[1])[0] for key in ("positions", "cells")
)
# Its own unit is not told; ten millimetres make it some 150 mm long, as the thing is.
save("bunny.ply", *compact(np.array(shape) * 10, np.array(cells)))


def kabsch(p, q):
    """Kabsch, Acta Crystallographica A 32, 1976, with NumPy's singular values."""
    a, b = p.mean(axis=0), q.mean(axis=0)
    u, s, vt = np.linalg.svd((p - a).T @ (q - b))
    flip = np.diag([1, 1, np.sign(np.linalg.det(vt.T @ u.T))])
    r = vt.T @ flip @ u.T
    t = b - r @ a
    return r, t, s


sets = []
for number in range(50):
    p = dice.normal(scale=30, size=(int(dice.integers(3, 60)), 3))
    q = moved(p * [1, 1, -1] if number % 5 == 4 else p, motion(dice.normal(size=3), dice.normal(scale=100, size=3)))
    q += dice.normal(scale=(0, 0.1, 5)[number % 3], size=q.shape)
    r, t, s = kabsch(p, q)
    assert np.allclose(r, Rotation.align_vectors(q - q.mean(axis=0), p - p.mean(axis=0))[0].as_matrix(), atol=1e-7)
    left = float(np.sqrt(np.mean(np.sum((p @ r.T + t - q) ** 2, axis=1))))
    sets.append({"from": p.tolist(), "to": q.tolist(), "turn": r.tolist(), "shift": t.tolist(), "rms_mm": left, "singular": s.tolist()})
answers["sets"] = sets

# The hull, and where the dragon comes to rest on it (Qhull, by way of SciPy).
hull = scipy.spatial.ConvexHull(points)
centre = dragon.center_mass * 1000
up = np.array([0.0, 1.0, 0.0])


def beyond(face):
    """The facet beyond the side that the foot of the centre lies furthest past; none when it holds the foot."""
    normal, offset = hull.equations[face, :3], hull.equations[face, 3]
    foot = centre - normal * (normal @ centre + offset)
    corners = points[hull.simplices[face]]
    past = []
    for k in range(3):
        # SciPy's neighbour k lies opposite corner k.
        a, b = np.delete(corners, k, axis=0)
        outward = np.cross(b - a, normal)
        outward *= np.sign(outward @ (a - corners[k])) / np.linalg.norm(outward)
        past.append((foot - a) @ outward)
    return hull.neighbors[face][np.argmax(past)] if max(past) > 0 else None


stable = [i for i in range(len(hull.simplices)) if beyond(i) is None]
heights = -(hull.equations[:, :3] @ centre + hull.equations[:, 3])
slopes = hull.equations[:, :3] @ -up
face = min((i for i in range(len(slopes)) if slopes[i] > 0), key=lambda i: heights[i] / slopes[i])
while beyond(face) is not None:
    face = beyond(face)
answers["hull"] = {
    "volume_mm3": float(hull.volume),
    "area_mm2": float(hull.area),
    "corners": len(hull.vertices),
    "facets": len(hull.simplices),
    "centre": centre.tolist(),
    "stable": [hull.equations[i].tolist() for i in stable],
    "settled": hull.equations[face].tolist(),
    "tilt_deg": float(np.degrees(np.arctan2(np.linalg.norm(np.cross(hull.equations[face, :3], up)), slopes[face]))),
}
# Planes through the dragon, each with the length of the cut and the area within (trimesh's pieces, put
# the way round that leaves what is solid on their left).
cuts = []
scan_mesh = trimesh.Trimesh(points, faces, process=False)
for turn in (0.0, 35.0, 80.0):
    azimuth = np.radians(turn)
    toward = np.array([np.sin(azimuth), 0.0, np.cos(azimuth)])
    # Beside every vertex: what lies in the plane is cut one way by one library and another by another.
    origin = points.mean(axis=0) + 0.0137 * toward
    pieces, own = trimesh.intersections.mesh_plane(scan_mesh, toward, origin, return_faces=True)
    along = np.cross(toward, scan_mesh.face_normals[own])
    steps = pieces[:, 1] - pieces[:, 0]
    way = np.sign(np.einsum("ij,ij->i", steps, along))
    area = float(np.sum(way * (np.cross(pieces[:, 0] - origin, pieces[:, 1] - origin) @ toward)) / 2)
    length = float(np.linalg.norm(steps, axis=1).sum())
    cuts.append({"azimuth_deg": turn, "origin": origin.tolist(), "length_mm": length, "area_mm2": area})
answers["cuts"] = cuts
(out / "pairs.json").write_text(json.dumps(answers))
