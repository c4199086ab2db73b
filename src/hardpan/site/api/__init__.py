"""The JSON API: the same calls as the pages, described by ``/api/openapi.json``."""
