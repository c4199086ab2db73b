"""``python -m hardpan`` is the command line."""

from hardpan.cli import main

main()
