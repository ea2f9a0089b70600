"""Pests and diseases of the soil, where they were seen. A sighting lengthens the rest of that ground."""

from django.db import models
from django.db.models import Q

from plots.models.ground import Bed, Plot, Site
from plots.models.outlined import Outlined
from society.models import Member


class HowSure(models.TextChoices):
    """How sure they say they are who saw it; it decides nothing, and helps the committee to look."""

    CERTAIN = "certain", "certain"
    THINK = "think", "think so"
    GUESS = "guess", "only a guess"


class Sighting(Outlined):
    """A problem seen on a piece of ground; sure once the committee confirmed it, kept when withdrawn."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="sightings")
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="sightings")
    bed = models.ForeignKey(Bed, on_delete=models.SET_NULL, null=True, blank=True, related_name="sightings")
    problem = models.CharField(max_length=40, help_text="a key of the table of problems")
    seen_on = models.DateField()
    season = models.IntegerField(help_text="the site's season of the day on which it was seen")
    how_sure = models.CharField(max_length=8, choices=HowSure.choices, default=HowSure.THINK)
    is_sure = models.BooleanField(default=False)
    confirmed_by = models.ForeignKey(
        Member, on_delete=models.SET_NULL, null=True, blank=True, related_name="sightings_confirmed"
    )
    confirmed_at = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=400, blank=True)
    tell_neighbours = models.BooleanField(default=False)
    member = models.ForeignKey(
        Member, on_delete=models.SET_NULL, null=True, blank=True, related_name="sightings"
    )
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_because = models.CharField(max_length=400, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-seen_on", "-pk"]
        indexes = [models.Index(fields=["site", "problem"], name="sighting_site_problem")]
        constraints = [
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True) | ~Q(withdrawn_because=""),
                name="sighting_is_withdrawn_for_a_reason",
            )
        ]

    def __str__(self) -> str:
        return f"{self.problem} of {self.seen_on}"

    @property
    def key(self) -> str:
        """Its name among the uses of the ground."""
        return f"sighting-{self.pk}"
