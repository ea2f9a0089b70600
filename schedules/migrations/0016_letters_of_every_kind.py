
import django.core.serializers.json
import django.db.models.deletion
from django.db import migrations, models


def stand_ins_out_of_notices(apps, schema_editor):
    """Letters about stand-ins were kept as notices."""
    rows = apps.get_model("schedules", "Delivery").objects.filter(kind="notice")
    rows.filter(subject_key__startswith="stand-in-").update(kind="stand_in")


def stand_ins_back_among_notices(apps, schema_editor):
    apps.get_model("schedules", "Delivery").objects.filter(kind="stand_in").update(kind="notice")


class Migration(migrations.Migration):

    dependencies = [
        ('plots', '0007_layouts'),
        ('schedules', '0015_letters_held_and_paced'),
    ]

    operations = [
        migrations.AddField(
            model_name='delivery',
            name='follows',
            field=models.CharField(blank=True, help_text='the Message-ID of the earlier letter that it follows', max_length=200),
        ),
        migrations.AddField(
            model_name='delivery',
            name='told',
            field=models.JSONField(default=dict, encoder=django.core.serializers.json.DjangoJSONEncoder, help_text='what a later letter must know of this one'),
        ),
        migrations.AlterField(
            model_name='delivery',
            name='kind',
            field=models.CharField(choices=[('weekly', 'weekly letter'), ('day_note', 'day note'), ('notice', 'urgent notice'), ('stand_in', 'letter about a stand-in'), ('offer', 'offer of a plot'), ('digest', 'letter to the committee'), ('invitation', 'invitation'), ('account', 'letter about a log-in'), ('test', 'test letter')], max_length=12),
        ),
        migrations.CreateModel(
            name='SiteDay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('values', models.JSONField(encoder=django.core.serializers.json.DjangoJSONEncoder)),
                ('worked_out_at', models.DateTimeField()),
                ('site', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='days_told', to='plots.site')),
            ],
            options={
                'ordering': ['site', 'day'],
                'constraints': [models.UniqueConstraint(fields=('site', 'day'), name='one_account_a_site_and_day')],
            },
        ),
        migrations.RunPython(stand_ins_out_of_notices, stand_ins_back_among_notices),
    ]
