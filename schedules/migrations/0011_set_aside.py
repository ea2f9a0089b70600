"""Readings that came in and were not believed."""

import django.db.models.deletion
from django.db import migrations, models

QUANTITIES = ("tmin_c", "tmax_c", "rain_mm", "wind_ms")


class Migration(migrations.Migration):
    dependencies = [("plots", "0005_site_frost_words"), ("schedules", "0010_shared_reasons")]

    operations = [
        migrations.CreateModel(
            name="SetAside",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("day", models.DateField()),
                (
                    "quantity",
                    models.CharField(choices=[(each, each) for each in QUANTITIES], max_length=8),
                ),
                ("value", models.FloatField(help_text="°C, mm or m/s")),
                ("rule", models.CharField(max_length=40)),
                ("values", models.JSONField(default=dict, help_text="the figures of the rule")),
                ("made_at", models.DateTimeField()),
                (
                    "site",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="readings_set_aside",
                        to="plots.site",
                    ),
                ),
            ],
            options={
                "ordering": ["site", "day", "quantity"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("site", "day", "quantity"), name="one_set_aside_a_reading"
                    )
                ],
            },
        ),
    ]
