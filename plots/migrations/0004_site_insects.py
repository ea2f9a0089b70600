from django.db import migrations, models

import plots.insects


def keep_what_was_said(apps, schema_editor):
    without = [each for each in plots.insects.all_insects() if each != "carrot-fly"]
    apps.get_model("plots", "Site").objects.filter(carrot_fly=False).update(insects=without)


class Migration(migrations.Migration):
    dependencies = [("plots", "0003_keep_what_was_overruled")]

    operations = [
        migrations.AddField(
            model_name="site",
            name="insects",
            field=models.JSONField(
                blank=True,
                default=plots.insects.all_insects,
                help_text="those known in the region",
                validators=[plots.insects.validate_insects],
            ),
        ),
        migrations.RunPython(keep_what_was_said, migrations.RunPython.noop),
        migrations.RemoveField(model_name="site", name="carrot_fly"),
    ]
