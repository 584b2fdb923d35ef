"""Chromium without a window, as the browser tests of the replay page have it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import parse_qs, urlsplit
from urllib.request import Request, urlopen

CHROMIUM = next((found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None)  # fmt: skip
DRIVER = shutil.which("chromedriver")


@contextmanager
def chromium() -> Iterator[Any]:
    """A browser whose console is kept."""
    from selenium import webdriver

    os.environ["SE_AVOID_STATS"] = "true"
    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM
    for word in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"):  # fmt: skip
        options.add_argument(word)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(DRIVER))
    driver.set_script_timeout(120)
    try:
        yield driver
    finally:
        driver.quit()


@contextmanager
def open_page(address: str) -> Iterator[None]:
    """A page that stays open beside those of a test: between two of them a busy machine may take longer than the server waits."""
    where = urlsplit(address)
    headers = {"origin": f"http://{where.netloc}", "x-bench-token": parse_qs(where.query)["t"][0]}
    with urlopen(Request(f"http://{where.netloc}/alive", b"{}", headers)):
        yield
