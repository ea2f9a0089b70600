
import django.core.validators
import society.zones
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('society', '0004_refused_addresses'),
    ]

    operations = [
        migrations.AddField(
            model_name='letterpreference',
            name='digest',
            field=models.BooleanField(default=True, help_text="the committee's own letter; for who sits on it"),
        ),
        migrations.AddField(
            model_name='letterpreference',
            name='notices',
            field=models.BooleanField(default=True),
        ),
        migrations.AddField(
            model_name='letterpreference',
            name='quiet_from',
            field=models.PositiveSmallIntegerField(default=21, validators=[django.core.validators.MaxValueValidator(23)]),
        ),
        migrations.AddField(
            model_name='letterpreference',
            name='quiet_until',
            field=models.PositiveSmallIntegerField(default=7, validators=[django.core.validators.MaxValueValidator(23)]),
        ),
        migrations.AddField(
            model_name='letterpreference',
            name='zone',
            field=models.CharField(blank=True, help_text="whose clock these hours go by; empty: the site's", max_length=64, validators=[society.zones.validate_zone]),
        ),
        migrations.AddConstraint(
            model_name='letterpreference',
            constraint=models.CheckConstraint(condition=models.Q(('quiet_from__lte', 23), ('quiet_until__lte', 23)), name='quiet_hours_exist'),
        ),
    ]
