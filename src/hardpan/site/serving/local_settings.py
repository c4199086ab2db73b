"""Settings for a browser on this very machine, where nothing travels: the same ones without TLS."""

from hardpan.site.settings import *

SECURE_SSL_REDIRECT = False
SECURE_HSTS_SECONDS = 0
SESSION_COOKIE_SECURE = False
CSRF_COOKIE_SECURE = False
SESSION_COOKIE_NAME = "hardpan"  # the prefix of the others asks for TLS
CREW_COOKIE_NAME = "hardpan-crew"
CSRF_COOKIE_NAME = "hardpan-csrf"
