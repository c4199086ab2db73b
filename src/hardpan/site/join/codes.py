"""Making codes, showing them, coming in by one."""

from __future__ import annotations

import datetime as dt

import segno
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from hardpan.site.accounts.models import User
from hardpan.site.join.models import CrewMember, JoinCode, hashed, new_token
from hardpan.site.streets.known import known
from hardpan.site.streets.models import Street

AFTER_THE_JOB = dt.timedelta(days=14)  # curing, densities, axle test, repairs


def job_over(street: Street, *, today: dt.date) -> dt.datetime:
    """When a code of a street ends: 14 days after the job's last day, or after today where that is later or not said."""
    shift = known(street).file.shift
    last = shift.date + dt.timedelta(days=max(0, len(shift.blocks_by_day) - 1)) if shift.date else today
    return dt.datetime.combine(max(last, today) + AFTER_THE_JOB, dt.time.max, tzinfo=dt.UTC)


def open_code(street: Street, role: str, *, by: User) -> JoinCode:
    """New code of a street."""
    code = JoinCode(street=street, role=role, made_by=by)
    code.token_hash = hashed(code.token)
    code.expires_at = job_over(street, today=timezone.now().date())
    code.save()
    return code


def drawn(address: str) -> SafeString:
    """QR code of an address, as SVG for a page."""
    svg = segno.make(address, error="m").svg_inline(scale=8, border=4, dark="#000", light="#fff", omitsize=True)
    return mark_safe(svg)  # drawn by the library from numbers; the address is nowhere in it as text


def come_in(code: JoinCode, *, name: str, device: str) -> tuple[CrewMember, str]:
    """New member of a crew, and the token that their phone keeps."""
    token = new_token()
    return CrewMember.objects.create(code=code, name=name, device=device, token_hash=hashed(token)), token
