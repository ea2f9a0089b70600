"""Jobs and outlooks give up the reasons that have moved."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("schedules", "0009_move_reasons")]

    operations = [
        # On the way back there must be something to put there until the reasons have come.
        migrations.AlterField(
            model_name="job", name="rule", field=models.CharField(default="", max_length=60)
        ),
        *(
            migrations.RemoveField(model_name="job", name=name)
            for name in ("rule", "values", "source", "cautions", "notes")
        ),
        *(migrations.RemoveField(model_name="outlook", name=name) for name in ("warnings", "notes")),
        migrations.AlterField(
            model_name="job",
            name="explanation",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="jobs", to="schedules.explanation"
            ),
        ),
        migrations.AlterField(
            model_name="outlook",
            name="worked_out_at",
            field=models.DateTimeField(help_text="when what stands here last changed"),
        ),
    ]
