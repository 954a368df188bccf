"""People, their tokens, and the workshop itself."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import authenticate
from django.urls import reverse as page
from drf_spectacular.utils import extend_schema
from rest_framework import exceptions, mixins, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import ScopedRateThrottle
from rest_framework.views import APIView

from orders.api.access import EVERYBODY, SIGNED_IN, member_of, person_of, workshop_of
from orders.api.fields import Instant
from orders.api.views import Kept, OfWorkshop, Versioned
from shop.core.plan.prices import MOST_LEVELS, Measure
from shop.core.roles import Role
from shop.models import ApiToken, Membership, User, Workshop
from shop.models.workshop import MOST_HOURS_LATE
from shop.services import people, tokens, workshops
from shop.services.access import memberships_of


class MemberSerializer(serializers.Serializer[Membership]):
    """A person's place in the workshop."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    email = serializers.CharField(source="user.email", max_length=254)
    name = serializers.CharField(source="user.name", max_length=120, allow_blank=True)
    role = serializers.ChoiceField(choices=[role.value for role in Role])
    is_active = serializers.BooleanField(read_only=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Only the role of a member changes; name and address are their own."""
        user = attrs.pop("user", {})
        if self.instance is not None and user:
            raise serializers.ValidationError({"email": "Only the role can be changed here."})
        return {**attrs, **user}


class Members(Kept):
    """The people of the workshop."""

    model = Membership
    serializer_class = MemberSerializer
    permission = "shop.edit_people"
    http_method_names = ["get", "post", "patch", "delete", "head", "options"]
    filterset_fields = ("role", "is_active")
    address = "api-member-detail"

    def get_queryset(self) -> Any:
        """With their names."""
        return super().get_queryset().select_related("user")

    def add(self, request: Request, fields: dict[str, Any]) -> Membership:
        """Invite somebody; they are mailed how to set a password."""

        def link(uid: str, token: str) -> str:
            return request.build_absolute_uri(page("password-reset-set", args=[uid, token]))

        return people.invite(workshop_of(request), by=person_of(request), link=link, **fields)

    def change(self, row: Membership, version: int, fields: dict[str, Any]) -> Membership:
        """Give them another role."""
        if "role" not in fields:
            raise exceptions.ValidationError({"role": "Give the new role."})
        return people.change_role(row, fields["role"], version=version)

    def remove(self, row: Membership, version: int) -> None:
        """Shut them out; what they did stays."""
        people.leave(row, version=version)


class HoursLate(serializers.FloatField):
    """What a measure counts, in hours that an order of weight 1 is late."""

    def __init__(self, **more: Any) -> None:
        super().__init__(min_value=0, max_value=MOST_HOURS_LATE, **more)


class WeekdaysField(serializers.ListField):
    """Weekdays by their numbers, 0 for Monday."""

    def __init__(self, **more: Any) -> None:
        child = serializers.IntegerField(min_value=0, max_value=6)
        super().__init__(child=child, max_length=7, **more)


class WorkshopSerializer(serializers.Serializer[Workshop]):
    """The workshop's own settings."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    name = serializers.CharField(max_length=120)
    currency = serializers.CharField(max_length=3)
    unit = serializers.ChoiceField(choices=Workshop.Unit.choices)
    time_zone = serializers.CharField(max_length=64)
    address = serializers.CharField(max_length=2000, allow_blank=True)
    email = serializers.CharField(max_length=254, allow_blank=True)
    phone = serializers.CharField(max_length=40, allow_blank=True)
    tax_number = serializers.CharField(max_length=30, allow_blank=True)
    quote_terms = serializers.CharField(max_length=6000, allow_blank=True)
    quote_valid_days = serializers.IntegerField(min_value=1, max_value=3650)
    plans_itself = serializers.BooleanField()
    batch_pieces = serializers.IntegerField(min_value=0, max_value=9999)
    outwork_days = serializers.IntegerField(
        min_value=0,
        max_value=365,
        help_text="From the day it goes out until the day it is back; 0 for the same day.",
    )
    outwork_leaves_on = WeekdaysField(
        help_text="The weekdays on which it goes out, Monday is 0; none for any the shop is open."
    )
    outwork_leaves_at = serializers.TimeField(
        allow_null=True, help_text="The hour at which it goes out; any open hour when null."
    )
    outwork_returns_on = WeekdaysField(
        help_text="The weekdays on which it comes back; none for any the shop is open."
    )
    outwork_returns_at = serializers.TimeField(
        allow_null=True, help_text="The hour at which it is back; as the shop opens when null."
    )
    allows_minding = serializers.BooleanField(
        help_text="A hand may mind a running machine while it does light work in the same area."
    )
    light_operations = serializers.ListField(
        child=serializers.CharField(max_length=40),
        max_length=200,
        help_text="Operations at the bench, by their codes, that count as light work.",
    )
    plans_by = serializers.ChoiceField(
        choices=Workshop.PlansBy.choices,
        help_text="Whether what counts is weighed by the prices, or one after another by the order.",
    )
    measure_order = serializers.ListField(
        child=serializers.ChoiceField(choices=[measure.value for measure in Measure]),
        min_length=1,
        max_length=MOST_LEVELS,
        help_text="Each counts before all after it; what is not named does not count.",
    )
    late_order_price = HoursLate()
    overtime_price = HoursLate()
    setup_price = HoursLate()
    in_progress_price = HoursLate()
    idle_price = HoursLate()


class OwnWorkshop(Versioned, APIView):
    """The workshop of whoever asks."""

    permission = {"GET": SIGNED_IN, "PATCH": "shop.edit_workshop"}

    @extend_schema(responses=WorkshopSerializer)
    def get(self, request: Request) -> Response:
        """Its settings, with their ETag."""
        return self.answer(workshop_of(request))

    @extend_schema(request=WorkshopSerializer(partial=True), responses=WorkshopSerializer)
    def patch(self, request: Request) -> Response:
        """Change what is sent."""
        row = workshop_of(request)
        version = self.expected_version(request, row)
        serializer = WorkshopSerializer(row, data=request.data, partial=True)
        serializer.is_valid(raise_exception=True)
        changed = workshops.change_workshop(row, version=version, **serializer.validated_data)
        return self.answer(changed)

    def answer(self, row: Workshop) -> Response:
        """The settings with their ETag."""
        return Response(WorkshopSerializer(row).data, headers={"ETag": self.etag(row)})


class TokenSerializer(serializers.Serializer[ApiToken]):
    """A token; its secret is answered once, when it is made."""

    id = serializers.IntegerField(read_only=True)
    name = serializers.CharField(max_length=80)
    ends_at = Instant(required=False, allow_null=True)
    made_at = serializers.DateTimeField(read_only=True)
    used_at = serializers.DateTimeField(read_only=True, allow_null=True)


class MadeTokenSerializer(TokenSerializer):
    """A token that was just made."""

    secret = serializers.CharField(read_only=True)


class Tokens(mixins.ListModelMixin, OfWorkshop):
    """One's own tokens in this workshop. A new one is never answered twice: mind its secret."""

    model = ApiToken
    serializer_class = TokenSerializer
    permission = SIGNED_IN
    lookup_value_regex = "[0-9]+"

    def get_queryset(self) -> Any:
        """Nobody else's."""
        rows = super().get_queryset()
        if getattr(self, "swagger_fake_view", False):
            return rows
        return rows.filter(membership=member_of(self.request))

    @extend_schema(request=TokenSerializer, responses={201: MadeTokenSerializer})
    def create(self, request: Request) -> Response:
        """Make a token; the secret is in this answer and nowhere else."""
        serializer = self.get_serializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        token, secret = tokens.make_token(member_of(request), **serializer.validated_data)
        return secret_answer(token, secret)

    def destroy(self, request: Request, pk: str) -> Response:
        """Revoke it at once."""
        tokens.end_token(self.get_object())
        return Response(status=204)


class SignInSerializer(serializers.Serializer[Any]):
    """E-mail address, password, and the workshop where the person belongs to several."""

    email = serializers.CharField(max_length=254)
    password = serializers.CharField(max_length=200, trim_whitespace=False)
    workshop = serializers.IntegerField(required=False, min_value=1, max_value=2**63 - 1)
    name = serializers.CharField(max_length=80, required=False)


class SignIn(APIView):
    """A token for a person who shows e-mail address and password."""

    permission = EVERYBODY
    authentication_classes: list[Any] = []
    throttle_classes = [ScopedRateThrottle]
    throttle_scope = "sign-in"

    def get_authenticate_header(self, request: Request) -> str:
        """A refusal is a 401, though no token is looked at here."""
        return "Bearer"

    @extend_schema(request=SignInSerializer, responses={201: MadeTokenSerializer}, auth=[])
    def post(self, request: Request) -> Response:
        """Sign in; the same locks hold as on the page."""
        serializer = SignInSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        asked = serializer.validated_data
        user = authenticate(request._request, username=asked["email"], password=asked["password"])
        if not isinstance(user, User):
            raise exceptions.AuthenticationFailed(
                "This e-mail address and password do not belong together."
            )
        membership = place_of(user, asked.get("workshop"))
        token, secret = tokens.make_token(membership, asked.get("name") or "signed in by program")
        return secret_answer(token, secret)


def place_of(user: User, workshop: int | None) -> Membership:
    """The membership to sign in under."""
    places = {place.workshop_id: place for place in memberships_of(user)}
    if workshop is None and len(places) == 1:
        return next(iter(places.values()))
    if workshop not in places:
        known = ", ".join(f"{pk} ({place.workshop})" for pk, place in places.items())
        raise exceptions.ValidationError(
            {"workshop": f"Name one of your workshops: {known or 'you belong to none'}."}
        )
    return places[workshop]


def secret_answer(token: ApiToken, secret: str) -> Response:
    """A token with its secret, which no cache may keep."""
    body = {**TokenSerializer(token).data, "secret": secret}
    return Response(body, status=201, headers={"Cache-Control": "no-store"})
