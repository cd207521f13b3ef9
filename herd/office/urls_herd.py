"""Addresses of the pages about herd."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
