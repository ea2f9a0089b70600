"""What was known of a site on a day, worked out once for all letters of that day."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models

from plots.models import Site


class SiteDay(models.Model):
    """A site's soil, rain and frost as the house knew them on a local day, in metric units."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="days_told")
    day = models.DateField()
    values = models.JSONField(encoder=DjangoJSONEncoder)
    worked_out_at = models.DateTimeField()

    class Meta:
        ordering = ["site", "day"]
        constraints = [models.UniqueConstraint(fields=["site", "day"], name="one_account_a_site_and_day")]

    def __str__(self) -> str:
        return f"site {self.site_id} on {self.day}"
