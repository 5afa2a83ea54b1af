(function () {
  "use strict";
  // A run's trace: start, end or a place is set by dragging, by grips that take arrow keys too, or in the fields.
  const form = document.querySelector("form.marking");
  if (!form) return;
  const traced = form.querySelector(".traced");
  const drawings = [...traced.querySelectorAll("svg")];
  const grips = { start: traced.querySelector('[data-grip="start"]'), end: traced.querySelector('[data-grip="end"]') };
  const fields = { start: form.elements.start, end: form.elements.end };
  const seconds = form.querySelector(".seconds");
  const told = form.querySelector("output");
  const first = Number(form.dataset.first), last = Number(form.dataset.last);
  const nudges = { ArrowLeft: -0.1, ArrowRight: 0.1, ArrowDown: -0.1, ArrowUp: 0.1, PageDown: -5, PageUp: 5 };
  const moved = 4; // pixels: less is a press
  const wide = 44; // pixels of a grip: as a thumb
  let part = [first, last];
  let at = { start: first, end: last };
  let touched = false;

  const within = (value, low, high) => Math.min(Math.max(value, low), high);
  const kind = () => form.elements.what.value;
  const long = () => part[1] - part[0];
  const digits = () => (long() < 30 ? 2 : 1);
  const rounded = (value) => Number(within(value, first, last).toFixed(digits()));
  const across = (value) => (100 * (value - part[0])) / long();

  function suggested() {
    if (kind() === "bounds") return { start: Number(form.dataset.runStart), end: Number(form.dataset.runEnd) };
    const middle = (part[0] + part[1]) / 2;
    return { start: rounded(middle - long() / 20), end: rounded(middle + long() / 20) };
  }

  function ticks() {
    const most = Math.max(2, Math.floor(seconds.clientWidth / 70));
    const step = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1800].find((size) => long() / size <= most) || 3600;
    seconds.textContent = "";
    for (let n = Math.ceil(part[0] / step - 1e-9); n * step <= part[1] + 1e-9; n += 1) {
      const word = document.createElement("span");
      word.textContent = `${Number((n * step).toFixed(1))}`;
      const left = within(across(n * step), 0, 100);
      word.style.left = `${left}%`;
      word.style.transform = `translateX(${left < 2 ? 0 : left > 98 ? -100 : -50}%)`;
      seconds.append(word);
    }
    const unit = document.createElement("span");
    unit.className = "unit"; unit.textContent = "s after the log's first row";
    seconds.append(unit);
  }

  function stand(element, start, end) {
    element.style.left = `${within(across(start), 0, 100)}%`;
    element.style.width = `${Math.max(0, within(across(end), 0, 100) - within(across(start), 0, 100))}%`;
    element.hidden = end < part[0] || start > part[1];
  }

  // A name stands where there is room for it until the next line; magnifying makes room.
  function names() {
    const seen = [...traced.querySelectorAll(".was")].filter((was) => !was.hidden);
    const lines = [...seen.map((was) => was.offsetLeft), traced.clientWidth];
    for (const was of seen) {
      const name = was.querySelector("span"), left = was.offsetLeft;
      name.hidden = false;
      name.hidden = left + name.offsetLeft + name.offsetWidth > Math.min(...lines.filter((line) => line > left));
    }
  }

  // A grip stands beside its line, outside of what is chosen; at the trace's edge it stands on the other side.
  function turned(name, one, share) {
    const pixels = share * traced.clientWidth;
    return name === "start" && !one ? pixels < wide : traced.clientWidth - pixels < wide;
  }

  function show(fill = true) {
    for (const drawing of drawings) drawing.setAttribute("viewBox", `${part[0]} 0 ${long()} 100`);
    const one = kind() === "mark";
    const end = one ? at.start : at.end;
    stand(traced.querySelector(".chosen"), at.start, end);
    for (const name of ["start", "end"]) {
      const grip = grips[name], value = at[name];
      grip.style.left = `${within(across(value), 0, 100)}%`;
      grip.classList.toggle("beyond", value < part[0] || value > part[1]);
      grip.classList.toggle("turned", turned(name, one, within(across(value), 0, 100) / 100));
      grip.setAttribute("aria-valuenow", String(value));
      grip.setAttribute("aria-valuetext", `${value} s`);
      if (fill) fields[name].value = String(value);
    }
    grips.start.setAttribute("aria-label", one ? "Place" : "Start");
    grips.end.hidden = one;
    fields.end.disabled = one;
    form.elements.called.disabled = kind() === "bounds";
    form.elements.called.required = kind() !== "bounds";
    told.textContent = one ? `${at.start} s` : `${at.start} to ${at.end} s: ${Number((at.end - at.start).toFixed(2))} s long`;
    for (const was of traced.querySelectorAll(".was")) stand(was, Number(was.dataset.start), Number(was.dataset.end));
    names();
    ticks();
  }

  function look(start, end) {
    const long = Math.min(Math.max(end - start, 1), last - first);
    const from = within((start + end - long) / 2, first, last - long);
    part = [from, from + long];
    show();
  }

  function put(name, value) {
    touched = true;
    at[name] = rounded(value);
    if (kind() !== "mark" && at.start > at.end) at = { start: at.end, end: at.start };
    show();
  }

  function where(event) {
    const box = traced.getBoundingClientRect();
    return part[0] + (long() * (event.clientX - box.left)) / box.width;
  }

  // From a press on: a grip moves, or the trace is dragged across.
  traced.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    const held = event.target.dataset.grip;
    const from = event.clientX, anchor = where(event);
    const offset = held ? at[held] - anchor : 0;
    let fixed = held && (held === "start" ? at.end : at.start);
    let drags = false;
    traced.setPointerCapture(event.pointerId);
    const move = (now) => {
      if (!drags && Math.abs(now.clientX - from) < moved) return;
      drags = true;
      touched = true;
      const here = rounded(where(now) + offset);
      if (kind() === "mark") at.start = here;
      else {
        if (!held) fixed = rounded(anchor);
        at = { start: Math.min(fixed, here), end: Math.max(fixed, here) };
      }
      show();
    };
    const up = (now) => {
      traced.removeEventListener("pointermove", move);
      traced.removeEventListener("pointerup", up);
      traced.removeEventListener("pointercancel", up);
      if (now.type === "pointerup" && !drags && !held && kind() === "mark") put("start", where(now));
    };
    traced.addEventListener("pointermove", move);
    traced.addEventListener("pointerup", up);
    traced.addEventListener("pointercancel", up);
  });
  for (const [name, grip] of Object.entries(grips)) {
    grip.addEventListener("keydown", (event) => {
      const by = nudges[event.key];
      if (by === undefined && event.key !== "Home" && event.key !== "End") return;
      event.preventDefault();
      const value = event.key === "Home" ? first : event.key === "End" ? last : at[name] + by * (event.shiftKey ? 10 : 1);
      const other = name === "start" ? at.end : at.start;
      touched = true;
      at[name] = rounded(kind() === "mark" ? value : name === "start" ? Math.min(value, other) : Math.max(value, other));
      if (at[name] < part[0] || at[name] > part[1]) look(at[name] - long() / 2, at[name] + long() / 2); else show();
    });
    fields[name].addEventListener("input", () => {
      const value = fields[name].valueAsNumber;
      if (Number.isNaN(value)) return;
      touched = true;
      at[name] = within(value, first, last);
      show(false);
    });
    fields[name].addEventListener("keydown", (event) => {
      const by = { ArrowUp: 0.1, ArrowDown: -0.1 }[event.key];
      if (by === undefined || Number.isNaN(fields[name].valueAsNumber)) return;
      event.preventDefault();
      put(name, fields[name].valueAsNumber + by * (event.shiftKey ? 10 : 1));
    });
  }
  form.querySelector(".look-at").addEventListener("click", (event) => {
    const way = event.target.dataset.look;
    if (!way) return;
    const chosen = kind() === "mark" ? at.start : (at.start + at.end) / 2;
    const seen = chosen >= part[0] && chosen <= part[1] && touched;
    const middle = seen ? chosen : (part[0] + part[1]) / 2, half = long() / 2;
    const to = { closer: [middle - half / 2, middle + half / 2], farther: [middle - 2 * half, middle + 2 * half],
      back: [part[0] - half, part[1] - half], on: [part[0] + half, part[1] + half], all: [first, last] }[way];
    look(to[0], to[1]);
  });
  form.addEventListener("change", (event) => {
    if (event.target.name !== "what") return;
    if (!touched || kind() === "bounds") at = suggested();
    show();
  });
  window.addEventListener("resize", () => show());
  const wish = form.querySelector(`input[name="what"][value="${window.location.hash.slice(1)}"]`);
  if (wish) wish.checked = true;
  form.dataset.live = "";
  at = suggested();
  show();
})();
