"""Sets the mesh work beside general libraries, on one scan in one run, as a Markdown table.

    benches/against            # makes the files and the environment, then runs this

Reduced meshes are judged by Open3D's distances, so that neither side measures itself.
"""

import json
import pathlib
import subprocess
import sys
import time

import fast_simplification
import numpy as np
import open3d as o3d

folder = pathlib.Path(sys.argv[1])
RUNS = 3


def timed(work):
    best, result = float("inf"), None
    for _ in range(RUNS):
        start = time.perf_counter()
        result = work()
        best = min(best, time.perf_counter() - start)
    return best, result


def scene_of(points, faces):
    scene = o3d.t.geometry.RaycastingScene()
    scene.add_triangles(o3d.core.Tensor(points.astype(np.float32)), o3d.core.Tensor(faces.astype(np.uint32)))
    return scene


def build(points, faces):
    scene = scene_of(points, faces)
    # The tree is built when it is first asked.
    scene.compute_distance(o3d.core.Tensor([[0, 0, 0]], dtype=o3d.core.float32))
    return scene


def write_body(name, points, faces):
    """Millimetres, single precision; hands back what a reader will find."""
    points = np.ascontiguousarray(points, dtype="<f4")
    face = np.empty(len(faces), dtype=[("count", "u1"), ("corners", "<i4", 3)])
    face["count"], face["corners"] = 3, faces
    head = (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\nproperty float x\n"
        f"property float y\nproperty float z\nelement face {len(faces)}\n"
        "property list uchar int vertex_indices\nend_header\n"
    )
    (folder / name).write_bytes(head.encode() + points.tobytes() + face.tobytes())
    return points.astype(float)


def motion(turn, shift):
    matrix = np.eye(4)
    matrix[:3, :3] = o3d.geometry.get_rotation_matrix_from_axis_angle(np.array(turn))
    matrix[:3, 3] = shift
    return matrix


def moved(points, matrix):
    return points @ matrix[:3, :3].T + matrix[:3, 3]


def mesh_of(points, faces):
    return o3d.geometry.TriangleMesh(o3d.utility.Vector3dVector(points), o3d.utility.Vector3iVector(faces))


def pair_of_bodies(points, faces):
    """The scan, and a copy with noise and a pad that lies elsewhere; the copy's true motion on to the
    scan, and one near it to begin from."""
    used, renamed = np.unique(faces, return_inverse=True)
    points, faces = points[used] * 1000, renamed.reshape(faces.shape)
    points = write_body("body.ply", points, faces)
    mesh = mesh_of(points, faces).compute_vertex_normals()
    normals = np.asarray(mesh.vertex_normals)
    middle = points.mean(axis=0)
    at = points[np.argmax(points[:, 1])]
    share = np.clip((1.0 - np.linalg.norm(points - at, axis=1) / 8.0) / 0.3, 0.0, 1.0)
    copy = points + normals * (0.5 * share + dice.normal(scale=0.02, size=len(points)))[:, None]
    truth = motion([0.3, -0.2, 0.4], [20.0, -15.0, 30.0])
    there, back = motion([0, 0, 0], middle), motion([0, 0, 0], -middle)
    near = there @ motion([0.010, -0.012, 0.008], [0.6, -0.5, 0.7]) @ back @ truth
    copy = write_body("copy.ply", moved(copy, np.linalg.inv(truth)), faces)
    (folder / "motions.json").write_text(json.dumps({"truth": truth.tolist(), "near": near.tolist()}))
    return (points, faces), (copy, faces), truth, near


def collated(body, copy, near):
    """Point to plane with the criteria that are the library's own, on all vertices with their normals;
    then the distances of all vertices both ways. Without signs: those would take it longer."""
    clouds = []
    for points, faces in (copy, body):
        mesh = mesh_of(points, faces).compute_vertex_normals()
        cloud = o3d.geometry.PointCloud(mesh.vertices)
        cloud.normals = mesh.vertex_normals
        clouds.append(cloud)
    fit = o3d.pipelines.registration.registration_icp(
        *clouds, 4.0, near, o3d.pipelines.registration.TransformationEstimationPointToPlane()
    ).transformation
    laid = [(copy, moved(body[0], np.linalg.inv(fit))), (body, moved(copy[0], fit))]
    distances = [
        scene_of(*other).compute_distance(o3d.core.Tensor(points.astype(np.float32))).numpy() for other, points in laid
    ]
    return fit, distances


def rays_of(scene, points):
    """A picture's rays, 1600 across, and from each place that they meet one ray toward the sky, at
    random by the cosine to its normal."""
    low, high = points.min(axis=0), points.max(axis=0)
    middle, reach = (low + high) / 2, np.linalg.norm(high - low)
    toward = np.array([0.31, 0.24, 0.92])
    toward /= np.linalg.norm(toward)
    right = np.cross([0, 1, 0], toward)
    right /= np.linalg.norm(right)
    up = np.cross(toward, right)
    across, down = np.meshgrid(np.linspace(-0.45, 0.45, 1600) * reach, np.linspace(0.35, -0.35, 1280) * reach)
    origins = middle + toward * reach + across[..., None] * right + down[..., None] * up
    primary = np.empty((across.size, 6), dtype="<f4")
    primary[:, :3], primary[:, 3:] = origins.reshape(-1, 3), -toward
    met = scene.cast_rays(o3d.core.Tensor(primary))
    far, normals = met["t_hit"].numpy(), met["primitive_normals"].numpy()
    there = np.isfinite(far)
    places = primary[there, :3] + primary[there, 3:] * far[there, None]
    normals = normals[there] * np.where(normals[there] @ toward < 0, -1, 1)[:, None]
    ways = dice.normal(size=normals.shape)
    ways = normals + ways / np.linalg.norm(ways, axis=1, keepdims=True) * 0.999
    shade = np.empty((len(places), 6), dtype="<f4")
    shade[:, :3], shade[:, 3:] = places + normals * 1e-4 * reach, ways / np.linalg.norm(ways, axis=1, keepdims=True)
    primary.tofile(folder / "primary.f32")
    shade.tofile(folder / "shade.f32")
    return primary, shade


read_s, scan = timed(lambda: o3d.io.read_triangle_mesh(str(folder / "dragon.ply")))
scan.remove_duplicated_vertices()
points, faces = np.asarray(scan.vertices), np.asarray(scan.triangles)
diagonal = float(np.linalg.norm(points.max(axis=0) - points.min(axis=0)))
dice = np.random.default_rng(7)
corners = points[faces[dice.integers(0, len(faces), 1_000_000)]]
weights = dice.dirichlet([1, 1, 1], 1_000_000)
near = (corners * weights[:, :, None]).sum(axis=1) + dice.normal(scale=0.002 * diagonal, size=(1_000_000, 3))
near = near.astype("<f4")
near.tofile(folder / "near.f32")
build_s, scene = timed(lambda: build(points, faces))
closest_s, distances = timed(lambda: scene.compute_distance(o3d.core.Tensor(near)).numpy())
primary, shade = rays_of(scene, points)
primary_s, hits = timed(lambda: scene.cast_rays(o3d.core.Tensor(primary)))
shade_s, shaded = timed(lambda: scene.test_occlusions(o3d.core.Tensor(shade)).numpy())
simplified = {}
for budget in (100_000, 20_000):
    simplified[budget] = timed(
        lambda: fast_simplification.simplify(points.astype(np.float32), faces.astype(np.int32), target_count=budget)
    )

body, copy, truth, near_pose = pair_of_bodies(points, faces)
collate_s, (fit, _) = timed(lambda: collated(body, copy, near_pose))
off = moved(copy[0], fit) - moved(copy[0], truth)
astray_mm = float(np.sqrt(np.mean(np.sum(off**2, axis=1))))

run = subprocess.run(
    ["cargo", "bench", "--quiet", "--bench", "meshes", "--", str(folder)], capture_output=True, text=True, check=True
)
ours = json.loads(run.stdout.strip().splitlines()[-1])
met = np.isfinite(hits["t_hit"].numpy())
assert abs(ours["met"] - met.sum()) < 2e-5 * len(met), "the rays meet something else"
assert abs(ours["shaded"] - shaded.sum()) < 2e-4 * len(shaded), "other rays are in the shade"
assert abs(ours["mean_distance_mm"] / 1000 - distances.mean()) < 1e-6 * diagonal, "the distances differ"


def strays(reduced_points, reduced_faces):
    """RMS and maximum, both ways, as shares of the scan's diagonal."""
    there = scene_of(reduced_points, reduced_faces).compute_distance(
        o3d.core.Tensor(np.vstack([points, corners.mean(axis=1)]).astype(np.float32))
    ).numpy()
    picked = reduced_points[reduced_faces[dice.integers(0, len(reduced_faces), 1_000_000)]]
    samples = (picked * dice.dirichlet([1, 1, 1], 1_000_000)[:, :, None]).sum(axis=1)
    back = scene.compute_distance(o3d.core.Tensor(samples.astype(np.float32))).numpy()
    rms = np.sqrt((np.mean(there**2) + np.mean(back**2)) / 2)
    return rms / diagonal, max(there.max(), back.max()) / diagonal


print(f"| {len(faces):,} triangles | counterpart | reference | ratio |")
print("| --- | ---: | ---: | ---: |")


def row(what, own, other, form="{:.2f} s"):
    print(f"| {what} | {form.format(own)} | {form.format(other)} | {own / other:.2f} |")


row("read ASCII PLY (Open3D)", ours["read_s"], read_s)
row("build the tree (Open3D, Embree)", ours["build_s"], build_s)
row("closest point, 1 million (Open3D, Embree)", ours["closest_s"], closest_s)
row("first hits of a picture, millions of rays a second (Open3D, Embree)", len(primary) / ours["primary_s"] / 1e6, len(primary) / primary_s / 1e6, "{:.2f}")
row("rays from there toward the sky, millions a second (Open3D, Embree)", len(shade) / ours["shade_s"] / 1e6, len(shade) / shade_s / 1e6, "{:.2f}")
both = (len(primary) + len(shade)) / 1e6
row("both together, millions a second", both / (ours["primary_s"] + ours["shade_s"]), both / (primary_s + shade_s), "{:.2f}")
for budget, (seconds, (p, f)) in simplified.items():
    row(f"reduce to {budget:,} (fast-simplification)", ours[f"simplify_{budget}_s"], seconds)
    own_points = np.fromfile(folder / f"reduced-{budget}.f32", "<f4").reshape(-1, 3) / 1000
    own_faces = np.fromfile(folder / f"reduced-{budget}.u32", "<u4").reshape(-1, 3)
    (own_rms, own_max), (rms, most) = strays(own_points, own_faces), strays(p, f)
    row("… RMS, share of the diagonal", own_rms, rms, "{:.2e}")
    row("… maximum", own_max, most, "{:.2e}")
    print(f"| … triangles left | {len(own_faces):,} | {len(f):,} | |")
    print(f"| … its deviation measured and bounded | {ours[f'deviation_{budget}_s']:.2f} s | | |")

whole = len(body[1])
for start, name in (("near", "from a pose nearby"), ("nothing", "from any pose")):
    found = ours[f"collate_{start}"]
    row(f"lay a body on another and find what differs, {name} (Open3D: nearby)", found["seconds"], collate_s)
    row("… vertices astray, RMS, mm", found["astray_mm"], astray_mm, "{:.2e}")
