"""The pages of costing."""

from django.urls import URLPattern, path

from costing.web import papers

urlpatterns: list[URLPattern] = [
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
