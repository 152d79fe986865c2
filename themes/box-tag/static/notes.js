"use strict";
// Counts on every page the notes that this device keeps, and offers to make one of a tick. All words come from the page.
self.firmripeNotes = (() => {
  const bar = document.querySelector("#kept"), key = `firmripe notes ${bar.dataset.key}`;
  const line = bar.content.firstElementChild;
  let unkept = null; // what is noted where the device keeps nothing, for this page alone

  const notes = {
    get() {
      if (unkept) return unkept;
      try {
        const found = JSON.parse(localStorage.getItem(key));
        return Array.isArray(found) ? found.filter((text) => typeof text === "string") : [];
      } catch { return []; }
    },
    // Says whether the device keeps them.
    set(now) {
      try { localStorage.setItem(key, JSON.stringify(now)); unkept = null; } catch { unkept = now; }
      show();
      return !unkept;
    },
  };

  function show() {
    const count = notes.get().length;
    line.querySelector("b").textContent = count;
    if (count) bar.after(line);
    else line.remove();
  }

  document.addEventListener("change", ({ target }) => {
    const job = target.closest?.(".tick") && target.closest("[data-note]");
    if (!job) return;
    job.querySelector(".offer")?.remove();
    if (!target.checked || !job.dataset.note) return;
    const link = Object.assign(document.createElement("a"), { className: "offer", href: job.dataset.note, textContent: bar.dataset.offer });
    job.append(link);
  });
  addEventListener("storage", show);
  addEventListener("pageshow", show);
  show();
  return notes;
})();
