"""The rows of a commission's breakdown, read once; copies of them may be changed and thrown away."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass

from orders.models import Assembly, Commission, ExtraWork, Joint, Part


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Assemblies in the order of their siblings, parts, joints that have their parts, and work."""

    assemblies: list[Assembly]
    parts: list[Part]
    joints: list[Joint]
    extras: list[ExtraWork]

    @classmethod
    def of(cls, commission: Commission) -> Rows:
        """Those of a commission, in four queries."""
        here = {"assembly__commission": commission}
        rows = cls(
            assemblies=list(commission.assemblies.order_by("position", "pk")),
            parts=list(Part.objects.filter(**here).order_by("pk")),
            joints=list(Joint.objects.filter(**here).order_by("pk")),
            extras=list(ExtraWork.objects.filter(**here).order_by("pk")),
        )
        rows.tie()
        return rows

    def tie(self) -> None:
        """Let each joint hold the parts and the assembly that stand beside it here."""
        parts = {part.pk: part for part in self.parts}
        for joint in self.joints:
            joint.part_a, joint.part_b = parts[joint.part_a_id], parts[joint.part_b_id]

    def copied(self) -> Rows:
        """The same rows, to be changed without changing these."""
        rows = Rows(
            assemblies=[copy(row) for row in self.assemblies],
            parts=[copy(row) for row in self.parts],
            joints=[copied_joint(row) for row in self.joints],
            extras=[copy(row) for row in self.extras],
        )
        rows.tie()
        return rows


def copied_joint(joint: Joint) -> Joint:
    """A copy that does not share what it points to with the first."""
    found = copy(joint)
    found._state = copy(joint._state)
    found._state.fields_cache = {}
    return found
