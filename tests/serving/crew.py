"""A program: a company, Teal Crescent and a crew of so many phones; prints their tokens as JSON."""

from __future__ import annotations

import json
import sys

from django.core.management import call_command

from hardpan.site.serving.start import load_site
from hardpan.street import example


def main(count: int) -> None:
    """Make them."""
    load_site()
    from hardpan.site.accounts.people import found_company  # noqa: PLC0415  # once the settings are there
    from hardpan.site.entries import folders  # noqa: PLC0415
    from hardpan.site.join import codes  # noqa: PLC0415

    call_command("migrate", interactive=False, verbosity=0)
    owner = found_company("Norvale Streets", sign_in_name="owner", name="Owner")
    folder = {
        path.name: path.read_bytes() for path in example("teal-crescent").iterdir() if path.name != "ledger.jsonl"
    }
    street, _ = folders.bring_in(owner, folder)
    code = codes.open_code(street, "operator", by=owner)
    print(json.dumps([codes.come_in(code, name="", device=f"phone-{number}")[1] for number in range(count)]))


if __name__ == "__main__":
    main(int(sys.argv[1]))
