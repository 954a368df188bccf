"""Fields that several serializers share."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.db.models import QuerySet
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from orders.api.access import workshop_of


@extend_schema_field(OpenApiTypes.INT64)
class OwnRow(serializers.PrimaryKeyRelatedField[Any]):
    """A row of this workshop, by its id; a foreign one is as good as none."""

    default_error_messages = {
        "does_not_exist": "There is none of this id in this workshop.",
        "incorrect_type": "Give its id, a whole number.",
    }

    def __init__(self, model: Any, **more: Any) -> None:
        self.model = model
        self.given = more
        super().__init__(queryset=model.objects.none(), **more)

    def __deepcopy__(self, memo: Any) -> OwnRow:
        return type(self)(self.model, **self.given)

    def get_queryset(self) -> QuerySet[Any]:
        """Narrowed before the look-up."""
        rows: QuerySet[Any] = self.model.objects.of(workshop_of(self.context["request"]))
        return rows

    def to_internal_value(self, data: Any) -> Any:
        """Only whole numbers; 1.5 and true are not taken for ids."""
        if isinstance(data, bool) or not isinstance(data, int) or not 0 < data < 2**63:
            self.fail("incorrect_type")
        return super().to_internal_value(data)


class Millimetres(serializers.DecimalField):
    """A length to a thousandth of a millimetre, as a decimal string or a number."""

    def __init__(self, **more: Any) -> None:
        super().__init__(max_digits=9, decimal_places=3, **more)


@extend_schema_field({"oneOf": [{"type": "number"}, {"type": "string", "maxLength": 40}]})
class NumberOrText(serializers.Field[Any, Any, Any, Any]):
    """An own dimension of a joint: millimetres or degrees as a number, or one of its choices."""

    default_error_messages = {"invalid": "Give a number, or one of the choices as text."}

    def to_internal_value(self, data: Any) -> float | str:
        """A finite number or a short text."""
        if isinstance(data, str) and len(data) <= 40:
            return data
        if isinstance(data, bool) or not isinstance(data, int | float) or abs(data) > 1e9:
            self.fail("invalid")
        return float(data)

    def to_representation(self, value: Any) -> Any:
        """As it is kept."""
        return value


EARLIEST = datetime(1970, 1, 1, tzinfo=UTC)
LATEST = datetime(9000, 1, 1, tzinfo=UTC)


class Instant(serializers.DateTimeField):
    """An instant of this age, with its offset from UTC."""

    default_error_messages = {"age": "Give an instant between 1970 and 9000."}

    def to_internal_value(self, value: Any) -> datetime:
        """Refused where no calendar of a workshop reaches."""
        read: datetime = super().to_internal_value(value)
        if not EARLIEST <= read < LATEST:
            self.fail("age")
        return read


@extend_schema_field({"type": "string", "pattern": r"^\d\d:\d\d(:\d\d)?$", "examples": ["08:00"]})
class ClockTime(serializers.TimeField):
    """A time by the clock of the workshop, which needs no offset."""
