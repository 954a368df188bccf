"""The joint book, the species and the standard times."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema, inline_serializer
from rest_framework import mixins, serializers
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from orders.api.access import workshop_of
from orders.api.views import OfWorkshop
from orders.core.book import JointStudy, joint_types, study
from orders.core.joint import Joint as JointType
from orders.core.species import all_species
from orders.core.times import Method, minutes_for
from orders.models import Joint, StandardEdition
from orders.services.joints import study_of
from orders.services.standards import current_times, times_of

GLUE = ("long_long_parallel", "long_long_crossed", "long_end", "end_end", "oblique")


class SectionSerializer(serializers.Serializer[Any]):
    """A part as a joint sees it."""

    width_mm = serializers.FloatField()
    thickness_mm = serializers.FloatField()
    length_mm = serializers.FloatField()


class OwnDimensionSerializer(serializers.Serializer[Any]):
    """An own dimension with its rule of thumb; `default` is what the rule gives."""

    name = serializers.CharField()
    label = serializers.CharField()
    unit = serializers.CharField()
    rule = serializers.CharField()
    source = serializers.CharField()
    least = serializers.FloatField()
    most = serializers.FloatField()
    choices = serializers.ListField(child=serializers.CharField())
    default = serializers.JSONField(allow_null=True)


class JointTypeSerializer(serializers.Serializer[Any]):
    """A joint type on its usual sections."""

    code = serializers.CharField()
    label = serializers.CharField()
    summary = serializers.CharField()
    a_label = serializers.CharField()
    b_label = serializers.CharField()
    a = SectionSerializer()
    b = SectionSerializer()
    dimensions = OwnDimensionSerializer(many=True)


class AdviceSerializer(serializers.Serializer[Any]):
    """A warning with its reason and its source."""

    text = serializers.CharField()
    reason = serializers.CharField()
    source = serializers.CharField()


class TimedSerializer(serializers.Serializer[Any]):
    """An operation with its minutes."""

    code = serializers.CharField()
    label = serializers.CharField()
    station_kind = serializers.CharField()
    skill = serializers.CharField()
    setup_min = serializers.FloatField()
    each_min = serializers.FloatField()


class StudySerializer(serializers.Serializer[Any]):
    """What follows from a joint's solids. Comparison figures, not design values."""

    type = serializers.CharField()
    dimensions = serializers.DictField(child=serializers.JSONField())
    glue_mm2 = serializers.DictField(
        child=serializers.FloatField(), help_text="Contact area by grain pairing."
    )
    holds = serializers.CharField(help_text="Where it comes apart dry, in words.")
    free_axes = serializers.ListField(child=serializers.CharField())
    by_hand = TimedSerializer(many=True)
    by_machine = TimedSerializer(many=True)
    advice = AdviceSerializer(many=True)


def told_type(kind: type[JointType]) -> dict[str, Any]:
    """A joint type as it is answered."""
    a, b = kind.example
    return {
        "code": kind.code,
        "label": kind.label,
        "summary": kind.summary,
        "a_label": kind.a_label,
        "b_label": kind.b_label,
        "a": a,
        "b": b,
        "dimensions": kind.fields(a, b),
    }


def told_study(found: JointStudy, times: Any) -> dict[str, Any]:
    """A study as it is answered."""
    return {
        "type": found.joint.code,
        "dimensions": found.joint.own_dimensions(),
        "glue_mm2": {name: getattr(found.glue, f"{name}_mm2") for name in GLUE},
        "holds": found.holds.words,
        "free_axes": found.holds.free_axes,
        "by_hand": minutes_for(found, 1, Method.HAND, times=times),
        "by_machine": minutes_for(found, 1, Method.MACHINE, times=times),
        "advice": found.advice,
    }


class JointTypes(APIView):
    """Every joint type."""

    permission = "orders.see_joint_book"

    @extend_schema(operation_id="joint_types_list", responses=JointTypeSerializer(many=True))
    def get(self, request: Request) -> Response:
        """The joint book in the order of its labels."""
        types = [told_type(kind) for kind in joint_types().values()]
        return Response(JointTypeSerializer(types, many=True).data)


class OneJointType(APIView):
    """One joint type."""

    permission = "orders.see_joint_book"

    @extend_schema(
        operation_id="joint_types_read",
        responses=inline_serializer(
            "JointTypeStudied", {"type": JointTypeSerializer(), "study": StudySerializer()}
        ),
    )
    def get(self, request: Request, code: str) -> Response:
        """The type, and what follows from it on its usual sections."""
        kind = joint_types().get(code)
        if kind is None:
            raise NotFound("The joint book has no such type.")
        found = told_study(study(kind.fitted(*kind.example)), current_times(workshop_of(request)))
        return Response(
            {
                "type": JointTypeSerializer(told_type(kind)).data,
                "study": StudySerializer(found).data,
            }
        )


class JointStudies(OfWorkshop):
    """What follows from a joint of an order."""

    model = Joint
    serializer_class = StudySerializer
    permission = "orders.see_commissions"

    @extend_schema(responses=StudySerializer)
    def retrieve(self, request: Request, pk: int) -> Response:
        """Its glue by pairing, what holds it dry, its operations, and what to think of."""
        joint = self.get_object()
        found = told_study(study_of(joint), current_times(workshop_of(request)))
        return Response(StudySerializer(found).data)


class SpeciesSerializer(serializers.Serializer[Any]):
    """A timber species; figures with their source."""

    code = serializers.CharField()
    label = serializers.CharField()
    density_kg_m3 = serializers.FloatField()
    hardness_n = serializers.FloatField()
    is_hardwood = serializers.BooleanField()
    source = serializers.CharField()


class AllSpecies(APIView):
    """The species that parts may be of."""

    permission = "orders.see_joint_book"

    @extend_schema(responses=SpeciesSerializer(many=True))
    def get(self, request: Request) -> Response:
        """Every species of the table."""
        return Response(SpeciesSerializer(all_species().values(), many=True).data)


class EditionSerializer(serializers.ModelSerializer[StandardEdition]):
    """An edition of the standard times."""

    class Meta:
        model = StandardEdition
        fields = ("id", "number", "valid_from", "note", "made_at")


class StandardRowSerializer(serializers.Serializer[Any]):
    """One row: set-up + count x (each + per driver x driver)."""

    joint = serializers.CharField(allow_blank=True)
    operation = serializers.CharField()
    label = serializers.CharField()
    method = serializers.CharField()
    station_kind = serializers.CharField()
    skill = serializers.CharField()
    order = serializers.IntegerField()
    setup_min = serializers.FloatField()
    each_min = serializers.FloatField()
    driver = serializers.CharField(allow_blank=True)
    per_driver = serializers.FloatField()
    spread = serializers.FloatField()
    cuts_wood = serializers.BooleanField()
    source = serializers.CharField(allow_blank=True)


class StandardEditions(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfWorkshop):
    """The editions of the standard times, the newest first."""

    model = StandardEdition
    serializer_class = EditionSerializer
    permission = "orders.see_joint_book"
    lookup_value_regex = "[0-9]+"
    ordering_fields = ("number", "valid_from")


class StandardRows(OfWorkshop):
    """The rows of an edition."""

    model = StandardEdition
    serializer_class = StandardRowSerializer
    permission = "orders.see_joint_book"

    @extend_schema(responses=StandardRowSerializer(many=True))
    def rows(self, request: Request, pk: int) -> Response:
        """Every standard time of the edition."""
        return Response(StandardRowSerializer(times_of(self.get_object()).rows, many=True).data)
