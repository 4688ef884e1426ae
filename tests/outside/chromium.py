"""Chromium without a window, driven by the W3C's WebDriver protocol (https://www.w3.org/TR/webdriver2/) over HTTP."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import time
from base64 import b64decode
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.request import Request, urlopen

CHROMIUM = shutil.which("chromium") or shutil.which("google-chrome")
DRIVER = shutil.which("chromedriver")
NEEDED = bool(os.environ.get("SVGFIT_NEED_CHROMIUM"))
PHONE = {"deviceMetrics": {"width": 360, "height": 740, "pixelRatio": 2.0, "touch": True, "mobile": True}}
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"
"""The key under which WebDriver names an element (section 12, "web element identifier")."""


class Browser:
    """One page open in it."""

    def __init__(self, address: str, session: str) -> None:
        self._address = f"{address}/session/{session}"

    def open(self, file: Path) -> None:
        self._ask("POST", "/url", {"url": file.resolve().as_uri()})

    def run(self, script: str, *arguments: Any) -> Any:
        """What a script in the page gives back; WebDriver's own scripts are not under the page's policy."""
        return self._ask("POST", "/execute/sync", {"script": script, "args": list(arguments)})

    def find(self, selector: str) -> str:
        return self._ask("POST", "/element", {"using": "css selector", "value": selector})[ELEMENT]

    def click(self, selector: str) -> None:
        self._ask("POST", f"/element/{self.find(selector)}/click", {})

    def keys(self, selector: str, text: str) -> None:
        self._ask("POST", f"/element/{self.find(selector)}/value", {"text": text})

    def role(self, selector: str) -> tuple[str, str]:
        """An element's role and name as a screen reader is told them (sections 12.5.10 and 12.5.11)."""
        at = f"/element/{self.find(selector)}"
        return self._ask("GET", f"{at}/computedrole"), self._ask("GET", f"{at}/computedlabel")

    def log(self) -> list[str]:
        """What the browser complained of since the last call: errors in scripts, what the policy kept out."""
        return [entry["message"] for entry in self._ask("POST", "/se/log", {"type": "browser"})]

    def picture(self, selector: str) -> bytes:
        """What an element looks like, scrolled to if need be."""
        return b64decode(self._ask("GET", f"/element/{self.find(selector)}/screenshot"))

    def close(self) -> None:
        self._ask("DELETE", "")

    def _ask(self, method: str, path: str, body: dict[str, Any] | None = None) -> Any:
        return ask(method, self._address + path, body)


def ask(method: str, address: str, body: dict[str, Any] | None = None) -> Any:
    data = None if body is None else json.dumps(body).encode()
    request = Request(address, data, {"Content-Type": "application/json"}, method=method)
    try:
        with urlopen(request, timeout=60) as answer:
            return json.load(answer)["value"]
    except HTTPError as error:
        raise AssertionError(error.read().decode()) from None


@contextmanager
def browser(folder: Path, *, phone: bool = False, width: int = 1200, height: int = 900) -> Iterator[Browser]:
    """A browser with a profile of its own in ``folder``, as large as a desk's or a phone's."""
    assert CHROMIUM is not None, "SVGFIT_NEED_CHROMIUM is set, and chromium is not installed"
    assert DRIVER is not None, "SVGFIT_NEED_CHROMIUM is set, and chromedriver is not installed"
    said = folder / "driver.log"
    with said.open("wb") as out:
        driver = subprocess.Popen([DRIVER, "--port=0"], stdout=out, stderr=out)
    try:
        address = f"http://127.0.0.1:{_port(said)}"
        options: dict[str, Any] = {
            "binary": CHROMIUM,
            "args": [
                *("--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--disable-dev-shm-usage"),
                *(f"--window-size={width},{height}", f"--user-data-dir={folder / 'profile'}"),
            ],
        }
        if phone:
            options["mobileEmulation"] = PHONE
        wanted = {"goog:chromeOptions": options, "goog:loggingPrefs": {"browser": "ALL"}}
        made = ask("POST", f"{address}/session", {"capabilities": {"alwaysMatch": wanted}})
        opened = Browser(address, made["sessionId"])
        try:
            yield opened
        finally:
            opened.close()
    finally:
        driver.terminate()
        driver.wait(10)


def _port(said: Path) -> int:
    """The port the driver took, which it tells: "… was started successfully on port 12345."."""
    for _ in range(200):
        for line in said.read_text(errors="replace").splitlines():
            if "successfully on port" in line:
                return int(line.rpartition("port ")[2].rstrip("."))
        time.sleep(0.1)
    raise AssertionError(f"chromedriver did not start: {said.read_text(errors='replace')}")


__all__ = ["CHROMIUM", "DRIVER", "NEEDED", "Browser", "browser"]
