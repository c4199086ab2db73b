# First tables of this feature.

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0001_initial"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Street",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "slug",
                    models.CharField(
                        max_length=60,
                        validators=[django.core.validators.RegexValidator("\\A[a-z0-9]+(?:-[a-z0-9]+)*\\Z")],
                    ),
                ),
                ("name", models.CharField(max_length=200)),
                ("last_sequence", models.PositiveBigIntegerField(default=0)),
                (
                    "company",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="streets", to="accounts.company"
                    ),
                ),
                ("people", models.ManyToManyField(blank=True, related_name="streets", to=settings.AUTH_USER_MODEL)),
            ],
            options={
                "ordering": ["slug"],
            },
        ),
        migrations.CreateModel(
            name="StreetFile",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=100)),
                ("content", models.BinaryField()),
                (
                    "street",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="files", to="streets.street"
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.AddConstraint(
            model_name="street",
            constraint=models.UniqueConstraint(fields=("company", "slug"), name="street_slug_of_company"),
        ),
        migrations.AddConstraint(
            model_name="streetfile",
            constraint=models.UniqueConstraint(fields=("street", "name"), name="street_file_name"),
        ),
    ]
