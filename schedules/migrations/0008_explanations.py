"""Room for reasons that jobs share."""

import django.core.serializers.json
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("plots", "0004_site_insects"),
        ("schedules", "0007_forecasts"),
    ]

    operations = [
        migrations.CreateModel(
            name="Explanation",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.CharField(max_length=80)),
                ("content", models.CharField(help_text="digest of everything it says", max_length=32)),
                ("rule", models.CharField(max_length=60)),
                (
                    "values",
                    models.JSONField(default=dict, encoder=django.core.serializers.json.DjangoJSONEncoder),
                ),
                ("source", models.TextField(blank=True)),
                ("cautions", models.JSONField(default=list)),
                (
                    "notes",
                    models.JSONField(
                        default=list,
                        encoder=django.core.serializers.json.DjangoJSONEncoder,
                        help_text="good to know, each a rule + values + source",
                    ),
                ),
                (
                    "warnings",
                    models.JSONField(default=list, encoder=django.core.serializers.json.DjangoJSONEncoder),
                ),
                ("worked_out_at", models.DateTimeField()),
                (
                    "site",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="explanations",
                        to="plots.site",
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="explanation",
            constraint=models.UniqueConstraint(
                fields=("site", "key"), name="one_explanation_a_question_and_job"
            ),
        ),
        migrations.AddField(
            model_name="job",
            name="explanation",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="jobs",
                to="schedules.explanation",
            ),
        ),
        migrations.AddField(
            model_name="outlook",
            name="explanation",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="outlooks",
                to="schedules.explanation",
            ),
        ),
    ]
