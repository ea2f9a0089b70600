"""Rows that lie on the ground: an outline in the site's frame, with its box and area as columns."""

from typing import Any

from django.db import models

from plots.outlines import Corners, polygon, validate_outline


class Outlined(models.Model):
    """A piece of ground of a site. What hangs on it stays, whatever becomes of beds and plots."""

    outline: Corners = models.JSONField(validators=[validate_outline])  # type: ignore[assignment]
    # The bounding box and area are the outline's own, kept as columns so that the database can search them.
    min_x = models.FloatField(editable=False)
    min_y = models.FloatField(editable=False)
    max_x = models.FloatField(editable=False)
    max_y = models.FloatField(editable=False)
    area_m2 = models.FloatField(editable=False)

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.measure()
        super().save(*args, **kwargs)

    def measure(self) -> None:
        """Take the bounding box and the area from the outline."""
        shape = polygon(self.outline)
        self.min_x, self.min_y, self.max_x, self.max_y = shape.bounds
        self.area_m2 = shape.area
