"""The programmers' addresses of what was learned, and of what orders cost."""

from django.urls import URLPattern, path

from costing.api import job_costs, learned, proposals

urlpatterns: list[URLPattern] = [
    path("learned/doubts/<int:pk>/judge/", learned.DoubtSteps.as_view({"post": "judge"})),
    path("learned/proposals/refuse/", proposals.Proposals.as_view({"post": "refuse"})),
    path("standards/<int:pk>/back/", proposals.EditionSteps.as_view({"post": "back"})),
    path("learned/changes/<int:pk>/settle/", learned.ChangeSteps.as_view({"post": "settle"})),
    path("commissions/<int:pk>/cost/", job_costs.CommissionCost.as_view()),
    path("charges/<int:pk>/back/", job_costs.ChargeSteps.as_view({"post": "back"})),
]
