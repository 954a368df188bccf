"""Invoices: the payments of an accepted quote, issued, read, printed, taken back."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import mixins, serializers
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from costing.api.quotes import Paper, Xml
from costing.api.shapes import Shape
from costing.core.money import rounded
from costing.documents.einvoice import einvoice
from costing.documents.invoice import invoice_of_workshop
from costing.models import Invoice, Quote
from costing.services import invoices
from orders.api.access import person_of
from orders.api.fields import OwnRow
from orders.api.views import Idempotent, OfWorkshop

INVOICE_SHAPE = Shape.of("InvoiceContent", invoices.SAID)
AMOUNTS = ("gross", "due")


class InvoiceSerializer(serializers.ModelSerializer[Invoice]):
    """An invoice or a credit note, as it was issued."""

    mark = serializers.CharField(read_only=True)

    class Meta:
        model = Invoice
        fields = (
            "id",
            "mark",
            "kind",
            "quote",
            "stage",
            "takes_back",
            "is_taken_back",
            "issued_on",
            "due_on",
            "currency",
            *AMOUNTS,
            "pdf_sha256",
        )
        read_only_fields = fields

    def to_representation(self, instance: Invoice) -> dict[str, Any]:
        """Amounts to the currency's minor units."""
        said: dict[str, Any] = super().to_representation(instance)
        amounts = {
            name: str(rounded(getattr(instance, name), instance.currency)) for name in AMOUNTS
        }
        return {**said, **amounts}


class NextInvoiceSerializer(serializers.Serializer[Invoice]):
    """Which accepted quote is to be invoiced next, and in how many days that is to be paid."""

    quote = OwnRow(Quote)
    days_to_pay = serializers.IntegerField(
        required=False,
        default=invoices.USUAL_DAYS,
        min_value=0,
        max_value=invoices.MOST_DAYS,
    )


class InvoicesOfWorkshop(OfWorkshop):
    """Invoices without their papers, which are large."""

    model = Invoice
    serializer_class = InvoiceSerializer
    lookup_value_regex = "[0-9]+"

    def get_queryset(self) -> QuerySet[Invoice]:
        """With what names them."""
        return super().get_queryset().defer("content", "pdf")

    def issued(self, invoice: Invoice, request: Request) -> Response:
        """The answer to a paper that was just issued."""
        response = Response(InvoiceSerializer(invoice).data, status=201)
        response["Location"] = reverse("api-invoice-detail", [invoice.pk], request=request)
        return response


class Invoices(mixins.ListModelMixin, mixins.RetrieveModelMixin, Idempotent, InvoicesOfWorkshop):
    """Every invoice and credit note."""

    permission = {"GET": "costing.see_invoices", "*": "costing.issue_invoices"}
    filterset_fields = ("quote", "kind", "is_taken_back")

    @extend_schema(request=NextInvoiceSerializer, responses={201: InvoiceSerializer})
    def create(self, request: Request) -> Response:
        """Invoice the next payment of an accepted quote."""

        def made() -> Response:
            serializer = NextInvoiceSerializer(
                data=request.data, context=self.get_serializer_context()
            )
            serializer.is_valid(raise_exception=True)
            invoice = invoices.issue_invoice(
                **serializer.validated_data,
                by=person_of(request),
                at=timezone.now(),
                paper=invoice_of_workshop,
            )
            return self.issued(invoice, request)

        return self.once(request, made)


class InvoiceCredits(Idempotent, InvoicesOfWorkshop):
    """Taking invoices back."""

    permission = "costing.issue_invoices"

    @extend_schema(request=None, responses={201: InvoiceSerializer})
    def create(self, request: Request, pk: int) -> Response:
        """Take an invoice back by a credit note."""

        def made() -> Response:
            credit = invoices.take_back(
                self.get_object(),
                by=person_of(request),
                at=timezone.now(),
                paper=invoice_of_workshop,
            )
            return self.issued(credit, request)

        return self.once(request, made)


class InvoiceContents(InvoicesOfWorkshop):
    """What an invoice says."""

    permission = "costing.see_invoices"

    @extend_schema(responses=INVOICE_SHAPE)
    def content(self, request: Request, pk: int) -> Response:
        """Its parties, lines and totals, as figures and words."""
        said = invoices.said_of(self.get_object())
        return Response(invoices.SAID.dump_python(said, mode="json"))


class InvoicePapers(InvoicesOfWorkshop):
    """The paper of an invoice, and its data."""

    permission = "costing.see_invoices"

    @extend_schema(
        responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, "The invoice.")}
    )
    def paper(self, request: Request, pk: int) -> Response:
        """The PDF as it was issued, with its EN 16931 data in it."""
        invoice = self.get_object()
        response = Response(bytes(invoice.pdf), content_type="application/pdf")
        response["Content-Disposition"] = f'attachment; filename="invoice-{invoice.mark}.pdf"'
        return response

    @extend_schema(
        responses={(200, "application/xml"): OpenApiResponse(OpenApiTypes.BINARY, "CII.")}
    )
    def data(self, request: Request, pk: int) -> Response:
        """The same as data: EN 16931, written in UN/CEFACT CII."""
        said = invoices.said_of(self.get_object())
        return Response(einvoice(said), content_type="application/xml")


PAPER = InvoicePapers.as_view({"get": "paper"}, renderer_classes=[Paper, JSONRenderer])
DATA = InvoicePapers.as_view({"get": "data"}, renderer_classes=[Xml, JSONRenderer])
