"""The programmers' addresses of costing."""

from django.urls import URLPattern, include, path
from django.urls.resolvers import URLResolver
from rest_framework.routers import SimpleRouter

from costing.api import (
    calculators,
    estimates,
    extra_costs,
    honesty,
    invoices,
    job_costs,
    labour,
    learned,
    proposals,
    quotes,
    rack,
    rate_editions,
    what_ifs,
)

router = SimpleRouter()
router.register("rack/boards", rack.Boards, "api-board")
router.register("rack/sheets", rack.Sheets, "api-sheet")
router.register("rack/glues", rack.Glues, "api-glue")
router.register("rack/allowances", rack.Allowances, "api-allowance")
router.register("rate-editions", rate_editions.RateEditions, "api-rate-edition")
router.register("quotes", quotes.Quotes, "api-quote")
router.register("invoices", invoices.Invoices, "api-invoice")
router.register("extra-costs", extra_costs.ExtraCosts, "api-extra-cost")
router.register("what-ifs", what_ifs.WhatIfs, "api-what-if")
router.register("labour", labour.Labour, "api-labour")
router.register("learned/cells", learned.Cells, "api-learned-cell")
router.register("learned/doubts", learned.Doubts, "api-learned-doubt")
router.register("learned/changes", learned.Changes, "api-learned-change")
router.register("learned/proposals", proposals.Proposals, "api-proposal")
router.register("learned/honesty", honesty.HonestyMonths, "api-honesty")
router.register("learned/foretold", honesty.ForetoldOrders, "api-foretold")
router.register("costs/orders", job_costs.OrderCosts, "api-order-cost")
router.register("costs/joints", job_costs.ChargingFor, "api-charging-for")
router.register("charges", job_costs.Charges, "api-charge")
router.register("learned/effects", learned.HandEffects, "api-hand-effect")

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include(router.urls)),
    path("", include("costing.api.learned_urls")),
    path("commissions/<int:pk>/estimate/", estimates.CommissionEstimate.as_view()),
    path("commissions/<int:pk>/what-ifs/", what_ifs.Compared.as_view()),
    path("commissions/<int:pk>/quantities/", what_ifs.Quantities.as_view()),
    path("what-ifs/<int:pk>/adopt/", what_ifs.AdoptWhatIf.as_view({"post": "adopt"})),
    path("commissions/<int:pk>/price/", estimates.CommissionPrice.as_view()),
    path("quotes/<int:pk>/issue/", quotes.QuoteSteps.as_view({"post": "issue"})),
    path("quotes/<int:pk>/accept/", quotes.QuoteSteps.as_view({"post": "accept"})),
    path("quotes/<int:pk>/decline/", quotes.QuoteSteps.as_view({"post": "decline"})),
    path("quotes/<int:pk>/quotation/", quotes.QuoteContents.as_view({"get": "quotation"})),
    path(
        "quotes/<int:pk>/arrangement/",
        quotes.QuoteArrangement.as_view({"get": "read", "put": "change"}),
    ),
    path("quotes/<int:pk>/estimate/", quotes.QuoteEstimate.as_view({"get": "estimate"})),
    path("quotes/<int:pk>/estimate/again/", quotes.QuoteEstimate.as_view({"get": "again"})),
    path("quotes/<int:pk>/paper/", quotes.PAPER),
    path("quotes/<int:pk>/data/", quotes.DATA),
    path("invoices/<int:pk>/credit/", invoices.InvoiceCredits.as_view({"post": "create"})),
    path("invoices/<int:pk>/content/", invoices.InvoiceContents.as_view({"get": "content"})),
    path("invoices/<int:pk>/paper/", invoices.PAPER),
    path("invoices/<int:pk>/data/", invoices.DATA),
    path("calculate/joint/", calculators.JOINT.as_view()),
    path("calculate/estimate/", calculators.ESTIMATE.as_view()),
    path("calculate/costs/", calculators.COSTS.as_view()),
    path("calculate/cutting/", calculators.CUTTING.as_view()),
    path("calculate/schedule/", calculators.SCHEDULE.as_view()),
    path("calculate/labour/", calculators.LABOUR.as_view()),
    path("calculate/study/", calculators.STUDY.as_view()),
]
