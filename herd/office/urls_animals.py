"""Addresses of the pages about animals."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
