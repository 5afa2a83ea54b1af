(function () {
  "use strict";
  // A table that is wider than its place says that it goes on, and the keyboard can reach and move it.
  function titleOf(wide) {
    const caption = wide.querySelector("caption");
    const section = wide.closest("section");
    const heading = section && section.querySelector("h2, h3");
    return caption ? caption.textContent : heading ? `${heading.textContent}: table` : "Table";
  }
  function look() {
    for (const wide of document.querySelectorAll(".wide")) {
      const goesOn = wide.scrollWidth > wide.clientWidth + 1;
      wide.classList.toggle("goes-on", goesOn);
      if (!goesOn || wide.hasAttribute("tabindex")) continue;
      wide.tabIndex = 0;
      wide.setAttribute("role", "region");
      wide.setAttribute("aria-label", titleOf(wide));
    }
  }
  look();
  window.addEventListener("resize", look);
  document.addEventListener("toggle", look, true); // a table within something folded has no width before
})();
