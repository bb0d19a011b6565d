"""Addresses of the languages."""

from django.urls import path

from haleward.web.languages import views

urlpatterns = [
    path("languages/", views.languages, name="languages"),
    path("languages/import/", views.import_catalogue, name="languages_import"),
    path("languages/<str:tag>/", views.language, name="language"),
    path("languages/<str:tag>/mark/", views.mark, name="language_mark"),
    path("languages/<str:tag>/take-back/", views.take_back, name="language_take_back"),
    path("languages/<str:tag>/export/", views.export, name="language_export"),
]
