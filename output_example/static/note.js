"use strict";
// Notes what happened in three touches, keeps it on this device and hands it over. Nothing is sent by itself.
(() => {
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const form = one("#noting"), words = form.dataset, notes = self.firmripeNotes;
  const [amount, unit, grade, word, typed, who] = ["amount", "unit", "grade", "word", "typed", "who"].map((id) => one(`#${id}`));
  const units = [...unit.options];
  const whole = one("#trees .choices label:last-child");
  for (const [value, tag, name] of self.firmripeTrees ?? []) { // so many that they would be too much of a page
    const label = whole.cloneNode(true), said = one("span", label);
    one("input", label).value = value;
    one("b", said).textContent = tag;
    said.append(` ${name}`);
    whole.before(label);
  }
  const trees = all("#trees .choices label");
  const NEEDED = ["firmness", "starch", "brix", "days", "degrees"];
  const chosen = (name) => one(`[name=${name}]:checked`, form);
  const asks = () => chosen("what")?.dataset.asks ?? "";
  const cell = (text) => (/[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  const kept = (name, value) => {
    try {
      if (value === undefined) return localStorage.getItem(`firmripe ${name}`) ?? "";
      localStorage.setItem(`firmripe ${name}`, value);
    } catch { /* denied */ }
    return "";
  };

  function iso(back) {
    const day = new Date();
    day.setDate(day.getDate() - back);
    return [day.getFullYear(), day.getMonth() + 1, day.getDate()].map((n) => `${n}`.padStart(2, "0")).join("-");
  }

  function day() {
    const { value } = chosen("day");
    return value === "other" ? one("#date").value || iso(0) : iso(Number(value));
  }

  function much() {
    const number = amount.value.trim().replace(/^(\d+),(\d{1,2})$/, "$1.$2");
    if (!number || !asks() || asks() === "verdict") return "";
    const fruit = asks() === "fruit" && grade.value;
    return [number, units.some((option) => option.dataset.for === asks()) ? unit.value : "", fruit].filter(Boolean).join(" ");
  }

  function line() {
    const told = asks() === "verdict" ? [chosen("verdict")?.value, word.value.trim()].filter(Boolean).join("; ") : word.value.trim();
    const parts = [day(), chosen("tree")?.value ?? "", chosen("what")?.value ?? "", much(), told];
    while (!parts.at(-1)) parts.pop();
    return parts.map(cell).join(",");
  }

  function missing() {
    if (!chosen("tree")) return words.tree;
    if (!chosen("what")) return words.what;
    return NEEDED.includes(asks()) && !amount.value.trim() ? words.number : "";
  }

  function show() {
    const kind = asks();
    one("#much").hidden = !kind || kind === "verdict";
    one("#verdict").hidden = kind !== "verdict";
    for (const part of all("#much > [data-for]")) part.hidden = !part.dataset.for.split(" ").includes(kind);
    const fit = units.filter((option) => option.dataset.for === kind);
    if (fit[0] && !fit.includes(unit.options[0])) {
      unit.replaceChildren(...fit);
      unit.selectedIndex = 0;
    }
    one("#other").hidden = chosen("day").value !== "other";
    one("#line").textContent = line();
  }

  // Trees: those the way here named, those noted last, those with a job; the others by their code or all together.

  const lately = () => {
    try { return JSON.parse(kept("trees")) ?? []; } catch { return []; }
  };

  function near() {
    const asked = new URLSearchParams(location.hash.slice(1));
    const named = (asked.get("tree") ?? "").split("|").filter(Boolean);
    const last = lately();
    const rank = (label) => {
      const { value } = one("input", label);
      if (named.includes(value)) return named.indexOf(value);
      if (last.includes(value)) return 100 + last.indexOf(value);
      return "soon" in label.dataset ? 200 : 300;
    };
    const ranked = trees.map((label) => [rank(label), label]).sort(([a], [b]) => a - b);
    one("#trees .choices").append(...ranked.map(([, label]) => label));
    const few = ranked.some(([at]) => at < 300) && trees.length > 8;
    for (const [at, label] of ranked) label.hidden = few && at >= 300;
    one("#others").hidden = !few;
    if (named.length === 1) choose("tree", named[0]);
    if (asked.get("what")) choose("what", asked.get("what"));
  }

  function choose(name, value) {
    const found = all(`[name=${name}]`, form).find((input) => input.value === value);
    if (!found) return;
    found.checked = true;
    found.closest("label").hidden = false;
    if (found.closest("details")) found.closest("details").open = true;
  }

  function byCode() {
    const asked = typed.value.toLowerCase().replace(/[\s-]/g, "");
    if (!asked) return;
    for (const label of trees) {
      const fits = label.textContent.toLowerCase().replace(/[\s-]/g, "").includes(asked);
      label.hidden = !fits && !one("input", label).checked;
    }
    one("#others").hidden = false;
    const exact = trees.map((label) => one("input", label)).find((input) => input.value.toLowerCase().replace(/[\s-]/g, "") === asked);
    if (exact) exact.checked = true;
  }

  // What is kept, and handing it over

  const text = () => [...(who.value.trim() ? [`# ${who.value.trim()}, ${iso(0)}`] : []), ...notes.get()].join("\n");

  function keep(now, said, undo) {
    const isKept = notes.set(now);
    one("#said").textContent = isKept ? said : `${said} ${words.device}`;
    one("#undo").hidden = !undo;
    one("#undo").onclick = undo;
    list();
  }

  function list() {
    const now = notes.get();
    one("#hand").hidden = !now.length;
    one("#lines").value = text();
    const mail = one("#mail");
    if (mail) mail.href = mail.href.replace(/body=.*$/, () => `body=${encodeURIComponent(text())}`);
    one("#out").replaceChildren(...now.map((noted, at) => {
      const item = document.createElement("li"), code = document.createElement("code"), back = document.createElement("button");
      code.textContent = noted;
      Object.assign(back, { type: "button", textContent: words.take });
      back.setAttribute("aria-label", `${words.take}: ${noted}`);
      back.addEventListener("click", () => {
        keep(now.filter((_, other) => other !== at), `${words.back} ${noted}`, () => keep(now, `${words.noted} ${noted}`));
        one("#said").scrollIntoView({ block: "nearest" });
      });
      item.append(code, " ", back);
      return item;
    }));
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const lacking = missing();
    if (lacking) {
      one("#said").textContent = lacking;
      return;
    }
    const before = notes.get(), made = line(), tree = chosen("tree").value;
    const last = lately();
    kept("trees", JSON.stringify([tree, ...last.filter((other) => other !== tree)].slice(0, 6)));
    form.reset();
    keep([...before, made], `${words.noted} ${made}`, () => keep(before, `${words.back} ${made}`));
    show();
  });
  form.addEventListener("input", ({ target }) => {
    if (target === typed) byCode();
    show();
  });
  one("#others").addEventListener("click", (event) => {
    for (const label of trees) label.hidden = false;
    event.target.hidden = true;
    typed.value = "";
  });
  who.addEventListener("input", () => {
    kept("who", who.value);
    list();
  });
  one("#share").addEventListener("click", () => navigator.share({ text: text() }).catch(() => { /* nothing was sent */ }));
  one("#copy").addEventListener("click", async () => {
    one("#lines").select();
    try { await navigator.clipboard.writeText(text()); } catch { document.execCommand("copy"); }
    one("#said").textContent = words.copied;
  });
  one("#file").addEventListener("click", () => {
    const href = URL.createObjectURL(new Blob([`${text()}\n`], { type: "text/plain" }));
    Object.assign(document.createElement("a"), { href, download: `notes-${iso(0)}.txt` }).click();
    setTimeout(() => URL.revokeObjectURL(href), 60_000);
  });
  one("#gone").addEventListener("click", () => {
    const before = notes.get();
    keep([], words.gone, () => keep(before, ""));
  });

  one("#without").hidden = true;
  form.hidden = false;
  one("#share").hidden = !navigator.share;
  who.value = kept("who");
  addEventListener("hashchange", () => { near(); show(); });
  near();
  show();
  list();
  if (location.hash === "#hand") one("#hand").scrollIntoView();
})();
