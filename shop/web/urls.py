"""The pages of the workshop."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
