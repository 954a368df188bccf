"""The calculators at stateless addresses: a document in, a document out, nothing kept."""

from __future__ import annotations

from typing import IO, Any, ClassVar

from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_view
from rest_framework import exceptions
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from costing.api.shapes import Shape
from costing.services.calculators import CALCULATORS, SHORT, Calculator
from orders.api.problems import MEDIA_TYPE
from orders.api.schema import PROBLEM


class TooLarge(exceptions.APIException):
    """The document is larger than is read here."""

    status_code = 413
    default_detail = f"A document holds {SHORT.document_bytes:,} bytes at most; ask for less."
    default_code = "too-large"


class AsSent(BaseParser):
    """The body as it was sent: the calculator reads JSON more strictly than the framework."""

    media_type = "application/json"

    def parse(
        self, stream: IO[Any], media_type: str | None = None, parser_context: Any = None
    ) -> Any:
        """The bytes, if they are not too many."""
        body: bytes = stream.read(SHORT.document_bytes + 1)
        if len(body) > SHORT.document_bytes:
            raise TooLarge
        return body


class Calculate(APIView):
    """One calculator."""

    permission: ClassVar[str]
    calculator: ClassVar[Calculator[Any, Any]]
    parser_classes = [AsSent]

    def post(self, request: Request) -> Response:
        """Reckon the document that is sent."""
        body = request.data if isinstance(request.data, bytes) else b""
        return Response(self.calculator.calculate(body, SHORT))


def calculating(name: str, permission: str) -> type[Calculate]:
    """The view of a calculator, described by the schemas of its documents."""
    calculator = CALCULATORS[name]
    title = f"Calculate{name.capitalize()}"
    view = type(title, (Calculate,), {"calculator": calculator, "permission": permission})
    described = extend_schema(
        operation_id=f"calculate_{name}",
        summary=calculator.summary,
        tags=["calculate"],
        request={"application/json": Shape(f"{title}Document", calculator.document_schema)},
        responses={
            200: Shape(f"{title}Answer", calculator.answer_schema),
            (413, MEDIA_TYPE): OpenApiResponse(PROBLEM, "The document is too large."),
        },
    )
    decorated: type[Calculate] = extend_schema_view(post=described)(view)
    return decorated


JOINT = calculating("joint", "orders.see_joint_book")
ESTIMATE = calculating("estimate", "costing.see_estimates")
COSTS = calculating("costs", "costing.see_estimates")
CUTTING = calculating("cutting", "orders.print_papers")
SCHEDULE = calculating("schedule", "shop.see_schedule")
LABOUR = calculating("labour", "costing.see_labour")
STUDY = calculating("study", "costing.see_labour")
