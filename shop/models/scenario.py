"""A scenario: what a shop supposes of itself under a name, and what planning it came to."""

from __future__ import annotations

from typing import Any

from django.db import models

from orders.models.owned import Owned

from .plan import Plan


class Scenario(Owned):
    """A named set of changes; the one without any is the shop as it stands.

    `outcome` is what the last planning came to, `fault` why there is none. `read_at` is the moment
    whose orders, clockings and hours it knows, `edition` the version of the scenario that was
    planned.
    """

    name = models.CharField(max_length=60)
    is_base = models.BooleanField(default=False)
    changes: models.JSONField[list[dict[str, Any]], list[dict[str, Any]]] = models.JSONField(
        default=list
    )
    outcome: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    fault = models.TextField(blank=True)
    read_at = models.DateTimeField(null=True)
    edition = models.PositiveIntegerField(null=True)
    compared_with = models.ForeignKey(Plan, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["-is_base", "pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "name"],
                name="scenario_name_once",
                violation_error_message="There is already a scenario of this name.",
            ),
            models.UniqueConstraint(
                fields=["workshop"],
                condition=models.Q(is_base=True),
                name="scenario_one_base",
            ),
        ]

    def __str__(self) -> str:
        return self.name
