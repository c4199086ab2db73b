"""The site in a process of its own, with streets for the tests of the pages: ``python -m tests.phone.site FOLDER COUNT``.

Says its address and the codes to join by in one line of JSON, and serves until its input ends.
"""

from __future__ import annotations

import io
import json
import os
import sys
import threading
from socketserver import ThreadingMixIn
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server


class Server(ThreadingMixIn, WSGIServer):
    """A server that answers many at once and waits for nobody."""

    daemon_threads = True


class Quiet(WSGIRequestHandler):
    """A handler that writes no lines."""

    def log_message(self, *_told: object) -> None:
        """Say nothing."""


def main(folder: str, count: int) -> None:
    """Serve until the input ends."""
    os.environ |= {"HARDPAN_DATA": folder, "HARDPAN_HOSTS": "localhost", "HARDPAN_PLAIN": "1"}
    os.environ["DJANGO_SETTINGS_MODULE"] = "hardpan.site.settings"
    import django  # noqa: PLC0415  # what follows asks for the settings when it is imported
    from django.core.management import call_command  # noqa: PLC0415
    from django.core.wsgi import get_wsgi_application  # noqa: PLC0415

    django.setup()
    call_command("migrate", verbosity=0)
    call_command("createcachetable", verbosity=0)
    call_command("collectstatic", interactive=False, stdout=io.StringIO())  # before the application looks what there is
    application = get_wsgi_application()
    told = {"new": codes(count, ledger=False), "busy": codes(count, ledger=True)}
    server = make_server("localhost", 0, application, server_class=Server, handler_class=Quiet)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    print(json.dumps({"address": f"http://localhost:{server.server_port}", **told}), flush=True)
    sys.stdin.read()
    server.shutdown()


def codes(count: int, *, ledger: bool) -> list[str]:
    """Codes of as many streets, each of a company of its own."""
    from hardpan.site.accounts.people import found_company  # noqa: PLC0415
    from hardpan.site.entries import folders  # noqa: PLC0415
    from hardpan.site.join import codes as joining  # noqa: PLC0415
    from tests.site.conftest import example_folder  # noqa: PLC0415

    found = []
    for number in range(count):
        owner = found_company(f"Company {ledger} {number}", sign_in_name=f"owner-{ledger}-{number}", name="Owner")
        street, _ = folders.bring_in(owner, example_folder(ledger=ledger))
        found.append(joining.open_code(street, "operator", by=owner).token)
    return found


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
