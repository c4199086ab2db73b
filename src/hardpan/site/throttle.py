"""How often a caller may ask: a count a minute in Django's cache, kept in memory and nowhere else."""

from __future__ import annotations

import time

from django.conf import settings
from django.core.cache import cache
from django.http import HttpRequest
from django.utils.crypto import salted_hmac

MINUTE = 60


def address(request: HttpRequest) -> str:
    """Address that a request came from; the proxy's own word for it where there is a proxy."""
    if settings.HARDPAN_PROXY:
        # the last one is the proxy's; what stands before it, anybody may have written
        return str(request.META.get("HTTP_X_FORWARDED_FOR", "")).split(",")[-1].strip()
    return str(request.META.get("REMOTE_ADDR", ""))


def masked_address(request: HttpRequest) -> str:
    """Address in a form that counts and tells nothing."""
    return salted_hmac("hardpan.address", address(request), algorithm="sha256").hexdigest()[:32]


def too_often(key: str, *, a_minute: int) -> int:
    """Seconds to wait, 0 where the caller may go on; every call counts."""
    now = time.time()
    window = int(now // MINUTE)
    name = f"rate:{key}:{window}"
    cache.add(name, 0, timeout=2 * MINUTE)
    try:
        count = cache.incr(name)
    except ValueError:  # the cache was full and dropped it between the two lines
        return 0
    return 0 if count <= a_minute else max(1, round((window + 1) * MINUTE - now))
