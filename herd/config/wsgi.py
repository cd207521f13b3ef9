"""The WSGI entry point."""

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from herd.config.proxied import behind_proxy

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "herd.config.settings")

application = behind_proxy(get_wsgi_application(), settings.TRUSTED_PROXY)
