"""Names the package to Django."""

from django.apps import AppConfig


class OrdersConfig(AppConfig):
    """The orders package."""

    name = "orders"
