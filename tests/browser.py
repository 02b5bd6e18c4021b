"""A headless Chromium for the tests of the floor page, spoken to over a pipe (no port, no extra package)."""

from __future__ import annotations

import base64
import json
import os
import shutil
import signal
import subprocess
import tempfile
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = ("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--hide-scrollbars", "--remote-debugging-pipe")  # fmt: skip


def chromium() -> str | None:
    """Path of a Chromium, or None when there is none on this machine."""
    return next(filter(None, map(shutil.which, NAMES)), None)


class Browser:
    """One browser with one page. Use as a context manager."""

    def __enter__(self) -> Browser:
        self._folder = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        commands, self._out = os.pipe()
        self._in, answers = os.pipe()
        # The browser reads commands from descriptor 3 and writes answers to 4: a shell puts ours there.
        line = f'exec "$0" "$@" 3<&{commands} 4>&{answers}'
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        self._process = subprocess.Popen(
            ["bash", "-c", line, chromium(), *FLAGS, f"--user-data-dir={self._folder.name}", "about:blank"],
            pass_fds=(commands, answers), start_new_session=True, **quiet)  # fmt: skip
        os.close(commands)
        os.close(answers)
        self._buffer, self._number, self.requests, self.messages = b"", 0, [], []
        page = next(one for one in self.send("Target.getTargets")["targetInfos"] if one["type"] == "page")
        self._session = None
        self._session = self.send("Target.attachToTarget", targetId=page["targetId"], flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Network", "Log"):
            self.send(f"{domain}.enable")
        return self

    def __exit__(self, *_: object) -> None:
        os.close(self._out)
        try:
            self._process.wait(5)
        except subprocess.TimeoutExpired:
            os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait()
        os.close(self._in)
        self._folder.cleanup()

    _session: str | None = None

    def send(self, method: str, **params: object) -> dict:
        self._number += 1
        message = {"id": self._number, "method": method, "params": params}
        if self._session:
            message["sessionId"] = self._session
        self._write(json.dumps(message).encode() + b"\0")
        while True:
            answer = self._read()
            if answer.get("id") == self._number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return answer["result"]

    def _write(self, data: bytes) -> None:
        while data:
            data = data[os.write(self._out, data) :]

    def _read(self) -> dict:
        while b"\0" not in self._buffer:
            more = os.read(self._in, 1 << 16)
            if not more:
                raise RuntimeError("the browser has closed")
            self._buffer += more
        raw, self._buffer = self._buffer.split(b"\0", 1)
        message = json.loads(raw)
        if message.get("method") == "Network.requestWillBeSent":
            self.requests.append(message["params"]["request"]["url"])
        if message.get("method") == "Log.entryAdded":
            self.messages.append(message["params"]["entry"]["text"])
        if message.get("method") == "Runtime.exceptionThrown":
            self.messages.append(json.dumps(message["params"]["exceptionDetails"]))
        return message

    def open(self, html: str, *, now: str = "", size: tuple[int, int] = (1280, 800), dark: bool = False) -> None:
        """Opens a page. now: ISO date and time that the page's clock is set to."""
        self.send("Emulation.setDeviceMetricsOverride", width=size[0], height=size[1], deviceScaleFactor=1,
                  mobile=size[0] < 600)  # fmt: skip
        feature = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.send("Emulation.setEmulatedMedia", media="screen", features=[feature])
        path = Path(self._folder.name) / "page.html"
        path.write_text(html, encoding="utf-8")
        clock = "" if not now else (
            f"{{const Real = Date; const shift = new Real({json.dumps(now)}) - new Real();"
            "Date = class extends Real { constructor(...given) { if (given.length) super(...given);"
            "else super(Real.now() + shift); } }; }")  # fmt: skip
        script = self.send("Page.addScriptToEvaluateOnNewDocument", source=clock)["identifier"]
        self.send("Page.navigate", url=path.as_uri())
        while not (self.run("document.readyState") == "complete" and self.run("location.protocol") == "file:"):
            pass
        self.send("Page.removeScriptToEvaluateOnNewDocument", identifier=script)

    def run(self, expression: str) -> object:
        result = self.send("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in result:
            raise RuntimeError(json.dumps(result["exceptionDetails"]))
        return result["result"].get("value")

    def screenshot(self, path: Path, *, whole: bool = True) -> None:
        shot = self.send("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        Path(path).write_bytes(base64.b64decode(shot["data"]))

    def pdf(self) -> bytes:
        self.send("Emulation.setEmulatedMedia", media="")
        return base64.b64decode(self.send("Page.printToPDF", preferCSSPageSize=True, paperWidth=8.27, paperHeight=11.69)["data"])
