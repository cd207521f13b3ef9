// What every page can do with a script: "/" goes to the find box, a number can be copied whole, a page printed.
(function () {
  "use strict";

  function isTyping(target) {
    return target.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName);
  }

  document.addEventListener("keydown", function (event) {
    if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) {
      return;
    }
    const box = document.getElementById("find");
    if (box) {
      event.preventDefault();
      box.focus();
      box.select();
    }
  });

  document.addEventListener("click", function (event) {
    const button = event.target.closest("[data-copy], [data-print]");
    if (!button) {
      return;
    }
    if (button.hasAttribute("data-print")) {
      window.print();
      return;
    }
    navigator.clipboard.writeText(button.dataset.copy).then(function () {
      button.textContent = "Copied";
    });
  });

  // Read as grouped on the screen, taken whole into the clipboard.
  document.addEventListener("copy", function (event) {
    const chosen = document.getSelection();
    const near = chosen.anchorNode && chosen.anchorNode.parentElement;
    const number = near && near.closest("[data-whole]");
    if (number && chosen.toString().trim() === number.textContent.trim()) {
      event.clipboardData.setData("text/plain", number.dataset.whole);
      event.preventDefault();
    }
  });

  // Buttons that only work with a script are shown only where it runs.
  document.querySelectorAll("[data-needs-script]").forEach(function (element) {
    element.hidden = false;
  });
})();
