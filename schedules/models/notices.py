"""What the committee tells everybody, and the screens that show it."""

from datetime import datetime

from django.db import models

from plots.models import Site


class Notice(models.Model):
    """A few plain words from the committee; only public ones reach a screen."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="notices")
    text = models.CharField(max_length=400)
    since = models.DateField()
    until = models.DateField()
    is_public = models.BooleanField(default=False)
    is_urgent = models.BooleanField(default=False)
    letters_at = models.DateTimeField(
        null=True, blank=True, help_text="when the letters of an urgent notice fall due, as it reads now"
    )
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["until", "pk"]

    def __str__(self) -> str:
        return self.text[:40]


class Event(models.Model):
    """A work party, a meeting, a delivery of manure."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="events")
    title = models.CharField(max_length=120)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField(null=True, blank=True)
    is_public = models.BooleanField(default=False)

    class Meta:
        ordering = ["starts_at"]

    def __str__(self) -> str:
        return self.title


class Screen(models.Model):
    """A noticeboard display. Its token is shown once; only the hash is kept."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="screens")
    name = models.CharField(max_length=60)
    token_hash = models.CharField(max_length=64, unique=True)
    token_prefix = models.CharField(max_length=12)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_seen_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name

    def opens(self, now: datetime) -> bool:
        return self.revoked_at is None and (self.expires_at is None or now < self.expires_at)
