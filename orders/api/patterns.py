"""Patterns and alternatives: an order filled from a few sizes, a joint compared with others."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse
from rest_framework.views import APIView

from orders.api.access import workshop_of
from orders.api.breakdown import AssemblySerializer, JointSerializer
from orders.api.fields import NumberOrText, OwnRow
from orders.api.joint_book import GLUE, AdviceSerializer
from orders.api.views import Idempotent, OfWorkshop
from orders.core.alternatives import Alternative
from orders.core.errors import RuleBroken
from orders.core.pattern import Made, Pattern
from orders.core.pattern_book import all_patterns, pattern
from orders.models import Assembly, Commission, Joint
from orders.services.patterns import add_made
from orders.services.standards import current_times
from orders.services.swapping import alternatives_of, swap_joint


class PatternFieldSerializer(serializers.Serializer[Any]):
    """One size that a pattern asks for."""

    name = serializers.CharField()
    label = serializers.CharField()
    measure = serializers.CharField()
    default = NumberOrText()
    least = serializers.FloatField()
    most = serializers.FloatField()
    choices = serializers.ListField(child=serializers.CharField())


class PatternSerializer(serializers.Serializer[Any]):
    """A pattern with what it asks for."""

    code = serializers.CharField()
    label = serializers.CharField()
    summary = serializers.CharField()
    caution = serializers.CharField(allow_blank=True)
    sizes = PatternFieldSerializer(many=True)


class Patterns(APIView):
    """The pattern book."""

    permission = "orders.see_joint_book"

    @extend_schema(responses=PatternSerializer(many=True))
    def get(self, request: Request) -> Response:
        """Every pattern with its sizes, their defaults and their ranges."""
        told = [
            {
                "code": kind.code,
                "label": kind.label,
                "summary": kind.summary,
                "caution": kind.caution,
                "sizes": kind.fields(),
            }
            for kind in all_patterns().values()
        ]
        return Response(PatternSerializer(told, many=True).data)


class FillSerializer(serializers.Serializer[Any]):
    """Which pattern, at which sizes; what is not given keeps its default."""

    pattern = serializers.CharField(max_length=40)
    sizes = serializers.DictField(child=NumberOrText(), required=False)
    quantity = serializers.IntegerField(min_value=1, max_value=9_999, required=False)
    parent = OwnRow(Assembly, required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """An assembly stands within its own commission."""
        parent = attrs.get("parent")
        if parent and parent.commission_id != self.context["commission"].pk:
            raise serializers.ValidationError({"parent": "It belongs to another commission."})
        return attrs


class CommissionPatterns(Idempotent, OfWorkshop):
    """Filling a commission from patterns."""

    model = Commission
    serializer_class = AssemblySerializer
    permission = "orders.edit_commissions"

    @extend_schema(request=FillSerializer, responses={201: AssemblySerializer})
    def create(self, request: Request, pk: int) -> Response:
        """Add what a pattern makes; it is then edited like any other assembly."""
        return self.once(request, lambda: self.made(request))

    def made(self, request: Request) -> Response:
        """The answer: the assembly and its address."""
        commission = self.get_object()
        context = {"request": request, "commission": commission}
        serializer = FillSerializer(data=request.data, context=context)
        serializer.is_valid(raise_exception=True)
        asked = serializer.validated_data
        made = made_by(pattern(asked["pattern"]), asked.get("sizes", {}))
        added = add_made(
            commission,
            made.assembly,
            quantity=asked.get("quantity", 1),
            parent=asked.get("parent"),
            pieces=made.pieces,
        )
        response = Response(self.get_serializer(added).data, status=201)
        response["Location"] = reverse("api-assembly-detail", [added.pk], request=request)
        return response


def made_by(kind: type[Pattern], sizes: dict[str, Any]) -> Made:
    """What a pattern makes; a size that is wrong is named under "sizes"."""
    try:
        return kind.of(**sizes).made()
    except RuleBroken as fault:
        raise fault.under("sizes") from fault


class AlternativeSerializer(serializers.Serializer[Any]):
    """One joint that would do on the same parts. Comparison figures, not design values."""

    type = serializers.CharField()
    label = serializers.CharField()
    is_present = serializers.BooleanField()
    hand_min = serializers.FloatField()
    machine_min = serializers.FloatField()
    glue_mm2 = serializers.DictField(child=serializers.FloatField())
    holds = serializers.CharField()
    advice = AdviceSerializer(many=True)


class RefusedSerializer(serializers.Serializer[Any]):
    """A type that these parts do not suit, and why."""

    type = serializers.CharField(source="code")
    label = serializers.CharField()
    reason = serializers.CharField(source="fault.message")


class ComparisonSerializer(serializers.Serializer[Any]):
    """Alternatives for the joints of one assembly."""

    fitting = AlternativeSerializer(many=True)
    refused = RefusedSerializer(many=True)


class SwapSerializer(serializers.Serializer[Any]):
    """The type to take instead."""

    to = serializers.CharField(max_length=40)


class JointAlternatives(OfWorkshop):
    """What could take the place of a joint, and the swap."""

    model = Joint
    serializer_class = JointSerializer
    permission = {"GET": "orders.see_commissions", "POST": "orders.edit_commissions"}

    @extend_schema(responses=ComparisonSerializer)
    def retrieve(self, request: Request, pk: int) -> Response:
        """The present joint first, then the others from the quickest on."""
        joint = self.get_object()
        times = current_times(workshop_of(request))
        found = alternatives_of(joint, times, count=joint.count)
        told = {"fitting": [told_of(one) for one in found.fitting], "refused": found.refused}
        return Response(ComparisonSerializer(told).data)

    @extend_schema(request=SwapSerializer, responses=JointSerializer)
    def swap(self, request: Request, pk: int) -> Response:
        """Make it of another type, by that type's rules of thumb."""
        joint = self.get_object()
        serializer = SwapSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        joint = swap_joint(joint, serializer.validated_data["to"])
        return Response(self.get_serializer(joint).data)


def told_of(one: Alternative) -> dict[str, Any]:
    """An alternative as it is answered."""
    return {
        "type": one.joint.code,
        "label": one.joint.label,
        "is_present": one.is_present,
        "hand_min": one.hand_min,
        "machine_min": one.machine_min,
        "glue_mm2": {name: getattr(one.study.glue, f"{name}_mm2") for name in GLUE},
        "holds": one.study.holds.words,
        "advice": one.advice,
    }
