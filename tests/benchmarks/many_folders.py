"""A folder of very many folders, served: ``python -m tests.benchmarks.many_folders [--folders 20000]``.

A few of the folders are invented ride days. Printed: seconds until the list of days stands; milliseconds for the list
and for one look for news, as the middle of several; then, while three tabs look for news as pages do and the list is
loaded again and again, the longest and the 99th percentile of what a small request waited beside the time it takes on
an idle server, and the share of a processor that the server took. It judges nothing.
"""

from __future__ import annotations

import argparse
import http.client
import statistics
import tempfile
import threading
import time
from pathlib import Path
from urllib.parse import urlsplit
from urllib.request import urlopen

from tests.browser.served import Server, serving
from tests.pipeline.small_days import make_day

DAYS, EVERY_S, FOR_S = 5, 0.7, 10.0
TABS = ("", "group_0/day_0", "group_1/day_1")


def seconds_for(link: str) -> float:
    start = time.perf_counter()
    with urlopen(link) as answer:  # noqa: S310 - our own server
        answer.read()
    return time.perf_counter() - start


def small_requests(server: Server, until: threading.Event, waited: list[float]) -> None:
    """Ask for something that takes no work, again and again, on one connection."""
    parts = urlsplit(server.link)
    asking = http.client.HTTPConnection(parts.hostname or "", parts.port or 0)
    while not until.is_set():
        start = time.perf_counter()
        asking.request("GET", "/nothing")
        asking.getresponse().read()
        waited.append(time.perf_counter() - start)
        time.sleep(0.005)
    asking.close()


def watched(server: Server, work: bool) -> tuple[list[float], float]:
    """Return what small requests waited, s, and the server's share of a processor; with `work`, beside tabs."""
    until, waited = threading.Event(), list[float]()

    def tab(link: str) -> None:
        while not until.wait(EVERY_S):
            seconds_for(link)

    threads = [threading.Thread(target=small_requests, args=(server, until, waited))]
    if work:
        links = [f"{server.link}news?day={day}" for day in TABS]
        threads += [threading.Thread(target=tab, args=(link,)) for link in links]
        threads.append(threading.Thread(target=tab, args=(server.link,)))
    before, start = server.processor_s, time.perf_counter()
    for thread in threads:
        thread.start()
    time.sleep(FOR_S)
    until.set()
    for thread in threads:
        thread.join()
    return waited, (server.processor_s - before) / (time.perf_counter() - start)


def main() -> None:
    """Make the folders, serve them, print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--folders", type=int, default=20_000)
    count = parser.parse_args().folders
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        for number in range(count):
            (place / f"group_{number % 200}" / f"folder_{number}").mkdir(parents=True)
        for number in range(DAYS):
            make_day(place / f"group_{number}" / f"day_{number}", ("a", "b"), seconds=10.0)
        start = time.perf_counter()
        with serving(place) as server:
            print(f"link printed after {time.perf_counter() - start:.2f} s")
            print(f"first list after {seconds_for(server.link):.3f} s more")
            for number in range(DAYS):
                server.wait_until_read(f"group_{number}/day_{number}")
            pages = [seconds_for(server.link) for _ in range(7)]
            news = [seconds_for(f"{server.link}news?day=group_0/day_0") for _ in range(21)]
            print(f"list {1e3 * statistics.median(pages):.0f} ms, news {1e3 * statistics.median(news):.1f} ms")
            for words, work in (("idle", False), ("three tabs and the list", True)):
                waited, share = watched(server, work)
                worst, usual = max(waited), statistics.median(waited)
                late = statistics.quantiles(waited, n=100)[-1]
                print(
                    f"{words}: a small request takes {1e3 * usual:.1f} ms, one in a hundred {1e3 * late:.0f} ms, "
                    f"the slowest {1e3 * worst:.0f} ms; {100 * share:.0f} % of a processor"
                )


if __name__ == "__main__":
    main()
