"""Names of static files by their content, in the scripts that import each other too: no old script meets a new one."""

from whitenoise.storage import CompressedManifestStaticFilesStorage  # type: ignore[import-untyped]  # it carries no types

SCRIPTS = "phone/*.js"


class Modules(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # the same
    """Static files; the phone's scripts import each other by their hashed names."""

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        (SCRIPTS, CompressedManifestStaticFilesStorage._js_module_import_aggregation_patterns[1]),
    )
