"""Names the package to Django."""

from django.apps import AppConfig


class ShopConfig(AppConfig):
    """The shop package."""

    name = "shop"
