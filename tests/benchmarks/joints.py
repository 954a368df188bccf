"""How fast joints are broken down, understood and drawn; figures, not tests.

    python -m tests.benchmarks.joints

Everything runs on one core in one process, from cold caches, on sizes drawn by a fixed chance.
"""

import random
from collections.abc import Callable, Sequence
from itertools import combinations
from statistics import median
from time import process_time

import trimesh

from orders.core.book import joint_types, study
from orders.core.contact import contacts, glue_area
from orders.core.drawing import isometric, view
from orders.core.errors import RuleBroken
from orders.core.joint import Joint, Section
from orders.core.release import AXES, release
from orders.core.solids import Geometry, View
from orders.core.species import species
from orders.core.times import Method, minutes_for, starting_times
from orders.core.vectors import times
from tests.orders.core.meshes import mesh_of

DISTINCT, JOINTS, SEED = 200, 5_000, 11
STEP_MM = 0.25


def distinct_joints(count: int) -> list[Joint]:
    """So many unlike joints, every type in turn, of usual workshop sizes."""
    chance = random.Random(SEED)
    kinds = list(joint_types().values())
    found: dict[Joint, None] = {}
    while len(found) < count:
        kind = kinds[len(found) % len(kinds)]
        a, b = (
            Section(
                width_mm=round(section.width_mm * chance.uniform(0.8, 1.3)),
                thickness_mm=round(section.thickness_mm * chance.uniform(0.9, 1.3)),
                length_mm=section.length_mm,
            )
            for section in kind.example
        )
        if kind.code in ("through-dovetail", "lapped-dovetail", "finger", "scarf"):
            thick = a.thickness_mm if kind.code == "scarf" else b.thickness_mm
            b = Section(width_mm=a.width_mm, thickness_mm=thick, length_mm=b.length_mm)
        try:
            found[kind.fitted(a, b)] = None
        except RuleBroken:
            continue
    return list(found)


def seconds(work: Callable[..., object], *given: object) -> float:
    """Seconds of processor time that some work takes."""
    start = process_time()
    work(*given)
    return process_time() - start


def break_down(joints: Sequence[Joint]) -> None:
    """An order of 5,000 joints, each joint's study and minutes looked up for every one."""
    oak, edition = species("oak-white"), starting_times()
    study.cache_clear()
    for number in range(JOINTS):
        joint = joints[number % len(joints)]
        minutes_for(study(joint), 4, Method.MACHINE, oak, edition)


def understood(geometry: Geometry) -> None:
    """Faces, areas by pairing, and the exact cone of ways out."""
    faces = contacts(geometry)
    glue_area(faces)
    release(geometry, faces)


def understood_by_meshes(geometry: Geometry) -> None:
    """The same by trimesh with manifold3d: unite each member, push it six ways into the others.

    Triangles of what a push displaces that lie in one plane are the faces that are pressed, with
    their normals and areas; what displaces nothing is a way out. Outlines, pairings of grain and
    the cone between the six ways are left out, to the good of the meshes.
    """
    bodies = {
        member.key: trimesh.boolean.union(
            [mesh_of(solid) for solid in member.solids], engine="manifold", check_volume=False
        )
        for member in geometry.members
    }
    for one, other in combinations(bodies.values(), 2):
        for _, way in AXES:
            moved = one.copy()
            moved.apply_translation(times(way, STEP_MM))
            shared = trimesh.boolean.intersection(
                [moved, other], engine="manifold", check_volume=False
            )
            if not shared.is_empty and shared.volume > 0:
                _ = shared.face_normals, shared.area_faces, shared.face_adjacency_angles


def draw(joints: Sequence[Joint]) -> int:
    """The isometric and the three views of every joint."""
    for number, joint in enumerate(joints):
        geometry = joint.geometry()
        isometric(geometry, ident=f"i{number}")
        for which in View:
            view(geometry, which, ident=f"v{number}{which}")
    return 4 * len(joints)


def main() -> None:
    """Print the figures."""
    joints = distinct_joints(DISTINCT)
    took = seconds(break_down, joints)
    print(f"{JOINTS} joints, {DISTINCT} distinct, broken down in {took:.2f} s")
    geometries = [joint.geometry() for joint in joints]
    ours = [seconds(understood, geometry) for geometry in geometries]
    theirs = [seconds(understood_by_meshes, geometry) for geometry in geometries]
    ratios = [slow / fast for slow, fast in zip(theirs, ours, strict=True)]
    print(
        f"one joint's faces, areas and cone: median {median(ours) * 1e3:.2f} ms; by meshes "
        f"{median(theirs) * 1e3:.2f} ms; all together {sum(theirs) / sum(ours):.0f} times, median "
        f"{median(ratios):.0f}, least {min(ratios):.0f}"
    )
    some = joints[::4]
    took = seconds(draw, some)
    print(f"{4 * len(some)} drawings in {took:.2f} s: {4 * len(some) / took:.0f} a second")


if __name__ == "__main__":
    main()
