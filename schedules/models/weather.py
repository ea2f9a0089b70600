"""A site's weather: long-term monthly means and single days. Metric inside; an empty field is a gap."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from plots.models import Site
from schedules.weather_csv.arrays import QUANTITIES


class NormalMonth(models.Model):
    """Long-term means of one month: °C, mm in the month, m/s."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="normals")
    month = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(12)])
    tmin_c = models.FloatField()
    tmax_c = models.FloatField()
    rain_mm = models.FloatField(null=True, blank=True)
    wind_ms = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["site", "month"]
        constraints = [
            models.UniqueConstraint(fields=["site", "month"], name="one_normal_a_month"),
            models.CheckConstraint(condition=Q(month__range=(1, 12)), name="normal_month_exists"),
            models.CheckConstraint(condition=Q(tmin_c__lte=F("tmax_c")), name="normal_min_is_not_above_max"),
        ]

    def __str__(self) -> str:
        return f"month {self.month} of site {self.site_id}"


class SetAside(models.Model):
    """A reading that came in and was not believed: what it was and the rule it broke. The day has a gap."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="readings_set_aside")
    day = models.DateField()
    quantity = models.CharField(max_length=8, choices=[(each, each) for each in QUANTITIES])
    value = models.FloatField(help_text="°C, mm or m/s")
    rule = models.CharField(max_length=40)
    values = models.JSONField(default=dict, help_text="the figures of the rule")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["site", "day", "quantity"]
        constraints = [
            models.UniqueConstraint(fields=["site", "day", "quantity"], name="one_set_aside_a_reading")
        ]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.day} at site {self.site_id}"


class WeatherDay(models.Model):
    """One day at a site: °C, mm, m/s; a soil thermometer reading may hang on it."""

    class Kind(models.TextChoices):
        OBSERVED = "observed", "observed"
        FORECAST = "forecast", "forecast"

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="weather_days")
    day = models.DateField()
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.OBSERVED)
    tmin_c = models.FloatField(null=True, blank=True)
    tmax_c = models.FloatField(null=True, blank=True)
    rain_mm = models.FloatField(null=True, blank=True)
    wind_ms = models.FloatField(null=True, blank=True)
    soil_c = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["site", "day"]
        constraints = [
            models.UniqueConstraint(fields=["site", "day", "kind"], name="one_reading_a_day_and_kind"),
            models.CheckConstraint(
                condition=Q(tmin_c__isnull=True) | Q(tmax_c__isnull=True) | Q(tmin_c__lte=F("tmax_c")),
                name="day_min_is_not_above_max",
            ),
            models.CheckConstraint(
                condition=Q(rain_mm__isnull=True) | Q(rain_mm__gte=0), name="rain_is_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.day} at site {self.site_id}"
