"""An independent oracle: members as triangle meshes, united and cut by a general mesh library.

It knows nothing of our planes, clipping or cones. What two bodies share is felt by pushing one a
little way into the other.
"""

import numpy as np
import trimesh
from manifold3d import Manifold, Mesh64

from orders.core.solids import Member, Solid


def mesh_of(solid: Solid) -> trimesh.Trimesh:
    """One convex solid, each face fanned into triangles."""
    triangles = [
        (face[0], face[place], face[place + 1])
        for face in solid.faces
        for place in range(1, len(face) - 1)
    ]
    return trimesh.Trimesh(vertices=solid.vertices, faces=triangles, process=False)


def body_of(solids: tuple[Solid, ...]) -> Manifold:
    """The union of some solids."""
    found = Manifold()
    for solid in solids:
        mesh = mesh_of(solid)
        found += Manifold(
            Mesh64(
                vert_properties=np.asarray(mesh.vertices, dtype=np.float64),
                tri_verts=np.asarray(mesh.faces, dtype=np.uint64),
            )
        )
    return found


def member_body(member: Member) -> Manifold:
    """A member as one body; it is bored by the mesh library, not by us."""
    body = body_of(member.unbored or member.solids)
    for hole in member.holes:
        body -= body_of((hole.solid,))
    return body


def meets(one: Manifold, other: Manifold, move: tuple[float, float, float]) -> float:
    """Volume that a body would share with another after a move."""
    return float((one.translate(move) ^ other).volume())
