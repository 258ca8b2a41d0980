from django.db import migrations

from yardwright.yard import triggers


class Migration(migrations.Migration):
    dependencies = [("work", "0001_initial")]
    operations = [
        migrations.RunPython(
            lambda apps, schema: triggers.put(schema.connection, "work_fact"),
            lambda apps, schema: triggers.lift(schema.connection, "work_fact"),
        )
    ]
