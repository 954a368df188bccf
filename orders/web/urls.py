"""The pages of orders."""

from django.urls import path

from . import (
    assemblies,
    clients,
    commissions,
    components,
    cutting_lists,
    extras,
    joint_book,
    joints,
    moves,
    orderfiles,
    parts,
    workspace,
)

urlpatterns = [
    path("commissions/", commissions.commission_list, name="commissions"),
    path("commissions/new/", commissions.commission_new, name="commission-new"),
    path("commissions/import/", orderfiles.order_import, name="order-import"),
    path("order-file-schema/", orderfiles.order_schema, name="order-schema"),
    path("commissions/<int:pk>/order-file/", orderfiles.order_export, name="order-export"),
    path(
        "commissions/<int:pk>/cutting-list.csv",
        cutting_lists.cutting_list_csv,
        name="cutting-list-csv",
    ),
    path(
        "commissions/<int:pk>/cutting-list.xlsx",
        cutting_lists.cutting_list_xlsx,
        name="cutting-list-xlsx",
    ),
    path(
        "assemblies/<int:pk>/cutting-list/import/",
        cutting_lists.cutting_list_import,
        name="cutting-list-import",
    ),
    path("commissions/<int:pk>/", workspace.commission_page, name="commission"),
    path("commissions/<int:pk>/change/", commissions.commission_change, name="commission-change"),
    path(
        "commissions/<int:pk>/duplicate/",
        commissions.commission_duplicate,
        name="commission-duplicate",
    ),
    path("commissions/<int:pk>/move/<slug:stage>/", moves.commission_move, name="commission-move"),
    path("commissions/<int:pk>/assemblies/add/", assemblies.assembly_add, name="assembly-add"),
    path("assemblies/<int:pk>/", workspace.assembly_page, name="assembly"),
    path("assemblies/<int:pk>/change/", assemblies.assembly_change, name="assembly-change"),
    path(
        "assemblies/<int:pk>/duplicate/", assemblies.assembly_duplicate, name="assembly-duplicate"
    ),
    path("assemblies/<int:pk>/remove/", assemblies.assembly_remove, name="assembly-remove"),
    path("assemblies/<int:pk>/parts/add/", parts.part_add, name="part-add"),
    path("parts/<int:pk>/", workspace.part_page, name="part"),
    path("parts/<int:pk>/change/", parts.part_change, name="part-change"),
    path("parts/<int:pk>/remove/", parts.part_remove, name="part-remove"),
    path("assemblies/<int:pk>/joints/add/", joints.joint_add, name="joint-add"),
    path("joints/<int:pk>/", workspace.joint_page, name="joint"),
    path("joints/<int:pk>/change/", joints.joint_change, name="joint-change"),
    path("joints/<int:pk>/remove/", joints.joint_remove, name="joint-remove"),
    path("assemblies/<int:pk>/work/add/", extras.extra_add, name="extra-add"),
    path("assemblies/<int:pk>/work/usual/", extras.extras_usual, name="extras-usual"),
    path("work/<int:pk>/change/", extras.extra_change, name="extra-change"),
    path("work/<int:pk>/remove/", extras.extra_remove, name="extra-remove"),
    path("clients/", clients.client_list, name="clients"),
    path("clients/new/", clients.client_new, name="client-new"),
    path("clients/<int:pk>/", clients.client_page, name="client"),
    path("clients/<int:pk>/change/", clients.client_change, name="client-change"),
    path("joint-book/", joint_book.joint_book, name="joint-book"),
    path("joint-book/<slug:code>/", joint_book.joint_type_page, name="joint-type"),
    path("components/", components.components, name="components"),
]
