"""The site as a WSGI application: ``hardpan.site.wsgi:application``."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hardpan.site.settings")
application = get_wsgi_application()
