"""The pages of costing."""

from django.urls import URLPattern, include, path
from django.urls.resolvers import URLResolver

from costing.web import (
    client_offer,
    compare,
    estimates,
    invoices,
    papers,
    quote_draft,
    quotes,
    rack,
    rate_book,
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("commissions/<int:pk>/estimate/", estimates.estimate_page, name="estimate"),
    path("commissions/<int:pk>/estimate/panel/", estimates.estimate_panel, name="estimate-panel"),
    path("commissions/<int:pk>/estimate/lines/", estimates.estimate_lines, name="estimate-lines"),
    path("commissions/<int:pk>/price/", estimates.price_keep, name="price-keep"),
    path("commissions/<int:pk>/quotes/", quotes.quote_list, name="quotes"),
    path("commissions/<int:pk>/quotes/draft/", quotes.quote_draft, name="quote-draft"),
    path("commissions/<int:pk>/invoices/", invoices.invoice_list, name="invoices"),
    path("invoices/<int:pk>/invoice.pdf", invoices.invoice_paper, name="invoice-pdf"),
    path("invoices/<int:pk>/take-back/", invoices.invoice_take_back, name="invoice-take-back"),
    path("joints/<int:pk>/alternatives/", compare.compare_page, name="joint-compare"),
    path("joints/<int:pk>/swap/", compare.joint_swap, name="joint-swap"),
    path("quotes/<int:pk>/", quotes.quote_page, name="quote"),
    path("offer/<str:secret>/", client_offer.client_offer, name="client-offer"),
    path("offer/<str:secret>/quotation.pdf", client_offer.client_paper, name="client-paper"),
    path("quotes/<int:pk>/link/", quotes.quote_link, name="quote-link"),
    path("quotes/<int:pk>/link/end/", quotes.quote_link_end, name="quote-link-end"),
    path("questions/<int:pk>/answer/", quotes.question_answer, name="question-answer"),
    path("quotes/<int:pk>/arrange/", quote_draft.quote_arrange, name="quote-arrange"),
    path("quotes/<int:pk>/issue/", quotes.quote_issue, name="quote-issue"),
    path("quotes/<int:pk>/answer/", quotes.quote_answer, name="quote-answer"),
    path("quotes/<int:pk>/quote.pdf", quotes.quote_paper, name="quote-pdf"),
    path("quotes/<int:pk>/costs.pdf", quotes.quote_costs, name="quote-costs"),
    path("rack/", rack.rack_page, name="rack"),
    path("rack/<slug:shelf>/add/", rack.rack_add, name="rack-add"),
    path("rack/<slug:shelf>/<int:pk>/", rack.rack_change, name="rack-change"),
    path("rack/<slug:shelf>/<int:pk>/remove/", rack.rack_remove, name="rack-remove"),
    path("rate-book/", rate_book.rate_book, name="rate-book"),
    path("rate-book/new/", rate_book.rate_book_new, name="rate-book-new"),
    path("rate-book/<int:pk>/", rate_book.rate_edition, name="rate-edition"),
    path("labour/", include("costing.web.labour_urls")),
    path("commissions/<int:pk>/job-sheets.pdf", papers.job_sheets_of_commission, name="job-sheets"),
    path("assemblies/<int:pk>/job-sheet.pdf", papers.job_sheet_of_assembly, name="job-sheet"),
    path(
        "commissions/<int:pk>/cutting-list.pdf",
        papers.cutting_list_of_commission,
        name="cutting-list",
    ),
    path("day-sheets.pdf", papers.day_sheets_of_all, name="day-sheets-pdf"),
    path("day-sheets/<int:pk>/day-sheet.pdf", papers.day_sheet_of_hand, name="day-sheet-pdf"),
    path("wall-chart.pdf", papers.wall_chart_of_week, name="wall-chart-pdf"),
]
