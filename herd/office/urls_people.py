"""Addresses of the pages about people."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
