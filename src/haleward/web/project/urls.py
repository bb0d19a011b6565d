"""All addresses. URLs name things, not actions."""

from __future__ import annotations

from django.urls import include, path

urlpatterns = [
    path("", include("haleward.web.people.urls")),
    path("", include("haleward.web.accounts.urls")),
    path("", include("haleward.web.team.urls")),
    path("", include("haleward.web.languages.urls")),
    path("protocol/", include("haleward.web.protocol.urls")),
    path("", include("haleward.web.assessment.urls")),
    path("", include("haleward.web.prescription.urls")),
    path("", include("haleward.web.delivery.urls")),
    path("", include("haleward.web.concerns.urls")),
    path("", include("haleward.web.reckoner.urls")),
    path("", include("haleward.web.library.urls")),
    path("", include("haleward.web.studio.urls")),
]
handler403 = "haleward.web.accounts.views.refused"
handler404 = "haleward.web.accounts.views.not_found"
handler500 = "haleward.web.accounts.views.broken"
