from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("schedules", "0002_letters_to_accounts")]

    operations = [
        migrations.AddField(
            model_name="notice", name="version", field=models.PositiveIntegerField(default=1)
        ),
    ]
