"""The site's commands as a program of their own: ``python -m tests.serving.program serve``."""

from __future__ import annotations

import typer

from hardpan.site.command import register

app = typer.Typer(pretty_exceptions_enable=False)
register(app)

if __name__ == "__main__":
    app()
