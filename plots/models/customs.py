"""What a society decided for its ground, beside the published rests."""

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q

from plots.rotation.rest_rules import LONGEST_REST_SEASONS
from society.models import Society


class GroundCustoms(models.Model):
    """A society's own rules that are not about one family. A society without a row has decided nothing."""

    society = models.OneToOneField(Society, on_delete=models.CASCADE, related_name="ground_customs")
    root_after_root_seasons = models.PositiveSmallIntegerField(
        default=0, validators=[MaxValueValidator(LONGEST_REST_SEASONS)], help_text="0: no such rule"
    )
    failed_counts = models.BooleanField(default=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        verbose_name_plural = "ground customs"

    def __str__(self) -> str:
        return f"ground customs of society {self.society_id}"


class SocietyRest(models.Model):
    """A society's own rest for one family, in full seasons between two crops."""

    society = models.ForeignKey(Society, on_delete=models.CASCADE, related_name="rests")
    family = models.CharField(max_length=40)
    minimum_seasons = models.PositiveSmallIntegerField(validators=[MaxValueValidator(LONGEST_REST_SEASONS)])
    recommended_seasons = models.PositiveSmallIntegerField(
        validators=[MaxValueValidator(LONGEST_REST_SEASONS)]
    )
    because = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["family"]
        constraints = [
            models.UniqueConstraint(fields=["society", "family"], name="one_rest_a_family_and_society"),
            models.CheckConstraint(
                condition=Q(recommended_seasons__gte=F("minimum_seasons")),
                name="recommended_rest_is_not_under_the_minimum",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.family} in society {self.society_id}"
