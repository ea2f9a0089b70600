"""The calendar address that a member makes: what it shows, when it was last read, one open at a time."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("schedules", "0013_no_keys_of_explanations"),
    ]

    operations = [
        migrations.RenameModel("FeedAddress", "CalendarAddress"),
        migrations.AlterModelOptions("CalendarAddress", {"verbose_name_plural": "calendar addresses"}),
        migrations.AlterField(
            "CalendarAddress",
            "member",
            models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="calendar_addresses",
                to="society.member",
            ),
        ),
        migrations.AddField(
            "CalendarAddress",
            "shows",
            models.CharField(
                choices=[
                    ("best", "the best day of each job"),
                    ("window", "every day from the first to the last"),
                ],
                default="best",
                max_length=8,
            ),
        ),
        migrations.AddField("CalendarAddress", "last_read_at", models.DateTimeField(blank=True, null=True)),
        migrations.AddConstraint(
            "CalendarAddress",
            models.UniqueConstraint(
                condition=models.Q(("revoked_at__isnull", True)),
                fields=("member",),
                name="one_open_calendar_address_a_member",
            ),
        ),
        migrations.AlterField(
            "Job", "worked_out_at", models.DateTimeField(help_text="when anything of it last changed")
        ),
    ]
