"""Every model of the house, shown by the read-only site. Found by Django when all rooms are loaded."""

from django.contrib import admin

from society.admin_site import ReadOnlySite

if isinstance(admin.site, ReadOnlySite):
    admin.site.register_all()
