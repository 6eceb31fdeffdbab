"""The browser that pages are looked at in."""

import os
import shutil
from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def browser():
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        if os.environ.get("CI") == "true":
            pytest.fail("playwright is not installed, but CI=true demands the browser tests")
        pytest.skip("playwright is not installed")
    path = shutil.which("chromium") or "/usr/bin/chromium"
    if not Path(path).exists():
        if os.environ.get("CI") == "true":
            pytest.fail("chromium is not installed, but CI=true demands the browser tests")
        pytest.skip("chromium is not installed")
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield started
        started.close()
