(function () {
  "use strict";
  // Figures are drawn with the light tokens; on dark paper each token's colour is swapped for its dark twin.
  const pairs = {{ colours }};
  const names = ["line_color", "fill_color", "text_color", "background_fill_color", "border_fill_color",
    "axis_label_text_color", "major_label_text_color", "major_tick_line_color", "axis_line_color", "grid_line_color",
    "hatch_color"];
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
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
    const chosen = document.documentElement.dataset.theme;
    const wanted = chosen || (dark.matches ? "dark" : "light");
    if (wanted === shown) return;
    const from = shown === "light" ? 0 : 1;
    for (const doc of Bokeh.documents) {
      for (const model of doc._all_models.values()) repaint(model, from, 1 - from);
    }
    shown = wanted;
    document.documentElement.dataset.figures = wanted; // on paper the style turns dark figures over
  }

  // On paper a figure keeps the pixels it was drawn with; its place is narrower, so it is scaled to fit.
  const paperColumn = 320;
  function fitPaper() {
    for (const drawing of document.querySelectorAll(".drawing")) {
      const wide = drawing.clientWidth;
      if (wide > 0) drawing.style.setProperty("--print-zoom", String(Math.min(1, paperColumn / wide)));
    }
  }

  function start() {
    if (typeof Bokeh === "undefined") return;
    if (Bokeh.documents.length === 0) { window.setTimeout(start, 30); return; }
    follow();
    fitPaper();
    window.addEventListener("resize", fitPaper);
    dark.addEventListener("change", follow);
    document.addEventListener("theme-chosen", follow);
  }
  start();
})();
