// Everything works without this file. It saves steps only.
(() => {
  "use strict";
  // Leaving a form that was changed is asked once.
  let changed = false;
  for (const form of document.querySelectorAll("form.entry")) {
    form.addEventListener("input", () => { changed = true; });
    form.addEventListener("submit", () => { changed = false; });
  }
  window.addEventListener("beforeunload", (event) => { if (changed) event.preventDefault(); });
  // What was refused is read first.
  const wrong = document.getElementById("wrong");
  if (wrong) wrong.focus();
})();
