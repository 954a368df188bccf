"""A heartbeat: the last sign of life of what goes on by itself."""

from __future__ import annotations

from django.db import models


class Heartbeat(models.Model):
    """When the worker last did its round; one row for the whole installation."""

    name = models.CharField(max_length=20, primary_key=True)
    at = models.DateTimeField()

    class Meta:
        default_permissions = ()

    def __str__(self) -> str:
        return f"{self.name} at {self.at:%Y-%m-%d %H:%M:%S}"
