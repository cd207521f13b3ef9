// The review by keys: numbers choose, letters move; after each swap the focus goes to the finding's heading.
(function () {
  "use strict";

  const ARROWS = { ArrowRight: "n", ArrowLeft: "p" };

  function isTyping(target) {
    return target.isContentEditable || target.matches("textarea, select, input:not([type=checkbox]):not([type=radio])");
  }

  function press(key) {
    const found = document.querySelector('#review [data-key="' + CSS.escape(key) + '"]');
    if (!found) {
      return false;
    }
    if (found.hasAttribute("data-types") && !document.getElementById("typed").value.trim()) {
      document.getElementById("typed").focus();
      return true;
    }
    found.click();
    if (found.type === "checkbox") {
      say(found.checked ? "The next choice counts for all alike." : "The next choice counts for this one alone.");
    }
    return true;
  }

  function say(text) {
    const place = document.querySelector("[data-review-said]");
    if (place) {
      place.textContent = text;
    }
  }

  function showKeys() {
    const keys = document.querySelector("[data-keys]");
    if (keys) {
      keys.open = !keys.open;
      keys.querySelector("summary").focus();
    }
  }

  document.addEventListener("keydown", function (event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) {
      return;
    }
    if (isTyping(event.target)) {
      if (event.key === "Escape") {
        event.target.blur();
      }
      return;
    }
    if (event.repeat || document.body.classList.contains("is-ruling")) {
      return;
    }
    if (event.key === "?") {
      event.preventDefault();
      showKeys();
    } else if (press(ARROWS[event.key] || event.key)) {
      event.preventDefault();
    }
  });

  // While an answer is on its way a second key would fall on a finding that nobody has seen yet.
  document.addEventListener("htmx:beforeRequest", function () {
    document.body.classList.add("is-ruling");
  });
  document.addEventListener("htmx:afterRequest", function (event) {
    document.body.classList.remove("is-ruling");
    if (event.detail.failed) {
      say("The answer did not reach the office. Nothing was ruled; try again.");
      showFailure();
    }
  });

  function showFailure() {
    const main = document.querySelector("#review");
    if (!main || main.querySelector("[data-unsent]")) {
      return;
    }
    const note = document.createElement("div");
    note.className = "note note-bad";
    note.setAttribute("data-unsent", "");
    note.textContent = "The answer did not reach the office. Nothing was ruled; try again.";
    main.prepend(note);
  }

  function showKind() {
    const chosen = document.querySelector(".queue [aria-current]");
    if (chosen) {
      const list = chosen.closest(".queue");
      list.scrollLeft = chosen.offsetLeft - list.offsetLeft - 16;
    }
  }

  document.addEventListener("htmx:afterSettle", function () {
    showKind();
    const review = document.getElementById("review");
    const title = document.getElementById("finding-title");
    if (review) {
      say(review.dataset.said.trim());
    }
    if (review && review.querySelector("[data-wrong]") && document.getElementById("typed")) {
      document.getElementById("typed").focus();
    } else if (title) {
      title.focus({ preventScroll: true });
    }
    window.scrollTo({ top: topOf(review) });
  });

  function topOf(element) {
    return element ? element.getBoundingClientRect().top + window.scrollY : 0;
  }

  showKind();
  const first = document.getElementById("finding-title");
  if (first) {
    first.focus({ preventScroll: true });
  }
  // A ruling sent before htmx was ready comes back as a whole page, and is told all the same.
  if (document.querySelector("#review .said-done, #review [data-wrong]")) {
    say(document.getElementById("review").dataset.said.trim());
  }
})();
