from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("society", "0003_count_changes_of_members"),
    ]

    operations = [
        migrations.AddField(
            model_name="member",
            name="email_refusals",
            field=models.PositiveSmallIntegerField(default=0, help_text="how often in a row a mail server refused the address for good"),
        ),
        migrations.AddField(
            model_name="member",
            name="email_refused_at",
            field=models.DateTimeField(blank=True, help_text="since when no weekly letter or notice goes to the address", null=True),
        ),
        migrations.AddField(
            model_name="member",
            name="email_refused_why",
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddIndex(
            model_name="member",
            index=models.Index(condition=models.Q(("email_refusals__gt", 0)), fields=["email"], name="members_once_refused"),
        ),
    ]
