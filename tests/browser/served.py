"""A real server in a process of its own, forked from one that has loaded the program, and pages opened on it."""

from __future__ import annotations

import json
import os
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from multiprocessing.context import ForkServerProcess
from pathlib import Path
from tempfile import NamedTemporaryFile
from urllib.parse import urlsplit
from urllib.request import urlopen

from playwright.sync_api import Browser, Page

from tests.forked import COMMAND, begun

LIMITED = """
import json, sys
from pathlib import Path
from dashboards.serving import Limits, serve
limits = Limits(**json.loads(sys.argv[2]))
serve(Path(sys.argv[1]), host="127.0.0.1", port=0, ready=lambda link: print(link, flush=True), limits=limits)
"""
WATCHED = """
import os, sys, threading
from pathlib import Path
from dashboards.serving import serve
folder = sys.argv[1]
def note(what, path):
    if threading.current_thread() is threading.main_thread() and folder in str(path):
        print("the answering thread:", what, path, flush=True)
def noted(name):
    ask = getattr(os, name)
    def asking(path, *more, **options):
        note(name, path)
        return ask(path, *more, **options)
    setattr(os, name, asking)
def watch():
    sys.addaudithook(lambda what, about: note(what, about[0]) if what in ("open", "os.listdir", "os.scandir") else None)
    for name in ("stat", "lstat"):
        noted(name)
serve(Path(folder), host="127.0.0.1", port=0, ready=lambda link: (print(link, flush=True), watch()))
"""
COUNTED = """
import gc, signal, sys, weakref
from pathlib import Path
from bokeh.document import Document
from dashboards.serving import serve, server
server.UNUSED_MS, server.LOOK_EVERY_MS = 1_000, 300
documents = weakref.WeakSet()
make = Document.__init__
def noted(document, *more, **options):
    make(document, *more, **options)
    documents.add(document)
Document.__init__ = noted
def count(*_):
    pages = len(documents)
    if pages == 0:  # else the server's own search would find nothing any more
        gc.collect()
    print(pages, len(gc.get_objects()), flush=True)
signal.signal(signal.SIGUSR1, count)
serve(Path(sys.argv[1]), host="127.0.0.1", port=0, ready=lambda link: print(link, flush=True))
"""
DRAWN = "() => document.documentElement.dataset.drawn === 'yes'"
PATIENCE_S = 120.0
"""So long as a busy machine may take for what a quiet one does at once."""
SETTLED = """() => new Promise(settled => {
  let before = '';
  const look = () => {
    const drawn = !window.Bokeh || Bokeh.documents.every(d => d.is_idle);
    const now = [...document.querySelectorAll('body *')].map(e => JSON.stringify(e.getBoundingClientRect())).join();
    if (drawn && now === before) settled(); else { before = now; setTimeout(look, 60); }
  };
  look();
})"""
"""Resolves once every figure is drawn and nothing has moved for a while."""
READ = "() => !document.title.startsWith('Reading')"
LEFT = "() => !window.leaving && document.readyState === 'complete'"


@dataclass
class Heard:
    """What a page complained of and asked for."""

    complaints: list[str] = field(default_factory=list)
    requests: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Server:
    """A server that answers at `link`, and the file that holds what it has written."""

    link: str
    process: ForkServerProcess
    said: Path

    @property
    def origin(self) -> str:
        parts = urlsplit(self.link)
        return f"{parts.scheme}://{parts.netloc}"

    @property
    def lines(self) -> list[str]:
        """What it has written after its link, so far."""
        return self.said.read_text(encoding="utf-8").splitlines(keepends=True)[1:]

    @property
    def open_sockets(self) -> set[str]:
        """Sockets the process holds, by the system's name for each."""
        found = set()
        for held in Path(f"/proc/{self.process.pid}/fd").iterdir():
            with suppress(FileNotFoundError):  # one that was just closed
                found.add(str(held.readlink()))
        return {name for name in found if name.startswith("socket:")}

    @property
    def resident_mb(self) -> float:
        """Memory the process holds."""
        pages = int(Path(f"/proc/{self.process.pid}/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6

    @property
    def processor_s(self) -> float:
        """Processor time the process has taken."""
        fields = Path(f"/proc/{self.process.pid}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def held(self) -> tuple[int, int]:
        """How many pages a server that counts holds by now, and how many objects beyond what it began with."""
        assert self.process.pid is not None
        before, deadline = len(self.lines), time.monotonic() + PATIENCE_S
        os.kill(self.process.pid, signal.SIGUSR1)
        while not any(line.endswith("\n") for line in self.lines[before:]):
            assert time.monotonic() < deadline
            time.sleep(0.02)
        pages, objects = self.lines[-1].split()
        return int(pages), int(objects)

    def wait_until_read(self, day: str) -> None:
        """Wait until a day has been read."""
        self._wait_until(day, lambda news: news["state"] == "ready")

    def wait_until_gone(self, day: str) -> None:
        """Wait until the server has noticed that a day isn't there any more."""
        self._wait_until(day, lambda news: news["state"] == "failed" and "version" not in news)

    def _wait_until(self, day: str, so: Callable[[dict[str, object]], bool]) -> None:
        deadline = time.monotonic() + PATIENCE_S
        while time.monotonic() < deadline:
            with urlopen(f"{self.link}news?day={day}", timeout=PATIENCE_S) as answer:  # noqa: S310 - our own server
                if so(json.load(answer)):
                    return
            time.sleep(0.1)
        raise TimeoutError(day)

    def end(self) -> int | None:
        """Press Ctrl-C; return the exit code, None where it doesn't end."""
        assert self.process.pid is not None
        os.kill(self.process.pid, signal.SIGINT)
        self.process.join(PATIENCE_S)
        return self.process.exitcode


@contextmanager
def serving(folder: Path, *options: str) -> Iterator[Server]:
    """Run `telemetry serve` on a folder until the block ends."""
    with _running(COMMAND, "serve", str(folder), "--no-browser", *options) as server:
        yield server


@contextmanager
def serving_within(folder: Path, **limits: float) -> Iterator[Server]:
    """Serve a folder to whoever keeps within other limits than the usual."""
    with _running(LIMITED, str(folder), json.dumps(limits)) as server:
        yield server


@contextmanager
def serving_watched(folder: Path) -> Iterator[Server]:
    """Serve a folder, and write a line for every file of it that the thread that answers looks at."""
    with _running(WATCHED, str(folder)) as server:
        yield server


@contextmanager
def serving_counted(folder: Path) -> Iterator[Server]:
    """Serve a folder, and count what pages are made of when it is asked to."""
    with _running(COUNTED, str(folder)) as server:
        yield server


@contextmanager
def _running(command: str, *arguments: str) -> Iterator[Server]:
    with NamedTemporaryFile(prefix="said_") as said:
        process = begun(command, arguments, out=said.name, err=said.name)
        try:
            yield Server(link=_first_line(process, Path(said.name)), process=process, said=Path(said.name))
        finally:
            process.kill()
            process.join(PATIENCE_S)


def _first_line(process: ForkServerProcess, said: Path) -> str:
    """Wait for the line with the link; return the link."""
    deadline, text = time.monotonic() + PATIENCE_S, ""
    while "\n" not in text and process.is_alive() and time.monotonic() < deadline:
        time.sleep(0.02)
        text = said.read_text(encoding="utf-8")
    assert text.startswith("http://"), text
    return text.split()[0]


@contextmanager
def opened(browser: Browser, link: str, *, figures: bool = True, **options: object) -> Iterator[tuple[Page, Heard]]:
    """Open a link in a context of its own and wait until it has been read and drawn."""
    context = browser.new_context(**{"viewport": {"width": 1280, "height": 900}, **options})  # type: ignore[arg-type]
    context.set_default_timeout(1000 * PATIENCE_S)
    with context:
        page, heard = context.new_page(), Heard()
        page.on("console", lambda message: heard.complaints.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: heard.complaints.append(str(error)))
        page.on("request", lambda request: heard.requests.append(request.url))
        page.on("websocket", lambda socket: heard.requests.append(socket.url))
        page.goto(link)
        page.wait_for_function(READ)
        if figures:
            page.wait_for_function(DRAWN)
        yield page, heard


@contextmanager
def led_on(tab: Page, *, figures: bool = True) -> Iterator[None]:
    """Do in the block what leads to another page; wait until that has been read and drawn.

    What a page says of itself may be the old one's for as long as the machine takes to ask for the new.
    """
    tab.evaluate("() => { window.leaving = true; }")
    yield
    for so in (LEFT, READ, *([DRAWN] if figures else [])):
        tab.wait_for_function(so)


def told_the_news(tab: Page, *, since_ms: float | None = None) -> None:
    """Wait until a page has asked for news from then on, by its own clock, or from now, and has done what follows."""
    tab.wait_for_function(
        """since => performance.getEntriesByType('resource').some(
          e => e.name.includes('/news?') && e.startTime >= since && e.responseEnd > 0)""",
        arg=tab.evaluate("() => performance.now()") if since_ms is None else since_ms,
    )
    tab.wait_for_timeout(200)
