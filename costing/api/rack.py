"""The rack: boards, sheets, glues and allowances, each with its edition."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request

from costing.models import Board, Glue, Sheet, TimberAllowance
from costing.services import rack
from orders.api.access import workshop_of
from orders.api.views import Kept

OF_EVERY_ROW = ("id", "version", "changed_at")


class BoardSerializer(serializers.ModelSerializer[Board]):
    """Sawn boards of one species and thickness."""

    class Meta:
        model = Board
        fields = (
            *OF_EVERY_ROW,
            "species",
            "grade",
            "thickness_mm",
            "price_per_m3",
            "waste_share_of_gross",
            "source",
        )


class SheetSerializer(serializers.ModelSerializer[Sheet]):
    """Sheet material of one kind and thickness."""

    class Meta:
        model = Sheet
        fields = (
            *OF_EVERY_ROW,
            "species",
            "thickness_mm",
            "price_per_m2",
            "waste_share_of_gross",
            "source",
        )


class GlueSerializer(serializers.ModelSerializer[Glue]):
    """A glue on the shelf."""

    class Meta:
        model = Glue
        fields = (
            *OF_EVERY_ROW,
            "name",
            "kind",
            "durability_class",
            "open_min",
            "clamp_min",
            "spread_g_per_m2",
            "price_per_kg",
            "source",
        )


class AllowanceSerializer(serializers.ModelSerializer[TimberAllowance]):
    """What is added to a finished size, for one species or for all."""

    class Meta:
        model = TimberAllowance
        fields = (
            *OF_EVERY_ROW,
            "species",
            "length_mm",
            "width_mm",
            "thickness_mm",
            "waste_share_of_gross",
        )


class Shelf(Kept):
    """Rows of one kind; whoever sees the rack reads them, whoever may edit it changes them."""

    permission = {"GET": "costing.see_rack", "*": "costing.edit_rack"}

    def add(self, request: Request, fields: dict[str, Any]) -> Any:
        """Put one on the rack."""
        return rack.add_item(self.model, workshop_of(request), **fields)

    def change(self, row: Any, version: int, fields: dict[str, Any]) -> Any:
        """Change it."""
        return rack.change_item(row, version=version, **fields)

    def remove(self, row: Any, version: int) -> None:
        """Take it off the rack."""
        rack.remove_item(row, version=version)


class Boards(Shelf):
    """Boards."""

    model = Board
    serializer_class = BoardSerializer
    filterset_fields = ("species", "thickness_mm", "grade")
    address = "api-board-detail"


class Sheets(Shelf):
    """Sheets."""

    model = Sheet
    serializer_class = SheetSerializer
    filterset_fields = ("species", "thickness_mm")
    address = "api-sheet-detail"


class Glues(Shelf):
    """Glues."""

    model = Glue
    serializer_class = GlueSerializer
    filterset_fields = ("durability_class", "kind")
    address = "api-glue-detail"


class Allowances(Shelf):
    """Allowances."""

    model = TimberAllowance
    serializer_class = AllowanceSerializer
    filterset_fields = ("species",)
    address = "api-allowance-detail"
