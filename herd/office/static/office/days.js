// Dropping files, counting typed numbers, naming the day, showing only the settings that fit a column, telling progress.
(function () {
  "use strict";

  function size(bytes) {
    return bytes < 1048576 ? Math.max(1, Math.round(bytes / 1024)) + " kB" : (bytes / 1048576).toFixed(1) + " MB";
  }

  function setUpDrop(place) {
    const input = place.querySelector("input[type=file]");
    const list = place.querySelector("[data-chosen]");
    const most = Number(place.dataset.most);

    function show() {
      list.replaceChildren();
      Array.from(input.files).forEach(function (file) {
        const item = document.createElement("li");
        item.textContent = file.name + ", " + size(file.size);
        if (file.size > most) {
          item.textContent += ": too large, the limit is " + size(most);
          item.className = "field-error";
        }
        list.append(item);
      });
    }

    function isOver(over) {
      return function (event) {
        event.preventDefault();
        place.classList.toggle("over", over);
      };
    }

    place.addEventListener("dragenter", isOver(true));
    place.addEventListener("dragover", isOver(true));
    place.addEventListener("dragleave", isOver(false));
    place.addEventListener("drop", function (event) {
      isOver(false)(event);
      const all = new DataTransfer();
      Array.from(input.files).concat(Array.from(event.dataTransfer.files)).forEach(function (file) {
        all.items.add(file);
      });
      input.files = all.files;
      show();
    });
    input.addEventListener("change", show);
  }

  function setUpTyped(form) {
    const box = form.querySelector("textarea[name=typed]");
    const said = form.querySelector("[data-typed-count]");
    if (!box || !said) {
      return;
    }
    box.addEventListener("input", function () {
      const count = box.value.split("\n").filter(function (line) { return line.trim(); }).length;
      said.textContent = count ? count + (count === 1 ? " line." : " lines.") : "";
    });
  }

  function setUpName(form) {
    const name = form.querySelector("input[name=name]");
    const group = form.querySelector("select[name=group]");
    const day = form.querySelector("input[name=worked_on]");
    function suggest() {
      const chosen = group.value ? group.options[group.selectedIndex].textContent : "Processing day";
      name.placeholder = chosen + " " + day.value;
    }
    group.addEventListener("change", suggest);
    day.addEventListener("change", suggest);
    suggest();
  }

  function setUpColumn(place) {
    const kind = place.querySelector("select");
    function fit() {
      place.querySelectorAll("[data-only]").forEach(function (part) {
        part.hidden = !part.dataset.only.split(" ").includes(kind.value);
      });
    }
    kind.addEventListener("change", fit);
    fit();
  }

  let lastStep = "";
  function tellProgress() {
    const progress = document.getElementById("progress");
    const said = document.querySelector("[data-progress-said]");
    if (progress && said && progress.dataset.step !== lastStep) {
      lastStep = progress.dataset.step;
      said.textContent = lastStep;
    }
    document.querySelectorAll("[data-no-script-only]").forEach(function (link) {
      link.hidden = true;
    });
  }

  document.querySelectorAll("[data-drop]").forEach(setUpDrop);
  document.querySelectorAll("form").forEach(setUpTyped);
  document.querySelectorAll("[data-day-form]").forEach(setUpName);
  document.querySelectorAll("[data-column]").forEach(setUpColumn);
  document.addEventListener("htmx:afterSettle", tellProgress);
  tellProgress();
})();
