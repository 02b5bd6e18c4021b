"""``python -m labeller`` is the same as the command ``labeller``."""

from labeller.serving.cli import command

raise SystemExit(command())
