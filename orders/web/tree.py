"""A commission's assemblies as a tree, read with a fixed number of queries."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from orders.models import Assembly, Commission, ExtraWork, Joint, Part


@dataclass(slots=True, kw_only=True)
class Node:
    """One assembly with what is in it; `multiple` is how often the commission needs it."""

    assembly: Assembly
    parts: list[Part]
    joints: list[Joint]
    extras: list[ExtraWork]
    multiple: int = 1
    children: list[Node] = field(default_factory=list)
    is_open: bool = False

    @property
    def part_count(self) -> int:
        """Pieces in one assembly, without those of assemblies below."""
        return sum(part.quantity for part in self.parts)

    @property
    def joint_count(self) -> int:
        """Joints in one assembly, without those of assemblies below."""
        return sum(joint.count for joint in self.joints)

    def walk(self) -> Iterator[Node]:
        """The node and all below it."""
        yield self
        for child in self.children:
            yield from child.walk()


def tree_of(commission: Commission, open_at: Assembly | None = None) -> list[Node]:
    """The topmost assemblies with all below them; the way to `open_at` stands open."""
    nodes = {
        assembly.pk: Node(
            assembly=assembly,
            parts=list(assembly.parts.all()),
            joints=list(assembly.joints.all()),
            extras=list(assembly.extras.all()),
        )
        for assembly in commission.assemblies.prefetch_related(
            "parts", "joints__part_a", "joints__part_b", "extras"
        )
    }
    roots: list[Node] = []
    for node in nodes.values():
        node.assembly.commission = commission
        above = nodes.get(node.assembly.parent_id) if node.assembly.parent_id else None
        (above.children if above else roots).append(node)
    for root in roots:
        _multiply(root, 1)
    key: Any = open_at.pk if open_at else None
    if key is None and len(roots) == 1:
        key = roots[0].assembly.pk
    while key in nodes:
        nodes[key].is_open = True
        key = nodes[key].assembly.parent_id
    return roots


def _multiply(node: Node, times: int) -> None:
    node.multiple = times * node.assembly.quantity
    for child in node.children:
        _multiply(child, node.multiple)


def every_node(roots: list[Node]) -> list[Node]:
    """All nodes, each before those below it."""
    return [node for root in roots for node in root.walk()]
