"""When each piece of periodic work last came to its end; what /readyz reads."""

from django.db import models


class Sweep(models.Model):
    name = models.CharField(max_length=40, unique=True)
    finished_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.name
