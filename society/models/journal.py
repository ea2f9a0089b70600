"""The journal: who changed what. Codes and ids, never names; nothing in it is edited."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models


class JournalEntry(models.Model):
    at = models.DateTimeField()
    account_id_then = models.BigIntegerField(null=True, blank=True, help_text="null: the server itself")
    action = models.CharField(max_length=60)
    subject = models.CharField(max_length=60, help_text="kind of thing, for example schedules.job")
    subject_id = models.CharField(max_length=80)
    values = models.JSONField(default=dict, encoder=DjangoJSONEncoder)

    class Meta:
        verbose_name_plural = "journal entries"
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["subject", "subject_id"], name="journal_subject")]

    def __str__(self) -> str:
        return f"{self.action} {self.subject} {self.subject_id}"
