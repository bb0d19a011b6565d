"""Addresses of the studio: a person's sessions to look at, to listen to and to make films of."""

from __future__ import annotations

from django.urls import path

from haleward.web.studio import views, views_film, views_person, views_voice

PART = "people/<uuid:person_id>/studio/<slug:part_key>/"

urlpatterns = [
    path("studio/", views.people, name="studio_people"),
    path("people/<uuid:person_id>/studio/", views.first_part, name="studio_first"),
    path(PART, views.studio, name="studio"),
    path(f"{PART}options/", views.options, name="studio_options"),
    path(f"{PART}voice/<int:index>.wav", views.voice, name="studio_voice"),
    path(f"{PART}session.html", views.offline_page, name="studio_page"),
    path(f"{PART}film/", views_film.ask, name="film_ask"),
    path("voices/", views_voice.voice_list, name="voices"),
    path("voices/add/", views_voice.add, name="voice_add"),
    path("voices/<int:voice_id>/use/", views_voice.use, name="voice_use"),
    path("voices/<int:voice_id>/delete/", views_voice.delete, name="voice_delete"),
    path("voices/<int:voice_id>/hear/<int:place>.wav", views_voice.hear, name="voice_hear"),
    path("films/<uuid:job_id>/", views_film.status, name="film_status"),
    path("films/<uuid:job_id>/stop/", views_film.stop, name="film_stop"),
    path("films/<uuid:job_id>/<str:piece>", views_film.piece, name="film_piece"),
    path("me/<str:token>/film/<slug:part_key>/", views_person.film, name="me_film"),
    path("me/<str:token>/film/<slug:part_key>/<slug:size>/<str:piece>", views_person.piece, name="me_film_piece"),
]
