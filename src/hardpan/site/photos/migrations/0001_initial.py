# First tables of this feature.

import django.db.models.deletion
import django.utils.timezone
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("streets", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Photo",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("sha256", models.CharField(max_length=64)),
                ("sent_sha256", models.CharField(max_length=64)),
                ("media_type", models.CharField(max_length=20)),
                ("size", models.PositiveIntegerField()),
                ("stored_at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "street",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="photos", to="streets.street"
                    ),
                ),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("street", "sent_sha256"), name="photo_once")],
            },
        ),
    ]
