"""Addresses of the values that reports reckon with."""

from django.urls import URLPattern, path

from herd.office.views import policy

urlpatterns: list[URLPattern] = [
    path("set-up/values/", policy.values, name="policy"),
    path("set-up/values/one/", policy.value, name="policy-value"),
    path("set-up/values/<uuid:row_id>/taken-back/", policy.take_back, name="policy-back"),
]
