"""Quotes: draft, read, issue, print, and what the client said."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import mixins, serializers
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from costing.api.estimates import SHAPE as ESTIMATE_SHAPE
from costing.api.shapes import Shape
from costing.core.money import rounded
from costing.documents.equotation import equotation
from costing.documents.quotation import quotation_of_quote
from costing.models import Quote
from costing.services import quotations, quotes
from orders.api.access import person_of
from orders.api.fields import OwnRow
from orders.api.views import Idempotent, OfWorkshop, Versioned
from orders.core.errors import NotNow
from orders.models import Commission
from orders.services.shape import read_shape

ARRANGEMENT_SHAPE = Shape.of("Arrangement", quotations.ARRANGEMENT)
QUOTATION_SHAPE = Shape.of("Quotation", quotations.QUOTATION)
AMOUNTS = ("net", "tax", "gross")


class QuoteSerializer(serializers.ModelSerializer[Quote]):
    """One revision of what a commission was offered for."""

    commission = OwnRow(Commission)
    mark = serializers.CharField(read_only=True)
    standard_edition = serializers.IntegerField(source="standard_edition.number", read_only=True)
    rate_edition = serializers.IntegerField(source="rate_edition.number", read_only=True)
    made_at = serializers.DateTimeField(source="created_at", read_only=True)

    class Meta:
        model = Quote
        fields = (
            "id",
            "mark",
            "commission",
            "revision",
            "state",
            "currency",
            *AMOUNTS,
            "valid_until",
            "terms",
            "standard_edition",
            "rate_edition",
            "made_at",
            "issued_at",
            "decided_at",
            "decided_by",
            "pdf_sha256",
        )
        read_only_fields = tuple(name for name in fields if name != "commission")

    def to_representation(self, instance: Quote) -> dict[str, Any]:
        """Amounts to the currency's minor units."""
        said: dict[str, Any] = super().to_representation(instance)
        amounts = {
            name: str(rounded(getattr(instance, name), instance.currency)) for name in AMOUNTS
        }
        return {**said, **amounts}


class IssueSerializer(serializers.Serializer[Quote]):
    """Until when the offer holds, and on what terms; as drafted if absent."""

    valid_until = serializers.DateField(required=False)
    terms = serializers.CharField(required=False, allow_blank=True, max_length=6000)


class AnswerSerializer(serializers.Serializer[Quote]):
    """Who gave the client's answer."""

    name = serializers.CharField(max_length=120)


class AcceptSerializer(AnswerSerializer):
    """Who accepted, and which of the options they take, by their keys in the quotation."""

    options = serializers.ListField(
        child=serializers.CharField(max_length=40), required=False, max_length=40
    )


class Paper(BaseRenderer):
    """PDF; a refusal stays a problem document."""

    media_type = "application/pdf"
    format = "pdf"
    charset = None
    render_style = "binary"

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,
        renderer_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        """The bytes of the paper."""
        if isinstance(data, bytes):
            return data
        rendered: bytes = JSONRenderer().render(data)
        return rendered


class QuotesOfWorkshop(OfWorkshop):
    """Quotes with what names them."""

    model = Quote
    serializer_class = QuoteSerializer
    lookup_value_regex = "[0-9]+"

    def get_queryset(self) -> QuerySet[Quote]:
        """Without the papers, which are large."""
        rows = (
            super()
            .get_queryset()
            .select_related(
                "commission__workshop", "commission__client", "standard_edition", "rate_edition"
            )
        )
        return rows.defer("content", "pdf")


class Quotes(mixins.ListModelMixin, mixins.RetrieveModelMixin, Idempotent, QuotesOfWorkshop):
    """Every revision of every commission."""

    permission = {"GET": "costing.see_quotes", "*": "costing.issue_quotes"}
    filterset_fields = ("commission", "state")

    def create(self, request: Request) -> Response:
        """Draft the next revision from today's estimate; a draft that exists is made anew."""

        def made() -> Response:
            serializer = self.get_serializer(data=request.data)
            serializer.is_valid(raise_exception=True)
            quote = quotes.draft_quote(
                serializer.validated_data["commission"],
                by=person_of(request),
                on=timezone.localdate(),
            )
            response = Response(self.get_serializer(quote).data, status=201)
            response["Location"] = reverse("api-quote-detail", [quote.pk], request=request)
            return response

        return self.once(request, made)


class QuoteSteps(QuotesOfWorkshop):
    """What is done with one revision."""

    permission = "costing.issue_quotes"

    @extend_schema(request=IssueSerializer, responses=QuoteSerializer)
    def issue(self, request: Request, pk: int) -> Response:
        """Freeze the draft and print it."""
        return self.stepped(
            quotes.issue, request, IssueSerializer, paper=quotation_of_quote, at=timezone.now()
        )

    @extend_schema(request=AcceptSerializer, responses=QuoteSerializer)
    def accept(self, request: Request, pk: int) -> Response:
        """The client says yes, and the commission becomes an order."""
        return self.stepped(quotes.accept, request, AcceptSerializer, at=timezone.now())

    @extend_schema(request=AnswerSerializer, responses=QuoteSerializer)
    def decline(self, request: Request, pk: int) -> Response:
        """The client says no to this revision."""
        return self.stepped(quotes.decline, request, AnswerSerializer, at=timezone.now())

    def stepped(
        self, step: Any, request: Request, asked: type[serializers.Serializer[Any]], **more: Any
    ) -> Response:
        """Take one step with the values that are sent."""
        quote = self.get_object()
        serializer = asked(data=request.data)
        serializer.is_valid(raise_exception=True)
        done = step(quote, by=person_of(request), **serializer.validated_data, **more)
        return Response(self.get_serializer(done).data)


class QuoteContents(QuotesOfWorkshop):
    """What one revision says."""

    permission = "costing.see_quotes"

    @extend_schema(responses=QUOTATION_SHAPE)
    def quotation(self, request: Request, pk: int) -> Response:
        """What the paper says, as figures and words."""
        said = quotations.quotation_of(self.get_object())
        return Response(quotations.QUOTATION.dump_python(said, mode="json"))


class QuoteArrangement(Versioned, QuotesOfWorkshop):
    """What one revision says beside its estimate."""

    permission = {"GET": "costing.see_quotes", "*": "costing.issue_quotes"}

    @extend_schema(responses=ARRANGEMENT_SHAPE)
    def read(self, request: Request, pk: int) -> Response:
        """Words of its lines, discounts, options, payments and texts, with an ETag."""
        return self.arranged(self.get_object())

    @extend_schema(request=ARRANGEMENT_SHAPE, responses=ARRANGEMENT_SHAPE)
    def change(self, request: Request, pk: int) -> Response:
        """Arrange a draft anew; its figures are added up again."""
        quote = self.get_object()
        version = self.expected_version(request, quote)
        asked = read_shape(quotations.ARRANGEMENT, request.data)
        done = quotes.arrange(
            quote,
            asked,
            valid_until=quote.valid_until,
            terms=quote.terms,
            on=timezone.localdate(),
            version=version,
        )
        return self.arranged(done)

    def arranged(self, quote: Quote) -> Response:
        """The answer to both."""
        said = quotations.ARRANGEMENT.dump_python(quotations.arrangement_of(quote), mode="json")
        response = Response(said)
        response["ETag"] = self.etag(quote)
        return response


class QuoteEstimate(QuotesOfWorkshop):
    """What one revision was made from."""

    permission = "costing.see_estimates"

    @extend_schema(responses=ESTIMATE_SHAPE)
    def estimate(self, request: Request, pk: int) -> Response:
        """The estimate as it was on the day of the draft."""
        found = quotations.estimate_of(self.get_object())
        return Response(quotations.ESTIMATE.dump_python(found, mode="json"))

    @extend_schema(responses=ESTIMATE_SHAPE)
    def again(self, request: Request, pk: int) -> Response:
        """The estimate made anew from the rates, the rack and the breakdown that the quote keeps."""
        quote = self.get_object()
        found = quotations.reckoned_again(quote)
        if found is None:
            raise NotNow(f"Quote {quote.mark} does not keep what it was made from.")
        return Response(quotations.ESTIMATE.dump_python(found, mode="json"))


class Xml(Paper):
    """XML; a refusal stays a problem document."""

    media_type = "application/xml"
    format = "xml"


class QuotePapers(QuotesOfWorkshop):
    """The paper of one revision, and its data."""

    permission = "costing.see_quotes"

    @extend_schema(
        responses={
            (200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, "The quotation."),
        }
    )
    def paper(self, request: Request, pk: int) -> Response:
        """The PDF: an issued quote as it was issued, a draft as it stands."""
        quote = self.get_object()
        paper = quote.pdf or quotation_of_quote(
            quote, quotations.quotation_of(quote), is_draft=True
        )
        response = Response(bytes(paper), content_type="application/pdf")
        response["Content-Disposition"] = f'attachment; filename="quotation-{quote.mark}.pdf"'
        return response

    @extend_schema(
        responses={(200, "application/xml"): OpenApiResponse(OpenApiTypes.BINARY, "UBL 2.1.")}
    )
    def data(self, request: Request, pk: int) -> Response:
        """What was issued as data: a UBL 2.1 Quotation."""
        said = quotations.quotation_of(self.get_object())
        return Response(equotation(said), content_type="application/xml")


PAPER = QuotePapers.as_view({"get": "paper"}, renderer_classes=[Paper, JSONRenderer])
DATA = QuotePapers.as_view({"get": "data"}, renderer_classes=[Xml, JSONRenderer])
