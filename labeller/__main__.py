"""``python -m labeller`` is the same as the command ``labeller``."""

from labeller.serving.cli import main

raise SystemExit(main())
