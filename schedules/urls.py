"""Addresses of the room of time: the week, plots, letters, the screen's API."""

from django.urls import URLPattern, URLResolver, include, path, re_path

from schedules import api, health
from schedules.views import (
    away,
    ground,
    layouts,
    letters,
    plot,
    readings,
    screen,
    screens,
    sow,
    sowing,
    weather,
    week,
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("", week.this_week, name="this-week"),
    path("jobs/<int:pk>/record/", week.job_page, name="job-record"),
    path("ground/", ground.my_ground, name="my-ground"),
    path("plots/<int:pk>/", plot.plot, name="plot"),
    path("plots/<int:plot>/patches/<int:pk>/", ground.patch, name="patch"),
    path("plots/<int:pk>/sow/", sow.sow, name="sow"),
    path("plots/<int:pk>/seasons/", layouts.layouts, name="layouts"),
    path("plots/<int:plot>/seasons/<int:pk>/", layouts.layout, name="layout"),
    path("sowings/<int:pk>/", sowing.sowing, name="sowing"),
    path("sowings/<int:pk>/end/", sowing.end, name="sowing-end"),
    path("away/", away.away, name="away"),
    path("away/<int:pk>/accept/", away.accept, name="away-accept"),
    path("away/<int:pk>/decline/", away.decline, name="away-decline"),
    path("away/<int:pk>/end/", away.end, name="away-end"),
    path("weather/", weather.weather, name="weather"),
    path("weather/readings/<int:pk>/withdraw/", readings.withdraw, name="reading-withdraw"),
    path("committee/", include("schedules.committee_urls")),
    path("letters/", letters.letters, name="letters"),
    path("letters/print/<int:pk>/", letters.letter_print, name="letter-print"),
    path("letters/<uuid:key>/", letters.letter, name="letter"),
    path("letters/<uuid:key>/again/", letters.letter_again, name="letter-again"),
    path("api/v1/noticeboard/", api.Noticeboard.as_view(), name="noticeboard"),
    path("api/v1/screen/pairings/", api.Pairings.as_view(), name="screen-pairings"),
    path("api/v1/screen/pairings/token/", api.PairingToken.as_view(), name="screen-pairing-token"),
    path("api/schema/", api.SchemaFile.as_view(), name="api-schema"),
    re_path(r"^api/(?P<rest>.*)$", api.NothingHere.as_view(), name="api-nothing"),
    path("screen/", screen.screen, name="screen"),
    path("screen/service-worker.js", screen.service_worker, name="screen-service-worker"),
    path("screens/", screens.screens, name="screens"),
    path("screens/<int:pk>/revoke/", screens.revoke, name="screen-revoke"),
    path("readyz", health.readyz, name="readyz"),
]
