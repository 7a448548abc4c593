"use strict";
// Links lead to things inside closed <details>; a print has the parts a reader opened. Everything else works without this.
function opened() {
  const name = decodeURIComponent(location.hash.slice(1));
  const target = name && document.getElementById(name);
  if (!target) return;
  for (let at = target; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
  target.scrollIntoView({ block: "start" });
}
addEventListener("hashchange", opened);
addEventListener("DOMContentLoaded", opened);
for (const button of document.querySelectorAll("button.print")) {
  button.hidden = false;
  button.addEventListener("click", () => print());
}
