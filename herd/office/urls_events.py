"""Addresses of the pages about events."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
