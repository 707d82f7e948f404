"use strict";
(() => {
  const key = "nest:" + document.body.dataset.plan;
  const boxes = document.querySelectorAll("input[type=checkbox]");
  let ticked = new Set();
  try { ticked = new Set(JSON.parse(localStorage.getItem(key) || "[]")); } catch { /* a device that keeps nothing */ }
  for (const box of boxes) {
    box.checked = ticked.has(box.id);
    box.addEventListener("change", () => {
      if (box.checked) { ticked.add(box.id); } else { ticked.delete(box.id); }
      try { localStorage.setItem(key, JSON.stringify([...ticked])); } catch { /* then they last as long as the page */ }
    });
  }
})();
