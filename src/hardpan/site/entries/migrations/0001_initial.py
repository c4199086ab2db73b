# First tables of this feature.

import uuid

import django.db.models.deletion
import django.utils.timezone
from django.db import migrations, models

from hardpan.site.entries.append_only import protect


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("streets", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Epoch",
            fields=[
                ("id", models.PositiveSmallIntegerField(default=1, primary_key=True, serialize=False)),
                ("value", models.UUIDField(default=uuid.uuid4)),
            ],
            options={
                "constraints": [models.CheckConstraint(condition=models.Q(("id", 1)), name="one_epoch")],
            },
        ),
        migrations.CreateModel(
            name="RefusedEntry",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("entry_id", models.UUIDField()),
                ("body", models.BinaryField()),
                ("received_at", models.CharField(blank=True, max_length=40)),
                ("sent_at", models.CharField(blank=True, max_length=40)),
                ("heard_at", models.CharField(blank=True, max_length=40)),
                ("heard_said", models.CharField(blank=True, max_length=40)),
                ("stored_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("body_hash", models.CharField(max_length=64)),
                (
                    "street",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="streets.street"
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("street", "entry_id", "body_hash"), name="refused_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="StoredEntry",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("entry_id", models.UUIDField()),
                ("body", models.BinaryField()),
                ("received_at", models.CharField(blank=True, max_length=40)),
                ("sent_at", models.CharField(blank=True, max_length=40)),
                ("heard_at", models.CharField(blank=True, max_length=40)),
                ("heard_said", models.CharField(blank=True, max_length=40)),
                ("stored_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("sequence", models.PositiveBigIntegerField()),
                ("kind", models.CharField(max_length=40)),
                ("device", models.CharField(max_length=64)),
                ("brought_by", models.CharField(blank=True, max_length=10)),
                ("from_folder", models.BooleanField(default=False)),
                (
                    "street",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="streets.street"
                    ),
                ),
            ],
            options={
                "ordering": ["sequence"],
                "constraints": [
                    models.UniqueConstraint(fields=("street", "entry_id"), name="entry_once"),
                    models.UniqueConstraint(fields=("street", "sequence"), name="entry_sequence"),
                ],
            },
        ),
        migrations.RunPython(protect, migrations.RunPython.noop),
    ]
