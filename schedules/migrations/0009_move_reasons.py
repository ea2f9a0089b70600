"""Every stored reason moves to a row of its own, one for all jobs of a site that say the same."""

import hashlib
import json

from django.core.serializers.json import DjangoJSONEncoder
from django.db import migrations

REASON = ("rule", "values", "source", "cautions", "notes")
BATCH = 1000


def move(apps, schema_editor):
    explanations = apps.get_model("schedules", "Explanation").objects
    known = {}

    def explanation_of(site, row, names):
        said = {name: getattr(row, name) for name in names}
        text = json.dumps(said, sort_keys=True, cls=DjangoJSONEncoder)
        content = hashlib.blake2b(text.encode(), digest_size=16).hexdigest()
        if (site, content) not in known:
            known[site, content] = explanations.create(
                site_id=site, key=f"kept/{content}", content=content, worked_out_at=row.worked_out_at, **said
            ).pk
        return known[site, content]

    for name, columns in (("Job", REASON), ("Outlook", ("warnings", "notes"))):
        model = apps.get_model("schedules", name)
        waiting = []
        for row in model.objects.select_related("sowing__patch").order_by("pk").iterator(BATCH):
            row.explanation_id = explanation_of(row.sowing.patch.site_id, row, columns)
            waiting.append(row)
            if len(waiting) == BATCH:
                model.objects.bulk_update(waiting, ["explanation"])
                waiting = []
        model.objects.bulk_update(waiting, ["explanation"])


def move_back(apps, schema_editor):
    for name, columns in (("Job", REASON), ("Outlook", ("warnings", "notes"))):
        model = apps.get_model("schedules", name)
        for row in model.objects.exclude(explanation=None).select_related("explanation").iterator(BATCH):
            for column in columns:
                setattr(row, column, getattr(row.explanation, column))
            row.save(update_fields=columns)
        model.objects.update(explanation=None)
    apps.get_model("schedules", "Explanation").objects.all().delete()


class Migration(migrations.Migration):
    dependencies = [("schedules", "0008_explanations")]

    operations = [migrations.RunPython(move, move_back)]
