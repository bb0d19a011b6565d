"""Addresses of the movement library."""

from __future__ import annotations

from django.urls import path

from haleward.web.library import views, views_print

urlpatterns = [
    path("library/", views.library, name="library"),
    path("library/station-cards.pdf", views_print.station_cards, name="library_station_cards"),
    path("library/movements/<slug:movement_id>/", views.movement, name="library_movement"),
    path("library/movements/<slug:movement_id>/frames/", views.frames, name="library_frames"),
    path(
        "library/movements/<slug:movement_id>/station-card.pdf", views_print.station_card, name="library_station_card"
    ),
    path("library/movements/<slug:movement_id>/home-sheet.pdf", views_print.home_sheet, name="library_home_sheet"),
    path(
        "library/pictures/<slug:made>/<slug:movement_id>/<slug:posture>/<slug:kit>/<slug:look>/",
        views.picture,
        name="library_picture",
    ),
]
