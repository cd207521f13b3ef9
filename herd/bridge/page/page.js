// Renews what goes on every two seconds; the rest stays as it is, so that nothing typed is lost.
"use strict";
const now = document.getElementById("now");
async function renew() {
  if (!document.hidden) {
    try {
      const answer = await fetch("/now", { credentials: "same-origin" });
      if (answer.ok) {
        now.innerHTML = await answer.text();
        now.classList.remove("stale");
      } else {
        now.classList.add("stale");
      }
    } catch {
      now.classList.add("stale");
    }
  }
  setTimeout(renew, 2000);
}
setTimeout(renew, 2000);
