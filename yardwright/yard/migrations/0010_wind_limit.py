from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('yard', '0009_who_runs_a_lift'),
    ]

    operations = [
        migrations.AddField(
            model_name='lift',
            name='wind_limit',
            field=models.JSONField(blank=True, null=True),
        ),
    ]
