"""What a commission is broken down into: assemblies, parts, joints, other work."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from orders.api.fields import Millimetres, NumberOrText, OwnRow
from orders.api.views import Idempotent, Kept, OfWorkshop
from orders.models import Assembly, Commission, ExtraWork, Joint, Part
from orders.services import assemblies, extras, joints, parts

MOST = 9_999
PERMISSION = {"GET": "orders.see_commissions", "*": "orders.edit_commissions"}
METHODS = ["get", "post", "patch", "delete", "head", "options"]


def quantity() -> serializers.IntegerField:
    """How many of it are in one assembly, or in its parent."""
    return serializers.IntegerField(min_value=1, max_value=MOST, required=False)


class InAssembly(serializers.Serializer[Any]):
    """A row of one assembly, which it never leaves."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    assembly = OwnRow(Assembly)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """A change leaves the row where it is."""
        if self.instance is not None and attrs.pop("assembly", self.instance.assembly) != (
            self.instance.assembly
        ):
            raise serializers.ValidationError({"assembly": "It stays in its assembly."})
        return attrs


class AssemblySerializer(serializers.Serializer[Assembly]):
    """What is made and glued up together."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    commission = OwnRow(Commission)
    parent = OwnRow(Assembly, required=False, allow_null=True)
    name = serializers.CharField(max_length=120)
    quantity = quantity()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """A change leaves the assembly in its commission."""
        if self.instance is not None and attrs.pop("commission", self.instance.commission) != (
            self.instance.commission
        ):
            raise serializers.ValidationError({"commission": "It stays in its commission."})
        return attrs


class PartSerializer(InAssembly):
    """Equal pieces of one finished size."""

    mark = serializers.CharField(max_length=8, required=False, allow_blank=True)
    name = serializers.CharField(max_length=120)
    species = serializers.CharField(max_length=40)
    length_mm = Millimetres()
    width_mm = Millimetres()
    thickness_mm = Millimetres()
    quantity = quantity()
    grain = serializers.ChoiceField(choices=Part.Grain.choices, required=False)
    note = serializers.CharField(max_length=200, required=False, allow_blank=True)


class FixingSerializer(serializers.Serializer[Any]):
    """So many of one fixing in every joint."""

    fixing = serializers.CharField(max_length=40)
    count = serializers.IntegerField(min_value=1, max_value=200)


class JointSerializer(InAssembly):
    """Equal joints between two parts; what is not in `dimensions` follows the rule of thumb."""

    mark = serializers.CharField(max_length=8, required=False, allow_blank=True)
    name = serializers.CharField(max_length=120, required=False, allow_blank=True)
    type = serializers.CharField(max_length=40)
    part_a = OwnRow(Part)
    part_b = OwnRow(Part)
    count = quantity()
    method = serializers.ChoiceField(choices=Joint.Method.choices, required=False)
    dimensions = serializers.DictField(child=NumberOrText(), required=False)
    fixings = FixingSerializer(many=True, required=False)
    jig = serializers.CharField(max_length=40, required=False, allow_blank=True)


class ExtraSerializer(InAssembly):
    """Work that belongs to no joint; without minutes it takes the standard time."""

    operation = serializers.CharField(max_length=40)
    name = serializers.CharField(max_length=120, required=False, allow_blank=True)
    minutes = serializers.DecimalField(
        max_digits=8, decimal_places=2, min_value=0, required=False, allow_null=True
    )
    count = quantity()


class Assemblies(Kept):
    """Assemblies of every commission."""

    model = Assembly
    serializer_class = AssemblySerializer
    permission = PERMISSION
    http_method_names = METHODS
    filterset_fields = ("commission", "parent")
    address = "api-assembly-detail"

    def add(self, request: Request, fields: dict[str, Any]) -> Assembly:
        """Add an assembly."""
        return assemblies.add_assembly(fields.pop("commission"), **fields)

    def change(self, row: Assembly, version: int, fields: dict[str, Any]) -> Assembly:
        """Change it."""
        return assemblies.change_assembly(row, version=version, **fields)

    def remove(self, row: Assembly, version: int) -> None:
        """Remove it with all that is in it."""
        assemblies.remove_assembly(row, version=version)


class AssemblyCopies(Idempotent, OfWorkshop):
    """A copy of an assembly, beside it."""

    model = Assembly
    serializer_class = AssemblySerializer
    permission = "orders.edit_commissions"

    @extend_schema(request=None, responses={201: AssemblySerializer})
    def create(self, request: Request, pk: int) -> Response:
        """Duplicate it with its parts, joints and work."""

        def made() -> Response:
            copy = assemblies.duplicate_assembly(self.get_object())
            return Response(self.get_serializer(copy).data, status=201)

        return self.once(request, made)


class Parts(Kept):
    """Parts of every assembly."""

    model = Part
    serializer_class = PartSerializer
    permission = PERMISSION
    http_method_names = METHODS
    filterset_fields = ("assembly", "assembly__commission", "species")
    ordering_fields = ("id", "mark", "length_mm", "width_mm", "thickness_mm")
    address = "api-part-detail"

    def add(self, request: Request, fields: dict[str, Any]) -> Part:
        """Add a part."""
        return parts.add_part(fields.pop("assembly"), **fields)

    def change(self, row: Part, version: int, fields: dict[str, Any]) -> Part:
        """Change it, if its joints still fit."""
        return parts.change_part(row, version=version, **fields)

    def remove(self, row: Part, version: int) -> None:
        """Remove it, if no joint needs it."""
        parts.remove_part(row, version=version)


class Joints(Kept):
    """Joints of every assembly."""

    model = Joint
    serializer_class = JointSerializer
    permission = PERMISSION
    http_method_names = METHODS
    filterset_fields = ("assembly", "assembly__commission", "type", "method")
    address = "api-joint-detail"

    def add(self, request: Request, fields: dict[str, Any]) -> Joint:
        """Add a joint, if it fits its parts."""
        return joints.add_joint(fields.pop("assembly"), **fields)

    def change(self, row: Joint, version: int, fields: dict[str, Any]) -> Joint:
        """Change it, if it fits."""
        return joints.change_joint(row, version=version, **fields)

    def remove(self, row: Joint, version: int) -> None:
        """Remove it."""
        joints.remove_joint(row, version=version)


class Extras(Kept):
    """Work that belongs to no joint."""

    model = ExtraWork
    serializer_class = ExtraSerializer
    permission = PERMISSION
    http_method_names = METHODS
    filterset_fields = ("assembly", "assembly__commission", "operation")
    address = "api-work-detail"

    def add(self, request: Request, fields: dict[str, Any]) -> ExtraWork:
        """Add it."""
        return extras.add_extra(fields.pop("assembly"), **fields)

    def change(self, row: ExtraWork, version: int, fields: dict[str, Any]) -> ExtraWork:
        """Change it."""
        return extras.change_extra(row, version=version, **fields)

    def remove(self, row: ExtraWork, version: int) -> None:
        """Remove it."""
        extras.remove_extra(row, version=version)
