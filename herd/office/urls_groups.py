"""Addresses of the pages about groups."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
