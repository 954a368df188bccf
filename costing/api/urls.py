"""The programmers' addresses of costing."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
