(function () {
  "use strict";
  // The first page is one sheet of A4: what would run onto a second one is set smaller. It is measured here under the
  // rules for paper, at paper's width, for no script runs while a page is laid out to be printed.
  const sheet = document.querySelector(".sheet");
  const main = document.querySelector("main");
  const widthPx = 186 / 25.4 * 96;
  const roomPx = 270 / 25.4 * 96;
  const smallest = 0.5;

  function fit() {
    const rules = [...document.querySelector("head style").sheet.cssRules].filter((rule) => rule instanceof CSSMediaRule);
    const asWritten = rules.map((rule) => rule.media.mediaText);
    for (const rule of rules) rule.media.mediaText = rule.media.mediaText === "print" ? "all" : "not all";
    main.style.width = `${widthPx}px`;
    let zoom = 1;
    do {
      sheet.style.setProperty("--sheet-zoom", String(zoom));
      zoom -= 0.02;
    } while (sheet.parentElement.offsetHeight > roomPx + 1 && zoom > smallest);
    main.style.width = "";
    rules.forEach((rule, place) => { rule.media.mediaText = asWritten[place]; });
  }
  if (!window.matchMedia("print").matches) fit();
})();
