"""Every address of the house. Rooms are named as dotted strings only."""

from django.urls import include, path

urlpatterns = [
    path("", include("society.urls")),
    path("", include("schedules.urls")),
]
