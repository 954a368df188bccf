"""Names the package to Django."""

from django.apps import AppConfig


class ShopConfig(AppConfig):
    """The shop package."""

    name = "shop"

    def ready(self) -> None:
        """Register the system checks, and the tasks, so that any process can send them."""
        from shop import checks, tasks  # noqa: F401
