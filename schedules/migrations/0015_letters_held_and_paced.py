from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("schedules", "0014_calendar_addresses"),
    ]

    operations = [
        migrations.CreateModel(
            name="MailRoom",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("closed_at", models.DateTimeField(blank=True, help_text="since when no letter leaves; empty: open", null=True)),
                ("closed_why", models.CharField(blank=True, max_length=200)),
                ("hold_before", models.DateTimeField(blank=True, help_text="letters that fell due up to then wait for the committee", null=True)),
            ],
        ),
        migrations.AddField(
            model_name="delivery",
            name="losses",
            field=models.PositiveSmallIntegerField(default=0, help_text="workers that died over it"),
        ),
        migrations.AddIndex(
            model_name="deliverystep",
            index=models.Index(condition=models.Q(("state", "handed_over")), fields=["at"], name="letters_handed_over_at"),
        ),
        migrations.AddConstraint(
            model_name="mailroom",
            constraint=models.CheckConstraint(condition=models.Q(("pk", 1)), name="there_is_one_mail_room"),
        ),
    ]
