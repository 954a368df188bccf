"""The pages of what orders cost and earn."""

from django.urls import URLPattern, path

from costing.web import job_costs, order_books

urlpatterns: list[URLPattern] = [
    path("commissions/<int:pk>/cost/", job_costs.job_cost_page, name="job-cost"),
    path("charges/<int:pk>/back/", job_costs.charge_back, name="charge-back"),
    path("costs/", order_books.books_page, name="order-books"),
    path("costs/charge/", order_books.charging_page, name="charging-for"),
]
