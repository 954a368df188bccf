"""What an earlier request with the same Idempotency-Key was answered."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models


class AnsweredRequest(models.Model):
    """The answer to a creating request, kept so that a repeat gets the same answer."""

    workshop = models.ForeignKey("shop.Workshop", on_delete=models.CASCADE, related_name="+")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=120)
    path = models.CharField(max_length=300)
    body_sha256 = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField()
    body: models.JSONField[Any, Any] = models.JSONField()
    headers: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["workshop", "user", "key"], name="idempotency_key_once")
        ]

    def __str__(self) -> str:
        return self.key
