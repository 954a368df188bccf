"""The pages of labour and of what it teaches."""

from django.urls import URLPattern, path

from costing.web import hands, honesty, labour, labour_cell, labour_judging, standards

urlpatterns: list[URLPattern] = [
    path("", labour.labour_page, name="labour"),
    path("labour.csv", labour.labour_csv, name="labour-csv"),
    path("labour.xlsx", labour.labour_xlsx, name="labour-xlsx"),
    path("learn/", labour.labour_learn, name="labour-learn"),
    path("clockings/", labour_cell.labour_behind, name="labour-behind"),
    path("judge/", labour_judging.labour_judge, name="labour-judge"),
    path("doubts/<int:pk>/judge/", labour_judging.doubt_judge, name="doubt-judge"),
    path("changes/<int:pk>/settle/", labour_judging.change_settle, name="change-settle"),
    path("standards/", standards.proposals_page, name="proposals"),
    path("standards/<int:pk>/", standards.standard_edition, name="standard-edition"),
    path("standards/<int:pk>/back/", standards.standards_back, name="standards-back"),
    path("honesty/", honesty.honesty_page, name="honesty"),
    path("hands/", hands.hand_effects, name="hand-effects"),
    path("mine/", hands.own_effects, name="own-effects"),
]
