"""Finish, outwork, delivery and sundries of commissions."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request

from costing.models import ExtraCost
from costing.services import extra_costs
from orders.api.fields import OwnRow
from orders.api.views import Kept
from orders.core.errors import RuleBroken
from orders.models import Assembly, Commission


class ExtraCostSerializer(serializers.ModelSerializer[ExtraCost]):
    """One line; without an assembly it is for the whole commission."""

    commission = OwnRow(Commission)
    assembly = OwnRow(Assembly, required=False, allow_null=True)

    class Meta:
        model = ExtraCost
        fields = (
            "id",
            "version",
            "changed_at",
            "commission",
            "assembly",
            "kind",
            "label",
            "quantity",
            "unit",
            "unit_price",
            "spread",
        )
        read_only_fields = ("version",)


class ExtraCosts(Kept):
    """Lines of the estimate that are neither timber, glue nor time."""

    model = ExtraCost
    serializer_class = ExtraCostSerializer
    permission = {"GET": "costing.see_estimates", "*": "costing.issue_quotes"}
    filterset_fields = ("commission", "kind")
    address = "api-extra-cost-detail"

    def add(self, request: Request, fields: dict[str, Any]) -> ExtraCost:
        """Add a line."""
        return extra_costs.add_extra_cost(fields.pop("commission"), **fields)

    def change(self, row: ExtraCost, version: int, fields: dict[str, Any]) -> ExtraCost:
        """Change it; it stays with its commission."""
        if fields.pop("commission", row.commission) != row.commission:
            raise RuleBroken("commission", "A cost stays with its commission; add it to the other.")
        return extra_costs.change_extra_cost(row, version=version, **fields)

    def remove(self, row: ExtraCost, version: int) -> None:
        """Take it away."""
        extra_costs.remove_extra_cost(row, version=version)
