"""Addresses of the pages about tags."""

from django.urls import URLPattern, path

from herd.office.views import doubtful, stock, stock_changes, taglog, tags, turned_up

urlpatterns: list[URLPattern] = [
    path("tags/", tags.overview, name="tags"),
    path("tags/log/", taglog.log, name="tag-log"),
    path("tags/doubtful/", doubtful.doubtful, name="tags-doubtful"),
    path("tags/turned-up/", turned_up.look_up, name="tag-turned-up"),
    path("tags/turned-up/<uuid:wearing_id>/<uuid:animal_id>/", turned_up.settle, name="tag-settle"),
    path("tags/boxes/", stock.boxes, name="tag-boxes"),
    path("tags/boxes/new/", stock_changes.receive, name="tag-box-new"),
    path("tags/boxes/<uuid:box_id>/", stock.box, name="tag-box"),
    path("tags/boxes/<uuid:box_id>/missing/", stock_changes.missing, name="tag-box-missing"),
    path("tags/boxes/<uuid:box_id>/found/", stock_changes.found, name="tag-box-found"),
    path("tags/boxes/<uuid:box_id>/correct/", stock_changes.correct, name="tag-box-correct"),
    path("tags/boxes/<uuid:box_id>/out/", stock_changes.take_out, name="tag-box-out"),
]
