"""The owner of a company's account, made by whoever has the machine: by a link, so that no password is ever chosen for anybody."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hardpan.site.roles import Role
from hardpan.site.serving import lock
from hardpan.site.serving.run import Serving
from hardpan.site.serving.start import ServingError, load_site

if TYPE_CHECKING:
    from hardpan.site.accounts.models import User


def invite_owner(company: str, sign_in_name: str, *, name: str) -> str:
    """Link on which the owner of a company chooses a password; company and owner are made where they are not there.

    Raises
    ------
    ServingError
        When the sign-in name is somebody else's, or the company has another owner.
    """
    folder = load_site()
    from django.core.management import call_command  # noqa: PLC0415  # once the settings are there

    from hardpan.site.accounts.people import invitation  # noqa: PLC0415

    call_command("migrate", interactive=False, verbosity=0)
    address = lock.address(folder) or Serving().address
    return address + invitation(_owner(company, sign_in_name, name))


def _owner(company: str, sign_in_name: str, name: str) -> User:
    """Owner of that name, a new one where the company is new."""
    from hardpan.site.accounts.models import Company, User  # noqa: PLC0415  # once the settings are there
    from hardpan.site.accounts.people import found_company  # noqa: PLC0415

    there = User.objects.filter(sign_in_name=sign_in_name).first()
    if there is not None and (there.company.name, there.role) == (company, Role.OWNER):
        return there
    if there is not None:
        raise ServingError(
            f"sign-in name {sign_in_name}: somebody else's; allowed: a name that nobody has. Choose another one."
        )
    if Company.objects.filter(name=company).exists():
        raise ServingError(
            f"company {company}: has an owner already, with another sign-in name; allowed: a new company, or the owner that is there. "
            "Give that one's sign-in name; owners make further owners on the site."
        )
    return found_company(company, sign_in_name=sign_in_name, name=name)
