(function () {
  "use strict";
  // Figures are drawn with the light tokens; on dark paper each token's colour is swapped for its dark twin.
  const pairs = {{ colours }};
  const names = ["line_color", "fill_color", "text_color", "background_fill_color", "border_fill_color",
    "axis_label_text_color", "major_label_text_color", "major_tick_line_color", "axis_line_color", "grid_line_color",
    "hatch_color"];
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const root = document.documentElement;
  let shown = "light";

  function swapped(colour, from, to) {
    const found = pairs.find((pair) => String(colour).toLowerCase() === pair[from].toLowerCase());
    return found ? found[to] : null;
  }

  function repaint(model, from, to) {
    for (const name of names) {
      if (!(name in model.properties)) continue;
      const value = model[name];
      const plain = value !== null && typeof value === "object" ? value.value : value;
      const colour = typeof plain === "string" ? swapped(plain, from, to) : null;
      if (colour === null) continue;
      const repainted = value !== null && typeof value === "object" ? { value: colour } : colour;
      model.setv({ [name]: repainted }, { sync: false }); // a served page keeps this to itself
    }
  }

  function follow() {
    const chosen = root.dataset.theme;
    const wanted = chosen || (dark.matches ? "dark" : "light");
    if (wanted === shown) return;
    const from = shown === "light" ? 0 : 1;
    for (const doc of Bokeh.documents) {
      for (const model of doc._all_models.values()) repaint(model, from, 1 - from);
    }
    shown = wanted;
    root.dataset.figures = wanted; // on paper the style turns dark figures over
  }

  // On paper a figure keeps the pixels it was drawn with; it is scaled to half a sheet's width, and never so tall that a
  // sheet would hold one question only.
  const paperColumn = 334;
  const widestZoom = 0.7;
  const tallest = 190;
  function fitPaper() {
    for (const drawing of document.querySelectorAll(".drawing")) {
      const wide = drawing.clientWidth;
      if (wide === 0) continue;
      drawing.style.setProperty("--drawn-width", `${wide}px`);
      drawing.style.setProperty("--print-zoom", String(Math.min(widestZoom, paperColumn / wide, tallest / drawing.offsetHeight)));
    }
  }

  // data-drawn on the root says that every figure stands as it will stay: whoever prints or pictures the page waits
  // for it. A figure is painted at most once a frame, up to a frame after its document is idle; the rest is to spare.
  const framesToPaint = 4;
  let lastAsked = 0;
  function whenPainted(asked, frames) {
    if (asked !== lastAsked) return;
    const figures = document.querySelector(".drawing") !== null;
    if (figures && !(Bokeh.documents.length > 0 && Bokeh.documents.every((doc) => doc.is_idle))) {
      window.setTimeout(() => whenPainted(asked, framesToPaint), 30);
    } else if (frames > 0) window.requestAnimationFrame(() => whenPainted(asked, frames - 1));
    else root.dataset.drawn = "yes";
  }
  function drawing() {
    delete root.dataset.drawn;
    lastAsked += 1;
    whenPainted(lastAsked, framesToPaint);
  }

  function start() {
    if (typeof Bokeh === "undefined") { drawing(); return; }
    if (Bokeh.documents.length === 0) { window.setTimeout(start, 30); return; }
    follow();
    fitPaper();
    drawing();
    for (const doc of Bokeh.documents) doc.on_change(drawing);
    window.addEventListener("resize", () => { fitPaper(); drawing(); });
    dark.addEventListener("change", follow);
    document.addEventListener("theme-chosen", follow);
  }
  start();
})();
