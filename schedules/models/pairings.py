"""A browser that asks to become a screen, from its first question until it has its token."""

from datetime import datetime

from django.db import models
from django.db.models import Q

from schedules.models.notices import Screen


class ScreenPairing(models.Model):
    """One question of one browser. The code is for people's eyes and opens nothing by itself.

    The token goes only to whoever holds the browser's secret, of which the hash is kept. A pairing
    without that hash is agreed to beforehand and waits for its browser; only the demo makes one.
    """

    code = models.CharField(max_length=8, unique=True)
    secret_hash = models.CharField(max_length=64, unique=True, null=True, blank=True)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField(null=True, blank=True)
    screen = models.ForeignKey(
        Screen, on_delete=models.CASCADE, null=True, blank=True, related_name="pairings"
    )
    fetched_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(fetched_at__isnull=True) | Q(screen__isnull=False, secret_hash__isnull=False),
                name="only_an_agreed_pairing_is_fetched",
            )
        ]

    def __str__(self) -> str:
        return f"pairing {self.pk}"

    def is_over(self, now: datetime) -> bool:
        return self.expires_at is not None and now >= self.expires_at
