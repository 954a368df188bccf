"""Orders and cutting lists as files: read, checked, taken in, given back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse
from rest_framework.views import APIView

from orders.api.access import SIGNED_IN, person_of, workshop_of
from orders.api.breakdown import PartSerializer
from orders.api.commissions import CommissionSerializer
from orders.api.views import Idempotent, OfWorkshop
from orders.core.lengths import LengthUnit
from orders.models import Assembly, Commission
from orders.services import cutting_list
from orders.services.orderfile import export_order, import_order, order_file_schema

ORDER_FILE = {"type": "object", "description": "An order file; see its own schema."}
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
LARGEST_FILE = 2 * 1024 * 1024


class OrderFileSchema(APIView):
    """The JSON Schema of an order file."""

    permission = SIGNED_IN

    @extend_schema(responses={200: OpenApiTypes.OBJECT})
    def get(self, request: Request) -> Response:
        """The schema, with an example."""
        return Response(order_file_schema())


class OrderFiles(Idempotent):
    """Order files that are taken in."""

    serializer_class = CommissionSerializer
    permission = "orders.edit_commissions"

    @extend_schema(request={"application/json": ORDER_FILE}, responses={201: CommissionSerializer})
    def create(self, request: Request) -> Response:
        """Open a commission from an order file: all of it, or nothing."""

        def made() -> Response:
            commission = import_order(workshop_of(request), request.data, by=person_of(request))
            response = Response(self.get_serializer(commission).data, status=201)
            address = reverse("api-commission-detail", [commission.pk], request=request)
            response["Location"] = address
            return response

        return self.once(request, made)


class OrderFileChecks(APIView):
    """Order files that are looked at only."""

    permission = "orders.edit_commissions"

    @extend_schema(request={"application/json": ORDER_FILE}, responses={204: None})
    def post(self, request: Request) -> Response:
        """Say what is wrong with an order file, or nothing; it is not taken in."""
        with transaction.atomic():
            import_order(workshop_of(request), request.data, by=person_of(request))
            transaction.set_rollback(True)
        return Response(status=204)


class CommissionFiles(OfWorkshop):
    """A commission as an order file."""

    model = Commission
    permission = "orders.see_commissions"

    @extend_schema(responses={200: ORDER_FILE})
    def retrieve(self, request: Request, pk: int) -> Response:
        """What an import would take."""
        return Response(export_order(self.get_object()))


class Binary(BaseRenderer):
    """A file; a refusal stays a problem document."""

    charset = None
    render_style = "binary"

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,
        renderer_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        """The bytes of the file."""
        if isinstance(data, bytes):
            return data
        rendered: bytes = JSONRenderer().render(data)
        return rendered


class CsvFile(Binary):
    """CSV."""

    media_type = "text/csv"
    format = "csv"


class XlsxFile(Binary):
    """A workbook."""

    media_type = XLSX
    format = "xlsx"


class CuttingListFiles(OfWorkshop):
    """The cutting list of a commission, as a file that can be taken in again."""

    model = Commission
    permission = "orders.see_commissions"
    renderer_classes = [CsvFile, XlsxFile, JSONRenderer]

    @extend_schema(
        responses={
            (200, "text/csv"): OpenApiResponse(OpenApiTypes.BINARY, "The cutting list."),
            (200, XLSX): OpenApiResponse(OpenApiTypes.BINARY, "The cutting list."),
        }
    )
    def retrieve(self, request: Request, pk: int) -> Response:
        """CSV, or a workbook where that is asked for by Accept."""
        commission = self.get_object()
        is_workbook = isinstance(request.accepted_renderer, XlsxFile)
        write = cutting_list.write_xlsx if is_workbook else cutting_list.write_csv
        response = Response(
            write(commission), content_type=XLSX if is_workbook else "text/csv; charset=utf-8"
        )
        ending = "xlsx" if is_workbook else "csv"
        response["Content-Disposition"] = (
            f'attachment; filename="{commission.mark}-cutting-list.{ending}"'
        )
        return response


class CuttingListSerializer(serializers.Serializer[Any]):
    """A cutting list as CSV or XLSX, and the unit of its bare lengths."""

    file = serializers.FileField(max_length=200)
    unit = serializers.ChoiceField(choices=[unit.value for unit in LengthUnit], required=False)

    def validate_file(self, file: Any) -> Any:
        """Not larger than a list can be."""
        if file.size > LARGEST_FILE:
            raise serializers.ValidationError("The file is larger than 2 MB; divide it.")
        return file


class DraftRowSerializer(serializers.Serializer[Any]):
    """One line of the file: what each cell says, and what is wrong with it."""

    line = serializers.IntegerField()
    message = serializers.CharField(allow_blank=True)
    cells = serializers.DictField(child=serializers.DictField(child=serializers.CharField()))


class DraftSerializer(serializers.Serializer[Any]):
    """A cutting list before it is taken in."""

    is_right = serializers.BooleanField()
    ignored = serializers.ListField(child=serializers.CharField())
    rows = DraftRowSerializer(many=True)


class AssemblyCuttingLists(Idempotent, OfWorkshop):
    """Cutting lists that are taken into an assembly."""

    model = Assembly
    permission = "orders.edit_commissions"
    parser_classes = [MultiPartParser]
    pagination_class = None
    filter_backends: list[Any] = []

    @extend_schema(
        request={"multipart/form-data": CuttingListSerializer},
        responses={201: PartSerializer(many=True)},
    )
    def create(self, request: Request, pk: int) -> Response:
        """Add every part of the file, or with any fault none."""
        assembly, draft = self.get_object(), drafted(request)

        def made() -> Response:
            parts = cutting_list.store(assembly, draft, by=person_of(request))
            serializer = PartSerializer(parts, many=True, context={"request": request})
            return Response(serializer.data, status=201)

        return self.once(request, made)


class AssemblyCuttingListChecks(OfWorkshop):
    """Cutting lists that are looked at only."""

    model = Assembly
    permission = "orders.edit_commissions"
    parser_classes = [MultiPartParser]

    @extend_schema(
        request={"multipart/form-data": CuttingListSerializer}, responses=DraftSerializer
    )
    def check(self, request: Request, pk: int) -> Response:
        """Every cell as it was read, with what is wrong; nothing is stored."""
        self.get_object()
        draft = drafted(request)
        return Response(
            {
                "is_right": not any(row.message or faults_of(row) for row in draft.rows),
                "ignored": draft.ignored,
                "rows": [
                    {
                        "line": row.line,
                        "message": row.message,
                        "cells": {
                            name: {"text": cell.text, "message": cell.message}
                            for name, cell in row.cells.items()
                        },
                    }
                    for row in draft.rows
                ],
            }
        )


def faults_of(row: cutting_list.DraftRow) -> bool:
    """Whether a cell of the row is wrong."""
    return any(cell.message for cell in row.cells.values())


def drafted(request: Request) -> cutting_list.Draft:
    """The file that was sent, as it was read."""
    serializer = CuttingListSerializer(data=request.data)
    serializer.is_valid(raise_exception=True)
    sent = serializer.validated_data
    unit = sent.get("unit") or workshop_of(request).unit
    return cutting_list.read_cutting_list(sent["file"].name, sent["file"].read(), unit=unit)
