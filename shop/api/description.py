"""The description of the API, and a page to read it at."""

from __future__ import annotations

from csp.constants import SELF
from csp.decorators import csp_update
from django.utils.decorators import method_decorator
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerSplitView

from orders.api.access import EVERYBODY


@extend_schema(exclude=True)
class Schema(SpectacularAPIView):
    """The OpenAPI document."""

    permission = EVERYBODY


@extend_schema(exclude=True)
@method_decorator(
    csp_update({"style-src": [SELF, "'unsafe-inline'"], "img-src": [SELF, "data:"]}),
    name="dispatch",
)
class Docs(SpectacularSwaggerSplitView):
    """A page that shows it; its reader writes its own styles, so this page alone allows them."""

    permission = EVERYBODY
    url_name = "api-schema"
