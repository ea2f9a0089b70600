"""What a forecast service said of a site's coming hours, and how asking it went."""

from django.db import models
from django.db.models import Q

from plots.models import Site


class ForecastHour(models.Model):
    """One hour at a site as it was last foreseen; an answer replaces all that is to come. Empty is a gap."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="forecast_hours")
    at = models.DateTimeField(help_text="when the hour begins")
    air_c = models.FloatField(help_text="two metres above the ground, at that instant")
    wind_ms = models.FloatField(
        null=True, blank=True, help_text="ten metres above the ground, ten minutes' mean"
    )
    rain_mm = models.FloatField(null=True, blank=True, help_text="in the hour that begins then")
    humidity_pct = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["site", "at"]
        constraints = [
            models.UniqueConstraint(fields=["site", "at"], name="one_forecast_an_hour"),
            models.CheckConstraint(
                condition=Q(rain_mm__isnull=True) | Q(rain_mm__gte=0), name="forecast_rain_is_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} at site {self.site_id}"


class ForecastState(models.Model):
    """How asking for one site went. Its row is also the claim: whoever moves `next_try_at` on may ask."""

    class State(models.TextChoices):
        NEVER = "never", "not asked yet"
        GOOD = "good", "answered"
        FAILING = "failing", "no good answer"
        SLOWED = "slowed", "asked to wait"
        NOT_COVERED = "not_covered", "no forecast for this place"
        STOPPED = "stopped", "refused"

    site = models.OneToOneField(Site, on_delete=models.CASCADE, related_name="forecast_state")
    state = models.CharField(max_length=12, choices=State.choices, default=State.NEVER)
    fetched_at = models.DateTimeField(null=True, blank=True, help_text="the last good answer, 304 included")
    expires_at = models.DateTimeField(null=True, blank=True, help_text="until when that answer is the newest")
    last_modified = models.CharField(
        max_length=64, blank=True, help_text="the service's own words, to be sent back as they are"
    )
    problem = models.CharField(max_length=200, blank=True, help_text="what went wrong, or what to know")
    tries = models.PositiveIntegerField(default=0, help_text="failures since the last good answer")
    next_try_at = models.DateTimeField(null=True, blank=True, help_text="empty: not asked again by itself")
    asked_as = models.CharField(
        max_length=300, blank=True, help_text="the service and the contact at the last try"
    )

    def __str__(self) -> str:
        return f"forecast of site {self.site_id}: {self.state}"
