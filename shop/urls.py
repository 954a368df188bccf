"""Every address of the installation."""

from django.urls import include, path

urlpatterns = [
    path("", include("shop.web.urls")),
    path("", include("orders.web.urls")),
    path("", include("costing.web.urls")),
    path("api/v1/", include("shop.api.urls")),
    path("api/v1/", include("orders.api.urls")),
    path("api/v1/", include("costing.api.urls")),
]

handler400 = "shop.web.faults.bad_request"
handler404 = "shop.web.faults.not_found"
handler500 = "shop.web.faults.broken"
