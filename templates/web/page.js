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
  // A file that is too large is told before it is sent.
  for (const field of document.querySelectorAll("input[type=file][data-most]")) {
    field.addEventListener("change", () => {
      const most = Number(field.dataset.most);
      const large = field.files.length > 0 && field.files[0].size > most;
      field.setCustomValidity(large ? `This file is larger than ${most / 1e6} MB: send only the sheets with the recipes.` : "");
      if (large) field.reportValidity();
    });
  }
  // What was refused is read first.
  const wrong = document.getElementById("wrong");
  if (wrong) wrong.focus();
})();
