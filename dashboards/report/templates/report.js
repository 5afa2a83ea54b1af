(function () {
  "use strict";
  // Figures are drawn with the light tokens; on dark paper each token's colour is swapped for its dark twin.
  const pairs = __COLOURS__;
  const names = ["line_color", "fill_color", "text_color", "background_fill_color", "border_fill_color",
    "axis_label_text_color", "major_label_text_color", "major_tick_line_color", "axis_line_color", "grid_line_color",
    "hatch_color"];
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const print = window.matchMedia("print");
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
      if (colour !== null) model[name] = value !== null && typeof value === "object" ? { value: colour } : colour;
    }
  }

  function follow() {
    const wanted = dark.matches && !print.matches ? "dark" : "light";
    if (wanted === shown || typeof Bokeh === "undefined") return;
    const from = shown === "light" ? 0 : 1;
    for (const doc of Bokeh.documents) {
      for (const model of doc._all_models.values()) repaint(model, from, 1 - from);
    }
    shown = wanted;
  }

  function start() {
    if (typeof Bokeh === "undefined") return;
    if (Bokeh.documents.length === 0) { window.setTimeout(start, 30); return; }
    follow();
    dark.addEventListener("change", follow);
    print.addEventListener("change", follow);
    window.addEventListener("beforeprint", follow);
    window.addEventListener("afterprint", follow);
  }
  start();
})();
