"""Names the package to Django."""

from django.apps import AppConfig


class CostingConfig(AppConfig):
    """The costing package."""

    name = "costing"
