# First tables of this feature.

import django.db.models.deletion
from django.apps.registry import Apps
from django.core.management import call_command
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def make_cache_table(_apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Make the table in which failed sign-ins are counted."""
    call_command("createcachetable", database=editor.connection.alias, verbosity=0)


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Company",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=100, unique=True)),
            ],
        ),
        migrations.CreateModel(
            name="User",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("last_login", models.DateTimeField(blank=True, null=True, verbose_name="last login")),
                ("sign_in_name", models.CharField(max_length=100, unique=True, verbose_name="sign-in name")),
                ("name", models.CharField(max_length=80, verbose_name="name")),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("foreman", "foreman"),
                            ("owner", "owner"),
                            ("reviewer", "reviewer"),
                            ("tester", "tester"),
                        ],
                        max_length=10,
                        verbose_name="role",
                    ),
                ),
                ("is_active", models.BooleanField(default=True, verbose_name="may sign in")),
                (
                    "company",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="people", to="accounts.company"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "role__in",
                                ["foreman", "owner", "reviewer", "tester"],
                            )
                        ),
                        name="user_role_known",
                    )
                ],
            },
        ),
        migrations.RunPython(make_cache_table, migrations.RunPython.noop),
    ]
