"""The programmers' addresses of orders."""

from typing import Any

from django.urls import URLPattern, include, path
from django.urls.resolvers import URLResolver
from rest_framework.routers import SimpleRouter

from orders.api import breakdown, clients, commissions, files, joint_book, operations, patterns

router = SimpleRouter()
router.register("clients", clients.Clients, "api-client")
router.register("commissions", commissions.Commissions, "api-commission")
router.register("assemblies", breakdown.Assemblies, "api-assembly")
router.register("parts", breakdown.Parts, "api-part")
router.register("joints", breakdown.Joints, "api-joint")
router.register("work", breakdown.Extras, "api-work")
router.register("operations", operations.Operations, "api-operation")
router.register("standards", joint_book.StandardEditions, "api-standard")

CREATE: Any = {"post": "create"}
READ: Any = {"get": "retrieve"}

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include(router.urls)),
    path("commissions/<int:pk>/copies/", commissions.CommissionCopies.as_view(CREATE)),
    path("commissions/<int:pk>/moves/", commissions.CommissionMoves.as_view({"post": "move"})),
    path("commissions/<int:pk>/order-file/", files.CommissionFiles.as_view(READ)),
    path("commissions/<int:pk>/cutting-list/", files.CuttingListFiles.as_view(READ)),
    path("assemblies/<int:pk>/copies/", breakdown.AssemblyCopies.as_view(CREATE)),
    path("assemblies/<int:pk>/cutting-lists/", files.AssemblyCuttingLists.as_view(CREATE)),
    path(
        "assemblies/<int:pk>/cutting-lists/check/",
        files.AssemblyCuttingListChecks.as_view({"post": "check"}),
    ),
    path("commissions/<int:pk>/patterns/", patterns.CommissionPatterns.as_view(CREATE)),
    path("patterns/", patterns.Patterns.as_view()),
    path(
        "joints/<int:pk>/alternatives/",
        patterns.JointAlternatives.as_view({**READ, "post": "swap"}),
    ),
    path("joints/<int:pk>/study/", joint_book.JointStudies.as_view(READ)),
    path("joint-types/", joint_book.JointTypes.as_view()),
    path("joint-types/<slug:code>/", joint_book.OneJointType.as_view()),
    path("species/", joint_book.AllSpecies.as_view()),
    path("standards/<int:pk>/rows/", joint_book.StandardRows.as_view({"get": "rows"})),
    path("order-files/", files.OrderFiles.as_view(CREATE)),
    path("order-files/check/", files.OrderFileChecks.as_view()),
    path("order-files/schema/", files.OrderFileSchema.as_view()),
]
