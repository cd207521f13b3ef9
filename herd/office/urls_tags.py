"""Addresses of the pages about tags."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
