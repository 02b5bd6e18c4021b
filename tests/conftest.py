"""Fixtures of the tests of the local page: a demo kitchen of a test's own, and a browser's side of its page.

What they are made with is imported in them, so that the other tests don't load the server.
"""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    from web_client import kitchen_at

    return kitchen_at(tmp_path)


@pytest.fixture
def client(folder: Path):
    from web_client import page_of

    return page_of(folder)


@pytest.fixture(scope="module")
def reader(tmp_path_factory: pytest.TempPathFactory):
    """A client of a kitchen that is only looked at."""
    from web_client import kitchen_at, page_of

    return page_of(kitchen_at(tmp_path_factory.mktemp("web")))
