"""What was, is and will be grown where. A plot's ground record is all sowings on all patches of all years."""

import uuid
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from plots.crops import crop as crop_of
from plots.models.ground import Bed, Plot, Site
from plots.models.outlined import Outlined
from society.models import Member


class Patch(Outlined):
    """The polygon of ground that a sowing occupies. History hangs here, not on a bed's number."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="patches")
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="patches")
    bed = models.ForeignKey(Bed, on_delete=models.SET_NULL, null=True, blank=True, related_name="patches")
    is_coarse = models.BooleanField(default=False, help_text="remembered roughly, not measured")

    class Meta:
        verbose_name_plural = "patches"
        indexes = [models.Index(fields=["site", "min_x", "max_x"], name="patch_box")]

    def __str__(self) -> str:
        return f"patch {self.pk} of plot {self.plot_id}"


class Sowing(models.Model):
    """One crop on one patch: planned, then sown, then lifted. Sets and tubers are sowings too."""

    class State(models.TextChoices):
        PLANNED = "planned", "planned"
        SOWN = "sown", "in the ground"
        LIFTED = "lifted", "lifted"
        CLEARED = "cleared", "cleared early"

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    patch = models.ForeignKey(Patch, on_delete=models.PROTECT, related_name="sowings")
    crop = models.CharField(max_length=40)
    variety = models.CharField(max_length=60, blank=True)
    season = models.IntegerField(help_text="year in which the growing year begins")
    last_season = models.IntegerField(help_text="last season it stood in; later than season if overwintered")
    state = models.CharField(max_length=10, choices=State.choices, default=State.PLANNED)
    sow_on = models.DateField(null=True, blank=True, help_text="empty: when the ground is fit")
    not_before = models.DateField(null=True, blank=True, help_text="when fit: no earlier than this day")
    sown_on = models.DateField(null=True, blank=True)
    ended_on = models.DateField(null=True, blank=True, help_text="lifted or cleared")
    cover = models.CharField(max_length=12, default="none")
    planned_by = models.ForeignKey(
        Member, on_delete=models.SET_NULL, null=True, blank=True, related_name="sowings_planned"
    )
    version = models.PositiveIntegerField(default=1)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["season", "pk"]
        indexes = [models.Index(fields=["season", "state"], name="sowing_season_state")]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_season__gte=models.F("season")), name="sowing_ends_in_or_after_its_season"
            ),
            models.CheckConstraint(
                condition=Q(ended_on__isnull=True)
                | Q(sown_on__isnull=True)
                | Q(ended_on__gte=models.F("sown_on")),
                name="sowing_ends_after_it_is_sown",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.crop} {self.season}"

    @property
    def crop_name(self) -> str:
        return crop_of(self.crop).name


class GroundVerdict(models.Model):
    """What the rotation checker says of a sowing, with its reason; an overruling is kept beside it."""

    sowing = models.OneToOneField(Sowing, on_delete=models.CASCADE, related_name="verdict")
    level = models.CharField(max_length=12)
    rule = models.CharField(max_length=60)
    values = models.JSONField(default=dict, encoder=DjangoJSONEncoder)
    source = models.TextField(blank=True)
    area_m2 = models.FloatField(default=0)
    share = models.FloatField(default=0)
    free_from_season = models.IntegerField(null=True, blank=True)
    also: list[dict[str, Any]] = models.JSONField(  # type: ignore[assignment]
        default=list,
        blank=True,
        encoder=DjangoJSONEncoder,
        help_text="level, rule, values and source of every other rule that has something against it",
    )
    judged_at = models.DateTimeField()
    overruled_by = models.ForeignKey(
        Member, on_delete=models.SET_NULL, null=True, blank=True, related_name="verdicts_overruled"
    )
    overruled_at = models.DateTimeField(null=True, blank=True)
    overruled_because = models.TextField(blank=True)
    # What the committee saw when it overruled. It allowed that, and nothing worse and no other ground.
    overruled_level = models.CharField(max_length=12, blank=True)
    overruled_family = models.CharField(max_length=40, blank=True)
    overruled_patch_then = models.BigIntegerField(
        null=True, blank=True, help_text="a plain number, which stays when the patch is moved and dropped"
    )
    overruling_lapsed = models.BooleanField(
        default=False, help_text="the ground is judged worse now than when it was overruled"
    )

    class Meta:
        indexes = [models.Index(fields=["level"], name="verdict_level")]

    def __str__(self) -> str:
        return f"{self.level} ({self.sowing_id})"

    @property
    def is_overruled(self) -> bool:
        """Whether an overruling stands; a lapsed one is kept and counts no more."""
        return self.overruled_at is not None and not self.overruling_lapsed
