"""Ordering of lists: by what the table has, never by what is only worked out."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from rest_framework.filters import OrderingFilter


class Ordering(OrderingFilter):
    """Orders by fields of the row; a name that is none of them is passed over."""

    def get_default_valid_fields(
        self, queryset: QuerySet[Any], view: Any, context: Any = None
    ) -> list[Any]:
        """Those fields of the serializer that stand in the table, or in one it points to."""
        stored = {field.name for field in queryset.model._meta.get_fields() if field.concrete}
        named: list[Any] = super().get_default_valid_fields(queryset, view, context or {})
        return [pair for pair in named if pair[0].partition("__")[0] in stored]
