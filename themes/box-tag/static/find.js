"use strict";
// Looks a tree or a name up among those in names.js, which is loaded before this. All words come from the page.
(() => {
  const MOST = 12;
  const words = document.querySelector("#finder").dataset;
  const box = document.querySelector(".finder");
  const [input, said, list] = ["input", "[role=status]", "ul"].map((part) => box.querySelector(part));
  const top = new URL("../", document.currentScript.src);
  const plain = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const wordsOf = (text) => plain(text).match(/[\p{L}\p{N}]+/gu) ?? [];

  // How well a name fits, 1 the best, and 0 where it doesn't. Hyphens and spaces within a tag don't count.
  function fit([kind, name, also, note], asked) {
    const run = asked.join(""), tight = wordsOf(name).join("");
    if (tight === run) return 1;
    if (tight.startsWith(run)) return 2;
    const holds = (...texts) => {
      const known = wordsOf(texts.join(" "));
      return asked.every((word) => known.some((other) => other.startsWith(word)));
    };
    if (holds(words[kind], name)) return 3;
    if (also.some((other) => holds(other))) return 4;
    return holds(words[kind], name, note, ...also) ? 5 : 0;
  }

  function lineOf([kind, name, also, note, path]) {
    const line = document.createElement("li"), link = document.createElement("a"), more = document.createElement("span");
    link.textContent = `${name}, ${words[kind]}`;
    link.href = new URL(path, top).href;
    more.className = "small";
    more.textContent = [also.length ? `${words.also} ${also.join(", ")}` : "", note].filter(Boolean).join("; ");
    line.append(link, " ", more);
    return line;
  }

  function show() {
    const asked = wordsOf(input.value);
    const hits = asked.length ? self.firmripeNames.names.map((name) => [fit(name, asked), name]).filter(([at]) => at) : [];
    hits.sort(([a], [b]) => a - b);
    list.replaceChildren(...hits.slice(0, MOST).map(([, name]) => lineOf(name)));
    const found = hits.length ? `${words.found} ${hits.length}` : words.none;
    said.textContent = asked.length ? found + (hits.length > MOST ? `; ${words.most} ${MOST}` : "") : "";
  }

  // Enter goes to the first, the arrows go up and down, Escape begins again; Tab does what it always does.
  function onKey(event) {
    const links = [...list.querySelectorAll("a")], at = links.indexOf(document.activeElement);
    if (event.key === "Enter" && event.target === input) links[0]?.click();
    else if (event.key === "ArrowDown") (links[at + 1] ?? document.activeElement).focus();
    else if (event.key === "ArrowUp" && at >= 0) (links[at - 1] ?? input).focus();
    else if (event.key === "Escape") {
      input.value = "";
      input.focus();
      show();
    } else return;
    event.preventDefault();
  }

  input.addEventListener("input", show);
  box.addEventListener("keydown", onKey);
  show();
})();
