"""Private calendar addresses. Whoever has the address reads the calendar, so only its hash is kept."""

from django.db import models
from django.db.models import Q

from society.models import Member


class CalendarAddress(models.Model):
    """Where one member's calendar programs fetch their jobs; at most one is open at a time."""

    class Shows(models.TextChoices):
        BEST = "best", "the best day of each job"
        WINDOW = "window", "every day from the first to the last"

    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="calendar_addresses")
    token_hash = models.CharField(max_length=64, unique=True)
    shows = models.CharField(max_length=8, choices=Shows.choices, default=Shows.BEST)
    made_at = models.DateTimeField()
    last_read_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "calendar addresses"
        constraints = [
            models.UniqueConstraint(
                fields=["member"],
                condition=Q(revoked_at__isnull=True),
                name="one_open_calendar_address_a_member",
            )
        ]

    def __str__(self) -> str:
        return f"calendar of member {self.member_id}"
