"""Addresses of the people's room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
