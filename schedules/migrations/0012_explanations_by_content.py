"""Explanations are known by what they say, and one is enough of each."""

from django.db import migrations, models
from django.db.models import Min


def keep_one(apps, schema_editor):
    explanations = apps.get_model("schedules", "Explanation").objects
    several = explanations.values("site", "content").annotate(first=Min("pk"), rows=models.Count("pk"))
    for row in several.filter(rows__gt=1):
        others = explanations.filter(site=row["site"], content=row["content"]).exclude(pk=row["first"])
        for name in ("Job", "Outlook"):
            apps.get_model("schedules", name).objects.filter(explanation__in=others).update(
                explanation=row["first"]
            )
        others.delete()


def name_anew(apps, schema_editor):
    explanations = apps.get_model("schedules", "Explanation").objects
    explanations.update(key=models.functions.Concat(models.Value("kept/"), "content"))


class Migration(migrations.Migration):
    dependencies = [("schedules", "0011_set_aside")]

    operations = [
        # Before the rows change, so that on the way back the keys are there when they must be unique.
        migrations.RemoveConstraint(model_name="explanation", name="one_explanation_a_question_and_job"),
        migrations.RunPython(keep_one, name_anew),
    ]
