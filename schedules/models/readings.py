"""What members read off their own instruments, one row a reading. Metric inside."""

from django.db import models
from django.db.models import Q

from plots.models import Site
from society.models import Member


class Reading(models.Model):
    """One value that a member read: °C or mm. A withdrawn one stays and counts no more.

    The station's own record, ``WeatherDay``, is never written over: what a day counts is put together when
    it is read (``reading_selectors``), so that a file that comes later needs no clearing up.
    """

    class Quantity(models.TextChoices):
        TMIN = "tmin_c", "lowest of the day"
        TMAX = "tmax_c", "highest of the day"
        RAIN = "rain_mm", "rain of the day"
        SOIL = "soil_c", "soil"

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="readings")
    day = models.DateField()
    quantity = models.CharField(max_length=10, choices=Quantity.choices)
    value = models.FloatField(help_text="°C, or mm of rain")
    depth_mm = models.PositiveSmallIntegerField(null=True, blank=True, help_text="of a soil thermometer")
    hour = models.PositiveSmallIntegerField(null=True, blank=True, help_text="of the site's clock, 0 to 23")
    member = models.ForeignKey(
        Member, on_delete=models.SET_NULL, null=True, blank=True, related_name="readings"
    )
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["site", "day", "pk"]
        indexes = [models.Index(fields=["site", "quantity", "day"], name="reading_quantity_day")]
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity="soil_c", depth_mm__isnull=False)
                | (~Q(quantity="soil_c") & Q(depth_mm__isnull=True)),
                name="only_soil_is_read_at_a_depth",
            ),
            models.CheckConstraint(
                condition=~Q(quantity="rain_mm") | Q(value__gte=0), name="rain_read_is_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(hour__isnull=True) | Q(hour__lte=23), name="reading_hour_exists"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.day} at site {self.site_id}"
