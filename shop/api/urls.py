"""The programmers' addresses of shop."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
