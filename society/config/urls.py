"""Every address of the house. Rooms are named as dotted strings only."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("admin/", admin.site.urls),
    path("", include("society.urls")),
    path("", include("schedules.urls")),
]
