// Renews what goes on every two seconds; the rest stays as it is, so that nothing typed is lost.
"use strict";
async function renew(part) {
  try {
    const answer = await fetch(part.dataset.part, { credentials: "same-origin" });
    if (answer.ok) {
      part.innerHTML = await answer.text();
    }
    part.classList.toggle("stale", !answer.ok);
  } catch {
    part.classList.add("stale");
  }
}
async function renewAll() {
  if (!document.hidden) {
    await Promise.all([...document.querySelectorAll("[data-part]")].map(renew));
  }
  setTimeout(renewAll, 2000);
}
setTimeout(renewAll, 2000);
