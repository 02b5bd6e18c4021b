"""``labeller import``, ``export`` and ``schema``: recipes in and out, and the schema that editors read."""

from __future__ import annotations

import argparse
from importlib import import_module

MODULES = {"import": "labeller.serving.importing", "export": "labeller.serving.exporting", "schema": "labeller.serving.schemas"}


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    import_module(MODULES[verb]).arguments(sub)
