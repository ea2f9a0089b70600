"""Addresses of the people's room."""

from django.urls import URLPattern, path

from society import views

urlpatterns: list[URLPattern] = [
    path("log-in/", views.LogIn.as_view(), name="log-in"),
    path("log-out/", views.LogOut.as_view(), name="log-out"),
    path("healthz", views.healthz, name="healthz"),
]
