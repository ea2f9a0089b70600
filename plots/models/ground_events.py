"""What was done to a piece of ground, or stands over it, beside what was grown: dated, and never deleted."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from plots.models.ground import Bed, Plot, Site
from plots.models.outlined import Outlined
from society.models import Member


class GroundEventKind(models.TextChoices):
    MANURE_FRESH = "manure_fresh", "fresh manure"
    MANURE_ROTTED = "manure_rotted", "rotted manure or compost"
    LIME = "lime", "lime"
    PH = "ph", "pH reading"
    SHADE = "shade", "shade"
    MIX_FRESH = "mix_fresh", "fresh potting mix"


class GroundEvent(Outlined):
    """One dressing, reading or shading of a piece of ground, withdrawn when it turns out to be wrong."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="ground_events")
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="ground_events")
    bed = models.ForeignKey(
        Bed, on_delete=models.SET_NULL, null=True, blank=True, related_name="ground_events"
    )
    kind = models.CharField(max_length=16, choices=GroundEventKind.choices)
    on = models.DateField(help_text="the day, or the first day of shade")
    until = models.DateField(null=True, blank=True, help_text="last day of shade; empty while it lasts")
    value = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(3), MaxValueValidator(10)],
        help_text="the pH that was read",
    )
    note = models.CharField(max_length=400, blank=True)
    member = models.ForeignKey(
        Member, on_delete=models.SET_NULL, null=True, blank=True, related_name="ground_events"
    )
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        indexes = [models.Index(fields=["site", "min_x", "max_x"], name="ground_event_box")]
        constraints = [
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("on")),
                name="ground_event_ends_after_it_begins",
            ),
            models.CheckConstraint(
                condition=Q(kind="ph", value__isnull=False) | (~Q(kind="ph") & Q(value__isnull=True)),
                name="ground_event_has_a_value_where_it_was_read",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.on}"
