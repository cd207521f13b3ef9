"""Addresses of the processing-day pages; the office's own addresses include them under days/."""

from django.urls import path

from herd.office.views import day_columns, day_end, day_files, day_new, day_report, days, review

urlpatterns = [
    path("", days.day_list, name="days"),
    path("new/", day_new.new_day, name="day-new"),
    path("<uuid:day_id>/", days.day_page, name="day"),
    path("<uuid:day_id>/progress/", days.progress, name="day-progress"),
    path("<uuid:day_id>/change/", day_new.change, name="day-change"),
    path("<uuid:day_id>/report/", day_report.report, name="day-report"),
    path("<uuid:day_id>/apply/", day_end.apply, name="day-apply"),
    path("<uuid:day_id>/undo/", day_end.undo, name="day-undo"),
    path("<uuid:day_id>/again/", day_end.again, name="day-again"),
    path("<uuid:day_id>/files/", day_files.add, name="day-files-add"),
    path("<uuid:day_id>/files/<uuid:file_id>/", day_files.rows, name="file-rows"),
    path("<uuid:day_id>/files/<uuid:file_id>/columns/", day_columns.columns, name="file-columns"),
    path("<uuid:day_id>/files/<uuid:file_id>/as-it-came/", day_files.download, name="file-download"),
    path("<uuid:day_id>/files/<uuid:file_id>/remove/", day_files.remove, name="file-remove"),
    path("<uuid:day_id>/review/", review.review, name="review"),
    path("<uuid:day_id>/review/rule/", review.rule_one, name="review-rule"),
    path("<uuid:day_id>/review/take-back/", review.take_back_last, name="review-take-back"),
]
