"""The society, its people, and how each of them wants to be written to."""

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q

from society.zones import validate_zone


class Society(models.Model):
    """The body that runs the sites; one a server."""

    name = models.CharField(max_length=120)
    zone = models.CharField(max_length=64, default="Europe/London", validators=[validate_zone])
    is_invented = models.BooleanField(default=False, help_text="made by the demo, never a real society")
    shown_on = models.DateField(
        null=True, blank=True, help_text="the day an invented society was laid out for"
    )

    class Meta:
        verbose_name_plural = "societies"

    def __str__(self) -> str:
        return self.name


class Units(models.TextChoices):
    METRIC = "metric", "millimetres and °C"
    IMPERIAL = "imperial", "inches and °F"


class Member(models.Model):
    """A person of the society. A member is not an account: some have no e-mail, some share one."""

    society = models.ForeignKey(Society, on_delete=models.PROTECT, related_name="members")
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    language = models.CharField(max_length=12, default="en-gb")
    units = models.CharField(max_length=10, choices=Units.choices, default=Units.METRIC)
    joined_on = models.DateField()
    left_on = models.DateField(null=True, blank=True)
    died_on = models.DateField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)
    email_refusals = models.PositiveSmallIntegerField(
        default=0, help_text="how often in a row a mail server refused the address for good"
    )
    email_refused_at = models.DateTimeField(
        null=True, blank=True, help_text="since when no weekly letter or notice goes to the address"
    )
    email_refused_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["name", "pk"]
        indexes = [
            models.Index(fields=["email"], condition=Q(email_refusals__gt=0), name="members_once_refused")
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_active(self) -> bool:
        """Whether anything may still be sent to this member."""
        return self.left_on is None and self.died_on is None


class CommitteeSeat(models.Model):
    """A member's time on the committee."""

    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="seats")
    office = models.CharField(max_length=60)
    since = models.DateField()
    until = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")), name="seat_ends_after_it_begins"
            )
        ]

    def __str__(self) -> str:
        return f"{self.office} since {self.since}"


class LetterPreference(models.Model):
    """When a member's weekly letter comes, which letters come at all, and when nothing else should.

    Quiet hours run from ``quiet_from`` to ``quiet_until`` by the member's clock, over midnight where the
    first is the later; equal hours mean none.
    """

    member = models.OneToOneField(Member, on_delete=models.CASCADE, related_name="letters_wanted")
    weekly = models.BooleanField(default=True)
    weekly_when_empty = models.BooleanField(default=False)
    day_notes = models.BooleanField(default=True)
    notices = models.BooleanField(default=True)
    digest = models.BooleanField(default=True, help_text="the committee's own letter; for who sits on it")
    weekday = models.PositiveSmallIntegerField(default=4, validators=[MaxValueValidator(6)])
    hour = models.PositiveSmallIntegerField(default=7, validators=[MaxValueValidator(23)])
    quiet_from = models.PositiveSmallIntegerField(default=21, validators=[MaxValueValidator(23)])
    quiet_until = models.PositiveSmallIntegerField(default=7, validators=[MaxValueValidator(23)])
    zone = models.CharField(
        max_length=64,
        blank=True,
        validators=[validate_zone],
        help_text="whose clock these hours go by; empty: the site's",
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(weekday__lte=6) & Q(hour__lte=23), name="letter_day_and_hour_exist"
            ),
            models.CheckConstraint(
                condition=Q(quiet_from__lte=23) & Q(quiet_until__lte=23), name="quiet_hours_exist"
            ),
        ]

    def __str__(self) -> str:
        return f"letters of member {self.member_id}"


class Absence(models.Model):
    """A member is away; an accepted stand-in gets the letters meanwhile.

    Asked for when it has none of the three instants; declined or ended ones are kept and count no more.
    """

    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="absences")
    stand_in = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="standing_in")
    since = models.DateField()
    until = models.DateField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    declined_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(until__gte=F("since")), name="absence_ends_after_it_begins"),
            models.CheckConstraint(
                condition=~Q(stand_in=F("member")), name="nobody_stands_in_for_themselves"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.since} to {self.until}"

    @property
    def is_open(self) -> bool:
        """Asked for or accepted, and neither declined nor ended."""
        return self.declined_at is None and self.ended_at is None
