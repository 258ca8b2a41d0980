from django.db import migrations

from yardwright.yard import triggers


class Migration(migrations.Migration):
    dependencies = [("fleet", "0001_initial")]
    operations = [
        migrations.RunPython(
            lambda apps, schema: triggers.put(schema.connection, "fleet_limit"),
            lambda apps, schema: triggers.lift(schema.connection, "fleet_limit"),
        )
    ]
