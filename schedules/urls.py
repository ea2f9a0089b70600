"""Addresses of the room of time: weeks, letters, the screen."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
