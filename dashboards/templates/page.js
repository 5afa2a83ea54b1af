(function () {
  "use strict";
  // Light, dark, or as the system has it: kept in this browser, never sent.
  const root = document.documentElement;
  const buttons = [...document.querySelectorAll("[data-theme-choice]")];
  function mark() {
    const now = root.dataset.theme || "system";
    for (const button of buttons) button.setAttribute("aria-pressed", String(button.dataset.themeChoice === now));
  }
  for (const button of buttons) {
    button.addEventListener("click", () => {
      const wanted = button.dataset.themeChoice;
      if (wanted === "system") delete root.dataset.theme; else root.dataset.theme = wanted;
      try { if (wanted === "system") localStorage.removeItem("theme"); else localStorage.setItem("theme", wanted); } catch (error) { /* holds for this page only */ }
      mark();
      document.dispatchEvent(new Event("theme-chosen"));
    });
  }
  mark();

  const current = document.querySelector("nav a[aria-current]");
  if (current) current.parentElement.parentElement.scrollLeft = current.offsetLeft - 24;

  // A stretch of boxes goes into the link in short: 1-3,7 in place of four words.
  function inShort(numbers) {
    const parts = [];
    for (const number of numbers) {
      const last = parts[parts.length - 1];
      if (last && number === last[1] + 1) last[1] = number; else parts.push([number, number]);
    }
    return parts.map(([a, b]) => (a === b ? `${a}` : `${a}-${b}`)).join(",");
  }
  const form = document.querySelector("form.chooser");
  if (form) form.addEventListener("submit", (event) => {
    event.preventDefault();
    const pairs = new URLSearchParams();
    for (const name of ["day", "page"]) pairs.set(name, form.elements[name].value);
    for (const name of ["setup", "run"]) {
      const boxes = [...form.querySelectorAll(`input[name="${name}"]:not(:disabled)`)];
      const chosen = boxes.filter((box) => box.checked);
      if (chosen.length < boxes.length) for (const box of chosen) pairs.append(name, box.value);
    }
    const sections = [...form.querySelectorAll('input[name="section"]:not(:disabled)')];
    const kept = sections.filter((box) => box.checked).map((box) => Number(box.value));
    if (kept.length < sections.length && kept.length > 0) pairs.set("section", inShort(kept));
    window.location.search = pairs.toString();
  });

  // Buttons magnify the trail for whoever can't drag; the link keeps the part that is looked at.
  const magnify = document.querySelector(".magnify");
  function course() {
    return typeof Bokeh === "undefined" || Bokeh.documents.length === 0 ? null : Bokeh.documents[0].get_model_by_name("course");
  }
  function looked(range) {
    const unit = magnify.querySelector("output");
    const round = (value) => Math.round(value * 10) / 10;
    unit.textContent = `${round(range.start)} to ${round(range.end)} ${unit.dataset.unit}`;
    const [first, last] = range.bounds;
    const pairs = new URLSearchParams(window.location.search);
    if (range.start <= first && range.end >= last) { pairs.delete("from"); pairs.delete("to"); } else {
      pairs.set("from", String(Math.round(range.start * 1000) / 1000));
      pairs.set("to", String(Math.round(range.end * 1000) / 1000));
    }
    window.history.replaceState(null, "", `?${pairs}${window.location.hash}`);
  }
  function watch() {
    const range = course();
    if (range === null) { window.setTimeout(watch, 50); return; }
    looked(range);
    let waiting = null;
    range.change.connect(() => {
      window.clearTimeout(waiting);
      waiting = window.setTimeout(() => looked(range), 150);
    });
    magnify.addEventListener("click", (event) => {
      const way = event.target.dataset.magnify;
      if (!way) return;
      const [first, last] = range.bounds;
      const middle = (range.start + range.end) / 2;
      const half = (range.end - range.start) / 2;
      const part = { closer: [middle - half / 2, middle + half / 2], farther: [middle - 2 * half, middle + 2 * half],
        back: [range.start - half, range.end - half], on: [range.start + half, range.end + half], all: [first, last] }[way];
      const long = Math.min(part[1] - part[0], last - first);
      const start = Math.min(Math.max(part[0], first), last - long);
      range.setv({ start, end: start + long });
    });
  }
  if (magnify) watch();

  // The server tells when the day has been read, and when its folder holds something new.
  const day = document.body.dataset.day;
  const stands = document.body.dataset.version === "";
  const version = Number(document.body.dataset.version);
  const place = document.getElementById("news");
  const progress = document.getElementById("progress");
  const known = place ? JSON.parse(place.dataset.known) : [];
  const riding = document.getElementById("riding");
  const everyMs = progress || riding ? 700 : 3000;
  function hidden(name, value) {
    const field = document.createElement("input");
    field.type = "hidden"; field.name = name; field.value = value;
    return field;
  }
  // A link followed or a form begun isn't lost to a page that loads anew: it waits, or offers itself.
  const patienceMs = 30000; // own choice: what was followed and hasn't come by then is no page
  let leftMs = -Infinity, begun = false;
  window.addEventListener("beforeunload", () => { leftMs = performance.now(); });
  document.addEventListener("input", (event) => { begun = begun || event.target.closest("form") !== null; });
  function outdated(news) {
    const read = !stands && news.version !== undefined && news.version !== version;
    return read || Boolean(riding && news.ridden !== undefined && news.ridden !== Number(riding.dataset.done));
  }
  let said = "";
  function tell(changes, logs, newer) {
    const now = JSON.stringify([changes, logs, newer]);
    if (!place || now === said) return;
    said = now;
    place.hidden = changes.length + logs.length === 0 && !newer;
    place.textContent = "";
    if (newer) {
      const link = document.createElement("a");
      link.href = window.location.search || "?";
      link.textContent = "load it";
      const line = document.createElement("div");
      line.append("There is a newer state of this page: ", link);
      place.append(line);
    }
    if (changes.length > 0) {
      const again = document.createElement("form");
      again.method = "post";
      again.action = "again";
      const button = document.createElement("button");
      button.type = "submit";
      button.textContent = "Load it";
      again.append(`${changes.join("; ")}. `, hidden("day", day), hidden("back", window.location.search || "?"), button);
      place.append(again);
    }
    for (const waiting of logs) {
      const link = document.createElement("a");
      link.href = `?day=${encodeURIComponent(waiting.day)}&page=enter`;
      link.textContent = waiting.logs.length > 1 ? "enter them" : "enter it";
      const line = document.createElement("div");
      const what = waiting.logs.length > 1 ? "New logs are here" : "A new log is here";
      const where = waiting.title ? ` in ${waiting.title}` : "";
      line.append(`${what}${where} (${waiting.logs.join(", ")}): `, link);
      place.append(line);
    }
  }
  // What a page lists itself isn't told once more; one that stands is never loaded again.
  function unknown(logs) {
    return logs.map((own) => ({ ...own, logs: own.logs.filter((log) => !known.includes(log)) }))
      .filter((own) => own.logs.length > 0);
  }
  async function ask() {
    try {
      const answer = await fetch(`news?day=${encodeURIComponent(day)}&version=${document.body.dataset.version}`);
      if (!answer.ok) return;
      const news = await answer.json();
      const newer = outdated(news), leaving = performance.now() - leftMs < patienceMs;
      if (newer && !begun && !leaving) { window.location.reload(); return; }
      if (riding && news.riding) riding.textContent = news.riding;
      if (progress && news.progress) progress.textContent = `Reading ${news.progress}`;
      tell(stands ? [] : news.changes || [], unknown(news.logs || []), newer && begun);
    } catch (error) { if (place) { place.hidden = false; place.textContent = "The program that serves this page has ended."; }
      return; }
    window.setTimeout(ask, everyMs);
  }
  if (place) window.setTimeout(ask, day && !progress ? 300 : everyMs);  // what waits already is told at once
})();
