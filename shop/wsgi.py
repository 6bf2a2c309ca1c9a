"""What the web server calls."""

from __future__ import annotations

import gc
import os
from importlib import import_module

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from shop.opening.folder import make_shop
from shop.opening.moved import must_not_have_moved

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

application = get_wsgi_application()

# whatever server calls it: who answers has opened the shop
make_shop()
must_not_have_moved()

# Every view is loaded before the first visitor comes, and what is loaded for good is left out of the search for unused
# objects: that took a tenth of a second now and then, in the middle of somebody's page.
import_module(settings.ROOT_URLCONF)
gc.collect()
gc.freeze()
