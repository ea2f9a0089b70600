"""Whether letters may leave the house at all."""

from django.db import models


class MailRoom(models.Model):
    """The one row that every sender heeds, and locks where the mail provider allows only so many a minute."""

    ONLY = 1

    closed_at = models.DateTimeField(
        null=True, blank=True, help_text="since when no letter leaves; empty: open"
    )
    closed_why = models.CharField(max_length=200, blank=True)
    hold_before = models.DateTimeField(
        null=True, blank=True, help_text="letters that fell due up to then wait for the committee"
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="there_is_one_mail_room")]

    def __str__(self) -> str:
        return f"closed since {self.closed_at}" if self.closed_at else "open"
