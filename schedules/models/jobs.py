"""Jobs as they were last worked out. A job keeps its key when its dates move."""

from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import F, Q

from plots.models import Site, Sowing


class Explanation(models.Model):
    """Why something is when it is, and what goes with it: one row for all jobs of a site that say the same.

    A row never changes. A job whose reason is another tonight points to another row; a finished one goes on
    pointing to the reason it had.
    """

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="explanations")
    content = models.CharField(max_length=32, help_text="digest of everything it says")
    rule = models.CharField(max_length=60)
    values = models.JSONField(default=dict, encoder=DjangoJSONEncoder)
    source = models.TextField(blank=True)
    cautions = models.JSONField(default=list)
    notes = models.JSONField(
        default=list, encoder=DjangoJSONEncoder, help_text="good to know, each a rule + values + source"
    )
    warnings = models.JSONField(default=list, encoder=DjangoJSONEncoder)
    worked_out_at = models.DateTimeField(help_text="when it was first said")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["site", "content"], name="one_explanation_a_site_and_content")
        ]

    def __str__(self) -> str:
        return f"{self.rule or 'overview'} ({self.content[:8]})"


class Outlook(models.Model):
    """What the planner says of a sowing as a whole: its season, when it should show, what to beware of."""

    sowing = models.OneToOneField(Sowing, on_delete=models.CASCADE, related_name="outlook")
    sow_from = models.DateField(null=True, blank=True)
    sow_best = models.DateField(null=True, blank=True)
    sow_by = models.DateField(null=True, blank=True)
    shows_from = models.DateField(null=True, blank=True)
    shows_best = models.DateField(null=True, blank=True)
    shows_by = models.DateField(null=True, blank=True)
    explanation = models.ForeignKey(
        Explanation, on_delete=models.PROTECT, null=True, blank=True, related_name="outlooks"
    )
    worked_out_at = models.DateTimeField(help_text="when what stands here last changed")

    def __str__(self) -> str:
        return f"outlook of sowing {self.sowing_id}"

    @property
    def warnings(self) -> list[dict[str, Any]]:
        """What to beware of, each a rule + values + source."""
        return self.explanation.warnings if self.explanation else []

    @property
    def notes(self) -> list[dict[str, Any]]:
        """What is good to know and asks for nothing."""
        return self.explanation.notes if self.explanation else []


class Job(models.Model):
    """One dated piece of work that a sowing asks for; its reason stands in its explanation."""

    class State(models.TextChoices):
        OPEN = "open", "open"
        DONE = "done", "done"
        NOT_NEEDED = "not_needed", "not needed"

    sowing = models.ForeignKey(Sowing, on_delete=models.CASCADE, related_name="jobs")
    key = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=12)
    stage = models.PositiveSmallIntegerField(default=0)
    start_on = models.DateField(help_text="from")
    best_on = models.DateField()
    by_on = models.DateField()
    explanation = models.ForeignKey(Explanation, on_delete=models.PROTECT, related_name="jobs")
    state = models.CharField(max_length=12, choices=State.choices, default=State.OPEN)
    done_on = models.DateField(null=True, blank=True)
    put_off_until = models.DateField(null=True, blank=True)
    is_asked = models.BooleanField(default=True, help_text="false: the present plan no longer asks for it")
    moves = models.PositiveIntegerField(
        default=0, help_text="how often its dates moved; a calendar's SEQUENCE"
    )
    worked_out_at = models.DateTimeField(help_text="when anything of it last changed")

    class Meta:
        ordering = ["by_on", "best_on", "key"]
        indexes = [
            models.Index(
                fields=["start_on"], condition=Q(state="open", is_asked=True), name="open_jobs_by_start"
            )
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(start_on__lte=F("best_on")) & Q(best_on__lte=F("by_on")),
                name="job_window_in_order",
            ),
            models.CheckConstraint(
                condition=~Q(state="done") | Q(done_on__isnull=False), name="a_done_job_has_its_day"
            ),
        ]

    def __str__(self) -> str:
        return self.key

    @property
    def rule(self) -> str:
        return self.explanation.rule

    @property
    def values(self) -> dict[str, Any]:
        return self.explanation.values

    @property
    def source(self) -> str:
        return self.explanation.source

    @property
    def cautions(self) -> list[str]:
        return self.explanation.cautions

    @property
    def notes(self) -> list[dict[str, Any]]:
        """Trade advice, each a rule + values + source."""
        return self.explanation.notes
