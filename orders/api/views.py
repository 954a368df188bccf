"""What every address of the API has in common: its workshop, its ETag, its Idempotency-Key."""

from __future__ import annotations

import hashlib
from typing import Any, cast

from django.db import IntegrityError, transaction
from django.db.models import QuerySet
from rest_framework import exceptions, mixins, viewsets
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from orders.api.access import person_of, workshop_of
from orders.api.problems import PreconditionRequired
from orders.core.errors import NotNow, RuleBroken
from orders.models import AnsweredRequest

LONGEST_KEY = 120


class OfWorkshop(viewsets.GenericViewSet[Any]):
    """Sees only the rows of the workshop under which the request is made."""

    model: Any = None

    def get_queryset(self) -> QuerySet[Any]:
        """Narrowed before any look-up, so that a foreign id answers 404."""
        if getattr(self, "swagger_fake_view", False):
            return cast("QuerySet[Any]", self.model.objects.none())
        return cast("QuerySet[Any]", self.model.objects.of(workshop_of(self.request)))


class Versioned:
    """Answers with an ETag, and changes only the edition that If-Match names."""

    is_versioned = True

    @staticmethod
    def etag(row: Any) -> str:
        """The ETag of a row: its id and its edition."""
        return f'"{row.pk}-{row.version}"'

    def expected_version(self, request: Request, row: Any) -> int:
        """The edition that the caller read.

        Raises PreconditionRequired without If-Match, RuleBroken if it is not an ETag of this row.
        """
        given = request.headers.get("If-Match", "").strip()
        if not given:
            raise PreconditionRequired
        if given == self.etag(row) or given == "*":
            return int(row.version)
        if not given.startswith(f'"{row.pk}-'):
            raise RuleBroken("", "If-Match does not name an edition of this; send its ETag.")
        return -1


class Idempotent(viewsets.GenericViewSet[Any]):
    """A creating POST carries an Idempotency-Key; a repeat gets the first answer again."""

    is_idempotent = True

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Keep the body as it was sent, before a parser uses it up."""
        super().initial(request, *args, **kwargs)
        if request.method == "POST":
            self.body_sha256 = hashlib.sha256(request._request.body).hexdigest()

    def once(self, request: Request, make: Any) -> Response:
        """Answer with what `make` returns, or with what it returned for this key before."""
        key = request.headers.get("Idempotency-Key", "").strip()
        if not key or len(key) > LONGEST_KEY:
            raise exceptions.ValidationError(
                {"Idempotency-Key": f"Send an Idempotency-Key of 1 to {LONGEST_KEY} characters."}
            )
        place = {"workshop": workshop_of(request), "user": person_of(request), "key": key}
        body_sha256 = self.body_sha256
        earlier = AnsweredRequest.objects.filter(**place).first()
        if earlier:
            return self.again(earlier, request, body_sha256)
        try:
            with transaction.atomic():
                response: Response = make()
                AnsweredRequest.objects.create(
                    **place,
                    path=request.path,
                    body_sha256=body_sha256,
                    status=response.status_code,
                    body=response.data,
                    headers={
                        name: response[name] for name in ("ETag", "Location") if name in response
                    },
                )
        except IntegrityError:
            earlier = AnsweredRequest.objects.filter(**place).first()
            if earlier is None:
                raise
            return self.again(earlier, request, body_sha256)
        return response

    def again(self, earlier: AnsweredRequest, request: Request, body_sha256: str) -> Response:
        """The first answer; NotNow if the key was used for something else."""
        if earlier.path != request.path or earlier.body_sha256 != body_sha256:
            raise NotNow("This Idempotency-Key was used for another request; send a new one.")
        return Response(earlier.body, status=earlier.status, headers=earlier.headers)


class Kept(mixins.ListModelMixin, Versioned, Idempotent, OfWorkshop):
    """Rows that are listed, read, added, changed and removed, each by a verb of a service.

    A subclass names its model, its serializer, its permissions and the `address` of one row, and
    gives `add`, `change` and `remove`.
    """

    lookup_value_regex = "[0-9]+"
    address = ""

    def add(self, request: Request, fields: dict[str, Any]) -> Any:
        """Call the service that adds a row."""
        raise NotImplementedError

    def change(self, row: Any, version: int, fields: dict[str, Any]) -> Any:
        """Call the service that changes it."""
        raise NotImplementedError

    def remove(self, row: Any, version: int) -> None:
        """Call the service that removes it."""
        raise NotImplementedError

    def create(self, request: Request) -> Response:
        """Add one."""
        return self.once(request, lambda: self.made(request))

    def made(self, request: Request) -> Response:
        """The answer to adding one: the row, its ETag and its address."""
        row = self.add(request, self.sent(request))
        response = self.answer(row, status=201)
        response["Location"] = reverse(self.address, [row.pk], request=request)
        return response

    def retrieve(self, request: Request, pk: str) -> Response:
        """Read one, with its ETag."""
        return self.answer(self.get_object())

    def partial_update(self, request: Request, pk: str) -> Response:
        """Change what is sent; the rest stays."""
        row = self.get_object()
        version = self.expected_version(request, row)
        return self.answer(self.change(row, version, self.sent(request, row, partial=True)))

    def destroy(self, request: Request, pk: str) -> Response:
        """Remove it."""
        row = self.get_object()
        self.remove(row, self.expected_version(request, row))
        return Response(status=204)

    def sent(self, request: Request, row: Any = None, *, partial: bool = False) -> dict[str, Any]:
        """The values of the body, by the names that the service takes."""
        serializer = self.get_serializer(row, data=request.data, partial=partial)
        serializer.is_valid(raise_exception=True)
        values: dict[str, Any] = serializer.validated_data
        return values

    def answer(self, row: Any, status: int = 200) -> Response:
        """A row with its ETag."""
        found = self.get_queryset().get(pk=row.pk)
        response = Response(self.get_serializer(found).data, status=status)
        response["ETag"] = self.etag(found)
        return response
