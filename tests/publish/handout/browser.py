"""A real browser without a window, which tells what a page would have fetched.

Debian's chromium with its own driver; where either is missing the tests are skipped.
"""

import json
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from time import sleep
from typing import Any

import pytest

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")

needs_browser = pytest.mark.skipif(
    not (CHROMIUM and DRIVER and find_spec("selenium")),
    reason="needs chromium, its driver (apt-get install chromium chromium-driver) and selenium",
)

_FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"),
    *("--disable-component-update", "--disable-sync", "--no-first-run", "--disable-dev-shm-usage"),
    *("--disable-default-apps", "--disable-extensions", "--metrics-recording-only"),
    *("--autoplay-policy=no-user-gesture-required", "--window-size=1000,1400"),
    "--host-resolver-rules=MAP * ~NOTFOUND",
)


class Browser:
    """One page at a time."""

    def __init__(self, driver: Any) -> None:  # noqa: ANN401 – selenium is optional
        self._driver = driver

    def open(self, page: Path) -> None:
        self._driver.get(page.resolve().as_uri())

    def ask(self, script: str) -> Any:  # noqa: ANN401 – whatever the page answers
        return self._driver.execute_script(script)

    def run(self, script: str, *given: Any) -> Any:  # noqa: ANN401 – whatever the page answers
        """The same of a script with `arguments`."""
        return self._driver.execute_script(script, *given)

    def wait_for(self, script: str, *given: Any) -> Any:  # noqa: ANN401 – whatever the page answers
        """The answer of a script that calls `done`; the browser's own time limit ends it.

        `arguments` are what is given.
        """
        start = "const done = [...arguments].at(-1);"
        return self._driver.execute_async_script(f"{start}\n{script}", *given)

    def press(self, key: str) -> None:
        """Press a key as a person does, by its name in selenium: `ENTER`."""
        from selenium.webdriver import ActionChains, Keys

        ActionChains(self._driver).send_keys(getattr(Keys, key)).perform()

    @contextmanager
    def narrow(self, width: int) -> Iterator[None]:
        """A telephone, held upright; then the window again."""
        size = {"width": width, "height": 800, "deviceScaleFactor": 2, "mobile": True}
        self._driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        try:
            yield
        finally:
            self._driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})

    def download_to(self, folder: Path) -> None:
        """Where a page's own files go from now on."""
        wanted = {"behavior": "allow", "downloadPath": str(folder)}
        self._driver.execute_cdp_cmd("Browser.setDownloadBehavior", wanted)

    def downloaded(self, folder: Path) -> Path:
        """The one file that a page has put there, once it is whole."""
        for _ in range(600):
            found = [one for one in folder.iterdir() if one.suffix == ".json"]
            if found:
                return found[0]
            sleep(0.05)
        raise AssertionError("nothing was saved")

    def picture(self, path: Path) -> None:
        height = self.ask("return document.documentElement.scrollHeight")
        self._driver.set_window_size(1000, min(height + 150, 8000))
        self._driver.save_screenshot(str(path))

    def fetched(self) -> list[str]:
        """Every address that was asked for since the last time."""
        told = [json.loads(entry["message"]) for entry in self._driver.get_log("performance")]
        return [
            one["message"]["params"]["request"]["url"]
            for one in told
            if one["message"]["method"] == "Network.requestWillBeSent"
        ]

    def printed(self) -> bytes:
        """The page as a PDF, as it comes out of a printer on A4."""
        from base64 import b64decode

        options = {"paperWidth": 8.27, "paperHeight": 11.69, "preferCSSPageSize": True}
        told = self._driver.execute_cdp_cmd("Page.printToPDF", options)
        return b64decode(told["data"])


@contextmanager
def browsing(profile: Path) -> Iterator[Browser]:
    """A browser with a fresh profile, gone afterwards."""
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = str(CHROMIUM)
    for flag in (*_FLAGS, f"--user-data-dir={profile}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"performance": "ALL"})
    driver = webdriver.Chrome(options=options, service=Service(str(DRIVER)))
    try:
        driver.set_page_load_timeout(60)
        driver.set_script_timeout(60)
        yield Browser(driver)
    finally:
        driver.quit()
