"""Letters. A delivery row is the letter's identity: nothing is sent that is not first written down here."""

import uuid

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from society.models import Account, Member


class Delivery(models.Model):
    """One letter to one member, unique by member, kind, subject and local date; or to one account.

    Letters about a log-in go to an account, because an account need not act for anybody.
    """

    class Kind(models.TextChoices):
        WEEKLY = "weekly", "weekly letter"
        DAY_NOTE = "day_note", "day note"
        NOTICE = "notice", "urgent notice"
        STAND_IN = "stand_in", "letter about a stand-in"
        OFFER = "offer", "offer of a plot"
        DIGEST = "digest", "letter to the committee"
        INVITATION = "invitation", "invitation"
        ACCOUNT = "account", "letter about a log-in"
        TEST = "test", "test letter"

    class State(models.TextChoices):
        DUE = "due", "due"
        CLAIMED = "claimed", "being written"
        HANDED_OVER = "handed_over", "handed to the mail server"
        SENT = "sent", "sent"
        DOUBTFUL = "doubtful", "perhaps sent"
        HELD = "held", "held"
        REFUSED = "refused", "refused"
        MISSED = "missed", "too late to send"

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    member = models.ForeignKey(
        Member, on_delete=models.CASCADE, related_name="deliveries", null=True, blank=True
    )
    account = models.ForeignKey(
        Account, on_delete=models.CASCADE, related_name="deliveries", null=True, blank=True
    )
    address = models.EmailField(blank=True, help_text="where it goes; empty: to the reader's own address")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    subject_key = models.CharField(max_length=80, help_text="what it is about, for example 'week'")
    local_date = models.DateField()
    due_at = models.DateTimeField()
    not_before = models.DateTimeField(help_text="the next try; due_at at first")
    state = models.CharField(max_length=12, choices=State.choices, default=State.DUE)
    claim = models.UUIDField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    doubts = models.PositiveSmallIntegerField(default=0)
    losses = models.PositiveSmallIntegerField(default=0, help_text="workers that died over it")
    message_id = models.CharField(max_length=200)
    last_error = models.TextField(blank=True)
    title = models.CharField(max_length=200, blank=True, help_text="subject line, once it is written")
    text = models.TextField(blank=True, help_text="the letter as it was sent")
    html = models.TextField(blank=True)
    told = models.JSONField(
        default=dict, encoder=DjangoJSONEncoder, help_text="what a later letter must know of this one"
    )
    follows = models.CharField(
        max_length=200, blank=True, help_text="the Message-ID of the earlier letter that it follows"
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        verbose_name_plural = "deliveries"
        ordering = ["-due_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["member", "kind", "subject_key", "local_date"],
                name="one_letter_a_member_kind_subject_day",
            ),
            models.UniqueConstraint(
                fields=["account", "kind", "subject_key", "local_date"],
                name="one_letter_an_account_kind_subject_day",
            ),
            models.CheckConstraint(
                condition=Q(member__isnull=False, account__isnull=True)
                | Q(member__isnull=True, account__isnull=False, kind="account"),
                name="a_letter_goes_to_a_member_or_an_account",
            ),
        ]
        indexes = [
            models.Index(fields=["not_before"], condition=Q(state="due"), name="deliveries_due"),
            models.Index(
                fields=["lease_until"],
                condition=Q(state__in=["claimed", "handed_over"]),
                name="deliveries_in_hand",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.local_date} ({self.state})"


class DeliveryStep(models.Model):
    """One move of a letter from state to state, kept for the committee."""

    delivery = models.ForeignKey(Delivery, on_delete=models.CASCADE, related_name="steps")
    at = models.DateTimeField()
    state = models.CharField(max_length=12, choices=Delivery.State.choices)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["at", "pk"]
        indexes = [
            models.Index(fields=["at"], condition=Q(state="handed_over"), name="letters_handed_over_at")
        ]

    def __str__(self) -> str:
        return f"{self.state} at {self.at:%Y-%m-%d %H:%M}"
