// Picking in the herd list: "all on this page" ticks each line, and the number picked is said.
(function () {
  "use strict";

  const form = document.querySelector("[data-picking]");
  if (!form) {
    return;
  }
  const page = form.querySelector("[data-pick-page]");
  const every = form.querySelector("[data-pick-every]");
  const said = form.querySelector("[data-picked]");
  const lines = Array.from(form.querySelectorAll("[data-pick]"));

  function say() {
    const picked = lines.filter(function (line) { return line.checked; }).length;
    page.checked = picked === lines.length;
    said.textContent = every && every.checked ? "all that match are picked" : picked ? picked + " picked" : "";
  }

  form.addEventListener("change", function (event) {
    if (event.target === page) {
      lines.forEach(function (line) { line.checked = page.checked; });
    }
    if (event.target !== every && every && !event.target.checked) {
      every.checked = false;
    }
    say();
  });
  // A browser that comes back to the page keeps the ticks.
  window.addEventListener("pageshow", say);
})();
