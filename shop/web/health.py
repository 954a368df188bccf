"""Whether the process lives, and whether it can serve."""

from __future__ import annotations

from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from orders.web.access import open_to_everybody
from shop.services.health import readiness


@open_to_everybody
@never_cache
@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """The process answers."""
    return JsonResponse({"status": "alive"})


@open_to_everybody
@never_cache
@require_safe
def readyz(request: HttpRequest) -> JsonResponse:
    """The database answers and has every migration; a silent worker is only mentioned."""
    found = readiness()
    answer = {"status": "ready" if found.is_ready else "not ready", "faults": list(found.faults)}
    if found.worker:
        answer["worker"] = found.worker
    return JsonResponse(answer, status=200 if found.is_ready else 503)
