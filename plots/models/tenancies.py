"""Who holds a plot, who else works it, and who waits for one."""

from django.db import models
from django.db.models import F, Q

from plots.models.ground import Plot, Site
from society.models import Member


class Tenancy(models.Model):
    """One plot held from one day to another, by one or several tenants together."""

    class Ended(models.TextChoices):
        LEFT = "left", "gave the plot up"
        DEATH = "death", "died"
        NOTICE = "notice", "notice given"
        MOVED = "moved", "moved to another plot"

    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="tenancies")
    holders = models.ManyToManyField(Member, through="TenancyHolder", related_name="tenancies")
    since = models.DateField()
    until = models.DateField(null=True, blank=True)
    ended_because = models.CharField(max_length=10, choices=Ended.choices, blank=True)
    rent_due = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    rent_paid_on = models.DateField(null=True, blank=True)
    deposit = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    key_note = models.CharField(max_length=80, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        verbose_name_plural = "tenancies"
        ordering = ["plot", "since"]
        constraints = [
            models.UniqueConstraint(
                fields=["plot"], condition=Q(until__isnull=True), name="one_open_tenancy_a_plot"
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")),
                name="tenancy_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"plot {self.plot_id} since {self.since}"


class TenancyHolder(models.Model):
    tenancy = models.ForeignKey(Tenancy, on_delete=models.CASCADE, related_name="held_by")
    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="holdings")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["tenancy", "member"], name="a_tenant_once_a_tenancy")]

    def __str__(self) -> str:
        return f"member {self.member_id} on tenancy {self.tenancy_id}"


class CoWorker(models.Model):
    """Someone who works a plot without holding it."""

    plot = models.ForeignKey(Plot, on_delete=models.CASCADE, related_name="co_workers")
    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="co_worked")
    since = models.DateField()
    until = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["plot", "member"], condition=Q(until__isnull=True), name="a_co_worker_once_a_plot"
            )
        ]

    def __str__(self) -> str:
        return f"member {self.member_id} on plot {self.plot_id}"


class WaitingEntry(models.Model):
    """A place on the waiting list of a site."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="waiting")
    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="waiting_for")
    asked_on = models.DateField()
    closed_on = models.DateField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "waiting entries"
        ordering = ["asked_on", "pk"]

    def __str__(self) -> str:
        return f"member {self.member_id} since {self.asked_on}"


class PlotOffer(models.Model):
    """A vacant plot offered to someone who waits, until a day."""

    entry = models.ForeignKey(WaitingEntry, on_delete=models.CASCADE, related_name="offers")
    plot = models.ForeignKey(Plot, on_delete=models.CASCADE, related_name="offers")
    made_on = models.DateField()
    lapses_on = models.DateField()
    answer = models.CharField(max_length=10, blank=True, choices=[("yes", "accepted"), ("no", "declined")])

    def __str__(self) -> str:
        return f"plot {self.plot_id} until {self.lapses_on}"
