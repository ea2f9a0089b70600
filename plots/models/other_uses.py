"""What grew on the ground and is no crop of the list: green manures, flowers, whatever has a family."""

from django.db import models
from django.db.models import F, Q

from plots.models.ground import Bed, Plot, Site
from plots.models.outlined import Outlined
from society.models import Member


class OtherUse(Outlined):
    """One such growth by its botanical family, from its first season to the last that it stood in."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="other_uses")
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="other_uses")
    bed = models.ForeignKey(Bed, on_delete=models.SET_NULL, null=True, blank=True, related_name="other_uses")
    is_coarse = models.BooleanField(default=False, help_text="somewhere on the outline, not all over it")
    name = models.CharField(max_length=60)
    family = models.CharField(max_length=40)
    is_root = models.BooleanField(default=False)
    first_season = models.IntegerField()
    last_season = models.IntegerField()
    note = models.CharField(max_length=400, blank=True)
    member = models.ForeignKey(
        Member, on_delete=models.SET_NULL, null=True, blank=True, related_name="other_uses"
    )
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-last_season", "-pk"]
        indexes = [models.Index(fields=["site", "min_x", "max_x"], name="other_use_box")]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_season__gte=F("first_season")), name="other_use_ends_in_or_after_its_season"
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.first_season}"

    @property
    def key(self) -> str:
        """Its name among the uses of the ground."""
        return f"other-use-{self.pk}"
