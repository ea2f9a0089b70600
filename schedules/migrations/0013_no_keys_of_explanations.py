from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("schedules", "0012_explanations_by_content")]

    operations = [
        # On the way back there must be something to put there until the keys have come.
        migrations.AlterField(
            model_name="explanation", name="key", field=models.CharField(default="", max_length=80)
        ),
        migrations.RemoveField(model_name="explanation", name="key"),
        migrations.AddConstraint(
            model_name="explanation",
            constraint=models.UniqueConstraint(
                fields=("site", "content"), name="one_explanation_a_site_and_content"
            ),
        ),
        migrations.AlterField(
            model_name="explanation",
            name="worked_out_at",
            field=models.DateTimeField(help_text="when it was first said"),
        ),
    ]
