"""What a plot's growers want of the coming seasons, and the layouts that were proposed for it."""

from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from plots.models.ground import Bed, Plot
from society.models import Member

MOST_SEASONS = 6
MOST_STRIPS = 12


class LayoutAsk(models.Model):
    """The frame of a plot's wishes: from which season on, how many, and which beds are divided."""

    plot = models.OneToOneField(Plot, on_delete=models.CASCADE, related_name="layout_ask")
    first_season = models.IntegerField()
    seasons = models.PositiveSmallIntegerField(
        default=4, validators=[MinValueValidator(1), MaxValueValidator(MOST_SEASONS)]
    )
    divisions: dict[str, int] = models.JSONField(  # type: ignore[assignment]
        default=dict, blank=True, help_text="strips across a bed, by the bed's key; a bed left out is whole"
    )
    changed_at = models.DateTimeField()
    looked_at = models.DateTimeField(
        null=True, blank=True, help_text="when the work by night last came to this plot"
    )
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return f"wishes for plot {self.plot_id} from {self.first_season}"

    @property
    def last_season(self) -> int:
        return self.first_season + self.seasons - 1


class LayoutWish(models.Model):
    """So much of one crop in one season. ``in_rows`` says that it was given, and is shown, in rows."""

    plot = models.ForeignKey(Plot, on_delete=models.CASCADE, related_name="layout_wishes")
    season = models.IntegerField()
    crop = models.CharField(max_length=40)
    area_m2 = models.FloatField(help_text="square metres")
    in_rows = models.BooleanField(default=False)
    weight = models.FloatField(default=1.0, help_text="how much it matters beside the others")

    class Meta:
        verbose_name_plural = "layout wishes"
        ordering = ["season", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["plot", "season", "crop"], name="a_crop_is_wished_once_a_season"),
            models.CheckConstraint(condition=Q(area_m2__gt=0), name="wish_has_an_area"),
            models.CheckConstraint(condition=Q(weight__gt=0), name="wish_has_a_weight"),
        ]

    def __str__(self) -> str:
        return f"{self.crop} {self.season}"


class LayoutPlace(models.Model):
    """Where a crop would rather stand, or not, or must; in every season that is asked for, or in one."""

    class Kind(models.TextChoices):
        LIKES = "likes", "likes it there"
        DISLIKES = "dislikes", "rather not there"
        SETTLED = "settled", "settled: it stands there"

    plot = models.ForeignKey(Plot, on_delete=models.CASCADE, related_name="layout_places")
    crop = models.CharField(max_length=40)
    bed = models.ForeignKey(Bed, on_delete=models.CASCADE, related_name="layout_places")
    strip = models.PositiveSmallIntegerField(default=0, help_text="0: the bed, or each of its strips")
    season = models.IntegerField(null=True, blank=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.crop} {self.kind} bed {self.bed_id}"


class LayoutProposal(models.Model):
    """One layout with the question that it answers, so that it can be read as it was made."""

    class Origin(models.TextChoices):
        FIRST = "first", "worked out"
        SECOND = "second", "worked out to differ"
        CHANGED = "changed", "changed by hand"

    plot = models.ForeignKey(Plot, on_delete=models.CASCADE, related_name="layout_proposals")
    origin = models.CharField(max_length=8, choices=Origin.choices, default=Origin.FIRST)
    beside = models.ForeignKey(
        "self", on_delete=models.CASCADE, null=True, blank=True, related_name="others",
        help_text="the proposal that this one differs from, or was changed from",
    )  # fmt: skip
    asked_mark = models.CharField(max_length=64, help_text="digest of wishes, beds and likes")
    ground_mark = models.CharField(max_length=64, help_text="digest of what was on record of the ground")
    problem: dict[str, Any] = models.JSONField(encoder=DjangoJSONEncoder)  # type: ignore[assignment]
    answer: dict[str, Any] = models.JSONField(encoder=DjangoJSONEncoder)  # type: ignore[assignment]
    cost = models.FloatField()
    gap = models.FloatField(null=True, blank=True, help_text="share of the cost; empty where not known")
    is_proven = models.BooleanField(default=False)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        Member, on_delete=models.SET_NULL, null=True, blank=True, related_name="layouts_made"
    )
    adopted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["plot", "asked_mark", "ground_mark"],
                condition=Q(origin="first"),
                name="a_question_has_one_first_proposal",
            ),
            models.UniqueConstraint(
                fields=["beside"], condition=Q(origin="second"), name="a_proposal_has_one_second"
            ),
        ]

    def __str__(self) -> str:
        return f"layout {self.pk} of plot {self.plot_id}"
