from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("society", "0002_invitations_and_absences")]

    operations = [
        migrations.AddField(
            model_name="member", name="version", field=models.PositiveIntegerField(default=1)
        ),
    ]
