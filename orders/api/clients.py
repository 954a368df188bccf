"""Clients."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request

from orders.api.access import workshop_of
from orders.api.views import Kept
from orders.core.language import Language
from orders.models import Client
from orders.services import clients


class ClientSerializer(serializers.Serializer[Client]):
    """A person or firm that commissions work."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    name = serializers.CharField(max_length=120)
    contact = serializers.CharField(max_length=120, required=False, allow_blank=True)
    email = serializers.CharField(max_length=254, required=False, allow_blank=True)
    phone = serializers.CharField(max_length=40, required=False, allow_blank=True)
    address = serializers.CharField(max_length=2000, required=False, allow_blank=True)
    tax_number = serializers.CharField(max_length=30, required=False, allow_blank=True)
    language = serializers.ChoiceField(
        choices=[(one.value, one.label) for one in Language], required=False, allow_blank=True
    )
    country = serializers.CharField(max_length=2, required=False, allow_blank=True)


class Clients(Kept):
    """Clients of the workshop."""

    model = Client
    serializer_class = ClientSerializer
    permission = {"GET": "orders.see_clients", "*": "orders.edit_clients"}
    http_method_names = ["get", "post", "patch", "head", "options"]
    filterset_fields = {"name": ["exact", "icontains"]}
    ordering_fields = ("name", "id")
    address = "api-client-detail"

    def add(self, request: Request, fields: dict[str, Any]) -> Client:
        """Add a client."""
        return clients.add_client(workshop_of(request), **fields)

    def change(self, row: Client, version: int, fields: dict[str, Any]) -> Client:
        """Change a client."""
        return clients.change_client(row, version=version, **fields)
